//! The symbols that a label can carry: their modules, quiet zones, sizes, and what is printed for
//! people to read.
//!
//! `barcoders` draws the bars of Code 128, EAN-13 (UPC-A with it), EAN-8 and Interleaved 2 of 5. It
//! has no UPC-E, whose 51 modules are set here from its table of digits; it adds no check digit to
//! ITF-14 and none is guessed: the number must come whole. `datamatrix` and `qrcode` make the
//! matrices.

mod ean;
mod elements;
mod kind;
mod matrix;
mod qr;
mod size;
mod symbol;

pub use elements::{Element, ElementsError, elements};
pub use kind::Symbology;
pub use qr::{Correction, QrError, QrSymbol};
pub use size::{
    Dimensions, SizeFault, SizeRule, Use, logistic_label_fault, placement_faults, width_faults,
};
pub use symbol::{Dark, Symbol, SymbolError};
