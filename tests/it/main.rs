//! One test binary: behaviour through the real thing.

mod codes;
mod exchange;
mod paper;
mod tidy;
