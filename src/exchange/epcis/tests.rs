use serde_json::Value;

use super::judge;
use super::names::{Carton, Names};

fn names(prefix: Option<&str>, location: Option<&str>) -> Names {
    Names {
        address: "https://box.skarnholt.example".to_owned(),
        prefix: prefix.map(str::to_owned),
        location_number: location.map(str::to_owned),
        key: [7; 32],
    }
}

#[test]
fn agrees_with_the_schema_on_every_document() {
    let cases: Value =
        serde_json::from_str(include_str!("../../../tests/data/epcis.json")).unwrap();
    for case in cases["cases"].as_array().unwrap() {
        let faults = judge(&case["document"]);
        // Where the text of the standard asks for more than its schema, so does the judge.
        let valid = case["valid"] == true && case["beyond"].is_null();
        assert_eq!(faults.is_empty(), valid, "{} {}: {faults:?}", case["id"], case["note"]);
    }
}

#[test]
fn names_what_gs1_can_name_by_digital_link_and_the_rest_by_the_shops_address() {
    let gs1 = names(Some("9521234"), Some("9521234000013"));
    assert_eq!(gs1.class("HS1092"), "https://id.gs1.org/8010/9521234HS1092");
    assert_eq!(gs1.serial("FK101P", "4711"), "https://id.gs1.org/8010/9521234FK101P/8011/4711");
    assert_eq!(gs1.place("H-04-4Z"), "https://id.gs1.org/414/9521234000013/254/H-04-4Z");
    assert_eq!(gs1.site(), "https://id.gs1.org/414/9521234000013");
    let sscc = Some("095212340000041276".to_owned());
    let carton = Carton { number: "CN1".to_owned(), sscc };
    assert_eq!(gs1.carton(&carton), "https://id.gs1.org/00/095212340000041276");
    // A number with letters is no serial number of a component, and a lot never is one of GS1's.
    let own = "https://box.skarnholt.example/id";
    assert_eq!(gs1.serial("FK101P", "PW-1"), format!("{own}/part/FK101P/serial/PW-1"));
    assert_eq!(gs1.lot("SK1074", "A/B é"), format!("{own}/part/SK1074/lot/A%2FB%20%C3%A9"));

    let bare = names(None, None);
    assert_eq!(bare.class("HS1092"), format!("{own}/part/HS1092"));
    assert_eq!(bare.site(), format!("{own}/site"));
    let carton = Carton { sscc: None, ..carton };
    assert_eq!(bare.carton(&carton), format!("{own}/carton/CN1"));
}

#[test]
fn an_event_keeps_its_identifier_and_another_shop_gives_another() {
    let (one, mut other) = (names(None, None), names(Some("9521234"), None));
    let id = one.event_id("movement 7 receiving");
    assert_eq!(id, other.event_id("movement 7 receiving"));
    assert_ne!(id, one.event_id("movement 8 receiving"));
    assert_eq!((id.len(), id.get(23..24), id.get(..9)), (45, Some("8"), Some("urn:uuid:")));
    other.key = [8; 32];
    assert_ne!(id, other.event_id("movement 7 receiving"));
}
