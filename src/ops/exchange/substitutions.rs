//! Rules about parts that stand in for others: none may say what is never to be done.

use crate::domain::substitution::{Kind, Rule, Ruling, judge, ring};
use crate::error::Error;
use crate::exchange::{At, Fault, Read, substitutions as files};
use crate::ops::substitution::stated;
use crate::store::{Tx, substitution};

use super::reference::Known;
use super::refuse;

/// Takes rules, and returns their keys.
pub(super) fn rules(
    tx: &mut Tx<'_>,
    (records, mut faults): Read<Rule>,
) -> Result<Vec<String>, Error> {
    let known = Known::load(tx.conn)?;
    let stored = substitution::rules(tx.conn)?;
    let coming =
        |it: &&Rule| records.iter().any(|new| new.value.from == it.from && new.value.to == it.to);
    let kept = stored.iter().filter(|it| !coming(it));
    let after: Vec<Rule> = kept.chain(records.iter().map(|it| &it.value)).cloned().collect();
    for it in &records {
        check(it, &known, &after, &mut faults)?;
    }
    refuse(faults)?;
    for it in &records {
        let of = |number: &str| known.variants.get(number).map(|it| it.id);
        let ends = of(it.value.from.as_str()).zip(of(it.value.to.as_str()));
        if let Some((from, to)) = ends {
            substitution::put_rule(tx.conn, &it.value, from, to)?;
        }
    }
    let key = |it: At<Rule>| files::key(it.value.from.as_str(), it.value.to.as_str());
    Ok(records.into_iter().map(key).collect())
}

/// Notes what a rule refers to that is not there, and where it contradicts the trade or others.
fn check(
    it: &At<Rule>,
    known: &Known,
    after: &[Rule],
    faults: &mut Vec<Fault>,
) -> Result<(), Error> {
    let rule = &it.value;
    let mut fault = |column: &str, message: String| {
        faults.push(Fault { line: it.line, column: column.to_owned(), message });
    };
    let mut of = |column: &str, number: &str| {
        let row = known.variants.get(number);
        if row.is_none() {
            fault(column, format!("there is no part number '{number}': import parts first"));
        }
        row
    };
    let (from, to) = (of("from", rule.from.as_str()), of("to", rule.to.as_str()));
    let (Some(from), Some(to)) = (from, to) else { return Ok(()) };
    let (from, to) = (stated(from)?, stated(to)?);
    let mut rulings = vec![(judge(&from, &to, rule.kind), &rule.to, &rule.from)];
    if rule.both_ways {
        rulings.push((judge(&to, &from, rule.kind), &rule.from, &rule.to));
    }
    for (ruling, new, old) in rulings {
        match ruling {
            Ruling::Never { reason } => {
                fault("to", format!("{new} never stands in for {old}: {reason}"));
            }
            Ruling::With { consent, reasons } if rule.consent < consent => {
                let why = reasons.join("; ");
                fault("consent", format!("{new} for {old} takes at least {consent}: {why}"));
            }
            Ruling::With { .. } => {}
        }
    }
    if rule.kind == Kind::SupersededBy {
        if let Some(path) = ring(after, &rule.from) {
            let path: Vec<String> = path.iter().map(ToString::to_string).collect();
            fault("to", format!("parts supersede each other in a ring: {}", path.join(" > ")));
        }
        let other =
            |it: &&Rule| it.kind == Kind::SupersededBy && it.from == rule.from && it.to != rule.to;
        if let Some(other) = after.iter().find(other) {
            let message = format!(
                "{} is superseded by {} already: a part has one successor",
                rule.from, other.to
            );
            fault("to", message);
        }
    }
    Ok(())
}
