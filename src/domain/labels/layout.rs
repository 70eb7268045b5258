use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer};

use crate::units::Length;

/// Why a text is no label layout.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LayoutError {
    /// The text is no TOML of this shape.
    #[error("the label layout cannot be read: {0}")]
    Text(String),
    /// A field reaches over the edge of the label.
    #[error("on the layout '{layout}', field {field} reaches past the {width} by {height} label")]
    OffLabel {
        /// The layout's name.
        layout: String,
        /// Which field, counted from 1.
        field: usize,
        /// The label's width.
        width: Length,
        /// The label's height.
        height: Length,
    },
    /// A measure that has to be above zero is not, or the least size is above the size.
    #[error(
        "on the layout '{layout}', field {field} has a measure of zero, or a least size above its size"
    )]
    Measure {
        /// The layout's name.
        layout: String,
        /// Which field, counted from 1.
        field: usize,
    },
    /// No layout has that name.
    #[error("'{0}' is no kind of label: choose part, bin, lot, serial or carton")]
    Kind(String),
}

/// A kind of label that the shop prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LabelKind {
    /// On a part or its bag: the size above all.
    Part,
    /// On a shelf bin.
    Bin,
    /// On goods of one lot.
    Lot,
    /// On one piece with a serial number.
    Serial,
    /// On a carton that leaves the shop.
    Carton,
}

impl LabelKind {
    /// Every kind, in the order of the work.
    pub const ALL: [Self; 5] = [Self::Part, Self::Bin, Self::Lot, Self::Serial, Self::Carton];

    /// Returns the word that names the kind.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Part => "part",
            Self::Bin => "bin",
            Self::Lot => "lot",
            Self::Serial => "serial",
            Self::Carton => "carton",
        }
    }

    /// Returns the layout that comes with the program.
    ///
    /// # Errors
    ///
    /// [`LayoutError`] only if the program was built with a faulty layout.
    pub fn layout(self) -> Result<Layout, LayoutError> {
        match self {
            Self::Part => include_str!("../../../labels/part.toml"),
            Self::Bin => include_str!("../../../labels/bin.toml"),
            Self::Lot => include_str!("../../../labels/lot.toml"),
            Self::Serial => include_str!("../../../labels/serial.toml"),
            Self::Carton => include_str!("../../../labels/carton.toml"),
        }
        .parse()
    }
}

impl fmt::Display for LabelKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl FromStr for LabelKind {
    type Err = LayoutError;

    fn from_str(text: &str) -> Result<Self, LayoutError> {
        let kind = Self::ALL.into_iter().find(|it| it.word() == text.trim());
        kind.ok_or_else(|| LayoutError::Kind(text.to_owned()))
    }
}

/// Where everything stands on a label: read from TOML, in millimetres from the top left corner.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Layout {
    /// The name that messages use.
    pub name: String,
    /// The label's width.
    #[serde(rename = "width_mm", deserialize_with = "millimetres")]
    pub width_um: i64,
    /// The label's height.
    #[serde(rename = "height_mm", deserialize_with = "millimetres")]
    pub height_um: i64,
    /// What is printed, in this order.
    #[serde(default, rename = "field")]
    pub fields: Vec<Field>,
}

/// One thing on a label.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Field {
    /// Words.
    Text(TextField),
    /// A Code 128 symbol.
    Code128(BarField),
    /// A QR symbol.
    Qr(QrField),
    /// A rectangle: filled, or an outline; a thin filled one is a line.
    Box(BoxField),
}

/// Words in a box: they shrink to the least size, then wrap, and are refused past that.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TextField {
    /// The words, with facts in braces: "Bin {bin}".
    pub text: String,
    /// Left edge.
    #[serde(rename = "x_mm", deserialize_with = "millimetres")]
    pub x_um: i64,
    /// Upper edge.
    #[serde(rename = "y_mm", deserialize_with = "millimetres")]
    pub y_um: i64,
    /// Width of the box.
    #[serde(rename = "width_mm", deserialize_with = "millimetres")]
    pub width_um: i64,
    /// Height of the box.
    #[serde(rename = "height_mm", deserialize_with = "millimetres")]
    pub height_um: i64,
    /// Size of the letters, as an em.
    #[serde(rename = "size_mm", deserialize_with = "millimetres")]
    pub size_um: i64,
    /// The least size that can still be read at arm's length.
    #[serde(rename = "min_size_mm", deserialize_with = "millimetres")]
    pub min_size_um: i64,
    /// How many lines it may wrap to.
    #[serde(default = "one")]
    pub lines: usize,
    /// Regular or bold.
    #[serde(default)]
    pub weight: Weight,
    /// Where the lines stand in the box, from left to right.
    #[serde(default)]
    pub align: Align,
    /// Where the lines stand in the box, from top to bottom.
    #[serde(default)]
    pub across: Across,
    /// Leave the field out when a fact is absent or empty.
    #[serde(default)]
    pub optional: bool,
}

