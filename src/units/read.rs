//! Statements of measures as people write them, read into a form with one unit.

use std::str::FromStr;

use super::names::{Named, unit_named};
use super::unit::{AnyUnit, Dimension, Unit};
use super::{Amount, MeasureError};

/// What a statement says, all of it in one unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Form {
    One(Amount),
    Range { low: Amount, high: Amount, target: Option<Amount> },
    PlusMinus { target: Amount, off: Amount },
    Percent { target: Amount, off: Amount },
    AtMost(Amount),
    AtLeast(Amount),
}

/// Returns what a text states, and the unit that it is stated in.
pub(super) fn statement<U: Unit>(text: &str) -> Result<(Form, U), MeasureError> {
    let wanted = U::DIMENSION;
    let mut reader = Reader { text, rest: text.trim(), wanted, units: Vec::new(), bound: None };
    let form = reader.form()?;
    let unit = reader.unit_of_all()?;
    let found = unit.dimension();
    let wrong = || MeasureError::Dimension { text: text.trim().to_owned(), found, wanted };
    Ok((form, U::of(unit).ok_or_else(wrong)?))
}

/// Returns the unit that a name means, of whatever dimension.
///
/// # Errors
///
/// [`MeasureError::Unit`] for a name that is unknown; [`MeasureError::Ambiguous`] for one that
/// could be read two ways, such as "mPa" or "nm".
pub fn unit(name: &str, wanted: Dimension) -> Result<AnyUnit, MeasureError> {
    let unit = || name.trim().to_owned();
    match unit_named(name) {
        Named::One(it) => Ok(it),
        Named::TwoWays(instead) => Err(MeasureError::Ambiguous { unit: unit(), instead }),
        Named::Unknown => Err(MeasureError::Unit { unit: unit(), wanted }),
    }
}

impl FromStr for Amount {
    type Err = MeasureError;

    /// Reads a number without a unit: "31.8", "31,8", "1/2", "1-1/8".
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        // What is wanted shows only in faults that are replaced here.
        let (rest, wanted) = (text.trim(), Dimension::Length);
        let mut reader = Reader { text, rest, wanted, units: Vec::new(), bound: None };
        let why = "write it as 31.8, 31,8, 1/2 or 1-1/8";
        let wrong = || MeasureError::Number { number: text.trim().to_owned(), why };
        match reader.number() {
            Ok(it) if reader.rest.is_empty() => Ok(it),
            Ok(_) | Err(MeasureError::NoNumber { .. }) => Err(wrong()),
            Err(fault) => Err(fault),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Bound {
    Most,
    Least,
}

/// What stands between two figures.
enum Joint {
    Dash,
    PlusMinus,
    Bracket,
    End,
}

const MOST: &[&str] = &["≤", "<=", "maximum", "max.", "max", "at most", "up to"];
const LEAST: &[&str] = &["≥", ">=", "minimum", "min.", "min", "at least"];
const PLUS_MINUS: &[&str] = &["±", "+/-", "+/−", "+-"];
const DASHES: &[char] = &['-', '\u{2010}', '\u{2011}', '–', '—', '−'];
const TO: &[&str] = &["to", "bis", "à"];

/// Fractions that have a character of their own.
const VULGAR: [(char, &str, &str); 9] = [
    ('½', "1", "2"),
    ('¼', "1", "4"),
    ('¾', "3", "4"),
    ('⅛', "1", "8"),
    ('⅜', "3", "8"),
    ('⅝', "5", "8"),
    ('⅞', "7", "8"),
    ('⅓', "1", "3"),
    ('⅔', "2", "3"),
];

struct Reader<'a> {
    text: &'a str,
    rest: &'a str,
    wanted: Dimension,
    units: Vec<&'a str>,
    bound: Option<Bound>,
}

impl<'a> Reader<'a> {
    fn form(&mut self) -> Result<Form, MeasureError> {
        self.bound = self.leading_bound();
        let first = self.number()?;
        self.unit();
        let form = match self.joint() {
            Joint::End => Form::One(first),
            Joint::Dash => {
                let high = self.number()?;
                self.unit();
                Form::Range { low: first, high, target: None }
            }
            Joint::PlusMinus => self.tolerance(first)?,
            Joint::Bracket => self.bracket(first)?,
        };
        match (self.bound, form) {
            _ if !self.rest.trim().is_empty() => Err(self.fault_at(self.rest)),
            (None, form) => Ok(form),
            (Some(Bound::Most), Form::One(it)) => Ok(Form::AtMost(it)),
            (Some(Bound::Least), Form::One(it)) => Ok(Form::AtLeast(it)),
            (Some(_), _) => {
                Err(MeasureError::NotOne { text: self.text.to_owned(), wanted: self.wanted })
            }
        }
    }

