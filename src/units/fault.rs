use super::Dimension;

/// Why a text is no measure of the kind that is wanted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MeasureError {
    /// No number stands where one should.
    #[error("'{text}' has no number where one should stand: write {}, such as {}", .wanted.words(), .wanted.example())]
    NoNumber {
        /// The text as it was given.
        text: String,
        /// What should have been there.
        wanted: Dimension,
    },
    /// A number can't be taken as it is written.
    #[error("the number '{number}' can't be taken: {why}")]
    Number {
        /// The number as it was written.
        number: String,
        /// What is wrong with it, and how to write it.
        why: &'static str,
    },
    /// The number has no unit.
    #[error("'{text}' has no unit: write {}, such as {}", .wanted.words(), .wanted.example())]
    NoUnit {
        /// The text as it was given.
        text: String,
        /// What should have been there.
        wanted: Dimension,
    },
    /// There is no such unit here.
    #[error("'{unit}' is no unit known here: write {}, such as {}", .wanted.words(), .wanted.example())]
    Unit {
        /// The unit as it was written.
        unit: String,
        /// What should have been there.
        wanted: Dimension,
    },
    /// The unit could be read two ways.
    #[error("the unit '{unit}' could be read two ways: {instead}")]
    Ambiguous {
        /// The unit as it was written.
        unit: String,
        /// How to write what is meant.
        instead: &'static str,
    },
    /// The measure is of another kind.
    #[error("'{text}' is {}; {} is wanted, such as {}", .found.words(), .wanted.words(), .wanted.example())]
    Dimension {
        /// The text as it was given.
        text: String,
        /// What it is.
        found: Dimension,
        /// What should have been there.
        wanted: Dimension,
    },
    /// Two units stand in one statement.
    #[error("'{text}' has two units: state each figure in one unit, or as two statements")]
    TwoUnits {
        /// The text as it was given.
        text: String,
    },
    /// The low end stands above the high end, or the target outside them.
    #[error("'{text}' goes the wrong way: the low figure comes first, and a target lies between")]
    Backwards {
        /// The text as it was given.
        text: String,
    },
    /// A range stands where a single value is wanted.
    #[error("'{text}' is more than one value: one is wanted, such as {}", .wanted.example())]
    NotOne {
        /// The text as it was given.
        text: String,
        /// What should have been there.
        wanted: Dimension,
    },
    /// The statement can't be read at all.
    #[error("'{text}' can't be read from '{rest}' on: write {}, such as {}", .wanted.words(), .wanted.example())]
    Rest {
        /// The text as it was given.
        text: String,
        /// The part that is not understood.
        rest: String,
        /// What should have been there.
        wanted: Dimension,
    },
    /// The value is finer than what it should be kept in, or too large.
    #[error("{text} can't be kept exactly in whole {base}: round it first")]
    Finer {
        /// The measure.
        text: String,
        /// The base unit.
        base: &'static str,
    },
    /// The value is too large or has too many digits to stay exact.
    #[error("'{text}' is too large or too fine to be computed exactly")]
    Size {
        /// The measure.
        text: String,
    },
}

impl MeasureError {
    /// Returns the code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NoNumber { .. } => "measure.no_number",
            Self::Number { .. } => "measure.number",
            Self::NoUnit { .. } => "measure.no_unit",
            Self::Unit { .. } => "measure.unit",
            Self::Ambiguous { .. } => "measure.ambiguous",
            Self::Dimension { .. } => "measure.dimension",
            Self::TwoUnits { .. } => "measure.two_units",
            Self::Backwards { .. } => "measure.backwards",
            Self::NotOne { .. } => "measure.not_one",
            Self::Rest { .. } => "measure.text",
            Self::Finer { .. } => "measure.finer",
            Self::Size { .. } => "measure.size",
        }
    }
}
