use super::{Attributes, BoxSize, MissingClass, Tracking};
use crate::domain::codes::{BinCode, PartNumber};
use crate::domain::fit::Facts;
use crate::units::{Mass, Money, Quantity};

/// A part number with all that the catalogue states about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartRecord {
    /// The part number.
    pub part_number: PartNumber,
    /// The base part's name, which all its variants share: "Frame".
    pub part: String,
    /// What tells the variant from its sisters, in words: "M lichen green". Empty for a part with
    /// one variant.
    pub variant: String,
    /// What the part is made to: material, fit, thread. May be empty.
    pub specification: String,
    /// What tells the variant from its sisters, for kits to choose by.
    pub attributes: Attributes,
    /// The mean mass of one piece.
    pub mass: Mass,
    /// The standard deviation of one piece's mass.
    pub mass_sd: Mass,
    /// The box that holds one piece, where there is one.
    pub box_size: Option<BoxSize>,
    /// How pieces are told apart.
    pub tracking: Tracking,
    /// What a missing piece holds up.
    pub class: MissingClass,
    /// The supplier's code; none for what the shop makes itself.
    pub supplier: Option<String>,
    /// The supplier's own name for the item.
    pub supplier_item: Option<String>,
    /// What one piece costs.
    pub unit_cost: Money,
    /// Pieces in one of the supplier's packs.
    pub pack: Quantity,
    /// The least that the supplier sells at once, in pieces.
    pub minimum_order: Quantity,
    /// Order when what is in hand and under way falls to this or below.
    pub reorder_point: Quantity,
    /// How many to order then.
    pub order_quantity: Quantity,
    /// The bin where the part has its place.
    pub bin: Option<BinCode>,
    /// What the rules of fit compare; none where a file says nothing of it, and what is stated
    /// already stays.
    pub facts: Option<StatedFacts>,
}

/// Facts about a part, and who states them.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct StatedFacts {
    /// The facts.
    pub facts: Facts,
    /// The document that states them, such as a maker's drawing. May be empty.
    pub source: String,
}

impl PartRecord {
    /// Returns the base part's name with the variant's, "Frame, M lichen green".
    pub fn name(&self) -> String {
        match self.variant.as_str() {
            "" => self.part.clone(),
            variant => format!("{}, {variant}", self.part),
        }
    }

    /// Returns what a kit needs to know to choose this variant.
    pub fn as_variant(&self) -> Variant {
        let (part_number, part) = (self.part_number.clone(), self.part.clone());
        Variant { part_number, part, attributes: self.attributes.clone() }
    }
}

/// A part number as a kit's line looks for it: by base part and attributes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Variant {
    /// The part number.
    pub part_number: PartNumber,
    /// The base part's name.
    pub part: String,
    /// What tells it from its sisters.
    pub attributes: Attributes,
}
