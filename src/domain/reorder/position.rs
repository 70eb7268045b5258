use crate::units::Quantity;

/// What is known of one variant's supply when the shop asks whether to order.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Position {
    /// Pieces in bins.
    pub on_hand: Quantity,
    /// Pieces that open kits still need, whether held for them or short.
    pub needed: Quantity,
    /// Pieces still to come on open purchase orders.
    pub on_order: Quantity,
    /// Order when the supply is at or below this.
    pub reorder_point: Quantity,
    /// The usual order.
    pub order_quantity: Quantity,
    /// The least that the supplier sells at once.
    pub minimum_order: Quantity,
    /// Pieces in one pack; orders are whole packs.
    pub pack: Quantity,
}

/// That a variant should be ordered, and how many.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Suggestion {
    /// On hand, less needed, plus on order; below zero if promises outrun supply.
    pub supply: Quantity,
    /// How many pieces to order: whole packs, not below the supplier's minimum.
    pub quantity: Quantity,
}

impl Position {
    /// Returns what is left for new demand: on hand, less needed, plus on order.
    ///
    /// # Source
    ///
    /// The inventory position of Silver, Pyke & Thomas, *Inventory and Production Management in
    /// Supply Chains*, 4th ed., §6.2: on hand + on order - backordered - committed.
    pub const fn supply(&self) -> Quantity {
        self.on_hand.less(self.needed).plus(self.on_order)
    }
}

/// Returns what to order, or `None` while the supply stands above the reorder point.
///
/// The order brings the supply above the reorder point again and is never less than the usual
/// order or the supplier's minimum, then rounded up to whole packs.
pub fn suggest(position: &Position) -> Option<Suggestion> {
    let supply = position.supply();
    if position.reorder_point < supply
        || position.reorder_point == Quantity::ZERO && Quantity::ZERO <= supply
    {
        return None;
    }
    let lacking = position.reorder_point.less(supply).plus(Quantity::ONE);
    let quantity =
        lacking.max(position.order_quantity).max(position.minimum_order).in_packs_of(position.pack);
    Some(Suggestion { supply, quantity })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(on_hand: i64, expected: Option<i64>) {
        let position = Position {
            on_hand: Quantity::new(on_hand),
            needed: Quantity::new(40),
            on_order: Quantity::new(0),
            reorder_point: Quantity::new(1438),
            order_quantity: Quantity::new(0),
            minimum_order: Quantity::new(1000),
            pack: Quantity::new(200),
        };
        let quantity = suggest(&position).map(|it| it.quantity.pieces());
        assert_eq!(quantity, expected, "{on_hand} on hand");
    }

    #[test]
    fn orders_at_the_reorder_point_and_below_in_packs_and_not_under_the_minimum() {
        check(1479, None);
        check(1478, Some(1000));
        check(480, Some(1000));
        check(478, Some(1200));
        check(0, Some(1600));
    }
}
