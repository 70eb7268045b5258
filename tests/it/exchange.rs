//! Files to records and back; and the demo shop's own files, taken together.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "helpers of a test fail it as the test itself does"
)]

mod demo;
mod faults;
mod round_trip;
