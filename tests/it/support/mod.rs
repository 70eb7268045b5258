//! What the tests share.

pub mod app;
pub mod books;
pub mod builders;
pub mod calc;
pub mod cups;
pub mod decode;
pub mod desk;
pub mod folder;
pub mod outside;
pub mod printer;
pub mod referee;
pub mod service;
