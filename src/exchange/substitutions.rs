//! Substitutions: `from,to,kind,direction,consent,valid_from,until,reason,source`.
//!
//! What the shop says of two part numbers. `kind` is `superseded by` or `may stand in`; `direction`
//! is `one way` or `both ways`; `consent` is `none`, `standing rule` or `customer's word`; `until`
//! is empty, a last day, or `used up`: then the first part is taken while free stock of it covers a
//! whole kit.

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{self, Fields, Seen};
use super::{At, Fault, Read};
use crate::domain::substitution::{Kind, Rule, Until};

/// The columns of the file, in order; the first two are a rule's key.
pub const COLUMNS: [&str; 9] =
    ["from", "to", "kind", "direction", "consent", "valid_from", "until", "reason", "source"];

/// What stands between the two part numbers of a key.
const BETWEEN: &str = " > ";

/// Returns the rules of a file.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<Rule>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<Rule> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
    rows(&table, faults)
}

/// Returns the one rule whose columns hold the texts that `cell` returns, or what is wrong in it.
pub fn read_entry(cell: impl Fn(&str) -> String) -> Read<Rule> {
    rows(&Table::entry(&COLUMNS, cell), Faults::default())
}

/// Returns the key of the rule about two part numbers: "MT108R > MT109P".
pub fn key(from: &str, to: &str) -> String {
    format!("{from}{BETWEEN}{to}")
}

/// Returns the two part numbers of a rule's key.
pub fn of_key(key: &str) -> (&str, &str) {
    key.split_once(BETWEEN).unwrap_or((key, ""))
}

fn rows(table: &Table, mut faults: Faults) -> Read<Rule> {
    let (mut rules, mut seen) = (Vec::new(), Seen::new());
    for row in &table.rows {
        let mut fields = Fields::of(table, row, &mut faults);
        rules.extend(rule(&mut fields, &mut seen).map(|value| At { line: row.line, value }));
    }
    faults.beside(rules)
}

fn rule(fields: &mut Fields<'_>, seen: &mut Seen) -> Option<Rule> {
    let (from, to) = (fields.parse("from"), fields.parse("to"));
    let kind = fields.parse("kind");
    let both_ways = fields.with("direction", direction);
    let consent = fields.parse("consent");
    let valid_from = fields.day("valid_from");
    let until = fields.maybe_with("until", until);
    let (reason, source) = (fields.text("reason"), fields.text("source"));
    let rule = Rule {
        from: from?,
        to: to?,
        kind: kind?,
        both_ways: both_ways?,
        consent: consent?,
        valid_from: valid_from?,
        until: until?.unwrap_or(Until::Open),
        reason: reason?,
        source: source?,
    };
    if rule.from == rule.to {
        fields.fault("to", "it is the same part: name the other one");
    }
    if rule.kind == Kind::SupersededBy && rule.both_ways {
        fields.fault("direction", "a part is superseded for good: write one way");
    }
    if rule.kind != Kind::SupersededBy && rule.until == Until::UsedUp {
        fields.fault("until", "only a superseded part is used up: write a day, or nothing");
    }
    if matches!(rule.until, Until::Day(last) if last < rule.valid_from) {
        fields.fault("until", "the last day lies before the first: exchange the two");
    }
    fields.once(seen, "from", Some(format!("the rule of {} and {}", rule.from, rule.to)));
    Some(rule)
}

fn direction(text: &str) -> Result<bool, String> {
    match text {
        "one way" => Ok(false),
        "both ways" => Ok(true),
        other => Err(format!("'{other}' is no direction: write one way or both ways")),
    }
}

fn until(text: &str) -> Result<Until, String> {
    if text == "used up" {
        return Ok(Until::UsedUp);
    }
    fields::day(text).map(Until::Day).map_err(|fault| format!("{fault}, or used up"))
}

/// Returns a file of the rules, which reads back as the same.
pub fn write<'a>(rules: impl IntoIterator<Item = &'a Rule>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for it in rules {
        text.row([
            it.from.to_string(),
            it.to.to_string(),
            it.kind.to_string(),
            if it.both_ways { "both ways" } else { "one way" }.to_owned(),
            it.consent.to_string(),
            it.valid_from.to_string(),
            match it.until {
                Until::Open => String::new(),
                Until::Day(last) => last.to_string(),
                Until::UsedUp => "used up".to_owned(),
            },
            it.reason.clone(),
            it.source.clone(),
        ]);
    }
    text.finish()
}
