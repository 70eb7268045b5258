use crate::domain::ids::{LotId, PlaceId, SerialId, VariantId};
use crate::units::Quantity;

/// What moves: a variant, with its lot or serial number where it is tracked by one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Item {
    /// The variant.
    pub variant: VariantId,
    /// Its lot, if it is tracked by lot.
    pub lot: Option<LotId>,
    /// Its serial number, if it is tracked by serial.
    pub serial: Option<SerialId>,
}

/// What one place holds of one item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Holding {
    /// The item.
    pub item: Item,
    /// The place.
    pub place: PlaceId,
}

/// A number of pieces going from one place to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Movement {
    item: Item,
    quantity: Quantity,
    from: PlaceId,
    to: PlaceId,
}

/// Why stock can't move as asked.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StockError {
    /// From and to are one place.
    #[error("a movement needs two different places")]
    SamePlace,
    /// Nothing would move.
    #[error("a movement needs at least one piece")]
    NoPieces,
    /// A serial number is one piece.
    #[error("a serial number is one piece, and {asked} were asked for")]
    SerialIsOne {
        /// The quantity asked for.
        asked: Quantity,
    },
    /// A serial number that would come in is in the house already.
    #[error("{part_number}: serial number {serial} lies in {place} already: read the piece again")]
    SerialInHouse {
        /// The part number.
        part_number: String,
        /// The serial number.
        serial: String,
        /// The code of the place that holds it.
        place: String,
    },
    /// The place does not hold that many.
    #[error("{part_number}: {asked} were asked for, and {place} holds {on_hand}")]
    NotEnough {
        /// The part number.
        part_number: String,
        /// The place's code.
        place: String,
        /// The quantity asked for.
        asked: Quantity,
        /// What the place holds.
        on_hand: Quantity,
    },
    /// A movement that reverses another is not reversed; nor is one reversed twice.
    #[error("movement {movement} is reversed already, or reverses another: post a new movement")]
    Reversed {
        /// The movement's number.
        movement: i64,
    },
    /// A movement of a kit's pieces is undone on the kit's own page.
    #[error("movement {movement} belongs to kit {kit}: put the pieces back on the kit's page")]
    BelongsToKit {
        /// The movement's number.
        movement: i64,
        /// The kit's number.
        kit: String,
    },
}

impl StockError {
    /// Returns the error's code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::SamePlace => "stock.same_place",
            Self::NoPieces => "stock.no_pieces",
            Self::SerialIsOne { .. } => "stock.serial_is_one",
            Self::SerialInHouse { .. } => "stock.serial_in_house",
            Self::NotEnough { .. } => "stock.not_enough",
            Self::Reversed { .. } => "stock.reversed",
            Self::BelongsToKit { .. } => "stock.belongs_to_kit",
        }
    }
}

impl Movement {
    /// Returns the movement of `quantity` pieces of `item`.
    ///
    /// # Errors
    ///
    /// [`StockError::SamePlace`], [`StockError::NoPieces`] or [`StockError::SerialIsOne`].
    pub fn new(
        item: Item,
        quantity: Quantity,
        from: PlaceId,
        to: PlaceId,
    ) -> Result<Self, StockError> {
        if from == to {
            return Err(StockError::SamePlace);
        }
        if !quantity.is_some() {
            return Err(StockError::NoPieces);
        }
        if item.serial.is_some() && quantity != Quantity::ONE {
            return Err(StockError::SerialIsOne { asked: quantity });
        }
        Ok(Self { item, quantity, from, to })
    }

    /// Returns what moves.
    pub const fn item(&self) -> Item {
        self.item
    }

    /// Returns how many pieces move; at least one.
    pub const fn quantity(&self) -> Quantity {
        self.quantity
    }

    /// Returns where the pieces leave.
    pub const fn from(&self) -> PlaceId {
        self.from
    }

    /// Returns where the pieces arrive.
    pub const fn to(&self) -> PlaceId {
        self.to
    }

    /// Returns the movement that undoes this one.
    pub const fn reversed(&self) -> Self {
        Self { item: self.item, quantity: self.quantity, from: self.to, to: self.from }
    }
}
