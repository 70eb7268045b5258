//! Orders: what stock is held for which, which can leave, what is short, and what is on its way.

mod allocate;
mod cover;

pub use allocate::{
    Allocation, AtMost, Best, Claim, Free, Lacking, More, OpenOrder, Plan, Pool, Promise,
    PromisePart, Relief, Reservation, Shortage, Source, Supply, Want, Way, allocate, best_plan,
    buildable, earliest, lacking, promise_order, relief, standing,
};
pub use cover::{Cover, Delivery, Incoming, cover, cover_after};
