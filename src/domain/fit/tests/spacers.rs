use proptest::prelude::*;

use super::super::*;
use super::{mm, mm_words};
use crate::units::Length;

/// The exposure of the two builds of the invented shop, and its stock of spacers.
fn question(exposure: &str, rule: ToleranceRule) -> SpacerQuestion {
    let stock = ["2", "3", "5", "10", "20"];
    SpacerQuestion {
        exposure: mm(exposure),
        clearance: Clearance::USUAL,
        stock: stock.map(|it| SpacerStock { height: mm(it), count: None }).to_vec(),
        most_pieces: 6,
        tolerances: Tolerances {
            parts: ["1", "0.5", "0.3", "0.3"].map(mm).to_vec(),
            spacer: Length::ZERO,
        },
        rule,
    }
}

fn stacks_of(question: &SpacerQuestion, total: &str) -> Vec<Vec<Length>> {
    let found = choose_spacers(question).expect("an answer").stacks;
    found.into_iter().filter(|it| sum(it) == mm(total)).collect()
}

fn sum(stack: &[Length]) -> Length {
    stack.iter().fold(Length::ZERO, |sum, it| sum.plus(*it))
}

#[test]
fn finds_every_way_of_a_total_and_the_fewest_first() {
    // One total at a time: the window is moved onto it.
    let check = |total: &str, ways: usize, fewest: &str| {
        let window = Clearance { least: Length::ZERO, most: Length::ZERO };
        let asked = SpacerQuestion { clearance: window, ..question(total, ToleranceRule::Nominal) };
        let found = choose_spacers(&asked).expect("an answer").stacks;
        assert_eq!(found.len(), ways, "{total}");
        let first = found.first().map(|it| it.iter().map(|one| mm_words(*one)).collect::<Vec<_>>());
        assert_eq!(first.expect("one").join("+"), fewest);
    };
    check("28", 9, "20+5+3");
    check("29", 8, "20+5+2+2");
    check("30", 12, "20+10");
    check("31", 8, "20+5+3+3");
    check("32", 10, "20+10+2");
    check("33", 9, "20+10+3");
}

#[test]
fn one_total_of_each_build_survives_its_tolerances() {
    let totals = |exposure: &str, rule| {
        let found = choose_spacers(&question(exposure, rule)).expect("an answer").stacks;
        let mut totals: Vec<String> = found.iter().map(|it| mm_words(sum(it))).collect();
        totals.sort();
        totals.dedup();
        totals.join(" ")
    };
    assert_eq!(totals("27.5", ToleranceRule::Nominal), "30 31 32");
    assert_eq!(totals("26.5", ToleranceRule::Nominal), "29 30 31");
    assert_eq!(totals("27.5", ToleranceRule::RootSumSquare), "31");
    assert_eq!(totals("26.5", ToleranceRule::RootSumSquare), "30");
    assert_eq!(totals("27.5", ToleranceRule::WorstCase), "");
    assert_eq!(totals("26.5", ToleranceRule::WorstCase), "");
    let five = stacks_of(&question("27.5", ToleranceRule::RootSumSquare), "31");
    assert!(five.contains(&["20", "5", "2", "2", "2"].map(mm).to_vec()));
}

#[test]
fn tolerances_add_up_by_the_rule_that_is_named() {
    let tolerances = question("0", ToleranceRule::Nominal).tolerances;
    assert_eq!(tolerances.room(0, ToleranceRule::WorstCase), mm("2.1"));
    // The root of 1.43 is 1.1958...; rounded up.
    assert_eq!(tolerances.room(0, ToleranceRule::RootSumSquare), mm("1.196"));
    let with = Tolerances { spacer: mm("0.05"), ..tolerances };
    assert_eq!(with.room(4, ToleranceRule::RootSumSquare), mm("1.2"));
    assert_eq!(with.room(4, ToleranceRule::WorstCase), mm("2.3"));
    let ask = |total: &str, exposure: &str, rule| {
        clearance((mm(total), 4), mm(exposure), Clearance::USUAL, &with, rule)
    };
    let safe = ask("31", "27.5", ToleranceRule::RootSumSquare);
    assert_eq!(safe.verdict, Verdict::Fits);
    assert_eq!(
        safe.reason,
        "3.5 mm stays free under the cap, 2.3 mm to 4.7 mm by root-sum-square; 2 mm to 5 mm is \
         wanted"
    );
    assert_eq!(ask("31", "27.5", ToleranceRule::WorstCase).verdict, Verdict::DoesNotFit);
    assert_eq!(ask("31", "26.5", ToleranceRule::RootSumSquare).verdict, Verdict::DoesNotFit);
    assert_eq!(ask("31", "26.5", ToleranceRule::Nominal).verdict, Verdict::Fits);
}

