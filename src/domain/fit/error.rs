use crate::units::{Length, UnitError};

/// Why a question of fit can't be answered as it was put.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// A headset code has one half, or more than two.
    #[error("{} in '{text}': write upper | lower, such as EC34/28.6 | EC34/30", halves(*.count))]
    Halves {
        /// The code as it was given.
        text: String,
        /// How many halves it has.
        count: usize,
    },
    /// A half starts with letters that the scheme does not have.
    #[error("unknown type '{found}' in '{text}': a half starts with EC, ZS or IS")]
    HeadsetType {
        /// The half as it was given.
        text: String,
        /// What stands where the type should.
        found: String,
    },
    /// A half names no diameter behind its bore.
    #[error(
        "inner diameters missing: '{text}' names none behind its bore; write it after a slash, \
         such as ZS44/28.6"
    )]
    InnerMissing {
        /// The half as it was given.
        text: String,
    },
    /// A number stands below zero.
    #[error("negative {what} in '{text}': no diameter lies below zero")]
    Negative {
        /// The half as it was given.
        text: String,
        /// Which number it is.
        what: &'static str,
    },
    /// Text stands where a diameter should.
    #[error("not a number: '{found}' stands for the {what} in '{text}'; write mm, such as 28.6")]
    NotANumber {
        /// The half as it was given.
        text: String,
        /// What stands there.
        found: String,
        /// Which number it should be.
        what: &'static str,
    },
    /// The steerer does not pass through the bore.
    #[error("a steerer of {steerer} does not pass through a bore of {bore} in '{text}'")]
    SteererTooWide {
        /// The half as it was given.
        text: String,
        /// The steerer.
        steerer: Length,
        /// The bore.
        bore: Length,
    },
    /// The least of a range lies above its most.
    #[error("the {what} runs from {low} to {high}: write the lower number first")]
    Reversed {
        /// What the range is of.
        what: &'static str,
        /// Its first number.
        low: Length,
        /// Its second number.
        high: Length,
    },
    /// More was asked than is looked through.
    #[error(
        "too many spacers to look through: take at most {most} {what}, or heights on a coarser step"
    )]
    TooMany {
        /// What there is too much of.
        what: &'static str,
        /// How much is looked through.
        most: usize,
    },
    /// A spacer has no height.
    #[error("a spacer has no height: write mm above 0, such as 5")]
    NoHeight,
    /// A piece between two semicolons is no fact.
    #[error("'{text}' is not a fact: write a name, = and a value, such as steerer=28.6")]
    Fact {
        /// The piece.
        text: String,
    },
    /// There is no fact of that name.
    #[error("'{found}' is not the name of a fact: write one of {}", super::facts::all_names())]
    FactName {
        /// The name as it was given.
        found: String,
    },
    /// A fact has a value that is not in its unit.
    #[error("'{value}' is not what {name} states: write {wanted}")]
    FactValue {
        /// The fact's name.
        name: String,
        /// Its value as it was given.
        value: String,
        /// What it should be.
        wanted: String,
    },
    /// A fact is stated twice.
    #[error("the fact '{name}' is stated twice: keep one of them")]
    FactTwice {
        /// The fact's name.
        name: String,
    },
    /// A text is no measure.
    #[error(transparent)]
    Unit(#[from] UnitError),
}

fn halves(count: usize) -> String {
    match count {
        0 => "no half".to_owned(),
        1 => "one half only".to_owned(),
        3 => "three halves".to_owned(),
        _ => format!("{count} halves"),
    }
}

impl FitError {
    /// Returns the error's code, which stays the same for good.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Halves { .. } => "fit.halves",
            Self::HeadsetType { .. } => "fit.headset_type",
            Self::InnerMissing { .. } => "fit.inner_missing",
            Self::Negative { .. } => "fit.negative",
            Self::NotANumber { .. } => "fit.not_a_number",
            Self::SteererTooWide { .. } => "fit.steerer_too_wide",
            Self::Reversed { .. } => "fit.reversed",
            Self::TooMany { .. } => "fit.too_many",
            Self::NoHeight => "fit.no_height",
            Self::Fact { .. } => "fit.bad_fact",
            Self::FactName { .. } => "fit.unknown_fact",
            Self::FactValue { .. } => "fit.fact_value",
            Self::FactTwice { .. } => "fit.fact_twice",
            Self::Unit(_) => "fit.measure",
        }
    }
}
