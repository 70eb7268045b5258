//! Labels: the symbols, the layouts, what a layout and facts put on a label, and sheets of them.

mod code128;
mod compose;
mod fault;
mod headline;
mod kind;
mod layout;
mod sheet;
mod symbols;
mod warn;
mod wrap;

pub use code128::{Code128, Code128Error, Datum};
pub use compose::{Facts, Mark, Measure, compose};
pub use fault::{LabelError, LabelWarning};
pub use headline::headline;
pub use kind::{Counting, LabelKind, LabelKindError};
pub use layout::{Across, Align, Weight};
pub use layout::{
    BarField, BoxField, Field, Layout, LayoutError, LayoutFault, MatrixField, TextField,
};
pub use sheet::{Corners, Sheet, SheetError};
pub use symbols::{
    Correction, Dark, Dimensions, Element, ElementsError, QrError, QrSymbol, SizeFault, SizeRule,
    Symbol, SymbolError, Symbology, Use, elements, logistic_label_fault, placement_faults,
    width_faults,
};
pub use warn::warnings;
pub use wrap::wrap;
