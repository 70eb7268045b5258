//! Stated measures and screws, computed by the real binary, against outside cases.

use std::io::Write;
use std::process::{Command, Stdio};

use serde_json::{Value, json};

fn cases(file: &str) -> Vec<Value> {
    let file: Value = serde_json::from_str(file).expect("the test data are JSON");
    file["cases"].as_array().expect("a list of cases").clone()
}

/// Sends each line through a verb, and returns one answer for each.
fn calc(verb: &str, lines: &[Value]) -> Vec<Value> {
    let mut child = Command::new(env!("CARGO_BIN_EXE_kitwright"))
        .args(["calc", verb])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let text: String = lines.iter().map(|it| format!("{it}\n")).collect();
    let mut stdin = child.stdin.take().expect("it reads");
    let writer = std::thread::spawn(move || stdin.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("the program ends");
    writer.join().expect("the writer ends").expect("the lines are taken");
    let answers: Vec<Value> = String::from_utf8_lossy(&output.stdout)
        .lines()
        .map(|it| serde_json::from_str(it).expect("an answer is JSON"))
        .collect();
    assert_eq!(answers.len(), lines.len(), "one answer for each line");
    answers
}

fn one(verb: &str, line: Value) -> Value {
    calc(verb, &[line]).remove(0)
}

/// Returns a case without what it expects.
fn question(case: &Value, expected: &[&str]) -> Value {
    let fields = case.as_object().expect("a case");
    let asked = fields.iter().filter(|(name, _)| !expected.contains(&name.as_str()));
    Value::Object(asked.map(|(name, value)| (name.clone(), value.clone())).collect())
}

fn assert_near(case: &Value, answer: &Value, field: &str, tolerance: f64) {
    let expected = case[field].as_f64().unwrap_or_else(|| panic!("{field} in {case}"));
    let found = answer[field].as_f64().unwrap_or_else(|| panic!("{field} in {answer}"));
    assert!((expected - found).abs() <= tolerance, "{field}: {case} {answer}");
}

#[test]
fn conversions_and_published_pairs_agree_with_an_outside_program() {
    let expected = [
        "result",
        "exact",
        "computed_nm",
        "worst_relative_difference",
        "within_rounding_of_printed_digits",
    ];
    let cases = cases(include_str!("../data/measures.json"));
    let lines: Vec<Value> = cases.iter().map(|it| question(it, &expected)).collect();
    for (case, answer) in cases.iter().zip(calc("units", &lines)) {
        for field in expected.iter().filter(|it| !case[**it].is_null()) {
            assert_eq!(case[*field], answer[*field], "{case} {answer}");
        }
    }
    assert_eq!(cases.len(), 40);
}

#[test]
fn screws_agree_with_the_tables_and_worked_examples() {
    let expected = [
        "formula_area",
        "table_area",
        "ultimate_load_N",
        "proof_load_N",
        "computed_ultimate",
        "computed_proof",
        "rel_tol",
        "nominal_tensile",
        "nominal_yield",
        "printed_preload_N",
        "printed_torque_Nm",
        "computed_preload_N",
        "computed_torque_Nm",
        "preload_N",
        "stress_MPa",
        "torque_inlbf",
    ];
    let cases = cases(include_str!("../data/screws.json"));
    let asked = |case: &Value| match case["kind"].as_str() {
        Some("torque_computed") => question(case, &["preload_N", "torque_Nm", "torque_inlbf"]),
        _ => question(case, &expected),
    };
    let lines: Vec<Value> = cases.iter().map(asked).collect();
    for (case, answer) in cases.iter().zip(calc("screw", &lines)) {
        let near = |field: &str, tolerance: f64| assert_near(case, &answer, field, tolerance);
        let printed = |field: &str| {
            let printed = case[field].as_f64().expect("a load");
            near(field, printed * case["rel_tol"].as_f64().expect("a tolerance"));
        };
        match case["kind"].as_str().expect("a kind") {
            "stress_area" => {
                near("formula_area", 0.000_05);
                near("table_area", 1e-9);
            }
            "property_class" => {
                printed("ultimate_load_N");
                printed("proof_load_N");
                near("computed_ultimate", 1e-6);
                near("computed_proof", 1e-6);
            }
            "class_designation" => {
                near("nominal_tensile", 0.0);
                near("nominal_yield", 0.0);
            }
            "torque_worked_example" => {
                near("computed_preload_N", 0.05);
                near("computed_torque_Nm", 0.000_05);
            }
            "torque_inverse_example" => {
                near("preload_N", 1e-6);
                near("stress_MPa", 0.000_05);
            }
            "torque_computed" => {
                near("preload_N", 1e-6);
                near("torque_Nm", 0.000_006);
                near("torque_inlbf", 0.000_05);
            }
            kind => panic!("no check for {kind}"),
        }
    }
    assert_eq!(cases.len(), 52);
}

#[test]
fn a_second_statement_that_disagrees_blocks_and_says_by_how_much() {
    let answer = one("torque", json!({ "text": "75 in-lb", "other": "6.2 Nm" }));
    assert_eq!(answer["blocked"], true);
    assert_eq!(
        answer["reason"],
        "'75 in·lbf' is 8.474 N·m, and '6.2 N·m' is 54.87 in·lbf: they differ by 2.274 N·m \
         (20.13 in·lbf), 26.8 %: ask the component maker"
    );
    let answer = one("torque", json!({ "text": "75 in-lb", "other": "8–9 N·m" }));
    assert_eq!(answer["blocked"], false);
}

#[test]
fn a_torque_is_told_in_both_units_and_a_key_judged_by_its_tolerance() {
    let line = json!({ "unit": "Nm", "value": 5.5, "low": 5, "high": 6, "key": "5.5 Nm ± 6 %" });
    let answer = one("torque", line);
    assert_eq!(answer["newton_metres"], "5.5 N·m (5–6)");
    assert_eq!(answer["inch_pounds"], "49 in·lbf (45–53)");
    assert_eq!(answer["whole_inch_pounds_inside"], json!({ "low": 45, "high": 53 }));
    assert_eq!(answer["key"]["fits"], true);
    let answer = one("torque", json!({ "text": "5.5–6.5 N·m", "key": "5.5 N·m ± 6 %" }));
    assert_eq!(
        answer["key"]["reason"],
        "with its tolerance it may stop 0.33 N·m below the low end"
    );
}

#[test]
fn a_line_that_is_wrong_says_what_and_how_to_mend_it() {
    let refused = |verb: &str, line: Value, code: &str, words: &str| {
        let answer = one(verb, line);
        assert_eq!(answer["error"]["code"], code, "{answer}");
        let message = answer["error"]["message"].as_str().expect("a message");
        assert!(message.contains(words), "{message}");
    };
    refused("torque", json!({ "text": "75 psi" }), "measure.dimension", "a torque is wanted");
    refused("torque", json!({ "text": "1,234 Nm" }), "measure.number", "write 1234 or 1.234");
    refused("torque", json!({ "text": "5 nm" }), "measure.ambiguous", "write N·m");
    refused("torque", json!({ "value": 5 }), "torque.line", "give text");
    refused("torque", json!({ "text": "5 Nm", "colour": 1 }), "calc.line", "unknown field");
    let line = json!({ "kind": "length", "value": 1, "from": "psi", "to": "bar" });
    refused("units", line, "measure.dimension", "a length is wanted");
    let line = json!({ "value": 1, "from": "psi" });
    refused("units", line, "units.line", "give the unit that is wanted");
    let line = json!({ "kind": "colour", "value": 1, "from": "psi", "to": "bar" });
    refused("units", line, "units.kind", "spring_rate");
    let line = json!({ "inlbf": [1, 2], "nm": [0, 0.2] });
    refused("units", line, "units.pair", "can't be compared");
    let line = json!({ "kind": "stress_area", "thread": "M10x1", "pitch": 1.25 });
    refused("screw", line, "screw.pitch", "names its pitch");
    let line = json!({ "kind": "property_class", "thread": "M20", "prop_class": "9.8" });
    refused("screw", line, "fastener.class_size", "up to M16");
}

#[test]
fn a_schema_stands_by_itself() {
    for verb in ["torque", "units", "screw"] {
        let output = Command::new(env!("CARGO_BIN_EXE_kitwright"))
            .args(["calc", verb, "--schema"])
            .output()
            .expect("the program runs");
        let text = String::from_utf8_lossy(&output.stdout);
        assert!(text.contains("$schema") && !text.contains("$ref"), "{text}");
    }
}
