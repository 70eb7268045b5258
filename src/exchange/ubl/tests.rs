use chrono::NaiveDate;
use proptest::prelude::*;
use serde_json::Value;

use super::{Despatch, DespatchLine, Goods, MOST_BYTES, Order, OrderLine, Party, read_advice};
use crate::exchange::Fault;
use crate::units::Quantity;

fn cases() -> Vec<Value> {
    let text = include_str!("../../../tests/data/ubl.json");
    let cases: Value = serde_json::from_str(text).unwrap();
    cases["cases"].as_array().unwrap().clone()
}

#[test]
fn agrees_with_the_schema_on_every_despatch_advice() {
    for case in cases().iter().filter(|it| it["kind"] == "DespatchAdvice") {
        let read = read_advice(case["document"].as_str().unwrap().as_bytes());
        // A quantity without its unit is right by the schema, and no use to anybody.
        let valid = case["valid"] == true && case["note"] != "unitCode left out";
        assert_eq!(read.is_ok(), valid, "{} {}: {read:?}", case["id"], case["note"]);
    }
}

#[test]
fn takes_no_other_document_for_an_advice() {
    for case in cases().iter().filter(|it| it["kind"] != "DespatchAdvice") {
        let read = read_advice(case["document"].as_str().unwrap().as_bytes());
        assert!(read.is_err(), "{}", case["id"]);
    }
}

fn day(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, day).unwrap()
}

fn despatch(name: &str, note: &str) -> Despatch {
    let party = |name: &str| Party { name: name.to_owned(), ..Party::default() };
    let line = |number: &str, quantity: i64, goods: Goods| DespatchLine {
        number: number.to_owned(),
        order_line: 1,
        quantity: Quantity::new(quantity),
        outstanding: Quantity::new(2),
        reason: note.to_owned(),
        goods,
        unit: "095212340000041276".to_owned(),
    };
    let bolt = Goods {
        name: name.to_owned(),
        part_number: "SK1074".to_owned(),
        lot: "TF-2647".to_owned(),
        use_by: Some(day(30)),
        ..Goods::default()
    };
    let fork = Goods {
        name: "Fork".to_owned(),
        part_number: "FK101P".to_owned(),
        serials: vec!["PW-1".to_owned(), "PW-2".to_owned()],
        ..Goods::default()
    };
    Despatch {
        number: "KT1".to_owned(),
        at: day(25).and_hms_opt(9, 30, 0).unwrap(),
        order: "PO-26-156".to_owned(),
        supplier: party("Skarnholt Works"),
        customer: party("A rider"),
        units: vec!["095212340000041276".to_owned()],
        lines: vec![line("1", 8, bolt), line("2", 2, fork)],
    }
}

fn faults(text: &str) -> String {
    let words = |it: Vec<Fault>| it.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n");
    read_advice(text.as_bytes()).map_or_else(words, |_| "none".to_owned())
}

#[test]
fn an_advice_of_ours_is_read_as_it_was_written() {
    let read = read_advice(despatch("Bolt", "").to_xml().unwrap().as_bytes()).unwrap();
    assert_eq!((read.number.as_str(), read.issued_on), ("KT1", day(25)));
    assert_eq!(
        (read.supplier.as_str(), read.orders),
        ("Skarnholt Works", vec!["PO-26-156".into()])
    );
    let [bolt, fork] = read.lines.as_slice() else { panic!("two lines") };
    assert_eq!((bolt.quantity, bolt.order_line.as_str()), (Quantity::new(8), "1"));
    assert_eq!((bolt.lot.as_str(), bolt.use_by), ("TF-2647", Some(day(30))));
    assert_eq!(bolt.theirs.as_deref(), Some("SK1074"));
    assert_eq!(bolt.unit, "095212340000041276");
    assert_eq!(fork.serials, ["PW-1", "PW-2"]);
}

#[test]
fn a_character_that_xml_cannot_carry_is_refused_with_its_place() {
    let wrong = despatch("Bolt\u{1} M6", "").to_xml().unwrap_err();
    insta::assert_snapshot!(wrong, @"Name: 'Bolt� M6' holds U+0001, which XML can't carry: take it out of that text");
    let order = Order {
        change: 0,
        number: "PO-1".to_owned(),
        issued_on: day(1),
        due_on: day(2),
        buyer: Party { name: "\u{ffff}".to_owned(), ..Party::default() },
        seller: Party::default(),
        lines: vec![OrderLine {
            status: None,
            number: 1,
            quantity: Quantity::ONE,
            goods: Goods::default(),
            price: None,
            wanted_on: None,
        }],
    };
    assert!(order.to_xml().is_err());
}

/// Returns the faults of the advice of ours with one text in the place of another.
fn with(from: &str, to: &str) -> String {
    let text = despatch("Bolt", "").to_xml().unwrap();
    assert!(text.contains(from), "{text}");
    faults(&text.replacen(from, to, 1))
}

