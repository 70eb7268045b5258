use std::collections::BTreeMap;

use chrono::NaiveDate;
use proptest::prelude::*;

use super::{
    Bom, BomItem, BomLine, Choice, Guide, KitError, OptionDef, Step, contents, explode_to_parts,
    resolve,
};
use crate::domain::catalog::Variant;
use crate::domain::codes::{PartNumber, check_char};
use crate::units::Quantity;

mod over_revisions;

fn number(count: usize) -> PartNumber {
    let body = format!("AB{count:03}");
    format!("{body}{}", check_char(&body).unwrap()).parse().unwrap()
}

fn variant(count: usize, part: &str, attributes: &str) -> Variant {
    let attributes = attributes.parse().unwrap();
    Variant { part_number: number(count), part: part.to_owned(), attributes }
}

fn bom(code: &str, lines: Vec<BomLine>) -> Bom {
    Bom {
        code: code.to_owned(),
        revision: "A".to_owned(),
        valid_from: NaiveDate::from_ymd_opt(2026, 1, 1),
        name: "Kit".to_owned(),
        makes: None,
        options: Vec::new(),
        steps: Vec::new(),
        lines,
        guide: Guide::default(),
    }
}

fn line(number: u32, item: BomItem, quantity: i64) -> BomLine {
    let quantity = Quantity::new(quantity);
    BomLine { number, step: 0, item, choose: Vec::new(), when: Vec::new(), quantity, carton: 0 }
}

fn part(name: &str) -> BomItem {
    BomItem::Part(name.to_owned())
}

fn kit(code: &str) -> BomItem {
    BomItem::Kit(code.to_owned())
}

fn option(name: &str) -> Choice {
    Choice::Option(name.to_owned())
}

fn choosing(mut line: BomLine, name: &str, choice: Choice) -> BomLine {
    line.choose.push((name.to_owned(), choice));
    line
}

fn with_option(mut bom: Bom, name: &str, values: &[&str]) -> Bom {
    let values = values.iter().map(|it| (*it).to_owned()).collect();
    bom.options.push(OptionDef { name: name.to_owned(), values });
    bom
}

fn making(mut bom: Bom, number: PartNumber) -> Bom {
    bom.makes = Some(number);
    bom
}

fn boms(all: impl IntoIterator<Item = Bom>) -> BTreeMap<String, Bom> {
    all.into_iter().map(|bom| (bom.code.clone(), bom)).collect()
}

fn chosen(options: &[(&str, &str)]) -> BTreeMap<String, String> {
    options.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect()
}

/// A bike that chooses a frame by size, and a sub-assembly that stands in it twice.
fn bike() -> BTreeMap<String, Bom> {
    let mut skis = line(20, kit("SKI"), 1);
    skis = choosing(skis, "position", Choice::Fixed("front".to_owned()));
    let mut riser = line(40, BomItem::PartNumber(number(9)), 2);
    riser.when.push(("size".to_owned(), vec!["L".to_owned()]));
    let frame = choosing(line(10, part("Frame"), 1), "size", option("size"));
    let rear = choosing(line(30, kit("SKI"), 3), "position", Choice::Fixed("rear".to_owned()));
    let bike = with_option(bom("BIKE", vec![frame, skis, rear, riser]), "size", &["M", "L"]);
    let ski = choosing(line(10, part("Ski"), 1), "position", option("position"));
    let bolts = line(20, kit("BAG"), 4);
    let ski = with_option(bom("SKI", vec![ski, bolts]), "position", &["front", "rear"]);
    let bag = making(bom("BAG", vec![line(10, BomItem::PartNumber(number(8)), 8)]), number(7));
    boms([bike, ski, bag])
}

fn variants() -> Vec<Variant> {
    vec![
        variant(1, "Frame", "size=M"),
        variant(2, "Frame", "size=L; colour=black"),
        variant(3, "Ski", "position=front"),
        variant(4, "Ski", "position=rear"),
    ]
}

/// Checks the lines as "path/trail part number x quantity", or the errors, one a line.
fn check(boms: &BTreeMap<String, Bom>, options: &[(&str, &str)], expected: &[&str]) {
    check_with(boms, options, &variants(), expected);
}

fn check_with(
    boms: &BTreeMap<String, Bom>,
    options: &[(&str, &str)],
    variants: &[Variant],
    expected: &[&str],
) {
    let found: Vec<String> = match resolve(boms, "BIKE", &chosen(options), variants) {
        Ok(lines) => lines
            .iter()
            .map(|it| {
                let trail: Vec<String> = it.trail.iter().map(u32::to_string).collect();
                format!(
                    "{}:{} {} x{}",
                    it.path.join("/"),
                    trail.join("."),
                    it.part_number,
                    it.quantity
                )
            })
            .collect(),
        Err(errors) => errors.iter().map(ToString::to_string).collect(),
    };
    assert_eq!(found, expected);
}

