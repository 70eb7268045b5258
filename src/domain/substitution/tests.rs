use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::{Consent, Kind, Rule, Ruling, Stated, Until, judge, ring, successors};
use crate::domain::catalog::Variant;
use crate::domain::codes::{PartNumber, check_char};
use crate::units::Quantity;

fn number(count: usize) -> PartNumber {
    let body = format!("AB{count:03}");
    format!("{body}{}", check_char(&body).unwrap()).parse().unwrap()
}

/// A part: base part, specification, attributes, facts.
fn part(count: usize, it: (&str, &str, &str, &str)) -> Stated {
    Stated {
        part_number: number(count),
        part: it.0.to_owned(),
        specification: it.1.to_owned(),
        attributes: it.2.parse().unwrap(),
        facts: it.3.parse().unwrap(),
    }
}

/// Checks "never: why", or the consent with its reasons.
fn check(from: (&str, &str, &str, &str), to: (&str, &str, &str, &str), expected: &str) {
    let found = match judge(&part(1, from), &part(2, to), Kind::StandsIn) {
        Ruling::Never { reason } => format!("never: {reason}"),
        Ruling::With { consent, reasons } => format!("{consent}: {}", reasons.join("; ")),
    };
    assert_eq!(found, expected);
}

fn bolt(spec: &'static str) -> (&'static str, &'static str, &'static str, &'static str) {
    ("Clamp bolt M6x1.0x25", spec, "", "")
}

#[test]
fn a_class_goes_up_and_never_down() {
    let with = |class: &str| -> &'static str {
        format!("cap head, hex 5, class {class}, zinc-nickel").leak()
    };
    let up = "standing rule: class 10.9 for 8.8: tighten it as the weaker one";
    check(bolt(with("8.8")), bolt(with("10.9")), up);
    check(
        bolt(with("10.9")),
        bolt(with("8.8")),
        "never: class 8.8 is weaker than class 10.9: a class goes up, never down",
    );
    check(
        bolt(with("10.9")),
        bolt(with("12.9")),
        "never: class 12.9 under a zinc coating may break without warning outdoors (hydrogen)",
    );
    check(
        bolt("cap head, class 10.9"),
        bolt("cap head, class 12.9"),
        "standing rule: class 12.9 for 10.9: tighten it as the weaker one",
    );
    check(
        bolt(with("10.9")),
        bolt("cap head, hex 5, A4-70"),
        "never: steel of class 10.9 never gives way to A4-70: stainless is weaker",
    );
    check(
        bolt("cap head, A2-70"),
        bolt("cap head, class 8.8"),
        "never: 8.8 for A2-70: steel rusts where stainless is asked",
    );
    check(
        bolt("cap head, A2-70"),
        bolt("cap head, A4-70"),
        "never: they differ in grade: A2-70 and A4-70",
    );
    check(
        bolt("cap head, class 8.8 or better; stainless A2-70 is weaker"),
        bolt("cap head, class 10.9"),
        up,
    );
    check(bolt(with("10.9")), bolt("cap head, hex 5, class 10.9, zinc-flake"), "none: ");
    check(
        bolt(with("10.9")),
        bolt("cap head, hex 5, class 10.9"),
        "never: they differ in finish: zinc-nickel and not stated",
    );
}

#[test]
fn thread_pitch_length_head_and_patch_must_be_equal() {
    let spec = "cap head, class 10.9";
    let screw = |name: &'static str, length: &'static str| (name, spec, length, "");
    check(
        screw("Bolt M8x1.25x30", ""),
        screw("Bolt M8x1x30", ""),
        "never: they differ in thread: M8 mm × 1.25 mm and M8 mm × 1 mm",
    );
    check(
        screw("Bolt M6x1.0", "length=14"),
        screw("Bolt M6x1.0", "length=16"),
        "never: they differ in length: 14 mm and 16 mm",
    );
    check(bolt(spec), bolt("low head, class 10.9"), "never: they differ in head: cap and low");
    check(
        bolt("cap head, class 10.9, patch"),
        bolt(spec),
        "never: one has a locking patch and the other has none: that is the joint's own matter, \
         never a substitution",
    );
    check(
        bolt(spec),
        ("Washer", "", "", ""),
        "never: one of the two is a screw or nut and the other is not",
    );
}

#[test]
fn what_is_seen_or_felt_takes_the_customer_s_word() {
    let with = |attributes: &'static str| ("Saddle", "", attributes, "");
    check(with("colour=black"), with("colour=silver"), "customer's word: colour silver for black");
    check(with("padding=firm"), with("padding=soft"), "customer's word: padding soft for firm");
    check(with(""), with(""), "none: ");
    check(
        with("length=270"),
        with("length=300"),
        "never: length 300 for 270: that is another part",
    );
}

