//! Labels: the bar code, the layouts, and what a layout and facts put on a label.

mod code128;
mod compose;
mod layout;
mod symbols;
mod wrap;

pub use code128::{Code128, Code128Error, Datum};
pub use compose::{Facts, LabelError, Mark, Measure, compose};
pub use layout::{Across, Align, Weight};
pub use layout::{BarField, BoxField, Field, LabelKind, Layout, LayoutError, QrField, TextField};
pub use symbols::{
    Correction, Dimensions, Element, ElementsError, QrError, QrSymbol, SizeFault, SizeRule, Symbol,
    SymbolError, Symbology, Use, elements, logistic_label_fault, placement_faults, width_faults,
};
pub use wrap::wrap;
