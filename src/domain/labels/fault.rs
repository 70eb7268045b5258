use super::{SizeFault, SymbolError};
use crate::units::Length;

/// Why a label cannot be printed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LabelError {
    /// A fact that the layout asks for was not given.
    #[error("the label '{layout}' needs the fact '{fact}', and it was not given")]
    MissingFact {
        /// The layout's name.
        layout: String,
        /// The fact's name.
        fact: String,
    },
    /// A text is too long at its least size.
    #[error(
        "'{text}' does not fit field {field} of the label '{layout}': at the least size of {size} it is {long} long and takes more than {lines} line(s) of {width}: shorten it by {over}, or widen the field"
    )]
    TextTooLong {
        /// The layout's name.
        layout: String,
        /// Which field, counted from 1.
        field: usize,
        /// The text.
        text: String,
        /// The least size.
        size: Length,
        /// How long the text is at that size, on one line.
        long: Length,
        /// How many lines there are.
        lines: usize,
        /// How wide a line is.
        width: Length,
        /// How much is too much: what does not stand on the lines.
        over: Length,
    },
    /// A symbol is too wide at its least module.
    #[error(
        "the bar code of '{text}' does not fit field {field} of the label '{layout}': it needs {needed} with modules of {module} and quiet zones, and has {room}: widen the field by {over}"
    )]
    SymbolTooWide {
        /// The layout's name.
        layout: String,
        /// Which field, counted from 1.
        field: usize,
        /// What the symbol says.
        text: String,
        /// The width it needs.
        needed: Length,
        /// The least module.
        module: Length,
        /// The width there is.
        room: Length,
        /// What is missing.
        over: Length,
    },
    /// A field has no height left for bars.
    #[error(
        "field {field} of the label '{layout}' is too low for the bar code of '{text}': it needs {needed}, and has {room}"
    )]
    SymbolTooHigh {
        /// The layout's name.
        layout: String,
        /// Which field, counted from 1.
        field: usize,
        /// What the symbol says.
        text: String,
        /// The height it needs.
        needed: Length,
        /// The height there is.
        room: Length,
    },
    /// The text has no symbol of that kind.
    #[error("field {field} of the label '{layout}' has no bar code: {source}")]
    Symbol {
        /// The layout's name.
        layout: String,
        /// Which field, counted from 1.
        field: usize,
        /// Why.
        source: SymbolError,
    },
}

/// What falls short of a rule on a label that can be printed all the same.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LabelWarning {
    /// A bar code is smaller or larger than its use asks.
    #[error("field {field}, {use_name}: {fault}")]
    Size {
        /// Which field, counted from 1.
        field: usize,
        /// The use, in its name.
        use_name: &'static str,
        /// What is wrong.
        fault: SizeFault,
    },
    /// A bar code is too small for a scanner in the hand, whatever it is for, or something stands
    /// too near to it.
    #[error("field {field}: {fault}")]
    Code {
        /// Which field, counted from 1.
        field: usize,
        /// What is wrong.
        fault: SizeFault,
    },
    /// No words say what the bars hold.
    #[error(
        "field {field}: no words say what the bars hold, should they not be read: give it \
         hri_size_mm"
    )]
    NoWords {
        /// Which field, counted from 1.
        field: usize,
    },
    /// Letters are lower than asked.
    #[error(
        "field {field}: letters of {has} are {by} lower than the {least} asked: shorten the words, \
         or give them room"
    )]
    Letters {
        /// Which field, counted from 1.
        field: usize,
        /// As they are: the height of capitals and digits.
        has: Length,
        /// What is missing.
        by: Length,
        /// What would do.
        least: Length,
    },
    /// The label is smaller than its content asks.
    #[error("the label '{layout}': {fault}")]
    Label {
        /// The layout's name.
        layout: String,
        /// What is wrong.
        fault: SizeFault,
    },
}
