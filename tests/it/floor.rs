//! The warehouse floor on the command line, against published problems and outside programs.

use kitwright::domain::optimum::{Limit, Problem, best};
use serde_json::{Value, json};

use crate::support::calc::calc;
use crate::support::referee::ask;

/// Two hundred million entries of tables: more than the problems here need.
const BUDGET: u64 = 200_000_000;

#[test]
fn published_allocations_agree() {
    let cases: Vec<Value> =
        serde_json::from_str(include_str!("../data/kit_allocation.json")).expect("JSON");
    let short: Vec<&Value> = cases.iter().filter(|it| it["long"] != true).collect();
    assert_eq!((cases.len(), short.len()), (31, 21));
    let lines: Vec<Value> = short.iter().map(|it| it["ask"].clone()).collect();
    for (case, answer) in short.iter().zip(calc("allocate", &lines)) {
        for (name, expected) in case["answer"].as_object().expect("an answer") {
            assert_eq!(&answer[name], expected, "{}: {name}", case["id"]);
        }
    }
}

/// A generator of numbers that look random; the same seed gives the same ones.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: u64) -> i64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        i64::try_from((self.0 >> 11) % sides).expect("small")
    }
}

/// Returns a shop at random: orders of one kit or several, each with one size of everything.
fn shop(dice: &mut Dice) -> (Vec<Vec<i64>>, Vec<i64>, Vec<Vec<i64>>) {
    const ORDERS: usize = 40;
    const SIZES: [i64; 6] = [3, 4, 2, 5, 3, 1];
    let kits: Vec<i64> = (0..ORDERS).map(|_| if dice.below(8) == 0 { 3 } else { 1 }).collect();
    let mut takes = Vec::new();
    for sizes in SIZES {
        let chosen: Vec<i64> =
            (0..ORDERS).map(|_| dice.below(u64::try_from(sizes).expect("few"))).collect();
        for size in 0..sizes {
            let each = [1, 1, 2, 4][usize::try_from(dice.below(4)).expect("few")];
            let of = |(is, kits): (&i64, &i64)| if *is == size { kits * each } else { 0 };
            takes.push(chosen.iter().zip(&kits).map(of).collect::<Vec<i64>>());
        }
    }
    let stock = takes.iter().map(|it| it.iter().sum::<i64>() * (3 + dice.below(7)) / 10).collect();
    let overdue = kits.iter().map(|it| if dice.below(5) == 0 { *it } else { 0 }).collect();
    let days = (0..ORDERS).map(|_| dice.below(60)).collect();
    (takes, stock, vec![overdue, kits, days])
}

#[test]
fn no_set_that_highs_finds_is_better() {
    let mut dice = Dice(0x5eed_2026);
    let shops: Vec<_> = (0..60).map(|_| shop(&mut dice)).collect();
    let lines: Vec<Value> = shops
        .iter()
        .map(|(takes, stock, stages)| json!({ "use": takes, "stock": stock, "stages": stages }))
        .collect();
    for ((takes, stock, stages), said) in shops.into_iter().zip(ask("choice_referee.py", &lines)) {
        let limit = |(row, most): (Vec<i64>, i64)| Limit {
            takes: row.into_iter().enumerate().collect(),
            most,
        };
        let limits = takes.into_iter().zip(stock).map(limit).collect();
        let problem = Problem::new(40, limits, stages).expect("small numbers");
        let answer = best(&problem, &[], BUDGET);
        let reached: Vec<i64> = answer.stages.iter().map(|it| it.worth).collect();
        assert_eq!(json!(reached), said["reached"], "{problem:?}");
        assert!(answer.is_proved() && problem.allows(&answer.chosen));
        assert_eq!(problem.worth(&answer.chosen), reached);
        // A budget that is spent leaves a bound that holds.
        let hasty = best(&problem, &[], 2_000);
        let first = hasty.stages.first().expect("a stage");
        assert!(first.worth <= reached[0] && reached[0] <= first.at_most);
    }
}
