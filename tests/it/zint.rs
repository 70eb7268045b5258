//! Bar patterns of random content against those of zint (a program that shares no code with this
//! one; Debian package zint, 2.11 or later).

use std::process::Command;

use kitwright::domain::gs1::check_digit;
use kitwright::domain::labels::{Symbol, Symbology};
use proptest::test_runner::{Config, TestRunner};

/// Returns the modules that zint draws, first bar to last, '1' for dark.
fn drawn(kind: &str, text: &str) -> String {
    let output = Command::new("zint")
        .args(["--dump", "-b", kind, "-d", text])
        .output()
        .unwrap_or_else(|error| panic!("zint did not start ({error}): apt-get install zint"));
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let said = String::from_utf8(output.stdout).expect("hexadecimal figures");
    let bits = said.chars().filter_map(|it| it.to_digit(16)).map(|it| format!("{it:04b}"));
    // The last figure is filled up with light modules, and every symbol ends with a dark one.
    bits.collect::<String>().trim_end_matches('0').to_owned()
}

fn ours(symbology: Symbology, text: &str) -> String {
    let rows = Symbol::of(symbology, text).expect("a symbol").modules();
    assert_eq!(rows.len(), 1, "one row of bars");
    rows[0].iter().map(|it| if *it { '1' } else { '0' }).collect()
}

/// Tries `check` on random texts of that pattern; few, since each is a process of its own.
fn each(pattern: &str, check: impl Fn(&str)) {
    let mut runner =
        TestRunner::new(Config { cases: 40, failure_persistence: None, ..Config::default() });
    let text = proptest::string::string_regex(pattern).expect("a pattern");
    let tried = runner.run(&text, |text| {
        check(&text);
        Ok(())
    });
    tried.unwrap_or_else(|fault| panic!("{fault}"));
}

fn with_check(body: &str) -> String {
    format!("{body}{}", check_digit(body).expect("digits"))
}

#[test]
fn ean_and_upc_have_the_bars_that_zint_draws() {
    for (pattern, symbology, kind) in [
        ("[0-9]{12}", Symbology::Ean13, "13"),
        ("[0-9]{7}", Symbology::Ean8, "13"),
        ("[0-9]{11}", Symbology::UpcA, "UPCA"),
    ] {
        each(pattern, |body| {
            let text = with_check(body);
            assert_eq!(ours(symbology, &text), drawn(kind, body), "{symbology:?} {text}");
        });
    }
}

#[test]
fn itf_14_has_the_bars_that_zint_draws() {
    each("[0-9]{13}", |body| {
        let text = with_check(body);
        let drawn = drawn("ITF14", body);
        let (mut wide, mut run, mut last) = (Vec::new(), 0, '1');
        for it in drawn.chars().chain(['0']) {
            if it != last {
                wide.push(1 < run);
                run = 0;
            }
            (run, last) = (run + 1, it);
        }
        let symbol = Symbol::of(Symbology::Itf14, &text).expect("a symbol");
        assert_eq!(symbol.wide_elements(), wide, "{text}");
    });
}

#[test]
fn code_128_is_never_longer_than_what_zint_draws() {
    each("[!-Z\\^-~]{1,30}|[0-9A-Z]{2,12}[0-9]{2,12}[a-z]{0,4}", |text| {
        assert!(ours(Symbology::Code128, text).len() <= drawn("CODE128", text).len(), "{text}");
    });
    each("[0-9]{13}\\(10\\)[0-9A-Z]{1,20}", |text| {
        let (body, lot) = text.split_at(13);
        let text = format!("(01){}{lot}", with_check(body));
        let drawn = drawn("GS1_128", &text.replace('(', "[").replace(')', "]"));
        assert!(ours(Symbology::Gs1128, &text).len() <= drawn.len(), "{text}");
    });
}
