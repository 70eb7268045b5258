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
}
