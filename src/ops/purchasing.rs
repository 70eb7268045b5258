//! Purchase orders: drafted by supplier, approved, sent, changed, confirmed, chased; and what their
//! deliveries cost.

mod chase;
mod draft;
mod landed;
mod life;
mod lines;
mod view;

pub use chase::{ChaseView, LateView, chase, late};
pub use draft::{DraftLine, Drafted, draft_lines, draft_lines_once};
pub use landed::{ChargeEntry, ChargeShare, ChargeView, charge, charges};
pub use life::{Approve, approve, cancel, limit, mail, sent, set_limit};
pub use lines::{LineEdit, PromiseEntry, close_line, confirm, edit_line, reopen_line};
pub use view::{BuyingLineView, BuyingView, EventView, detail, list};

use serde::{Deserialize, Serialize};

/// What was done to a purchase order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Done {
    /// What, in words.
    pub words: String,
}

impl Done {
    fn new(words: impl Into<String>) -> Self {
        Self { words: words.into() }
    }
}