    fn tolerance(&mut self, target: Amount) -> Result<Form, MeasureError> {
        let off = self.number()?;
        let percent = self.rest.trim_start().strip_prefix('%');
        self.rest = percent.unwrap_or(self.rest);
        self.unit();
        Ok(match percent {
            Some(_) => Form::Percent { target, off },
            None => Form::PlusMinus { target, off },
        })
    }

    /// Reads the band in brackets after a target: "5.5 N·m (5–6)".
    fn bracket(&mut self, target: Amount) -> Result<Form, MeasureError> {
        let low = self.number()?;
        self.unit();
        let Joint::Dash = self.joint() else {
            return Err(MeasureError::TwoUnits { text: self.text.to_owned() });
        };
        let high = self.number()?;
        self.unit();
        let Some(rest) = self.rest.trim_start().strip_prefix(')') else {
            return Err(self.fault_at(self.rest));
        };
        self.rest = rest;
        self.unit();
        Ok(Form::Range { low, high, target: Some(target) })
    }

    fn leading_bound(&mut self) -> Option<Bound> {
        let small = self.rest.to_lowercase();
        let starts = |words: &&&str| small.starts_with(**words);
        let (words, bound) = (MOST.iter().find(starts).map(|it| (*it, Bound::Most)))
            .or_else(|| LEAST.iter().find(starts).map(|it| (*it, Bound::Least)))?;
        // Small letters of these words are as long as their large ones.
        self.rest = self.rest.get(words.len()..)?;
        Some(bound)
    }

    /// Takes the text up to the next figure's joint as a unit; where none stands, that is fine.
    fn unit(&mut self) {
        let end = self.rest.char_indices().find(|(at, _)| {
            let tail = self.rest.get(*at..).unwrap_or("");
            starts_joint(tail) || tail.starts_with(')')
        });
        let (unit, rest) = self.rest.split_at(end.map_or(self.rest.len(), |(at, _)| at));
        self.rest = rest;
        let mut unit = unit.trim();
        if let Some((name, word)) = unit.rsplit_once(char::is_whitespace)
            && let Some(bound) = trailing_bound(word)
            && self.bound.is_none()
        {
            self.bound = Some(bound);
            unit = name.trim_end();
        }
        if !unit.is_empty() {
            self.units.push(unit);
        }
    }

    fn joint(&mut self) -> Joint {
        let rest = self.rest.trim_start();
        let dash = after_dash(rest).or_else(|| after_to(self.rest));
        let plus_minus = PLUS_MINUS.iter().find_map(|it| rest.strip_prefix(it));
        let bracket = rest.strip_prefix('(');
        let (joint, rest) = match (plus_minus, bracket, dash) {
            (Some(rest), _, _) => (Joint::PlusMinus, rest),
            (_, Some(rest), _) => (Joint::Bracket, rest),
            (_, _, Some(rest)) => (Joint::Dash, rest),
            (None, None, None) => (Joint::End, self.rest),
        };
        self.rest = rest;
        joint
    }

