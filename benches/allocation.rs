//! How long it takes to prove the best set of whole orders: `cargo bench --bench allocation`.
//!
//! The published problems must come to their published optima.
#![expect(clippy::expect_used, reason = "a measurement that fails stops")]

use divan::Bencher;
use kitwright::domain::optimum::{Limit, Problem, best};
use serde_json::Value;

fn main() {
    divan::main();
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

/// Two hundred orders over two hundred parts, of which each order takes about twenty: one size of
/// each of twelve things, each in one to three parts, and eight parts that every kit takes.
fn shop(seed: u64, tenths: i64) -> Problem {
    const SIZES: [u64; 12] = [9, 4, 5, 6, 8, 4, 6, 10, 3, 5, 4, 12];
    let mut dice = Dice(0x5eed_2026 + seed);
    let kits: Vec<i64> =
        (0..200).map(|_| if dice.below(10) == 0 { 2 + dice.below(4) } else { 1 }).collect();
    let mut rows: Vec<Vec<i64>> = Vec::new();
    for sizes in SIZES {
        let chosen: Vec<i64> = kits.iter().map(|_| dice.below(sizes)).collect();
        for size in 0..i64::try_from(sizes).expect("few") {
            for _ in 0..=dice.below(3) {
                let each = 1 << dice.below(3);
                let of = |(is, kits): (&i64, &i64)| if *is == size { kits * each } else { 0 };
                rows.push(chosen.iter().zip(&kits).map(of).collect());
            }
        }
    }
    rows.extend((1..=8).map(|each| kits.iter().map(|it| it * each).collect()));
    rows.truncate(200);
    let limits = rows
        .into_iter()
        .map(|row| {
            let share = 10 * tenths + dice.below(30);
            let most = row.iter().sum::<i64>() * share / 100;
            Limit { takes: row.into_iter().enumerate().collect(), most }
        })
        .collect();
    let overdue = kits.iter().map(|it| if dice.below(5) == 0 { *it } else { 0 }).collect();
    let days = kits.iter().map(|_| dice.below(60)).collect();
    Problem::new(200, limits, vec![overdue, kits, days]).expect("small numbers")
}

/// Work that is allowed: half a second or so.
const BUDGET: u64 = 500_000_000;

#[divan::bench(args = [3, 4, 5, 6, 7, 8], sample_count = 3, sample_size = 1)]
fn two_hundred_orders(bencher: Bencher<'_, '_>, tenths: i64) {
    let problems: Vec<Problem> = (0..3).map(|seed| shop(seed, tenths)).collect();
    for (seed, problem) in problems.iter().enumerate() {
        let answer = best(problem, &[], BUDGET);
        let stages: Vec<(i64, i64)> =
            answer.stages.iter().map(|it| (it.worth, it.at_most)).collect();
        println!("stock {tenths}0 %, shop {seed}: {stages:?}, {} nodes", answer.nodes);
    }
    let mut next = problems.iter().cycle();
    bencher.bench_local(|| best(next.next().expect("three"), &[], BUDGET));
}

fn published() -> Vec<(String, Problem, i64)> {
    let cases: Vec<Value> =
        serde_json::from_str(include_str!("../tests/data/kit_allocation.json")).expect("JSON");
    let numbers = |it: &Value| -> Vec<i64> {
        it.as_array().into_iter().flatten().filter_map(Value::as_i64).collect()
    };
    let long = cases.iter().filter(|it| it["long"] == true);
    long.map(|case| {
        let ask = &case["ask"];
        let stock = numbers(&ask["stock"]);
        let rows = ask["use"].as_array().expect("rows").iter().map(numbers);
        let limits = rows
            .zip(stock)
            .map(|(row, most)| Limit { takes: row.into_iter().enumerate().collect(), most })
            .collect();
        let worth = numbers(ask.get("profit").unwrap_or(&ask["weight"]));
        let problem = Problem::new(worth.len(), limits, vec![worth]).expect("small numbers");
        (
            case["id"].to_string(),
            problem,
            case.pointer("/answer/optimum").and_then(Value::as_i64).expect("whole"),
        )
    })
    .collect()
}

#[divan::bench(args = 0..published().len(), sample_count = 1, sample_size = 1)]
fn published_optima(bencher: Bencher<'_, '_>, at: usize) {
    let (name, problem, optimum) = published().swap_remove(at);
    bencher.bench_local(|| {
        let answer = best(&problem, &[], 20_000_000_000);
        assert!(answer.is_proved(), "{name} is not proved");
        assert_eq!(answer.stages.first().map(|it| it.worth), Some(optimum), "{name}");
        println!("{name}: {optimum}, {} nodes", answer.nodes);
    });
}
