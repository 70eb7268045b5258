use serde::Deserialize;
use serde_json::{Value, json};

use crate::domain::reorder::{Position, suggest};
use crate::units::Quantity;

use super::{Fault, line};

/// What is known of a part's supply, in pieces.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct PositionLine {
    /// In bins.
    on_hand: Quantity,
    /// Still needed by open kits.
    #[serde(default)]
    needed: Quantity,
    /// Still to come.
    #[serde(default)]
    on_order: Quantity,
    /// Order at or below this.
    reorder_point: Quantity,
    /// The usual order.
    #[serde(default)]
    order_quantity: Quantity,
    /// The least that the supplier sells at once.
    #[serde(default)]
    minimum_order: Quantity,
    /// Pieces in one pack.
    #[serde(default = "one")]
    pack: Quantity,
}

const fn one() -> Quantity {
    Quantity::ONE
}

pub(super) fn suggestion(value: Value) -> Result<Value, Fault> {
    let it: PositionLine = line(value)?;
    let fields = [it.on_hand, it.needed, it.on_order, it.reorder_point, it.order_quantity];
    let least = fields.into_iter().chain([it.minimum_order, it.pack]).min();
    if least.is_some_and(|it| it < Quantity::ZERO) {
        return Err(Fault::new("reorder.negative", "no quantity may be below zero"));
    }
    let position = Position {
        on_hand: it.on_hand,
        needed: it.needed,
        on_order: it.on_order,
        reorder_point: it.reorder_point,
        order_quantity: it.order_quantity,
        minimum_order: it.minimum_order,
        pack: it.pack,
    };
    let supply = position.supply();
    Ok(match suggest(&position) {
        Some(it) => json!({ "order": true, "quantity": it.quantity, "supply": supply }),
        None => json!({ "order": false, "supply": supply }),
    })
}
