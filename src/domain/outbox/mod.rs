//! What the shop sends to others by itself: e-mail and signed webhooks.

mod address;
mod news;
mod state;

pub use address::{HookUrl, MailAddress};
pub use news::{Change, MOST_TRIES, News, PACE, after};
pub use state::{About, Channel, MessageState};
