//! The theory of stock and forecasts on the command line, against textbooks and outside programs.

use std::io::Write;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Map, Value, json};

use crate::support::decode::tool;

/// Sends each line to a program and returns its answers.
fn ask(mut command: Command, lines: &[Value]) -> Vec<Value> {
    let program = command.get_program().to_string_lossy().into_owned();
    let child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let mut child = child.unwrap_or_else(|error| {
        panic!("{program} did not start ({error}): install scipy as tests/run.sh does")
    });
    let mut stdin = child.stdin.take().expect("a pipe");
    let text: String = lines.iter().map(|it| format!("{it}\n")).collect();
    let writer = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("an end");
    assert!(output.status.success(), "{program} ended with {}", output.status);
    writer.join().expect("the writer ends").expect("the lines are written");
    let answers: Vec<Value> = String::from_utf8(output.stdout)
        .expect("UTF-8")
        .lines()
        .map(|it| serde_json::from_str(it).expect("a line of JSON"))
        .collect();
    assert_eq!(answers.len(), lines.len(), "{program} broke off");
    answers
}

fn calc(verb: &str, lines: &[Value]) -> Vec<Value> {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.args(["calc", verb]);
    ask(command, lines)
}

/// Returns where two answers lie further apart than `within`, relative to the expected one.
fn apart(at: &str, found: &Value, expected: &Value, within: f64) -> Vec<String> {
    let told = || vec![format!("{at}: {found} is not {expected}")];
    match (found, expected) {
        (Value::Number(found), Value::Number(expected)) => {
            let (a, b) = (found.as_f64().unwrap(), expected.as_f64().unwrap());
            if (a - b).abs() <= (within * b.abs()).max(1e-12) { Vec::new() } else { told() }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            let each = a.iter().zip(b).enumerate();
            each.flat_map(|(nth, (a, b))| apart(&format!("{at}[{nth}]"), a, b, within)).collect()
        }
        (Value::Object(_), Value::Object(b)) => b
            .iter()
            .flat_map(|(key, b)| apart(&format!("{at}.{key}"), &found[key], b, within))
            .collect(),
        _ if found == expected => Vec::new(),
        _ => told(),
    }
}

fn cases() -> Vec<Value> {
    serde_json::from_str(include_str!("../data/stock_theory.json")).expect("the test data are JSON")
}

fn of_verb(verb: &str) -> Vec<Value> {
    cases().into_iter().filter(|it| it["verb"] == verb).collect()
}

#[test]
fn textbook_examples_agree_within_their_digits() {
    for (verb, least) in [("reorder", 30), ("forecast", 9)] {
        let cases = of_verb(verb);
        assert!(least <= cases.len(), "too few cases of {verb}");
        let lines: Vec<Value> = cases.iter().map(|it| it["ask"].clone()).collect();
        for (case, answer) in cases.iter().zip(calc(verb, &lines)) {
            let within = case["within"].as_f64().expect("a tolerance");
            let faults = apart("", &answer, &case["answer"], within);
            assert!(faults.is_empty(), "{}: {faults:?}\n{}: {answer}", case["source"], case["ask"]);
        }
    }
}

/// A generator of numbers that look random; the same seed gives the same ones.
struct Dice(u64);

impl Dice {
    /// Returns a number between two, in steps of a thousandth of their distance.
    fn roll(&mut self, low: f64, high: f64) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        let step = u32::try_from(self.0 % 1001).unwrap();
        low + (high - low) * f64::from(step) / 1000.0
    }
}

fn random_line(nth: usize, dice: &mut Dice) -> Value {
    let mut supply = |further: Value| {
        let mut line = json!({
            "demand_per_period": dice.roll(0.0, 200.0),
            "sd_per_period": dice.roll(0.5, 90.0),
            "lead_time": dice.roll(0.1, 40.0),
            "sd_lead_time": dice.roll(0.0, 9.0),
        });
        line.as_object_mut().unwrap().extend(further.as_object().unwrap().clone());
        line
    };
    match nth % 5 {
        0 => {
            let level = 0.5 + 0.4999 * f64::from(u32::try_from(nth).unwrap()) / 1000.0;
            supply(json!({ "kind": "safety_stock_csl", "cycle_service_level": level }))
        }
        1 => {
            let rate = 0.8 + 0.1999 * f64::from(u32::try_from(nth).unwrap()) / 1000.0;
            supply(
                json!({ "kind": "fill_rate_type2", "fill_rate": rate, "order_quantity": 40 + nth }),
            )
        }
        2 => json!({ "kind": "std_normal_loss", "z": dice.roll(-6.0, 6.0) }),
        3 => {
            json!({ "kind": "poisson_loss", "mean": dice.roll(0.1, 90.0), "x": nth % 120 })
        }
        _ => json!({
            "kind": "reorder_poisson",
            "mean_per_period": dice.roll(0.1, 20.0),
            "lead_time": dice.roll(0.1, 9.0),
            "cycle_service_level": dice.roll(0.5, 0.999),
        }),
    }
}

