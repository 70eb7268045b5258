//! That the books have changed, told to whoever waits for it in this process.

use std::sync::Arc;

use tokio::sync::watch;

/// Counts the changes, and wakes whoever follows them.
pub(super) struct Signal {
    count: watch::Sender<u64>,
    /// What tells this process's counting from that of any other.
    of: Arc<str>,
}

impl Signal {
    /// Returns a signal that nobody follows yet.
    pub(super) fn new() -> Self {
        use rand::RngExt;
        let of = format!("{:08x}", rand::rng().random::<u32>());
        Self { count: watch::Sender::new(0), of: of.into() }
    }

    /// Tells that the books have changed, or may have.
    pub(super) fn tell(&self) {
        self.count.send_modify(|it| *it = it.wrapping_add(1));
    }

    /// Returns what a follower waits on.
    pub(super) fn follow(&self) -> Changes {
        Changes { count: self.count.subscribe(), of: Arc::clone(&self.of) }
    }
}

/// What a follower of the books waits on.
#[derive(Debug, Clone)]
pub struct Changes {
    count: watch::Receiver<u64>,
    of: Arc<str>,
}

impl Changes {
    /// Returns the mark of this moment: another one later means that the books may have changed.
    pub fn mark(&self) -> String {
        format!("{}-{}", self.of, *self.count.borrow())
    }

    /// Waits until the books change after this was asked last; returns whether they still can.
    pub async fn next(&mut self) -> bool {
        self.count.changed().await.is_ok()
    }
}
