use std::str::FromStr;

use serde::{Deserialize, Deserializer};

use super::{Symbology, Use};
use crate::units::Length;

/// One thing that is wrong with a layout, and on which line of its text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {words}")]
pub struct LayoutFault {
    /// Counted from 1.
    pub line: usize,
    /// What is wrong, and what would be right.
    pub words: String,
}

/// Why a text is no label layout: everything that is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("it cannot be read: {}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
pub struct LayoutError(pub Vec<LayoutFault>);

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
    /// A GS1-128 symbol of elements in brackets.
    #[serde(rename = "gs1-128")]
    Gs1128(BarField),
    /// An EAN-13 symbol.
    Ean13(BarField),
    /// An EAN-8 symbol.
    Ean8(BarField),
    /// A UPC-A symbol.
    UpcA(BarField),
    /// A UPC-E symbol.
    UpcE(BarField),
    /// An ITF-14 symbol with its bearer bars.
    Itf14(BarField),
    /// A Data Matrix.
    DataMatrix(MatrixField),
    /// A GS1 Data Matrix of elements in brackets.
    Gs1DataMatrix(MatrixField),
    /// A QR symbol.
    Qr(MatrixField),
    /// A GS1 QR symbol of elements in brackets.
    Gs1Qr(MatrixField),
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
    /// The height of letters that is asked for, from the base of a capital to its top: a look at
    /// the label warns below it.
    #[serde(default, rename = "wanted_height_mm", deserialize_with = "some_millimetres")]
    pub wanted_um: Option<i64>,
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

/// Bars in a box that holds their quiet zones, bearer bars and printed characters too.
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
    /// Height of the bars, and of the characters below them.
    #[serde(rename = "height_mm", deserialize_with = "millimetres")]
    pub height_um: i64,
    /// The widest module that is of use.
    #[serde(rename = "max_module_mm", deserialize_with = "millimetres")]
    pub max_module_um: i64,
    /// The narrowest: two dots of a 203 dpi head where it is left out.
    #[serde(default = "two_dots", rename = "min_module_mm", deserialize_with = "millimetres")]
    pub min_module_um: i64,
    /// Where it is read; the size is held against the rules of GS1.
    #[serde(default, rename = "use", deserialize_with = "some_use")]
    pub of_use: Option<Use>,
    /// Size of the human readable characters below the bars; none where it is left out.
    #[serde(default, rename = "hri_size_mm", deserialize_with = "some_millimetres")]
    pub hri_um: Option<i64>,
    /// Where the symbol stands in the box.
    #[serde(default)]
    pub align: Align,
    /// Leave the field out when a fact is absent or empty.
    #[serde(default)]
    pub optional: bool,
}

/// A matrix in a square that holds its quiet zone too.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MatrixField {
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
    /// The widest module that is of use; as wide as fits where it is left out.
    #[serde(default, rename = "max_module_mm", deserialize_with = "some_millimetres")]
    pub max_module_um: Option<i64>,
    /// Where it is read; the modules are held against the rules of GS1.
    #[serde(default, rename = "use", deserialize_with = "some_use")]
    pub of_use: Option<Use>,
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
    /// For numbers that are typed: bold, of one width, and its zero is marked, unlike the O.
    Mono,
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
pub(super) fn millimetres<'de, D: Deserializer<'de>>(input: D) -> Result<i64, D::Error> {
    let value = toml::Value::deserialize(input)?;
    let text = match value {
        toml::Value::Integer(_) | toml::Value::Float(_) => value.to_string(),
        other => return Err(serde::de::Error::custom(format!("{other} is no length"))),
    };
    let length = Length::parse_millimetres(&text).map_err(serde::de::Error::custom)?;
    Ok(length.micrometres())
}

pub(super) fn some_millimetres<'de, D: Deserializer<'de>>(
    input: D,
) -> Result<Option<i64>, D::Error> {
    millimetres(input).map(Some)
}

fn some_use<'de, D: Deserializer<'de>>(input: D) -> Result<Option<Use>, D::Error> {
    let name = String::deserialize(input)?;
    name.parse().map(Some).map_err(serde::de::Error::custom)
}

const fn two_dots() -> i64 {
    250
}

impl Field {
    /// Returns left edge, upper edge, width and height.
    const fn frame(&self) -> [i64; 4] {
        match self {
            Self::Text(it) => [it.x_um, it.y_um, it.width_um, it.height_um],
            Self::Box(it) => [it.x_um, it.y_um, it.width_um, it.height_um],
            Self::Code128(it)
            | Self::Gs1128(it)
            | Self::Ean13(it)
            | Self::Ean8(it)
            | Self::UpcA(it)
            | Self::UpcE(it)
            | Self::Itf14(it) => [it.x_um, it.y_um, it.width_um, it.height_um],
            Self::DataMatrix(it) | Self::Gs1DataMatrix(it) | Self::Qr(it) | Self::Gs1Qr(it) => {
                [it.x_um, it.y_um, it.side_um, it.side_um]
            }
        }
    }

    /// Returns the bars of this field with their kind.
    pub const fn bars(&self) -> Option<(Symbology, &BarField)> {
        Some(match self {
            Self::Code128(it) => (Symbology::Code128, it),
            Self::Gs1128(it) => (Symbology::Gs1128, it),
            Self::Ean13(it) => (Symbology::Ean13, it),
            Self::Ean8(it) => (Symbology::Ean8, it),
            Self::UpcA(it) => (Symbology::UpcA, it),
            Self::UpcE(it) => (Symbology::UpcE, it),
            Self::Itf14(it) => (Symbology::Itf14, it),
            _ => return None,
        })
    }

