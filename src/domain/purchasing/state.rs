use crate::units::Quantity;

/// How a purchase order stands, in the trade's words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum State {
    /// Being written: nobody has approved it.
    Draft,
    /// Approved, and not with the supplier yet.
    Approved,
    /// With the supplier, who has not confirmed every line.
    Sent,
    /// The supplier has promised a day for every line that is open.
    Confirmed,
    /// Some of it is here, and more is to come.
    PartlyReceived,
    /// All of it is here.
    Received,
    /// Nothing more is to come, and less is here than was ordered.
    ClosedShort,
    /// Called off before anything came.
    Cancelled,
}

impl State {
    /// Every state, from the first to the last.
    pub const ALL: [Self; 8] = [
        Self::Draft,
        Self::Approved,
        Self::Sent,
        Self::Confirmed,
        Self::PartlyReceived,
        Self::Received,
        Self::ClosedShort,
        Self::Cancelled,
    ];

    /// Returns the state's words, as they are shown.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Draft => "draft",
            Self::Approved => "approved",
            Self::Sent => "sent",
            Self::Confirmed => "confirmed",
            Self::PartlyReceived => "partly received",
            Self::Received => "received",
            Self::ClosedShort => "closed short",
            Self::Cancelled => "cancelled",
        }
    }

    /// Returns whether the supplier owes goods.
    pub const fn is_coming(self) -> bool {
        matches!(self, Self::Sent | Self::Confirmed | Self::PartlyReceived)
    }

    /// Returns whether the supplier has never seen it.
    pub const fn is_ours_alone(self) -> bool {
        matches!(self, Self::Draft | Self::Approved)
    }
}

/// How far a purchase order has come on its way to the supplier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// The revision that the books hold, from 1.
    pub revision: i64,
    /// The revision that somebody last approved; 0 where none was.
    pub approved: i64,
    /// The revision that was last sent; 0 where none was.
    pub sent: i64,
    /// Whether it was called off.
    pub cancelled: bool,
}

/// How far a line of it has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineProgress {
    /// Pieces ordered.
    pub ordered: Quantity,
    /// Pieces received, good or damaged.
    pub received: Quantity,
    /// Whether no more is expected.
    pub closed: bool,
    /// Whether the supplier has promised a day for the line as it is now.
    pub confirmed: bool,
}

impl LineProgress {
    /// Returns the pieces that are still to come.
    pub fn open(&self) -> Quantity {
        if self.closed { Quantity::ZERO } else { self.ordered.less(self.received).at_least_zero() }
    }
}

impl Progress {
    /// Returns how the order stands with these lines.
    pub fn state(&self, lines: &[LineProgress]) -> State {
        if self.cancelled {
            return State::Cancelled;
        }
        if self.sent == 0 {
            return if self.approved == self.revision { State::Approved } else { State::Draft };
        }
        let open = lines.iter().any(|it| it.open().is_some());
        let come = lines.iter().any(|it| it.received.is_some());
        if open && come {
            return State::PartlyReceived;
        }
        if open {
            let confirmed = lines.iter().all(|it| it.confirmed || !it.open().is_some());
            return if confirmed { State::Confirmed } else { State::Sent };
        }
        let short = lines.iter().any(|it| it.received < it.ordered);
        if short { State::ClosedShort } else { State::Received }
    }

    /// Returns whether the supplier holds an older revision than the books.
    pub const fn is_changed(&self) -> bool {
        0 < self.sent && self.sent < self.revision && !self.cancelled
    }

    /// Returns whether the revision that the books hold waits for somebody's approval.
    pub const fn wants_approval(&self) -> bool {
        self.approved < self.revision && !self.cancelled
    }

    /// Returns whether the revision that the books hold is approved and not with the supplier.
    pub const fn wants_sending(&self) -> bool {
        self.approved == self.revision && self.sent < self.revision && !self.cancelled
    }

    /// Returns the progress after an edit: what was approved or sent and is changed becomes the next
    /// revision, which nobody has approved.
    pub const fn edited(self) -> Self {
        if self.sent == self.revision {
            return Self { revision: self.revision + 1, ..self };
        }
        if self.approved == self.revision {
            return Self { approved: self.sent, ..self };
        }
        self
    }
}
