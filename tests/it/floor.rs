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

#[test]
fn walks_and_weights_are_computed_line_by_line() {
    let block = json!({ "kind": "block", "aisles": 3, "between_mm": 3000, "long_mm": 8000,
        "spots": [[0, 2000], [1, 7000], [2, 7500]] });
    let zone = |zone: &str, from: i64, spot: i64| {
        json!({ "zone": zone, "from_bench_mm": from, "aisles": 1, "between_mm": 0,
            "long_mm": 4000, "spots": [[0, spot]] })
    };
    let zones = json!({ "kind": "zones", "zones": [zone("S", 38000, 1000), zone("K", 1000, 0)] });
    let kit = |spot: i64| json!({ "zones": [zone("S", 38000, spot)], "mass_mg": 17_301_000 });
    let waves =
        json!({ "kind": "waves", "slots": 4, "most_mg": 80_000_000, "kits": [kit(1), kit(2)] });
    let wrong =
        json!({ "kind": "block", "aisles": 1, "between_mm": 0, "long_mm": 5, "spots": [[0, 6]] });
    let said = calc("route", &[block, zones, waves, wrong]);
    // In by the first aisle, along the back to the last and half a metre into it, out by the second.
    assert_eq!(said[0]["length_mm"], 2 * 8000 + 4 * 3000 + 1000);
    assert_eq!(said[0]["order"], json!([[0, 2000], [2, 7500], [1, 7000]]));
    assert_eq!(
        (&said[1]["length_mm"], &said[1]["zones"][1]["zone"]),
        (&json!(78_000), &json!("K"))
    );
    assert_eq!(said[2]["waves"][0]["kits"], json!([0, 1]));
    assert_eq!(said[3]["error"]["code"], "routes.range");

    let lot = json!({ "together_mg": 51_000, "pieces": 10, "spread_percent": 0.5 });
    let count = json!({ "kind": "count", "net_mg": 2_081_000, "lot": lot });
    let plain = json!({ "kind": "weigh_count", "piece_g": 4.31, "gross_g": 2161.5, "tare_g": 50 });
    let bolt = json!({ "pieces": 4, "lot": { "mean_mg": 7900 } });
    let window = json!({ "kind": "window", "contents": [bolt], "others_mg": [[134_000, 410]],
        "reading_mg": 157_700 });
    let seen = json!({ "kind": "seen", "off_mg": 7900, "sd_mg": 69_400 });
    let said = calc("weigh", &[count, plain, window, seen, json!({ "kind": "count" })]);
    assert_eq!((&said[0]["pieces"], &said[0]["by_hand_above"]), (&json!(408), &json!(117)));
    assert_eq!(said[0]["count_by_hand"], true);
    assert_eq!((&said[1]["pieces"], &said[1]["raw"]), (&json!(490), &json!(489.907_193)));
    assert_eq!((&said[2]["low_mg"], &said[2]["high_mg"]), (&json!(164_370), &json!(166_830)));
    assert_eq!(said[2]["suspects"][0], json!({ "line": 0, "pieces": -1, "left_mg": 0.0 }));
    assert!((said[3]["seen"].as_f64().expect("a chance") - 0.003).abs() < 0.0005);
    assert_eq!(said[4]["error"]["code"], "calc.line");
}