#[test]
fn losses_and_reorder_points_at_random_agree_with_scipy() {
    let mut dice = Dice(0x5eed_2026);
    let lines: Vec<Value> = (0..1000).map(|nth| random_line(nth, &mut dice)).collect();
    let said = ask(tool("stock_referee.py"), &lines);
    for ((line, ours), theirs) in lines.iter().zip(calc("reorder", &lines)).zip(said) {
        let faults = apart("", &ours, &theirs, 1e-9);
        assert!(faults.is_empty(), "{line}: {faults:?}");
    }
}

/// Returns the line as often as it has fields, with each made wrong in turn in several ways.
fn spoilt(line: &Value) -> Vec<Value> {
    let object = line.as_object().expect("a line");
    let wrong = [
        json!(0),
        json!(-1),
        json!(1e300),
        json!(1e-300),
        json!(9_000_000_000_000_000_i64),
        json!(0.5),
        json!("x"),
        json!([]),
        Value::Null,
    ];
    let change = |key: &String, it: &Value| {
        let old = &object[key];
        let list = match old {
            Value::Array(old) if it.is_number() && !old.is_empty() => {
                let mut old = old.clone();
                old[0] = it.clone();
                Value::Array(old)
            }
            _ => it.clone(),
        };
        let mut changed: Map<String, Value> = object.clone();
        changed.insert(key.clone(), list);
        Value::Object(changed)
    };
    let keys = object.keys().filter(|it| *it != "kind");
    keys.flat_map(|key| wrong.iter().map(move |it| change(key, it)).collect::<Vec<_>>()).collect()
}

/// A number that is none is written as null.
fn holds_null(answer: &Value) -> bool {
    match answer {
        Value::Null => true,
        Value::Array(list) => list.iter().any(holds_null),
        Value::Object(object) => object.values().any(holds_null),
        _ => false,
    }
}

#[test]
fn whatever_a_line_says_it_is_answered_with_numbers_or_an_error_and_soon() {
    let start = Instant::now();
    let lines: Vec<Value> = of_verb("reorder").iter().flat_map(|it| spoilt(&it["ask"])).collect();
    assert!(1000 < lines.len());
    let mut refused = 0;
    for (line, answer) in lines.iter().zip(calc("reorder", &lines)) {
        match answer.get("error") {
            Some(error) => {
                assert!(error["code"].is_string() && error["message"].is_string(), "{answer}");
                refused += 1;
            }
            None => assert!(!holds_null(&answer), "{line}: {answer}"),
        }
    }
    assert!(lines.len() / 3 < refused && refused < lines.len());
    let lines: Vec<Value> = of_verb("forecast").iter().flat_map(|it| spoilt(&it["ask"])).collect();
    for (line, answer) in lines.iter().zip(calc("forecast", &lines)) {
        // A series that wants nothing has no interval, and so no forecast of Croston's.
        let none = answer["croston"].is_null() || line["kind"] == "intermittent";
        assert!(none || !holds_null(&answer), "{line}: {answer}");
    }
    assert!(start.elapsed() < Duration::from_secs(120), "{:?}", start.elapsed());
}

#[test]
fn a_suggestion_and_a_choice_explain_themselves() {
    let bolt = json!({
        "kind": "suggestion", "on_hand": 1436,
        "demand_per_day": 35.4, "sd_per_day": 15.93, "lead_time_days": 21, "sd_lead_time_days": 6,
        "per_year": 4991, "policy": { "name": "cycle_service", "level": 0.999 },
        "minimum_order": 1000, "pack": 200, "order_cost_cents": 2400, "holding_per_mille": 200,
        "prices": [
            { "from": 1000, "per_thousand_cents": 17000 }, { "from": 5000, "per_thousand_cents": 12000 }
        ],
    });
    let said = calc("reorder", &[bolt, json!({ "on_hand": 3, "reorder_point": 4 })]);
    insta::assert_json_snapshot!(said[0], @r#"
    {
      "because": "1436 on hand − 0 needed + 0 on order = 1436, at or below the reorder point 1438 (743.4 expected in 21 ± 6 days and 694.6 for safety, for 99.9 % of waits without a stock-out); 5000 is 25 × 200, at 120 a thousand, which costs 682.88 a year against 985.25 in orders of 1000; that is 1.0 years of demand.",
      "binding": "price-break",
      "cost_cents": 60000,
      "order": true,
      "quantity": 5000,
      "reorder_point": 1438,
      "supply": 1436,
      "up_to": null
    }
    "#);
    assert_eq!(said[1], json!({ "order": true, "quantity": 2, "supply": 3 }));
    let winters = [0.0, 0.0, 2.0, 8.0].repeat(5);
    let lines = [json!({ "kind": "choose", "y": winters, "period": 4, "horizon": 4 })];
    let choice = &calc("forecast", &lines)[0];
    assert_eq!(choice["method"], "last-season", "{choice}");
    assert_eq!(choice["forecast"], json!([0.0, 0.0, 2.0, 8.0]));
    assert_eq!(choice["score"]["rmse"], 0.0);
}
