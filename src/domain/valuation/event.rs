use chrono::NaiveDate;

use crate::domain::ids::{MovementId, VariantId};
use crate::units::{Money, Quantity};

/// How what leaves is valued.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// At the average of what lies there at that moment.
    Average,
    /// At the cost of what came first.
    Fifo,
}

impl Method {
    /// Both methods.
    pub const ALL: [Self; 2] = [Self::Average, Self::Fifo];

    /// Returns the method's word.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Average => "average",
            Self::Fifo => "fifo",
        }
    }

    /// Returns the method in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Average => "moving average",
            Self::Fifo => "first in, first out",
        }
    }

    /// Returns the method of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|it| it.as_str() == word)
    }
}

/// Where pieces come from or go to that cross the door of the house.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outside {
    /// A supplier.
    Supplier,
    /// A rider or dealer.
    Rider,
    /// Thrown away.
    Scrap,
    /// What a count found more or less than the book said, and the opening stock.
    Count,
}

/// Pieces of one movement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Piece {
    /// The movement.
    pub movement: MovementId,
    /// The variant.
    pub variant: VariantId,
    /// How many.
    pub quantity: Quantity,
}

/// Something that changes what the stock is worth. Movements from one place of the house to another
/// are none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    /// Pieces came in.
    In {
        /// Which.
        piece: Piece,
        /// From where.
        from: Outside,
        /// What they cost together, where that is known.
        cost: Option<Money>,
        /// The movement out that is undone by it.
        reverses: Option<MovementId>,
    },
    /// Pieces went out.
    Out {
        /// Which.
        piece: Piece,
        /// Where to.
        to: Outside,
        /// The movement in that is undone by it.
        reverses: Option<MovementId>,
    },
    /// A run used parts up and made pieces of them, which carry what the parts cost.
    Make {
        /// The run.
        run: i64,
        /// What was used up.
        used: Vec<Piece>,
        /// What was made.
        made: Vec<Piece>,
    },
    /// Pieces of a run were taken apart, and their parts carry what the pieces cost.
    Apart {
        /// The run.
        run: i64,
        /// What was taken apart.
        taken: Vec<Piece>,
        /// Parts that came back.
        back: Vec<Piece>,
        /// Parts that were thrown away.
        scrapped: Vec<Piece>,
    },
    /// A charge on pieces that came in by that movement: freight, duty, a bill that differs.
    Charge {
        /// The movement.
        movement: MovementId,
        /// How much; below zero for a credit.
        amount: Money,
    },
}

/// An event with its day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dated {
    /// The day.
    pub day: NaiveDate,
    /// What happened.
    pub event: Event,
}
