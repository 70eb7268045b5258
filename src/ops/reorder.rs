//! The buying desk: what to order today of each supplier, how many, and why.

mod classes;
mod desk;
mod judge;
mod order;
mod part;
mod releases;
mod season;

pub use classes::{ClassView, ClassesView, RankedView, classes};
pub use desk::{Desk, SuggestionView, SupplierDesk, desk};
pub use order::{MadePurchaseOrders, OrderPart, PutOff, PuttingOff, order, put_off};
pub use part::{MonthAhead, MonthUsed, OverruleView, PartNumbers, TriedMethod, part};
pub use releases::{Release, Releases, releases};
#[cfg(test)]
pub(crate) use season::habit;
pub use season::{SeasonRow, SeasonView, Sums, invented, past};
