//! Files to records and back; and the demo shop's own files, taken together.

mod demo;
mod faults;
mod round_trip;
