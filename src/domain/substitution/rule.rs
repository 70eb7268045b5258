use std::fmt;
use std::str::FromStr;

use chrono::NaiveDate;

use crate::domain::codes::PartNumber;

/// A word of a file or form that is none of those allowed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{text}' is no {what}: write one of {allowed}")]
pub struct RuleFault {
    /// What was written.
    pub text: String,
    /// What it should be.
    pub what: &'static str,
    /// The words allowed.
    pub allowed: String,
}

/// Defines a choice of words, as files, tables and pages hold them.
macro_rules! word {
    ($(#[$doc:meta])* $name:ident, $what:literal, $($(#[$arm_doc:meta])* $arm:ident = $word:literal;)+) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name {
            $($(#[$arm_doc])* $arm,)+
        }

        impl $name {
            /// Returns all of them in order.
            pub const ALL: &'static [Self] = &[$(Self::$arm,)+];

            /// Returns its word.
            pub const fn words(self) -> &'static str {
                match self {
                    $(Self::$arm => $word,)+
                }
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(self.words())
            }
        }

        impl FromStr for $name {
            type Err = RuleFault;

            fn from_str(text: &str) -> Result<Self, RuleFault> {
                Self::ALL.iter().copied().find(|it| it.words() == text).ok_or_else(|| {
                    let allowed: Vec<&str> = Self::ALL.iter().map(|it| it.words()).collect();
                    RuleFault {
                        text: text.to_owned(),
                        what: $what,
                        allowed: allowed.join(", "),
                    }
                })
            }
        }
    };
}

word! {
    /// What a rule says of its two parts.
    Kind, "kind of rule",
    /// The second takes the place of the first for good.
    SupersededBy = "superseded by";
    /// The second may be taken where the first is wanting.
    StandsIn = "may stand in";
}

word! {
    /// Whose word a substitution takes, from none to most.
    Consent, "consent",
    /// Nobody's: the two are alike.
    None = "none";
    /// The owner's, given once for all by the rule itself.
    StandingRule = "standing rule";
    /// The customer's, for each kit.
    Customer = "customer's word";
}

/// How long a rule holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Until {
    /// For good.
    Open,
    /// Up to and including that day.
    Day(NaiveDate),
    /// Of a supersession: the first part is still taken while free stock of it covers a whole kit.
    UsedUp,
}

/// A rule of the shop about two parts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rule {
    /// The part that is asked for.
    pub from: PartNumber,
    /// The part that is taken in its place.
    pub to: PartNumber,
    /// What the rule says of the two.
    pub kind: Kind,
    /// Whether each of the two may be taken for the other.
    pub both_ways: bool,
    /// Whose word it takes.
    pub consent: Consent,
    /// The first day on which it holds.
    pub valid_from: NaiveDate,
    /// How long it holds.
    pub until: Until,
    /// Why, in the shop's words.
    pub reason: String,
    /// Where that is written.
    pub source: String,
}

impl Rule {
    /// Returns whether the rule holds on a day.
    pub fn holds_on(&self, day: NaiveDate) -> bool {
        let ended = matches!(self.until, Until::Day(last) if last < day);
        self.valid_from <= day && !ended
    }

    /// Returns the part that may be taken where `part` is asked for, if the rule is about it.
    pub fn instead_of(&self, part: &PartNumber) -> Option<&PartNumber> {
        match part {
            it if *it == self.from => Some(&self.to),
            it if *it == self.to && self.both_ways => Some(&self.from),
            _ => None,
        }
    }
}

/// Returns the ring in which parts supersede each other from `start` on, if there is one.
pub fn ring(rules: &[Rule], start: &PartNumber) -> Option<Vec<PartNumber>> {
    let mut path = vec![start.clone()];
    loop {
        let last = path.last()?;
        let next = rules.iter().find(|it| it.kind == Kind::SupersededBy && it.from == *last)?;
        if let Some(begin) = path.iter().position(|it| *it == next.to) {
            return Some(path.into_iter().skip(begin).chain([next.to.clone()]).collect());
        }
        path.push(next.to.clone());
    }
}
