//! The pages, each a plain view struct over a template that is checked when it is built.
//!
//! A handler reads the request, asks permission, calls one op and fills the struct from its view;
//! a template decides nothing but layout.

pub mod bills;
pub mod drafts;
pub mod entries;
pub mod error;
pub mod events;
pub mod goods_in;
pub mod import;
pub mod labels;
pub mod leaving;
pub mod make;
pub mod messages;
pub mod orders;
pub mod packing;
pub mod parts;
pub mod people;
pub mod picking;
pub mod printers;
pub mod purchasing;
pub mod reorder;
pub mod rider;
pub mod rider_card;
pub mod sign_in;
pub mod strip;
pub mod substitution;
pub mod today;
pub mod torques;
pub mod trace;
pub mod translations;
pub mod valuation;
pub mod words;

mod assets;
mod export;
mod form;
pub(super) mod frame;
mod live;
mod routes;
#[cfg(test)]
mod samples;
mod visit;

pub(super) use form::Fields;
pub use frame::{Answer, Choice, Frame, MenuItem, Outcome, Task};
pub(super) use routes::routes;
use visit::{Visit, refusal};