#[test]
fn sides_ends_and_slopes_are_never_mixed() {
    let with = |attributes: &'static str, facts: &'static str| ("Piece", "", attributes, facts);
    check(
        with("side=left", ""),
        with("side=right", ""),
        "never: side right for left: left and right are never taken for each other",
    );
    check(
        with("", "position=front"),
        with("", "position=rear"),
        "never: position rear for front: front and rear are never taken for each other",
    );
    check(
        with("", "role=upper bearing; inner_angle=45"),
        with("", "role=upper bearing; inner_angle=36"),
        "never: inner angle 36 for 45: a bearing's slopes must meet those of its seats",
    );
    check(
        with("colour=black; height=5", "role=headset spacer; height=5"),
        with("colour=black; height=10", "role=headset spacer; height=10"),
        "never: height 10 for 5: a stack of another height is a matter of the kit's spacers, never \
         of one part",
    );
    check(("Saddle", "", "", ""), ("Grip", "", "", ""), "never: 'Grip' is not 'Saddle'");
    check(
        with("language=de", ""),
        with("language=fr", ""),
        "never: language fr for de: the rider must be able to read it",
    );
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn rule(from: usize, to: usize, until: Until) -> Rule {
    Rule {
        from: number(from),
        to: number(to),
        kind: Kind::SupersededBy,
        both_ways: false,
        consent: Consent::StandingRule,
        valid_from: day("2026-06-01"),
        until,
        reason: "lighter".to_owned(),
        source: "drawing".to_owned(),
    }
}

fn goes_over(rules: &[Rule], free: &[(usize, i64)], on: &str, expected: &[(usize, usize)]) {
    let variant = |count: usize, part: &str, attributes: &str| Variant {
        part_number: number(count),
        part: part.to_owned(),
        attributes: attributes.parse().unwrap(),
    };
    // Parts 1 and 2 are the two of a pair; the kit needs two of the first, in two lines.
    let variants = [
        variant(1, "Peg", "side=left; colour=black"),
        variant(2, "Peg", "side=right; colour=black"),
        variant(3, "Peg", "side=left; colour=red"),
    ];
    let lines =
        [(number(1), Quantity::ONE), (number(2), Quantity::ONE), (number(1), Quantity::ONE)];
    let free: BTreeMap<PartNumber, Quantity> =
        free.iter().map(|(count, pieces)| (number(*count), Quantity::new(*pieces))).collect();
    let found: Vec<(PartNumber, PartNumber)> = successors(&lines, rules, &variants, &free, day(on))
        .into_iter()
        .map(|(old, new)| (old, new.part_number))
        .collect();
    let expected: Vec<_> = expected.iter().map(|(old, new)| (number(*old), number(*new))).collect();
    assert_eq!(found, expected);
}

#[test]
fn a_superseded_part_goes_over_whole_from_its_day_on() {
    let rules = [rule(1, 11, Until::Open)];
    goes_over(&rules, &[(1, 50)], "2026-05-31", &[]);
    goes_over(&rules, &[(1, 50)], "2026-06-01", &[(1, 11)]);
    goes_over(&[rule(1, 11, Until::Day(day("2026-06-30")))], &[], "2026-07-01", &[]);
    let chain = [rule(1, 11, Until::Open), rule(11, 12, Until::Open)];
    goes_over(&chain, &[], "2026-07-01", &[(1, 12)]);
    let asked = [Rule { consent: Consent::Customer, ..rule(1, 11, Until::Open) }];
    goes_over(&asked, &[], "2026-07-01", &[]);
}

#[test]
fn until_used_up_the_old_one_goes_while_it_covers_the_whole_kit() {
    let rules = [rule(1, 11, Until::UsedUp)];
    goes_over(&rules, &[(1, 2)], "2026-07-01", &[]);
    goes_over(&rules, &[(1, 1)], "2026-07-01", &[(1, 11)]);
}

#[test]
fn the_two_of_a_pair_go_over_together() {
    let rules = [rule(1, 11, Until::UsedUp), rule(2, 12, Until::UsedUp)];
    goes_over(&rules, &[(1, 2), (2, 1)], "2026-07-01", &[]);
    goes_over(&rules, &[(1, 1), (2, 1)], "2026-07-01", &[(1, 11), (2, 12)]);
    goes_over(&rules, &[(1, 2)], "2026-07-01", &[(1, 11), (2, 12)]);
}

#[test]
fn a_ring_of_supersessions_is_named() {
    let rules = [rule(1, 2, Until::Open), rule(2, 3, Until::Open), rule(3, 2, Until::Open)];
    assert_eq!(ring(&rules, &number(1)), Some(vec![number(2), number(3), number(2)]));
    assert_eq!(ring(&rules[..2], &number(1)), None);
}

#[test]
fn words_read_back() {
    assert_eq!("customer's word".parse(), Ok(Consent::Customer));
    assert_eq!("superseded by".parse(), Ok(Kind::SupersededBy));
    let fault = "maybe".parse::<Consent>().unwrap_err().to_string();
    assert_eq!(fault, "'maybe' is no consent: write one of none, standing rule, customer's word");
}