#[test]
fn what_the_schema_lets_pass_and_a_shop_cannot_use_is_refused() {
    let many = "<cbc:DeliveredQuantity unitCode=\"H87\">8</cbc:DeliveredQuantity>";
    let of = |to: &str| with(many, &format!("<cbc:DeliveredQuantity {to}</cbc:DeliveredQuantity>"));
    insta::assert_snapshot!(of("unitCode=\"H87\">-8"), @"line 34, column DespatchLine[1]/DeliveredQuantity: -8 is below zero: nobody sends fewer than no pieces");
    insta::assert_snapshot!(of(">8"), @"line 34, column DespatchLine[1]/DeliveredQuantity: unitCode is missing: 12 of what? Ask for C62, H87 or EA for pieces");
    insta::assert_snapshot!(of("unitCode=\"KGM\">8"), @"line 34, column DespatchLine[1]/DeliveredQuantity: unitCode KGM does not count pieces: ask for C62, H87 or EA");
    insta::assert_snapshot!(of("unitCode=\"H87\">8.5"), @"line 34, column DespatchLine[1]/DeliveredQuantity: 8.5 is no whole number of pieces up to 10000000");
    insta::assert_snapshot!(of("unitCode=\"H87\">99999999"), @"line 34, column DespatchLine[1]/DeliveredQuantity: 99999999 is no whole number of pieces up to 10000000");
    assert_eq!(of("unitCode=\"EA\">+8.00"), "none");
    insta::assert_snapshot!(with(many, ""), @"line 32, column DespatchLine[1]/DeliveredQuantity: it is missing: ask how many pieces are sent");
    insta::assert_snapshot!(with("<cbc:ID>2</cbc:ID>", "<cbc:ID>1</cbc:ID>"), @"line 58, column DespatchLine[2]/ID: two lines have the number 1");
    insta::assert_snapshot!(with("<cbc:ID>KT1</cbc:ID>", "<cbc:ID> </cbc:ID>"), @"line 2, column ID: the advice needs a number of 1 to 60 characters");
    insta::assert_snapshot!(with("Numeric>2<", "Numeric>3<"), @"line 2, column LineCountNumeric: it says that it has 3 lines, and has 2: get it anew");
    insta::assert_snapshot!(with(">PW-2<", ">PW-1<"), @"line 58, column DespatchLine[2]/Item/ItemInstance: serial number PW-1 stands twice");
    insta::assert_snapshot!(with("<cac:ItemInstance>\n        <cbc:SerialID>PW-2</cbc:SerialID>\n      </cac:ItemInstance>", ""), @"line 58, column DespatchLine[2]/Item/ItemInstance: 2 pieces, and serial numbers of 1: ask for that of each piece");
    let number = "<cbc:ID>FK101P</cbc:ID>\n      </cac:SellersItemIdentification>";
    let gtin = "<cac:StandardItemIdentification><cbc:ID>09520123456780</cbc:ID></cac:StandardItemIdentification>";
    insta::assert_snapshot!(with(number, &format!("{number}{gtin}")), @"line 69, column DespatchLine[2]/Item/StandardItemIdentification: '09520123456780' ends in 0, and its other digits ask for 8: read the GTIN again");
}

#[test]
fn what_the_schema_forbids_is_refused_with_its_place() {
    insta::assert_snapshot!(with("<cac:OrderLineReference>", "<cac:Price/><cac:OrderLineReference>"), @"line 36, column DespatchLine[1]: <Price> does not belong in DespatchLine: leave it out");
    insta::assert_snapshot!(with("<cbc:IssueTime>09:30:00Z", "<cbc:IssueTime>9:30"), @"line 6, column IssueTime: '9:30' is no time of day: write it as 09:30:00");
    insta::assert_snapshot!(with("<cac:Item>", "<cac:Item colour=\"red\">"), @"line 39, column DespatchLine[1]/Item: the attribute colour does not belong here: leave it out");
    insta::assert_snapshot!(with("<cbc:Name>Bolt", "<cbc:Name colour=\"red\">Bolt"), @"line 40, column DespatchLine[1]/Item/Name: the attribute colour does not belong here: leave it out");
    insta::assert_snapshot!(with("<cbc:UBLVersionID>2.1</cbc:UBLVersionID>\n  <cbc:ID>KT1</cbc:ID>", "<cbc:ID>KT1</cbc:ID><cbc:UBLVersionID>2.1</cbc:UBLVersionID>"), @"line 3: <UBLVersionID> stands too late in DespatchAdvice: UBL asks for it before <ID>");
    insta::assert_snapshot!(with("<cac:Item>", "words<cac:Item>"), @"line 32, column DespatchLine: 'words' stands between elements");
}

