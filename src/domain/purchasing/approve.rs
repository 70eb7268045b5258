use super::PurchasingError;
use crate::domain::people::Role;
use crate::units::Money;

/// All that decides whether somebody may approve an order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Approval {
    /// The role of who approves.
    pub role: Role,
    /// Whether they wrote or changed what they approve.
    pub own_work: bool,
    /// What the order comes to in the shop's currency; `None` where a price is in another one or
    /// the sum is too large to add up.
    pub value: Option<Money>,
    /// Above this the owner approves; `None` where the shop has set no limit.
    pub limit: Option<Money>,
    /// The least that the supplier takes an order for.
    pub minimum: Money,
    /// Whether the supplier takes this one all the same, by somebody's word.
    pub below_minimum_agreed: bool,
    /// How many lines it has.
    pub lines: usize,
}

/// Returns whether an order may be approved: by the owner always, by a buyer who did not write it up
/// to the limit.
///
/// # Errors
///
/// [`PurchasingError`], which says who may.
pub fn check_approval(it: &Approval) -> Result<(), PurchasingError> {
    if it.lines == 0 {
        return Err(PurchasingError::NoLines);
    }
    if let Some(value) = it.value
        && value < it.minimum
        && !it.below_minimum_agreed
    {
        return Err(PurchasingError::BelowMinimum { value, minimum: it.minimum });
    }
    if it.role == Role::Owner {
        return Ok(());
    }
    if it.own_work {
        return Err(PurchasingError::OwnWork);
    }
    match (it.value, it.limit) {
        (None, _) => Err(PurchasingError::ValueUnknown),
        (Some(value), Some(limit)) if limit < value => {
            Err(PurchasingError::AboveLimit { value, limit })
        }
        _ => Ok(()),
    }
}
