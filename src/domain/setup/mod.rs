//! The rider's own set-up: air pressure by the maker's chart, and how high the saddle may stand.

mod air;
mod saddle;

pub use air::{AirChart, AirRow, ChartError, ChartItem, both_units, is_a_rider};
pub use saddle::{SaddleFacts, SaddleWindow, saddle_window};
