use std::fmt;

use chrono::NaiveDate;

use crate::domain::catalog::Tracking;
use crate::units::Quantity;

/// What was counted of one purchase order line.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Delivered {
    /// Good pieces, which go to their bin.
    pub good: Quantity,
    /// Damaged pieces, which go to quarantine.
    pub damaged: Quantity,
    /// The supplier's lot; empty where the part is not tracked by lot.
    pub lot: String,
    /// Serial numbers, good ones first, then damaged ones.
    pub serials: Vec<String>,
    /// What the receiver has to say.
    pub note: String,
    /// Whether the rest of the line will not come.
    pub close: bool,
}

/// How a delivery differs from what was still to come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Difference {
    /// Just what was open.
    Exact,
    /// That many less: they stay open.
    Short(Quantity),
    /// That many more.
    Over(Quantity),
}

impl fmt::Display for Difference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Exact => f.write_str("complete"),
            Self::Short(missing) => write!(f, "short by {missing}"),
            Self::Over(more) => write!(f, "over by {more}"),
        }
    }
}

/// Why a delivery can't be booked.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReceivingError {
    /// The supplier does not have the order, or it was called off.
    #[error(
        "purchase order {order} is not with its supplier: have it approved and note that it was \
         sent, or book what came on the order that brought it"
    )]
    NotSent {
        /// The purchase order's number.
        order: String,
    },
    /// Nothing was counted.
    #[error("{part_number}: enter how many pieces came, good or damaged")]
    Nothing {
        /// The part number.
        part_number: String,
    },
    /// The line is to be closed with nothing delivered, and nobody said why.
    #[error("{part_number}: write in the note why the rest will not come")]
    CloseNeedsNote {
        /// The part number.
        part_number: String,
    },
    /// The line is closed or full, and nothing was said about it.
    #[error(
        "{part_number}: {over} more than was ordered: write in the note who agreed to keep them"
    )]
    OverNeedsNote {
        /// The part number.
        part_number: String,
        /// How many more than was still to come.
        over: Quantity,
    },
    /// The part is tracked by lot.
    #[error("{part_number} is tracked by lot: enter the lot on the supplier's label")]
    NoLot {
        /// The part number.
        part_number: String,
    },
    /// The part is tracked by serial number, and the numbers don't match the pieces.
    #[error("{part_number} is tracked by serial number: {pieces} came, and {serials} were entered")]
    SerialCount {
        /// The part number.
        part_number: String,
        /// Pieces counted.
        pieces: Quantity,
        /// Serial numbers entered.
        serials: usize,
    },
    /// One serial number stands twice.
    #[error("{part_number}: serial number {serial} was entered twice")]
    SerialTwice {
        /// The part number.
        part_number: String,
        /// The serial number.
        serial: String,
    },
    /// The shop knows the serial number already.
    #[error("{part_number}: serial number {serial} was received before: read the piece again")]
    SerialKnown {
        /// The part number.
        part_number: String,
        /// The serial number.
        serial: String,
    },
    /// The lot is past its last day of use.
    #[error("{part_number}: {use_by} is past: send the pieces back, or enter the right day")]
    PastItsDay {
        /// The part number.
        part_number: String,
        /// The last day of use that was entered.
        use_by: NaiveDate,
    },
    /// The part has no bin to go to.
    #[error("{part_number} has no bin: enter the bin that it goes to")]
    NoBin {
        /// The part number.
        part_number: String,
    },
}

impl ReceivingError {
    /// Returns the error's code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NotSent { .. } => "receiving.not_sent",
            Self::Nothing { .. } => "receiving.nothing",
            Self::CloseNeedsNote { .. } => "receiving.close_needs_note",
            Self::OverNeedsNote { .. } => "receiving.over_needs_note",
            Self::NoLot { .. } => "receiving.no_lot",
            Self::SerialCount { .. } => "receiving.serial_count",
            Self::SerialTwice { .. } => "receiving.serial_twice",
            Self::SerialKnown { .. } => "receiving.serial_known",
            Self::PastItsDay { .. } => "receiving.past_its_day",
            Self::NoBin { .. } => "receiving.no_bin",
        }
    }
}

/// Checks what was counted against what is still to come, and returns how they differ.
///
/// Up to 5 % over is booked as counted; more needs a note (common practice, no source). Damaged
/// pieces count as delivered, since they are claimed from the supplier, not waited for.
///
/// # Errors
///
/// [`ReceivingError`], which says what to enter.
pub fn check_delivery(
    part_number: &str,
    tracking: Tracking,
    open: Quantity,
    delivered: &Delivered,
) -> Result<Difference, ReceivingError> {
    let part_number = part_number.to_owned();
    let pieces = delivered.good.plus(delivered.damaged);
    let silent = delivered.note.trim().is_empty();
    match (pieces.is_some(), delivered.close) {
        (true, _) => {}
        (false, true) if !silent => return Ok(Difference::Short(open)),
        (false, true) => return Err(ReceivingError::CloseNeedsNote { part_number }),
        (false, false) => return Err(ReceivingError::Nothing { part_number }),
    }
    match tracking {
        Tracking::Lot if delivered.lot.trim().is_empty() => {
            return Err(ReceivingError::NoLot { part_number });
        }
        Tracking::Serial => check_serials(part_number.clone(), pieces, &delivered.serials)?,
        Tracking::Lot | Tracking::None => {}
    }
    let over = pieces.less(open);
    let allowed = Quantity::new(open.pieces() / 20);
    if allowed < over && silent {
        return Err(ReceivingError::OverNeedsNote { part_number, over });
    }
    Ok(match over.pieces() {
        0 => Difference::Exact,
        more if 0 < more => Difference::Over(over),
        _ => Difference::Short(open.less(pieces)),
    })
}

fn check_serials(
    part_number: String,
    pieces: Quantity,
    serials: &[String],
) -> Result<(), ReceivingError> {
    let count = i64::try_from(serials.len()).unwrap_or(i64::MAX);
    if Quantity::new(count) != pieces {
        return Err(ReceivingError::SerialCount { part_number, pieces, serials: serials.len() });
    }
    let mut seen = std::collections::BTreeSet::new();
    match serials.iter().find(|serial| !seen.insert(serial.as_str())) {
        Some(serial) => Err(ReceivingError::SerialTwice { part_number, serial: serial.clone() }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(open: i64, good: i64, damaged: i64, note: &str, expected: &str) {
        let delivered = Delivered {
            good: Quantity::new(good),
            damaged: Quantity::new(damaged),
            note: note.to_owned(),
            ..Delivered::default()
        };
        let answer = match check_delivery("SK1074", Tracking::None, Quantity::new(open), &delivered)
        {
            Ok(difference) => difference.to_string(),
            Err(fault) => fault.to_string(),
        };
        assert_eq!(answer, expected);
    }

    #[test]
    fn says_how_a_delivery_differs() {
        check(1000, 1000, 0, "", "complete");
        check(1000, 800, 0, "", "short by 200");
        check(1000, 990, 10, "", "complete");
        check(1000, 1050, 0, "", "over by 50");
        check(
            1000,
            1051,
            0,
            "",
            "SK1074: 51 more than was ordered: write in the note who agreed to keep them",
        );
        check(1000, 1051, 0, "agreed by the buyer", "over by 51");
        check(1000, 0, 0, "", "SK1074: enter how many pieces came, good or damaged");
    }
}
