//! The buying desk: what to order today of each supplier, how many, and why.

mod cards;
mod classes;
mod desk;
mod judge;
mod order;
mod outlook;
mod part;
mod releases;
mod runway;
mod season;
mod short;
mod spend;
mod tell;
mod wall;

pub use cards::{AGAIN_MINUTES, CardOrder, CardScanView, scan_card};
pub use classes::{ClassView, ClassesView, RankedView, classes};
pub use desk::{Desk, SuggestionView, SupplierDesk, desk};
pub use order::{MadePurchaseOrders, OrderPart, PutOff, PuttingOff, order, put_off};
pub use part::{MonthAhead, MonthUsed, OverruleView, PartNumbers, TriedMethod, part};
pub use releases::{Release, Releases, releases};
pub use runway::{ArrivalView, RunwayView, RunwayWeek, runway};
#[cfg(test)]
pub(crate) use season::habit;
pub use season::{SeasonRow, SeasonView, Sums, invented, past};
pub use short::{ShortPart, ShortWeek, Shortages, shortages};
pub use spend::{DeadPart, DeadStock, Spend, SupplierSpend, dead_stock, spend};
pub use tell::{is_any_bin_to_tell, tell_of_bins};
pub use wall::{Wall, WallBin, ZoneChoice, wall};
