//! What the service does by itself, from rows that ops queue.

mod queue;

pub mod alerts;
pub mod bins;
pub mod outbox;
pub mod printing;
