//! What leaves the house with the stock there is: holding it for kit lines, the best set of whole
//! orders, the parts that hold most orders back, and the earliest promise for a new one.

mod best;
mod hold;
mod order;
mod promise;
mod relief;
mod strict;

#[cfg(test)]
mod tests;

pub use best::{AtMost, Best, best_plan};
pub use hold::{Allocation, Free, Reservation, Shortage, Want, allocate};
pub use order::{OpenOrder, Plan, Pool, Way};
pub use promise::{Claim, Promise, PromisePart, Source, Supply, earliest, standing};
pub use relief::{More, Relief, relief};
pub use strict::{Lacking, buildable, lacking, promise_order};
