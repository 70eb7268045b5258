use crate::units::{Money, Quantity};

/// Why a purchase order can't be written, approved, sent or changed so.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PurchasingError {
    /// There is nothing to approve.
    #[error("it has no lines: put parts on it first, or cancel it")]
    NoLines,
    /// The supplier takes no order as small as this one.
    #[error(
        "it comes to {value}, and the supplier takes orders from {minimum} on: order more, or say \
         that they take it all the same"
    )]
    BelowMinimum {
        /// What it comes to.
        value: Money,
        /// The least that the supplier takes.
        minimum: Money,
    },
    /// Nobody approves what they wrote themselves.
    #[error("who wrote or changed it does not approve it: ask another buyer or the owner")]
    OwnWork,
    /// The owner approves what is dear.
    #[error("it comes to {value}, and above {limit} the owner approves: ask the owner")]
    AboveLimit {
        /// What it comes to.
        value: Money,
        /// What a buyer may approve.
        limit: Money,
    },
    /// What it comes to is not known in the shop's money.
    #[error("a price is not in the shop's currency, so that no limit can be held: ask the owner")]
    ValueUnknown,
    /// Nothing is ordered.
    #[error("{part_number}: order 1 piece or more")]
    NoPieces {
        /// The part number.
        part_number: String,
    },
    /// More than a line can hold.
    #[error("{part_number}: a line holds {} pieces at most", Quantity::MOST)]
    TooMany {
        /// The part number.
        part_number: String,
    },
    /// The supplier sells whole packs.
    #[error("{part_number}: {quantity} is no whole number of packs of {pack}: order {wanted}")]
    NoWholePacks {
        /// The part number.
        part_number: String,
        /// What was asked for.
        quantity: Quantity,
        /// Pieces in a pack.
        pack: Quantity,
        /// The next that may be ordered.
        wanted: Quantity,
    },
    /// The supplier sells no fewer.
    #[error("{part_number}: {quantity} is below what the supplier sells at once: order {wanted}")]
    BelowLeast {
        /// The part number.
        part_number: String,
        /// What was asked for.
        quantity: Quantity,
        /// The least that may be ordered.
        wanted: Quantity,
    },
    /// The line is closed.
    #[error("{part_number}: the line is closed: open it again, or order on a new line")]
    LineClosed {
        /// The part number.
        part_number: String,
    },
    /// More has come than is to be ordered.
    #[error("{part_number}: {received} have come: order {received} or more, not {quantity}")]
    HasCome {
        /// The part number.
        part_number: String,
        /// Pieces that have come.
        received: Quantity,
        /// Pieces that were to be ordered.
        quantity: Quantity,
    },
    /// What has come was bought at its price.
    #[error(
        "{part_number}: {received} have come at the old price: close the line and order the rest \
         on a new one"
    )]
    PriceHasCome {
        /// The part number.
        part_number: String,
        /// Pieces that have come.
        received: Quantity,
    },
}

impl PurchasingError {
    /// Returns the error's code, which never changes once released.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NoLines => "purchasing.no_lines",
            Self::BelowMinimum { .. } => "purchasing.below_minimum",
            Self::OwnWork => "purchasing.own_work",
            Self::AboveLimit { .. } => "purchasing.above_limit",
            Self::ValueUnknown => "purchasing.value_unknown",
            Self::NoPieces { .. } => "purchasing.no_pieces",
            Self::TooMany { .. } => "purchasing.too_many",
            Self::NoWholePacks { .. } => "purchasing.no_whole_packs",
            Self::BelowLeast { .. } => "purchasing.below_least",
            Self::LineClosed { .. } => "purchasing.line_closed",
            Self::HasCome { .. } => "purchasing.has_come",
            Self::PriceHasCome { .. } => "purchasing.price_has_come",
        }
    }
}
