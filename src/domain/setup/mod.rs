//! The rider's own set-up: air pressure by the maker's chart.

mod air;

pub use air::{AirChart, AirRow, ChartError, ChartItem, both_units, is_a_rider};
