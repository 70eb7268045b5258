//! The command line's verbs `fit` and `steerer`: published and derived cases, each with its source.

use std::io::Write;
use std::process::{Command, Stdio};

use serde_json::{Value, json};

/// Returns the answers of `calc` to lines of JSON.
fn calc(verb: &str, lines: &[Value]) -> Vec<Value> {
    let mut child = Command::new(env!("CARGO_BIN_EXE_kitwright"))
        .args(["calc", verb])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let text: String = lines.iter().map(|it| format!("{it}\n")).collect();
    child.stdin.take().expect("a pipe").write_all(text.as_bytes()).expect("it reads");
    let out = child.wait_with_output().expect("it ends").stdout;
    let out = String::from_utf8(out).expect("text");
    let answers: Vec<Value> =
        out.lines().map(|it| serde_json::from_str(it).expect("JSON")).collect();
    assert_eq!(answers.len(), lines.len());
    answers
}

/// Puts each case of a file to a verb: what is asked, what the answer must hold, and who says so.
fn agree(verb: &str, cases: &str) {
    let cases: Vec<Value> = serde_json::from_str(cases).expect("cases");
    let asked: Vec<Value> = cases.iter().map(|it| it["ask"].clone()).collect();
    for (case, answer) in cases.iter().zip(calc(verb, &asked)) {
        assert!(case["source"].is_string(), "{case} names no source");
        for (name, wanted) in case["answer"].as_object().expect("an answer") {
            assert_eq!(&answer[name], wanted, "{name} of {case} is {answer}");
        }
    }
}

#[test]
fn parts_fit_as_the_published_cases_say() {
    agree("fit", include_str!("../data/fit.json"));
}

#[test]
fn steerers_and_spacers_come_out_as_the_published_cases_say() {
    agree("steerer", include_str!("../data/steerer.json"));
}

#[test]
fn a_line_that_is_wrong_is_answered_and_the_rest_go_on() {
    let lines = [
        json!({ "kind": "bore_check", "code": "EC30", "measured": 30.0501 }),
        json!({ "kind": "bore_check", "code": "EC30", "measured": "30.05" }),
        json!({ "kind": "bore_check", "code": "EC30", "measured": 30.05, "guess": 1 }),
        json!({ "kind": "bore_check", "code": "EC30", "measured": -1 }),
        json!({ "kind": "guess" }),
        json!({ "kind": "fork_headset", "fork": { "steerer": 28.6, "crown_seat": 30 },
            "headset": "ZS44" }),
    ];
    let codes: Vec<Value> =
        calc("fit", &lines).into_iter().map(|it| it["error"]["code"].clone()).collect();
    let wanted = [
        json!("calc.line"),
        Value::Null,
        json!("calc.line"),
        json!("calc.line"),
        json!("fit.kind"),
    ];
    assert_eq!(codes.iter().take(5).collect::<Vec<_>>(), wanted.iter().collect::<Vec<_>>());
    assert_eq!(codes.last(), Some(&json!("fit.halves")));
}

#[test]
fn tolerances_are_taken_by_the_rule_that_the_line_names() {
    let line = |rule: Option<&str>| {
        let mut line = json!({
            "kind": "spacer_choice", "head_tube": 115, "lower_stack": 3.5, "upper_stack": 9,
            "stem": 40, "steerer": 195, "spacers_on_hand": [20, 10, 5, 3, 3, 2, 2, 2],
            "tolerances": [1, 0.5, 0.3, 0.3], "most_pieces": 6
        });
        if let Some(rule) = rule {
            line["tolerance_rule"] = json!(rule);
        }
        line
    };
    let lines = [line(None), line(Some("root_sum_square")), line(Some("worst_case"))];
    let [unnamed, squares, worst] = calc("steerer", &lines).try_into().expect("three answers");
    assert_eq!(unnamed["error"]["code"], "steerer.tolerance_rule");
    assert_eq!(squares["tolerance_rule"], "root-sum-square");
    assert_eq!(squares["fewest_spacers"], json!([20, 5, 3, 3]));
    let totals = |it: &Value| it["stacks"].as_array().expect("stacks").len();
    assert_eq!((totals(&squares), totals(&worst)), (2, 0));
    assert_eq!(worst["possible"], false);
    assert_eq!(worst["reason"], "no spacers on hand come to 29.5 mm to 32.5 mm by worst-case sum");
}

#[test]
fn the_verb_for_screws_answers_engagement_too() {
    let line = json!({
        "kind": "engagement", "id": "a", "length": 14, "plate": 5, "washer": 1.6, "least": 6,
        "depth": 7.5
    });
    let [screw] = calc("screw", std::slice::from_ref(&line)).try_into().expect("an answer");
    assert_eq!((&screw["engagement"], &screw["fits"]), (&json!(7.4), &json!(true)));
    assert_eq!(calc("fit", &[line]), [screw]);
}

#[test]
fn the_schema_of_a_line_can_be_read_by_itself() {
    for verb in ["fit", "steerer"] {
        let out = Command::new(env!("CARGO_BIN_EXE_kitwright"))
            .args(["calc", verb, "--schema"])
            .output()
            .expect("the program runs");
        let schema: Value = serde_json::from_slice(&out.stdout).expect("JSON");
        assert!(!schema.to_string().contains("$ref"), "{verb}");
        assert!(schema["oneOf"].as_array().is_some_and(|it| 2 < it.len()));
    }
}
