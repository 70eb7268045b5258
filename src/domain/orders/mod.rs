//! Orders: what stock is held for which, what is short, and what is on its way.

mod allocate;
mod cover;

pub use allocate::{Allocation, Free, Reservation, Shortage, Want, allocate};
pub use cover::{Cover, Delivery, Incoming, cover, cover_after};
