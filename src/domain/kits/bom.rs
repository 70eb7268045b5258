use std::fmt;

use chrono::NaiveDate;

use super::Guide;
use crate::domain::codes::PartNumber;
use crate::units::Quantity;

/// A bill of materials: a kit for riders, a sub-kit that lies on the shelf, or a phantom assembly,
/// which is only a name for lines that other kits share.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bom {
    /// The kit's code, "TARVET".
    pub code: String,
    /// The revision of this bill.
    pub revision: String,
    /// The day from which it holds; none for a draft, which no order and no bench work uses.
    pub valid_from: Option<NaiveDate>,
    /// The kit's name.
    pub name: String,
    /// The part number that a finished one is kept in stock under; none for a rider's kit and for a
    /// phantom assembly. Such a kit has no options, and each of its lines names one part number.
    pub makes: Option<PartNumber>,
    /// What an order must choose.
    pub options: Vec<OptionDef>,
    /// The assembly steps in order.
    pub steps: Vec<Step>,
    /// What goes in.
    pub lines: Vec<BomLine>,
    /// What the assembly card says beyond steps and parts.
    pub guide: Guide,
}

/// One thing that an order must choose, and what there is to choose from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OptionDef {
    /// The option's name, "size".
    pub name: String,
    /// The values allowed, in the order to offer them.
    pub values: Vec<String>,
}

/// One step of the assembly.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// The step's number, from 1.
    pub number: u32,
    /// What is done.
    pub title: String,
    /// How to see that it was done right. May be empty.
    pub check: String,
    /// What can hurt someone. Empty where nothing can.
    pub caution: String,
}

/// One line of a bill of materials.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BomLine {
    /// The line's number within its bill.
    pub number: u32,
    /// The first step that needs the part. In a rider's kit 0 is packing material, which belongs to
    /// no step; in a phantom assembly 0 is the step of the line that calls for the assembly. In a
    /// stocked sub-kit it is a step of the rider's kit that the sub-kit goes into, or 0 where the
    /// shop has put it together already.
    pub step: u32,
    /// What the line calls for.
    pub item: BomItem,
    /// For a base part, the attributes that single out one variant. For another kit, the values of
    /// that kit's options; an option that is not named here takes the value of the option of the
    /// same name.
    pub choose: Vec<(String, Choice)>,
    /// The line counts only where each named option has one of the values.
    pub when: Vec<(String, Vec<String>)>,
    /// How many go into one kit.
    pub quantity: Quantity,
    /// The carton it is packed in, from 1. In a phantom assembly 0 is the carton of the line that
    /// calls for the assembly.
    pub carton: u32,
}

/// What a line calls for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum BomItem {
    /// Exactly this part number.
    PartNumber(PartNumber),
    /// The variant of this base part that the line's choices single out.
    Part(String),
    /// What another bill of that code makes, or, if it makes nothing, that bill's own lines.
    Kit(String),
}

/// Where the value of a choice comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Choice {
    /// This very value.
    Fixed(String),
    /// Whatever was chosen for the option of that name; written "{size}".
    Option(String),
}

impl fmt::Display for BomItem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PartNumber(number) => number.fmt(f),
            Self::Part(name) | Self::Kit(name) => f.write_str(name),
        }
    }
}

impl fmt::Display for Choice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Fixed(value) => f.write_str(value),
            Self::Option(name) => write!(f, "{{{name}}}"),
        }
    }
}
