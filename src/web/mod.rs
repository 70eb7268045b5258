//! What a browser sees: pages, their stylesheet and the scanner script.

pub mod pages;
