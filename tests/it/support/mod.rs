//! What the tests share.

pub mod decode;
pub mod folder;
pub mod service;