#[test]
fn lays_out_one_choice_of_options() {
    let expected = [
        ":10 AB001K x1",
        "SKI:20.10 AB003G x1",
        "SKI:20.20 AB0078 x4",
        "SKI:30.10 AB004E x3",
        "SKI:30.20 AB0078 x12",
    ];
    check(&bike(), &[("size", "M")], &expected);
    let large = resolve(&bike(), "BIKE", &chosen(&[("size", "L")]), &variants()).unwrap();
    assert_eq!(large.last().unwrap().part_number, number(9));
}

#[test]
fn options_must_be_exactly_those_of_the_kit() {
    check(&bike(), &[], &["kit BIKE needs a choice of 'size': one of M, L"]);
    check(&bike(), &[("size", "XL")], &["'XL' is no size of kit BIKE: choose one of M, L"]);
    check(
        &bike(),
        &[("size", "M"), ("colour", "red")],
        &["kit BIKE has no option 'colour' (given as 'red'): its options are size"],
    );
    let errors = resolve(&bike(), "BOAT", &chosen(&[]), &[]).unwrap_err();
    assert_eq!(errors, [KitError::UnknownKit { kit: "BOAT".to_owned() }]);
    assert_eq!(errors[0].code(), "kits.unknown_kit");
}

#[test]
fn a_choice_without_a_variant_names_kit_line_and_candidates() {
    check_with(
        &bike(),
        &[("size", "M")],
        &variants()[1..],
        &["kit BIKE, line 10: no 'Frame' has size=M; there are AB002I (colour=black; size=L)"],
    );
    check_with(
        &bike(),
        &[("size", "M")],
        &variants()[..2],
        &[
            "kit SKI, line 10: no 'Ski' has position=front; there are none of that name",
            "kit SKI, line 10: no 'Ski' has position=rear; there are none of that name",
        ],
    );
}

#[test]
fn a_choice_with_two_variants_names_both() {
    let mut variants = variants();
    variants.push(variant(5, "Frame", "size=M; colour=red"));
    check_with(
        &bike(),
        &[("size", "M")],
        &variants,
        &["kit BIKE, line 10: more than one 'Frame' has size=M: AB001K (size=M), \
           AB005C (colour=red; size=M); choose by one more attribute"],
    );
}

#[test]
fn a_line_may_speak_only_of_what_is_there() {
    let wrong = choosing(line(10, part("Frame"), 1), "size", option("length"));
    let mut conditional = line(20, part("Frame"), 1);
    conditional.when.push(("build".to_owned(), vec!["T12".to_owned()]));
    let lines = vec![wrong, conditional, line(30, kit("NOTHING"), 1)];
    check(
        &boms([bom("BIKE", lines)]),
        &[],
        &[
            "kit BIKE, line 30 calls for the kit 'NOTHING', and there is none",
            "kit BIKE, line 10 speaks of the option 'length', which the kit does not have",
            "kit BIKE, line 20 speaks of the option 'build', which the kit does not have",
        ],
    );
}

#[test]
fn steps_and_cartons_of_an_assembly_come_from_its_caller() {
    let mut own = line(10, BomItem::PartNumber(number(1)), 1);
    (own.step, own.carton) = (6, 2);
    let assembly = bom("ASSEMBLY", vec![own, line(20, BomItem::PartNumber(number(2)), 1)]);
    let mut call = line(10, kit("ASSEMBLY"), 1);
    (call.step, call.carton) = (2, 1);
    let mut top = bom("BIKE", vec![call]);
    let step = |number| Step {
        number,
        title: "Step".to_owned(),
        check: String::new(),
        caution: String::new(),
    };
    top.steps = vec![step(2), step(6)];
    let lines = resolve(&boms([top.clone(), assembly.clone()]), "BIKE", &chosen(&[]), &[]).unwrap();
    let places: Vec<(u32, u32)> = lines.iter().map(|it| (it.step, it.carton)).collect();
    assert_eq!(places, [(6, 2), (2, 1)]);
    top.steps.pop();
    let expected = "kit ASSEMBLY, line 10 stands at step 6, which is not a step of BIKE";
    check(&boms([top, assembly]), &[], &[expected]);
}

#[test]
fn a_ring_is_refused_with_its_path() {
    let ring = boms([
        bom("BIKE", vec![line(10, kit("A"), 1)]),
        bom("A", vec![line(10, kit("B"), 1)]),
        bom("B", vec![line(10, kit("A"), 1)]),
    ]);
    check(&ring, &[], &["kits call for each other in a ring: A > B > A"]);
}

