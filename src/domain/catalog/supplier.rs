use super::Closings;
use crate::units::Money;

/// Who sells parts to the shop, and how long that takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SupplierRecord {
    /// The shop's short code for the supplier, "TF".
    pub code: String,
    /// The supplier's name.
    pub name: String,
    /// Where purchase orders are sent.
    pub email: Option<String>,
    /// Days from order to delivery, on average.
    pub lead_days: u32,
    /// The standard deviation of those days, in tenths of a day.
    pub lead_sd_tenths: u32,
    /// The postal address, its lines parted by semicolons; `None` where a file says nothing of it,
    /// and what is known stays.
    pub address: Option<String>,
    /// What he asks of a whole order; `None` where a file says nothing of it, and what is known
    /// stays.
    pub terms: Option<SupplierTerms>,
}

/// What a supplier asks of a whole order, and what one order of his may cost and hold.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SupplierTerms {
    /// The least that an order must be worth.
    pub minimum_value: Money,
    /// What an order costs the shop whatever its size: writing, freight, counting.
    pub order_cost: Money,
    /// The most that one order may cost.
    pub budget: Option<Money>,
    /// The litres that one container holds.
    pub container_litres: Option<u32>,
    /// The kilograms that one container may weigh.
    pub container_kg: Option<u32>,
    /// The days on which he is closed.
    pub closed: Closings,
}