    /// Returns the matrix of this field with its kind.
    pub const fn matrix(&self) -> Option<(Symbology, &MatrixField)> {
        Some(match self {
            Self::DataMatrix(it) => (Symbology::DataMatrix, it),
            Self::Gs1DataMatrix(it) => (Symbology::Gs1DataMatrix, it),
            Self::Qr(it) => (Symbology::Qr, it),
            Self::Gs1Qr(it) => (Symbology::Gs1Qr, it),
            _ => return None,
        })
    }

    /// Returns the words of the field, with facts in braces; a box has none.
    pub fn template(&self) -> Option<&str> {
        match self {
            Self::Text(it) => Some(&it.text),
            Self::Box(_) => None,
            _ => {
                let bars = self.bars().map(|(_, it)| it.text.as_str());
                bars.or_else(|| self.matrix().map(|(_, it)| it.text.as_str()))
            }
        }
    }

    /// Returns what is wrong with the measures of the field, if anything is.
    fn fault(&self, width_um: i64, height_um: i64) -> Option<String> {
        let [x, y, width, height] = self.frame();
        let mm = |value: i64| Length::from_micrometres(value);
        if width <= 0 || height <= 0 {
            return Some("its width and height must be above zero".to_owned());
        }
        let (over, below) = (x + width - width_um, y + height - height_um);
        if 0 < over || 0 < below {
            let (side, by) = if 0 < over { ("right", over) } else { ("lower", below) };
            let (width, height, by) = (mm(width_um), mm(height_um), mm(by));
            return Some(format!(
                "it reaches {by} past the {side} edge of the {width} by {height} label"
            ));
        }
        match self {
            Self::Text(it)
                if it.min_size_um <= 0 || it.size_um < it.min_size_um || it.lines == 0 =>
            {
                Some(
                    "size_mm must be min_size_mm or more, both above zero, and lines 1 or more"
                        .to_owned(),
                )
            }
            _ => self.bars().and_then(|(_, it)| {
                let wrong = it.min_module_um <= 0 || it.max_module_um < it.min_module_um;
                wrong.then(|| {
                    "max_module_mm must be min_module_mm (0.25 where it is left out) or more"
                        .to_owned()
                })
            }),
        }
    }
}

/// Returns the line, from 1, of the byte at that place.
pub(super) fn line_at(text: &str, byte: usize) -> usize {
    text.bytes().take(byte).filter(|it| *it == b'\n').count() + 1
}

/// Returns the line on which that field, from 0, begins.
fn line_of_field(text: &str, nth: usize) -> usize {
    let heads = text.lines().zip(1..).filter(|(line, _)| line.trim() == "[[field]]");
    heads.map(|(_, line)| line).nth(nth).unwrap_or(1)
}

impl Layout {
    /// Returns each fact that the layout names in braces, with the line of its field.
    pub fn facts_named(&self, text: &str) -> Vec<(usize, String)> {
        let mut named = Vec::new();
        for (field, nth) in self.fields.iter().zip(0..) {
            let parts = field.template().unwrap_or("").split('{').skip(1);
            let names = parts.map(|it| it.split_once('}').map_or(it, |(name, _)| name));
            named.extend(names.map(|it| (line_of_field(text, nth), it.to_owned())));
        }
        named
    }
}

/// Reads each field by itself, so that every one that is at fault is named with its line.
fn read_fields(text: &str, fields: Option<toml::Value>) -> (Vec<Option<Field>>, Vec<LayoutFault>) {
    let fields = match fields {
        None => Vec::new(),
        Some(toml::Value::Array(fields)) => fields,
        Some(_) => {
            let words = "write [[field]] in double brackets".to_owned();
            return (Vec::new(), vec![LayoutFault { line: 1, words }]);
        }
    };
    let mut faults = Vec::new();
    let read = |(field, nth): (toml::Value, usize)| match field.try_into() {
        Ok(field) => Some(field),
        Err(error) => {
            let words = format!("field {}: {}", nth + 1, error.message());
            faults.push(LayoutFault { line: line_of_field(text, nth), words });
            None
        }
    };
    let read = fields.into_iter().zip(0..).map(read).collect();
    (read, faults)
}

impl FromStr for Layout {
    type Err = LayoutError;

    fn from_str(text: &str) -> Result<Self, LayoutError> {
        let fault = |error: &toml::de::Error| LayoutFault {
            line: line_at(text, error.span().map_or(0, |it| it.start)),
            words: error.message().to_owned(),
        };
        let mut head: toml::Table =
            toml::from_str(text).map_err(|error| LayoutError(vec![fault(&error)]))?;
        let (fields, mut faults) = read_fields(text, head.remove("field"));
        let mut layout: Self = match head.try_into() {
            Ok(layout) => layout,
            Err(error) => {
                faults.push(LayoutFault { line: 1, words: error.message().to_owned() });
                return Err(LayoutError(faults));
            }
        };
        layout.fields = fields.into_iter().flatten().collect();
        if !faults.is_empty() {
            return Err(LayoutError(faults));
        }
        if !(5_000..=500_000).contains(&layout.width_um)
            || !(5_000..=500_000).contains(&layout.height_um)
        {
            let words = "a label is from 5 to 500 mm wide and high".to_owned();
            faults.push(LayoutFault { line: 1, words });
        }
        for (field, nth) in layout.fields.iter().zip(0..) {
            if let Some(fault) = field.fault(layout.width_um, layout.height_um) {
                let words = format!("field {}: {fault}", nth + 1);
                faults.push(LayoutFault { line: line_of_field(text, nth), words });
            }
        }
        if faults.is_empty() { Ok(layout) } else { Err(LayoutError(faults)) }
    }
}