#[test]
fn counts_bound_the_stacks_and_none_may_be_enough() {
    let stock = [("3", 1), ("2", 3), ("5", 1), ("20", 1)];
    let asked = SpacerQuestion {
        stock: stock
            .map(|(height, count)| SpacerStock { height: mm(height), count: Some(count) })
            .to_vec(),
        ..question("27.5", ToleranceRule::RootSumSquare)
    };
    assert_eq!(stacks_of(&asked, "31"), [["20", "5", "2", "2", "2"].map(mm).to_vec()]);
    let none = choose_spacers(&question("-3", ToleranceRule::Nominal)).expect("an answer");
    assert_eq!((none.least, none.most), (Length::ZERO, mm("2")));
    assert_eq!(none.stacks.first(), Some(&Vec::new()));
    let short = choose_spacers(&question("-6", ToleranceRule::Nominal)).expect("an answer");
    assert_eq!((short.most, short.stacks.len()), (mm("-1"), 0));
}

#[test]
fn twenty_heights_and_twelve_pieces_are_looked_through_at_once_and_the_list_is_bounded() {
    let stock = (1..=20).map(|it| SpacerStock {
        height: Length::from_micrometres(it * 1_000 + it * 37 % 400),
        count: Some(12),
    });
    let asked = SpacerQuestion {
        stock: stock.collect(),
        most_pieces: 12,
        ..question("80", ToleranceRule::RootSumSquare)
    };
    let found = choose_spacers(&asked).expect("an answer");
    assert!(found.more);
    assert_eq!(found.stacks.len(), 1_000);
    assert_eq!(found.stacks.first().map(Vec::len), Some(5));
    let far = SpacerQuestion { exposure: mm("5000"), ..asked.clone() };
    assert!(matches!(choose_spacers(&far), Err(FitError::TooMany { .. })));
    let many = SpacerQuestion { most_pieces: 25, ..asked };
    assert!(matches!(choose_spacers(&many), Err(FitError::TooMany { .. })));
}

/// Every way of taking pieces, with no thought at all.
fn brute_force(asked: &SpacerQuestion) -> Vec<Vec<Length>> {
    let mut ways = vec![Vec::new()];
    for spacer in &asked.stock {
        let most = spacer.count.unwrap_or(u32::MAX).min(asked.most_pieces);
        ways = ways
            .iter()
            .flat_map(|way: &Vec<Length>| {
                (0..=most).map(move |copies| {
                    let more = (0..copies).map(|_| spacer.height);
                    way.iter().copied().chain(more).collect()
                })
            })
            .collect();
    }
    let most = usize::try_from(asked.most_pieces).expect("few");
    let squares = |way: &Vec<Length>| {
        let of = |it: Length| i128::from(it.micrometres()).pow(2);
        let spacers = i128::try_from(way.len()).expect("few") * of(asked.tolerances.spacer);
        asked.tolerances.parts.iter().map(|it| of(*it)).sum::<i128>() + spacers
    };
    let plain = |way: &Vec<Length>| {
        let pieces = i64::try_from(way.len()).expect("few");
        sum(&asked.tolerances.parts).plus(asked.tolerances.spacer.times(pieces))
    };
    let fits = |way: &Vec<Length>| {
        let free = sum(way).less(asked.exposure);
        let (down, up) = (free.less(asked.clearance.least), asked.clearance.most.less(free));
        [down, up].into_iter().all(|room| match asked.rule {
            ToleranceRule::Nominal => Length::ZERO <= room,
            ToleranceRule::WorstCase => plain(way) <= room,
            ToleranceRule::RootSumSquare => {
                Length::ZERO <= room && squares(way) <= i128::from(room.micrometres()).pow(2)
            }
        })
    };
    ways.retain(|way| way.len() <= most && fits(way));
    ways
}

fn sorted(mut ways: Vec<Vec<Length>>) -> Vec<Vec<Length>> {
    ways.iter_mut().for_each(|it| it.sort());
    ways.sort();
    ways
}

proptest! {
    #[test]
    fn every_stack_found_fits_and_brute_force_finds_no_other(
        heights in proptest::collection::btree_map(1_i64..60, proptest::option::of(0_u32..4), 1..5),
        unit in prop_oneof![Just(500_i64), Just(1_000), Just(333)],
        exposure in -5_000_i64..60_000,
        window in (0_i64..3_000, 0_i64..4_000),
        parts in proptest::collection::vec(0_i64..900, 0..4),
        spacer in 0_i64..200,
        most_pieces in 0_u32..6,
        rule in prop_oneof![
            Just(ToleranceRule::Nominal),
            Just(ToleranceRule::WorstCase),
            Just(ToleranceRule::RootSumSquare)
        ],
    ) {
        let um = Length::from_micrometres;
        let asked = SpacerQuestion {
            exposure: um(exposure),
            clearance: Clearance { least: um(window.0), most: um(window.0 + window.1) },
            stock: heights
                .into_iter()
                .map(|(height, count)| SpacerStock { height: um(height * unit), count })
                .collect(),
            most_pieces,
            tolerances: Tolerances { parts: parts.into_iter().map(um).collect(), spacer: um(spacer) },
            rule,
        };
        let found = choose_spacers(&asked).expect("an answer");
        prop_assert!(!found.more);
        prop_assert!(found.stacks.is_sorted_by_key(Vec::len));
        prop_assert_eq!(sorted(found.stacks), sorted(brute_force(&asked)));
    }
}
