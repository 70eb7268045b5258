use crate::units::Quantity;

/// What whoever opens the box says of one line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// All pieces are here and whole.
    Here,
    /// Some pieces are missing.
    Missing,
    /// Some pieces are damaged.
    Damaged,
}

/// Why a report can't be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReportError {
    /// More pieces than the line has, or none.
    #[error("the box should hold {quantity} of these: enter from 1 to {quantity}, not {reported}")]
    Quantity {
        /// Pieces that the box should hold.
        quantity: Quantity,
        /// Pieces reported.
        reported: Quantity,
    },
    /// The note is too long.
    #[error("the note has {length} characters: shorten it to 1000")]
    LongNote {
        /// Its length.
        length: usize,
    },
    /// The line is not in this box.
    #[error("this part is not in the box: scan the code on the packing list again")]
    NotInBox,
}

impl Outcome {
    /// Returns the word under which it is stored and sent.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Here => "here",
            Self::Missing => "missing",
            Self::Damaged => "damaged",
        }
    }

    /// Returns the outcome of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::Here, Self::Missing, Self::Damaged].into_iter().find(|it| it.as_str() == word)
    }
}

impl ReportError {
    /// Returns the error's code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Quantity { .. } => "report.quantity",
            Self::LongNote { .. } => "report.long_note",
            Self::NotInBox => "report.not_in_box",
        }
    }
}

/// Checks a report against what the box should hold, and returns its quantity: all pieces where
/// they are here, and those missing or damaged otherwise.
///
/// # Errors
///
/// [`ReportError::Quantity`] and [`ReportError::LongNote`].
pub fn check_report(
    outcome: Outcome,
    quantity: Quantity,
    reported: Option<Quantity>,
    note: &str,
) -> Result<Quantity, ReportError> {
    let length = note.chars().count();
    if 1000 < length {
        return Err(ReportError::LongNote { length });
    }
    let reported = match outcome {
        Outcome::Here => quantity,
        Outcome::Missing | Outcome::Damaged => reported.unwrap_or(quantity),
    };
    if !reported.is_some() || quantity < reported {
        return Err(ReportError::Quantity { quantity, reported });
    }
    Ok(reported)
}
