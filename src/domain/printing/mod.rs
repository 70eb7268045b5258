//! The shop's printers and the queue of what is sent to them.

mod address;
mod media;
mod news;
mod paper;
mod state;

pub use address::{AddressError, PrinterUri};
pub use media::{PrinterMedia, PrinterMediaError};
pub use news::{Change, MOST_TRIES, News, PACE, after};
pub use paper::PaperKind;
pub use state::JobState;
