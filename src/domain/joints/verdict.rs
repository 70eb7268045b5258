use std::fmt;

use super::{Joint, Statement};
use crate::units::{Disagreement, disagree};

/// A person's word on which of several statements holds for a joint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settlement {
    /// The joint's number in its bill.
    pub joint: u32,
    /// The statements that were settled, as [`fingerprint`] writes them.
    pub statements: String,
    /// The statement that holds, as stated.
    pub held: String,
    /// Its document.
    pub held_source: String,
    /// Why.
    pub reason: String,
    /// Who said so.
    pub by: String,
}

/// Two statements of one joint that can't both be right, and nobody has settled which holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The joint's number.
    pub joint: u32,
    /// The joint's name.
    pub name: String,
    /// The one statement.
    pub first: Statement,
    /// The other.
    pub second: Statement,
    /// By how much they differ.
    pub by: Disagreement,
}

impl fmt::Display for Conflict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { joint, name, first, second, by } = self;
        write!(
            f,
            "joint {joint}, {name}: {} says {}, and {} says {}; {by}",
            first.source, first.torque, second.source, second.torque
        )
    }
}

/// What is to be printed for a joint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict<'a> {
    /// Nothing is stated.
    Unstated,
    /// This statement holds; with the settlement, if it took one.
    Holds(&'a Statement, Option<&'a Settlement>),
    /// Two statements disagree, and the card waits for a person.
    Conflict(Box<Conflict>),
}

/// Returns the statements of a joint as one text, by which a settlement knows what it settled.
pub fn fingerprint(joint: &Joint) -> String {
    let line = |it: &Statement| format!("{} | {}", it.torque, it.source);
    joint.statements.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// Returns which statement of a joint holds.
///
/// Where all agree it is the first one with a band, for a band says more than a figure. A
/// settlement counts for exactly the statements that it was made over; of several the last.
pub fn judge<'a>(joint: &'a Joint, settled: &'a [Settlement]) -> Verdict<'a> {
    let Some(first) = joint.statements.first() else { return Verdict::Unstated };
    let Some(conflict) = conflict(joint) else {
        let banded = joint.statements.iter().find(|it| it.torque.has_ends());
        return Verdict::Holds(banded.unwrap_or(first), None);
    };
    let over = fingerprint(joint);
    let settlement = settled.iter().rfind(|it| it.joint == joint.number && it.statements == over);
    let held = settlement.and_then(|settlement| {
        let is_held = |it: &&Statement| {
            it.torque.to_string() == settlement.held && it.source == settlement.held_source
        };
        joint.statements.iter().find(is_held)
    });
    match held {
        Some(held) => Verdict::Holds(held, settlement),
        None => Verdict::Conflict(Box::new(conflict)),
    }
}

/// Returns the two statements of a joint that disagree most, if any do.
fn conflict(joint: &Joint) -> Option<Conflict> {
    let pairs = joint.statements.iter().enumerate().flat_map(|(at, first)| {
        joint.statements.iter().skip(at + 1).map(move |second| (first, second))
    });
    let disagreeing = pairs.filter_map(|(first, second)| {
        disagree(&first.torque, &second.torque).map(|by| (first, second, by))
    });
    disagreeing.max_by_key(|(_, _, by)| by.percent).map(|(first, second, by)| Conflict {
        joint: joint.number,
        name: joint.name.clone(),
        first: first.clone(),
        second: second.clone(),
        by,
    })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::domain::joints::{Condition, Pattern};

    fn joint(statements: &[(&str, &str)]) -> Joint {
        let statement = |(torque, source): &(&str, &str)| Statement {
            torque: torque.parse().unwrap(),
            source: (*source).to_owned(),
        };
        Joint {
            number: 6,
            step: 13,
            name: "Pinch bolts".to_owned(),
            names: BTreeMap::new(),
            bolts: 4,
            thread: "M6".to_owned(),
            pattern: Pattern::Alternate,
            condition: Condition::Dry,
            set_by_maker: false,
            statements: statements.iter().map(statement).collect(),
        }
    }

    fn settlement(joint: &Joint, held: &Statement) -> Settlement {
        Settlement {
            joint: joint.number,
            statements: fingerprint(joint),
            held: held.torque.to_string(),
            held_source: held.source.clone(),
            reason: "asked the maker".to_owned(),
            by: "owner".to_owned(),
        }
    }

    #[test]
    fn a_band_is_printed_before_a_figure_that_agrees_with_it() {
        let joint = joint(&[("8.5 N·m", "drawing"), ("8.5 N·m (8–9)", "manual")]);
        let Verdict::Holds(held, None) = judge(&joint, &[]) else { panic!("they agree") };
        assert_eq!(held.source, "manual");
        assert_eq!(judge(&super::tests::joint(&[]), &[]), Verdict::Unstated);
    }

    #[test]
    fn the_maker_s_slip_blocks_until_a_person_settles_it() {
        let joint = joint(&[("75 in-lb", "manual p. 4"), ("6.2 N·m", "sticker")]);
        let Verdict::Conflict(conflict) = judge(&joint, &[]) else { panic!("they disagree") };
        let words = conflict.to_string();
        for part in ["joint 6", "manual p. 4 says 75 in·lbf", "sticker says 6.2 N·m", "26.8 %"] {
            assert!(words.contains(part), "{words}");
        }
        let settled = [settlement(&joint, &joint.statements[0])];
        let Verdict::Holds(held, Some(_)) = judge(&joint, &settled) else { panic!("settled") };
        assert_eq!(held.source, "manual p. 4");
    }

    #[test]
    fn a_settlement_ends_when_a_statement_changes() {
        let before = joint(&[("75 in-lb", "manual"), ("6.2 N·m", "sticker")]);
        let settled = [settlement(&before, &before.statements[0])];
        let after = joint(&[("75 in-lb", "manual"), ("6.3 N·m", "sticker")]);
        assert!(matches!(judge(&after, &settled), Verdict::Conflict(_)));
    }
}