#[test]
fn what_may_read_other_files_or_grow_without_end_is_refused() {
    let text = despatch("Bolt", "").to_xml().unwrap();
    let head = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>";
    let dtd = "<!DOCTYPE DespatchAdvice [<!ENTITY a SYSTEM \"file:///etc/hostname\">]>";
    insta::assert_snapshot!(faults(&text.replace(head, dtd)), @"line 1: the file has a document type (<!DOCTYPE …>), which is not read: it may name other files; ask for it without");
    insta::assert_snapshot!(with(">Bolt<", ">&a;<"), @"line 40: &a; is no entity of XML itself, and no other is read");
    insta::assert_snapshot!(with(">Bolt<", ">&#1;<"), @"line 40: U+0001 may not stand in XML");
    insta::assert_snapshot!(faults(&text.replace("\"UTF-8\"", "\"ISO-8859-1\"")), @"line 1: the file says that it is not in UTF-8: ask for it so");
    insta::assert_snapshot!(faults(&"<a>".repeat(50)), @"line 1: the file is no despatch advice: it has too many elements, or too deep ones");
    insta::assert_snapshot!(faults(&" ".repeat(MOST_BYTES + 1)), @"line 1: the file has more than 1048576 bytes: no advice is that long");
    insta::assert_snapshot!(faults(""), @"line 1: the file holds no document: choose another");
    insta::assert_snapshot!(faults(&format!("{text}<b/>")), @"line 85: after the document another begins: one file holds one");
    insta::assert_snapshot!(faults("<x:a/>"), @"line 1: the prefix 'x:' has no namespace: declare it at the root");
    let utf16: Vec<u8> = "\u{feff}<a/>".encode_utf16().flat_map(u16::to_be_bytes).collect();
    insta::assert_snapshot!(read_advice(&utf16).unwrap_err()[0], @"line 1: the file is in UTF-16: ask for it in UTF-8");
    insta::assert_snapshot!(read_advice(b"<a>\n\xff</a>").unwrap_err()[0], @"line 2: the file is not in UTF-8: ask for it in UTF-8");
}

#[test]
fn a_line_that_is_spread_over_units_is_told_unit_by_unit() {
    let text = despatch("Bolt", "").to_xml().unwrap();
    let own = "<cac:Shipment>\n      <cbc:ID>KT1</cbc:ID>\n      <cac:TransportHandlingUnit>\n        <cbc:ID schemeID=\"SSCC\">095212340000041276</cbc:ID>\n      </cac:TransportHandlingUnit>\n    </cac:Shipment>\n  ";
    assert!(text.contains(own), "{text}");
    let unit = |number: &str, pieces: &str| {
        format!(
            "<cac:TransportHandlingUnit><cbc:ID>{number}</cbc:ID><cac:HandlingUnitDespatchLine>\
             <cbc:ID>1</cbc:ID><cbc:DeliveredQuantity unitCode=\"C62\">{pieces}</cbc:DeliveredQuantity>\
             <cac:OrderLineReference><cbc:LineID>1</cbc:LineID></cac:OrderLineReference><cac:Item/>\
             </cac:HandlingUnitDespatchLine></cac:TransportHandlingUnit>"
        )
    };
    let only = "<cac:TransportHandlingUnit>\n      <cbc:ID schemeID=\"SSCC\">095212340000041276</cbc:ID>\n    </cac:TransportHandlingUnit>";
    let spread = |left: &str| {
        let two = format!("{}{}", unit("(00)095212340000041276", "5"), unit("PALLET 7", left));
        text.replacen(own, "", 1).replacen(only, &two, 1)
    };
    let read = read_advice(spread("3").as_bytes()).unwrap();
    let units: Vec<(&str, i64)> =
        read.lines.iter().map(|it| (it.unit.as_str(), it.quantity.pieces())).collect();
    assert_eq!(units, [("095212340000041276", 5), ("PALLET 7", 3), ("095212340000041276", 2)]);
    insta::assert_snapshot!(faults(&spread("4")), @"line 30, column DespatchLine[1]: its units hold 9 pieces together, and the line 8");
}

proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        let _ = read_advice(&bytes);
    }

    #[test]
    fn any_damage_is_read_or_refused(at in 0_usize..4000, what in "[<>&;/='\"a0 \u{1}é-]{0,6}") {
        let mut text = despatch("Bolt", "").to_xml().unwrap();
        let at = (0..=at % text.len()).rev().find(|it| text.is_char_boundary(*it)).unwrap_or(0);
        text.insert_str(at, &what);
        let _ = read_advice(text.as_bytes());
        text.truncate(at);
        let _ = read_advice(text.as_bytes());
    }

    #[test]
    fn any_words_come_back_as_they_were(name in "\\PC{1,30}", note in "\\PC{0,30}") {
        let Ok(text) = despatch(&name, &note).to_xml() else {
            prop_assert!(name.chars().chain(note.chars()).any(|it| !super::write::is_xml(it)));
            return Ok(());
        };
        let read = read_advice(text.as_bytes()).unwrap();
        prop_assert_eq!(read.lines[0].name.as_str(), name.trim());
    }
}