    fn number(&mut self) -> Result<Amount, MeasureError> {
        self.rest = self.rest.trim_start();
        let run = self.take(|it| it.is_ascii_digit() || it == '.' || it == ',');
        if run.is_empty() {
            let (part, of) = self.vulgar().ok_or_else(|| self.no_number())?;
            return Amount::of_fraction(None, part, of);
        }
        if !run.bytes().all(|it| it.is_ascii_digit()) {
            return Amount::of_decimal(run);
        }
        if let Some((part, of)) = self.vulgar() {
            return Amount::of_fraction(Some(run), part, of);
        }
        if let Some(rest) = self.rest.strip_prefix('/')
            && rest.starts_with(|it: char| it.is_ascii_digit())
        {
            self.rest = rest;
            let of = self.take(|it| it.is_ascii_digit());
            return Amount::of_fraction(None, run, of);
        }
        match self.mixed() {
            Some((part, of)) => Amount::of_fraction(Some(run), part, of),
            None => Amount::of_decimal(run),
        }
    }

    /// Takes the fraction that follows a whole number: "-1/8" or " 1/8".
    fn mixed(&mut self) -> Option<(&'a str, &'a str)> {
        let rest = self.rest.strip_prefix(['-', '\u{2010}', '\u{2011}']).unwrap_or(self.rest);
        let rest = rest.trim_start();
        let (part, after) = split_while(rest, |it| it.is_ascii_digit());
        let (of, after) = split_while(after.strip_prefix('/')?, |it| it.is_ascii_digit());
        if part.is_empty() || of.is_empty() {
            return None;
        }
        self.rest = after;
        Some((part, of))
    }

    fn vulgar(&mut self) -> Option<(&'static str, &'static str)> {
        let rest = self.rest.trim_start();
        let (letter, part, of) = VULGAR.iter().find(|(letter, _, _)| rest.starts_with(*letter))?;
        self.rest = rest.strip_prefix(*letter)?;
        Some((part, of))
    }

    fn take(&mut self, wanted: impl Fn(char) -> bool) -> &'a str {
        let (taken, rest) = split_while(self.rest, wanted);
        self.rest = rest;
        taken
    }

    /// Returns the one unit that all figures have.
    fn unit_of_all(&self) -> Result<AnyUnit, MeasureError> {
        let text = || self.text.trim().to_owned();
        let mut found = None;
        for name in &self.units {
            let unit = unit(name, self.wanted)?;
            if found.is_some_and(|it| it != unit) {
                return Err(MeasureError::TwoUnits { text: text() });
            }
            found = Some(unit);
        }
        found.ok_or_else(|| MeasureError::NoUnit { text: text(), wanted: self.wanted })
    }

    fn no_number(&self) -> MeasureError {
        MeasureError::NoNumber { text: self.text.trim().to_owned(), wanted: self.wanted }
    }

    fn fault_at(&self, rest: &str) -> MeasureError {
        let (text, rest) = (self.text.trim().to_owned(), rest.trim().to_owned());
        MeasureError::Rest { text, rest, wanted: self.wanted }
    }
}

fn trailing_bound(word: &str) -> Option<Bound> {
    let small = word.to_lowercase();
    match small.trim_end_matches('.') {
        "max" | "maximum" => Some(Bound::Most),
        "min" | "minimum" => Some(Bound::Least),
        _ => None,
    }
}

fn split_while(text: &str, wanted: impl Fn(char) -> bool) -> (&str, &str) {
    text.split_at(text.find(|it| !wanted(it)).unwrap_or(text.len()))
}

/// Returns whether a figure's joint starts here, so that a unit ends.
fn starts_joint(tail: &str) -> bool {
    let plus_minus = PLUS_MINUS.iter().any(|it| tail.starts_with(it));
    plus_minus || tail.starts_with('(') || after_dash(tail).is_some() || after_to(tail).is_some()
}

/// Returns what follows a dash with a number behind it; the hyphen of "in-lb" is none.
fn after_dash(text: &str) -> Option<&str> {
    let rest = text.strip_prefix(DASHES)?.trim_start();
    let number = |it: char| {
        it.is_ascii_digit() || it == '.' || VULGAR.iter().any(|(letter, _, _)| *letter == it)
    };
    rest.starts_with(number).then_some(rest)
}

/// Returns what follows a word that means "up to", with space on either side.
fn after_to(text: &str) -> Option<&str> {
    let spaced = text.strip_prefix(char::is_whitespace)?;
    let rest = TO.iter().find_map(|it| spaced.strip_prefix(it))?;
    rest.starts_with(char::is_whitespace).then_some(rest)
}
