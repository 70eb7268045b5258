//! Labels: the bar code, the layouts, and what a layout and facts put on a label.

mod code128;

pub use code128::{Code128, Code128Error, Datum};
