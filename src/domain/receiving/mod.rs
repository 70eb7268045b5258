//! Goods-in: what a delivery means for its purchase order.

mod delivery;

pub use delivery::{Delivered, Difference, ReceivingError, check_delivery};
