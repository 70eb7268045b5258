//! Parts and their variants, who supplies them and where they lie: one record per thing, as a
//! catalogue states it.

mod attributes;
mod bin;
mod class;
mod closing;
mod part;
mod size;
mod supplier;

pub use attributes::Attributes;
pub use bin::{BinKind, BinRecord};
pub use class::{MissingClass, Tracking};
pub use closing::{Closing, Closings};
pub use part::{PartRecord, StatedFacts, Variant};
pub use size::BoxSize;
pub use supplier::{SupplierRecord, SupplierTerms};

/// Why a text of the catalogue cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CatalogError {
    /// The text is none of a short list of words.
    #[error("'{text}' is not a {kind}: write one of {allowed}")]
    Word {
        /// The text as it was given.
        text: String,
        /// What the word stands for.
        kind: &'static str,
        /// The words that are known.
        allowed: &'static str,
    },
    /// An attribute has no name, no value, or characters that the text form keeps for itself.
    #[error("'{text}' is not an attribute: write a name, = and a value, such as size=M")]
    Attribute {
        /// The piece between two semicolons.
        text: String,
    },
    /// An attribute is stated twice.
    #[error("the attribute '{name}' is stated twice: keep one of them")]
    AttributeTwice {
        /// The attribute's name.
        name: String,
    },
    /// The text is no size of a box.
    #[error("'{text}' is not a box size: write length x width x height in mm, such as 980x190x480")]
    BoxSize {
        /// The text as it was given.
        text: String,
    },
}

impl CatalogError {
    /// Returns the error's code, which stays the same for good.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Word { .. } => "catalog.unknown_word",
            Self::Attribute { .. } => "catalog.bad_attribute",
            Self::AttributeTwice { .. } => "catalog.attribute_twice",
            Self::BoxSize { .. } => "catalog.bad_box_size",
        }
    }
}
