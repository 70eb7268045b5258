//! What the tests share.

pub mod app;
pub mod builders;
pub mod decode;
pub mod desk;
pub mod folder;
pub mod referee;
pub mod service;