/// A Code 128 symbol in a box that holds its quiet zones too.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BarField {
    /// What the symbol says, with facts in braces: "1T{lot}".
    pub text: String,
    /// Left edge, quiet zone included.
    #[serde(rename = "x_mm", deserialize_with = "millimetres")]
    pub x_um: i64,
    /// Upper edge.
    #[serde(rename = "y_mm", deserialize_with = "millimetres")]
    pub y_um: i64,
    /// Width, quiet zones included.
    #[serde(rename = "width_mm", deserialize_with = "millimetres")]
    pub width_um: i64,
    /// Height of the bars.
    #[serde(rename = "height_mm", deserialize_with = "millimetres")]
    pub height_um: i64,
    /// The widest module that is of use.
    #[serde(rename = "max_module_mm", deserialize_with = "millimetres")]
    pub max_module_um: i64,
    /// Where the symbol stands in the box.
    #[serde(default)]
    pub align: Align,
    /// Leave the field out when a fact is absent or empty.
    #[serde(default)]
    pub optional: bool,
}

/// A QR symbol in a square that holds its quiet zone too.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QrField {
    /// What the symbol says, with facts in braces.
    pub text: String,
    /// Left edge.
    #[serde(rename = "x_mm", deserialize_with = "millimetres")]
    pub x_um: i64,
    /// Upper edge.
    #[serde(rename = "y_mm", deserialize_with = "millimetres")]
    pub y_um: i64,
    /// Length of a side.
    #[serde(rename = "side_mm", deserialize_with = "millimetres")]
    pub side_um: i64,
    /// Leave the field out when a fact is absent or empty.
    #[serde(default)]
    pub optional: bool,
}

/// A rectangle.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BoxField {
    /// Left edge.
    #[serde(rename = "x_mm", deserialize_with = "millimetres")]
    pub x_um: i64,
    /// Upper edge.
    #[serde(rename = "y_mm", deserialize_with = "millimetres")]
    pub y_um: i64,
    /// Width.
    #[serde(rename = "width_mm", deserialize_with = "millimetres")]
    pub width_um: i64,
    /// Height.
    #[serde(rename = "height_mm", deserialize_with = "millimetres")]
    pub height_um: i64,
    /// Width of the outline; filled where it is absent.
    #[serde(default, rename = "line_mm", deserialize_with = "some_millimetres")]
    pub line_um: Option<i64>,
}

/// How strong letters are.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Weight {
    /// For reading.
    #[default]
    Regular,
    /// For finding.
    Bold,
}

/// Where something stands between left and right.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Align {
    /// At the left edge.
    #[default]
    Left,
    /// In the middle.
    Centre,
    /// At the right edge.
    Right,
}

/// Where lines stand between top and bottom.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Across {
    /// At the upper edge.
    #[default]
    Top,
    /// In the middle.
    Middle,
}

const fn one() -> usize {
    1
}

/// Reads millimetres, 60 or 2.5, as whole micrometres.
fn millimetres<'de, D: Deserializer<'de>>(input: D) -> Result<i64, D::Error> {
    let value = toml::Value::deserialize(input)?;
    let text = match value {
        toml::Value::Integer(_) | toml::Value::Float(_) => value.to_string(),
        other => return Err(serde::de::Error::custom(format!("{other} is no length"))),
    };
    let length = Length::parse_millimetres(&text).map_err(serde::de::Error::custom)?;
    Ok(length.micrometres())
}

fn some_millimetres<'de, D: Deserializer<'de>>(input: D) -> Result<Option<i64>, D::Error> {
    millimetres(input).map(Some)
}

impl Field {
    /// Returns left edge, upper edge, width and height.
    const fn frame(&self) -> [i64; 4] {
        match self {
            Self::Text(it) => [it.x_um, it.y_um, it.width_um, it.height_um],
            Self::Code128(it) => [it.x_um, it.y_um, it.width_um, it.height_um],
            Self::Qr(it) => [it.x_um, it.y_um, it.side_um, it.side_um],
            Self::Box(it) => [it.x_um, it.y_um, it.width_um, it.height_um],
        }
    }

    fn has_sound_measures(&self) -> bool {
        let [_, _, width, height] = self.frame();
        let inner = match self {
            Self::Text(it) => 0 < it.min_size_um && it.min_size_um <= it.size_um && 0 < it.lines,
            Self::Code128(it) => 0 < it.max_module_um,
            Self::Qr(_) | Self::Box(_) => true,
        };
        0 < width && 0 < height && inner
    }
}

impl FromStr for Layout {
    type Err = LayoutError;

    fn from_str(text: &str) -> Result<Self, LayoutError> {
        let layout: Self =
            toml::from_str(text).map_err(|error| LayoutError::Text(error.to_string()))?;
        for (field, number) in layout.fields.iter().zip(1_usize..) {
            let [x, y, width, height] = field.frame();
            let name = || layout.name.clone();
            if !field.has_sound_measures() {
                return Err(LayoutError::Measure { layout: name(), field: number });
            }
            if layout.width_um < x + width || layout.height_um < y + height {
                return Err(LayoutError::OffLabel {
                    layout: name(),
                    field: number,
                    width: Length::from_micrometres(layout.width_um),
                    height: Length::from_micrometres(layout.height_um),
                });
            }
        }
        Ok(layout)
    }
}