#[test]
fn a_stocked_kit_holds_its_contents() {
    assert_eq!(contents(&bike(), &number(7)), [(number(8), Quantity::new(8))]);
    assert_eq!(contents(&bike(), &number(8)), []);
    let parts = explode_to_parts(&bike(), &number(7)).unwrap();
    assert_eq!(parts, BTreeMap::from([(number(8), Quantity::new(8))]));
    let open = boms([making(bom("BAG", vec![line(10, part("Bolt"), 1)]), number(7))]);
    assert_eq!(
        explode_to_parts(&open, &number(7)).unwrap_err().to_string(),
        "kit BAG, line 10 is part of the stocked AB0078, so it must name a part number: 'Bolt' \
         leaves it open"
    );
}

#[test]
fn a_part_that_holds_itself_is_refused() {
    let inner = making(bom("B", vec![line(10, BomItem::PartNumber(number(1)), 1)]), number(2));
    let outer = making(bom("A", vec![line(10, kit("B"), 1)]), number(1));
    let error = explode_to_parts(&boms([outer, inner]), &number(1)).unwrap_err();
    assert_eq!(error.to_string(), "kits call for each other in a ring: A > B > A");
}

/// Kits K0, K1, ..: each holds one piece of its own part and calls only for later kits.
fn layered() -> impl Strategy<Value = Vec<Vec<(usize, i64)>>> {
    (2_usize..7).prop_flat_map(|count| {
        (0..count)
            .map(|own| proptest::collection::vec((own + 1..count + 1, 1_i64..5), 0..3))
            .collect::<Vec<_>>()
    })
}

/// Returns the bills of such kits; `stocked` ones make a part number each.
fn as_boms(layers: &[Vec<(usize, i64)>], stocked: bool) -> BTreeMap<String, Bom> {
    boms(layers.iter().enumerate().map(|(own, calls)| {
        let mut lines = vec![line(1, BomItem::PartNumber(number(own)), 1)];
        for (at, (called, quantity)) in calls.iter().enumerate() {
            let item = if layers.len() <= *called {
                BomItem::PartNumber(number(*called))
            } else {
                kit(&format!("K{called}"))
            };
            lines.push(line(u32::try_from(at).unwrap() + 2, item, *quantity));
        }
        let bom = bom(&format!("K{own}"), lines);
        if stocked { making(bom, number(100 + own)) } else { bom }
    }))
}

/// Returns how many of each kit's own part are in K0, by adding up calls from the first kit on.
fn expected_parts(layers: &[Vec<(usize, i64)>]) -> BTreeMap<PartNumber, Quantity> {
    let mut times = vec![0_i64; layers.len() + 1];
    times[0] = 1;
    for (own, calls) in layers.iter().enumerate() {
        for (called, quantity) in calls {
            times[*called] += times[own] * quantity;
        }
    }
    let counted = times.into_iter().enumerate().filter(|(_, times)| *times != 0);
    counted.map(|(own, times)| (number(own), Quantity::new(times))).collect()
}

proptest! {
    #[test]
    fn quantities_multiply_along_every_path(layers in layered()) {
        let lines = resolve(&as_boms(&layers, false), "K0", &chosen(&[]), &[]).unwrap();
        let mut sums: BTreeMap<PartNumber, Quantity> = BTreeMap::new();
        for line in &lines {
            let sum = sums.entry(line.part_number.clone()).or_default();
            *sum = sum.plus(line.quantity);
        }
        prop_assert_eq!(sums, expected_parts(&layers));
        let mut trails: Vec<_> = lines.iter().map(|line| &line.trail).collect();
        trails.sort();
        trails.dedup();
        prop_assert_eq!(trails.len(), lines.len());
    }

    #[test]
    fn stocked_kits_explode_to_the_same_parts(layers in layered()) {
        let parts = explode_to_parts(&as_boms(&layers, true), &number(100)).unwrap();
        prop_assert_eq!(parts, expected_parts(&layers));
    }

    #[test]
    fn a_call_back_to_an_earlier_kit_is_a_ring(
        length in 1_usize..8,
        back in 0_usize..8,
        stocked: bool,
    ) {
        // A chain whose last kit calls for one of those before it, or for itself.
        let mut layers: Vec<Vec<(usize, i64)>> = (1..=length).map(|next| vec![(next, 2)]).collect();
        layers[length - 1] = vec![(back % length, 1)];
        let boms = as_boms(&layers, stocked);
        let error = if stocked {
            explode_to_parts(&boms, &number(100)).unwrap_err()
        } else {
            resolve(&boms, "K0", &chosen(&[]), &[]).unwrap_err().remove(0)
        };
        let ring: Vec<String> =
            (back % length..length).chain([back % length]).map(|it| format!("K{it}")).collect();
        prop_assert_eq!(error, KitError::Cycle { path: ring });
    }
}
