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
            Self::Unit(_) => "fit.measure",
        }
    }
}
