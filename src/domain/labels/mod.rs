//! Labels.
