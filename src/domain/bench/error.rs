use chrono::NaiveDate;

use crate::units::Quantity;

/// Why pieces can't be made or taken apart as asked.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BenchError {
    /// No piece was asked for.
    #[error("pieces: enter 1 or more")]
    NoPieces,
    /// No bill makes the part.
    #[error("{part_number} is not made here: no bill of materials makes it")]
    NotMadeHere {
        /// The part number.
        part_number: String,
    },
    /// The bill has no lines.
    #[error("bill {bill} has no lines: import them first")]
    EmptyBill {
        /// The bill's code.
        bill: String,
    },
    /// The bill does not say which serial number the made piece takes over.
    #[error(
        "bill {bill} makes pieces with serial numbers: it needs exactly one part with a serial \
         number, one of it in each piece, whose number is carried over"
    )]
    NoSerialToCarry {
        /// The bill's code.
        bill: String,
    },
    /// A part with a serial number would vanish in a lot.
    #[error(
        "bill {bill} puts {part_number}, which has serial numbers, into a part that is not told \
         apart by them: track what it makes by serial number"
    )]
    SerialInLot {
        /// The bill's code.
        bill: String,
        /// The part number.
        part_number: String,
    },
    /// Stock does not reach.
    #[error("parts for {possible} of {pieces}: {lacks}")]
    Short {
        /// How many can be made.
        possible: Quantity,
        /// How many were asked for.
        pieces: Quantity,
        /// What is missing, in words.
        lacks: String,
    },
    /// What was taken does not fit the bill.
    #[error("{part_number}: {wanted} go into the run, and {taken} were taken")]
    WrongTake {
        /// The part number.
        part_number: String,
        /// What the bill asks for.
        wanted: Quantity,
        /// What was taken.
        taken: Quantity,
    },
    /// The bin does not have that many to give.
    #[error(
        "{part_number}: {asked} were taken from one bin and lot, and {free} are free there: the \
         rest is held for kits or was taken meanwhile, so load the page again"
    )]
    NotFree {
        /// The part number.
        part_number: String,
        /// What was taken.
        asked: Quantity,
        /// What is free.
        free: Quantity,
    },
    /// The lot must no longer be used.
    #[error("{part_number}: the lot was to be used by {use_by}: take another, and scrap this one")]
    PastItsDay {
        /// The part number.
        part_number: String,
        /// Its last day of use.
        use_by: NaiveDate,
    },
    /// A part that does not go in was named.
    #[error("{part_number} is not a part of this run: check the number")]
    NotInRun {
        /// The part number.
        part_number: String,
    },
    /// More would be taken apart than there is.
    #[error("{asked} were to be taken apart, and {left} of the run {made} are left to take apart")]
    TooMany {
        /// What was asked for.
        asked: Quantity,
        /// How many of the run are not taken apart yet.
        left: Quantity,
        /// How many the run made.
        made: Quantity,
    },
    /// The run drew several lots of a part, and nobody said which come back.
    #[error(
        "{part_number}: the run drew from several lots: say how many come back of each, {lots}"
    )]
    WhichLot {
        /// The part number.
        part_number: String,
        /// The lots with what each can give back.
        lots: String,
    },
    /// What comes back is not what went in.
    #[error("{part_number}: {wanted} come out of the pieces, and {said} were entered")]
    WrongBack {
        /// The part number.
        part_number: String,
        /// What comes out.
        wanted: Quantity,
        /// What was entered.
        said: Quantity,
    },
    /// More of a lot comes back than the run still holds.
    #[error(
        "{part_number}: {said} of lot {lot} were entered, and the run still holds {left} of it"
    )]
    LotUsedUp {
        /// The part number.
        part_number: String,
        /// The lot's code.
        lot: String,
        /// What was entered.
        said: Quantity,
        /// What the run still holds.
        left: Quantity,
    },
    /// The serial numbers don't match the pieces.
    #[error("{pieces} pieces, and {serials} serial numbers: scan each piece's serial number")]
    SerialCount {
        /// How many pieces.
        pieces: Quantity,
        /// How many serial numbers.
        serials: Quantity,
    },
    /// One serial number stands twice.
    #[error("serial number {serial} was entered twice")]
    SerialTwice {
        /// The serial number.
        serial: String,
    },
    /// The serial number can't be used.
    #[error("{part_number}: serial number {serial} {why}")]
    Serial {
        /// The part number.
        part_number: String,
        /// The serial number.
        serial: String,
        /// How it stands and what to do.
        why: String,
    },
    /// A lost part needs its reason.
    #[error("{part_number}: write down how the pieces were lost")]
    LostNeedsReason {
        /// The part number.
        part_number: String,
    },
    /// A movement of a run is undone by taking its pieces apart.
    #[error("movement {movement} belongs to run {run}: take the pieces apart on the run's page")]
    BelongsToRun {
        /// The movement's number.
        movement: i64,
        /// The run's number.
        run: String,
    },
}

impl BenchError {
    /// Returns the error's code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NoPieces => "bench.no_pieces",
            Self::NotMadeHere { .. } => "bench.not_made_here",
            Self::EmptyBill { .. } => "bench.empty_bill",
            Self::NoSerialToCarry { .. } => "bench.no_serial_to_carry",
            Self::SerialInLot { .. } => "bench.serial_in_lot",
            Self::Short { .. } => "bench.short",
            Self::WrongTake { .. } => "bench.wrong_take",
            Self::NotFree { .. } => "bench.not_free",
            Self::PastItsDay { .. } => "bench.past_its_day",
            Self::NotInRun { .. } => "bench.not_in_run",
            Self::TooMany { .. } => "bench.too_many",
            Self::WhichLot { .. } => "bench.which_lot",
            Self::WrongBack { .. } => "bench.wrong_back",
            Self::LotUsedUp { .. } => "bench.lot_used_up",
            Self::SerialCount { .. } => "bench.serial_count",
            Self::SerialTwice { .. } => "bench.serial_twice",
            Self::Serial { .. } => "bench.serial",
            Self::LostNeedsReason { .. } => "bench.lost_needs_reason",
            Self::BelongsToRun { .. } => "bench.belongs_to_run",
        }
    }

    /// Returns whether things stand otherwise than asked, rather than the asking being wrong.
    pub const fn is_conflict(&self) -> bool {
        matches!(
            self,
            Self::Short { .. }
                | Self::NotFree { .. }
                | Self::TooMany { .. }
                | Self::Serial { .. }
                | Self::BelongsToRun { .. }
        )
    }
}
