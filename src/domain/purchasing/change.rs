use super::{LineProgress, PurchasingError, UnitPrice};
use crate::units::Quantity;

/// What a line is to become.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Edit {
    /// Pieces ordered.
    pub quantity: Quantity,
    /// What they cost.
    pub price: UnitPrice,
}

/// Returns whether so many pieces may be ordered: whole packs, and not below the supplier's minimum.
///
/// # Errors
///
/// [`PurchasingError`], which says how many may.
pub fn check_quantity(
    part_number: &str,
    quantity: Quantity,
    (pack, minimum): (Quantity, Quantity),
) -> Result<(), PurchasingError> {
    let part_number = part_number.to_owned();
    let wanted = if quantity < minimum { minimum } else { quantity }.in_packs_of(pack);
    if !quantity.is_some() {
        return Err(PurchasingError::NoPieces { part_number });
    }
    if Quantity::MOST < quantity {
        return Err(PurchasingError::TooMany { part_number });
    }
    if quantity.in_packs_of(pack) != quantity {
        return Err(PurchasingError::NoWholePacks { part_number, quantity, pack, wanted });
    }
    if quantity < minimum {
        return Err(PurchasingError::BelowLeast { part_number, quantity, wanted });
    }
    Ok(())
}

/// Returns whether a line may be changed so: what has come stays as it was ordered, at its price.
///
/// # Errors
///
/// [`PurchasingError`], which says what has come.
pub fn check_edit(
    part_number: &str,
    line: &LineProgress,
    old: UnitPrice,
    new: &Edit,
) -> Result<(), PurchasingError> {
    let (part_number, received) = (part_number.to_owned(), line.received);
    if line.closed {
        return Err(PurchasingError::LineClosed { part_number });
    }
    if new.quantity < received {
        return Err(PurchasingError::HasCome { part_number, received, quantity: new.quantity });
    }
    if received.is_some() && old != new.price {
        return Err(PurchasingError::PriceHasCome { part_number, received });
    }
    Ok(())
}
