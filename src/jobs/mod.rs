//! What the service does by itself, from rows that ops queue.

pub mod printing;
