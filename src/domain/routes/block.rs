/// A block of parallel aisles between two cross aisles, front and back. A round begins and ends at
/// the front of one of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Block {
    /// How many aisles there are, numbered from 0.
    pub aisles: usize,
    /// From the middle of an aisle to the middle of the next, in mm.
    pub between_mm: i64,
    /// From the front cross aisle to the back one, in mm.
    pub long_mm: i64,
    /// The aisle at whose front the round begins.
    pub door: usize,
}

/// Where something lies in a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Spot {
    /// The aisle.
    pub aisle: usize,
    /// How far it lies from the front cross aisle, in mm.
    pub at_mm: i64,
}

/// Why no round can be computed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RouteError {
    /// A length or a number of aisles that no house has.
    #[error("{what} is {value}: it must lie between {least} and {most}")]
    Range {
        /// What it is, in words.
        what: &'static str,
        /// The number.
        value: i64,
        /// The least it may be.
        least: i64,
        /// The most it may be.
        most: i64,
    },
    /// A kit that no cart takes.
    #[error("load {load} is too large for the cart by itself: {why}")]
    TooLarge {
        /// The load's place in the list.
        load: usize,
        /// What it has too much of.
        why: &'static str,
    },
}

impl RouteError {
    /// Returns the code that tells a program what is wrong.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Range { .. } => "routes.range",
            Self::TooLarge { .. } => "routes.too_large",
        }
    }
}

/// A kilometre, in mm.
const MOST_MM: i64 = 1_000_000;

const MOST_AISLES: i64 = 1_000;

pub(super) fn between(
    what: &'static str,
    value: i64,
    least: i64,
    most: i64,
) -> Result<(), RouteError> {
    if (least..=most).contains(&value) {
        return Ok(());
    }
    Err(RouteError::Range { what, value, least, most })
}

fn whole(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

impl Block {
    /// Returns how far it is from one spot to another.
    pub fn apart(&self, a: Spot, b: Spot) -> i64 {
        if a.aisle == b.aisle {
            return (a.at_mm - b.at_mm).abs();
        }
        let along = a.at_mm + b.at_mm;
        let across = self.between_mm * whole(a.aisle.abs_diff(b.aisle));
        across + along.min(2 * self.long_mm - along)
    }

    /// Returns where a round begins and ends.
    pub const fn start(&self) -> Spot {
        Spot { aisle: self.door, at_mm: 0 }
    }

    pub(super) fn check(&self, spots: &[Spot]) -> Result<(), RouteError> {
        between("the number of aisles", whole(self.aisles), 1, MOST_AISLES)?;
        between("the way between aisles in mm", self.between_mm, 0, MOST_MM)?;
        between("the length of an aisle in mm", self.long_mm, 0, MOST_MM)?;
        let last = whole(self.aisles) - 1;
        between("the aisle of the door", whole(self.door), 0, last)?;
        for it in spots {
            between("an aisle", whole(it.aisle), 0, last)?;
            between("a place in an aisle in mm", it.at_mm, 0, self.long_mm)?;
        }
        Ok(())
    }
}
