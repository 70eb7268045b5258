//! The assembly card: what a rider needs, step by step, in the rider's own language.

mod compose;
mod facts;
mod joint;
mod model;
mod setup;
#[cfg(test)]
mod tests;

pub use compose::{blocking, compose};
pub use facts::{CardFacts, FittedPart, Replaced};
pub use model::{
    AirSetUp, Card, CardJoint, CardPart, CardStep, KeyWords, MissingWords, SaddleSetUp,
};
