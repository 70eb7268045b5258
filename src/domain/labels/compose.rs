use std::collections::BTreeMap;
use std::fmt;

use super::layout::{Across, Align, BarField, Field, Layout, QrField, TextField, Weight};
use super::{Code128, Code128Error, QrError, QrSymbol, wrap};
use crate::units::Length;

/// What a label says: each fact under the name that its layout gives in braces.
pub type Facts<'a> = BTreeMap<&'a str, String>;

/// The least width of a module, and the step in which it grows: a dot of a 203 dpi print head.
const LEAST_MODULE_UM: i64 = 250;
const MODULE_STEP_UM: i64 = 125;
/// The quiet zone on each side of Code 128, in modules.
const QUIET_MODULES: i64 = 10;
/// The least width of a QR module that a phone reads from an arm's length.
const LEAST_QR_MODULE_UM: i64 = 400;
/// Letters shrink in steps that the eye does not see.
const SIZE_STEP_UM: i64 = 50;

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
        "'{text}' does not fit the label '{layout}': at the least size of {size} it takes more than {lines} line(s) of {width}"
    )]
    TextTooLong {
        /// The layout's name.
        layout: String,
        /// The text.
        text: String,
        /// The least size.
        size: Length,
        /// How many lines there are.
        lines: usize,
        /// How wide a line is.
        width: Length,
    },
    /// A symbol is too wide at its least module.
    #[error(
        "the bar code of '{text}' does not fit the label '{layout}': it needs {needed} with modules of {module} and quiet zones, and has {room}"
    )]
    SymbolTooWide {
        /// The layout's name.
        layout: String,
        /// What the symbol says.
        text: String,
        /// The width it needs.
        needed: Length,
        /// The least module.
        module: Length,
        /// The width there is.
        room: Length,
    },
    /// The text has no Code 128 symbol.
    #[error("the label '{layout}' has no bar code: {source}")]
    Code128 {
        /// The layout's name.
        layout: String,
        /// Why.
        source: Code128Error,
    },
    /// The text has no QR symbol.
    #[error("the label '{layout}' has no QR code: {source}")]
    Qr {
        /// The layout's name.
        layout: String,
        /// Why.
        source: QrError,
    },
}

/// One thing to put on paper, in micrometres from the label's top left corner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mark {
    /// One line of words.
    Text {
        /// Where the first letter begins.
        x_um: i64,
        /// The line on which the letters stand.
        baseline_um: i64,
        /// The size of an em.
        size_um: i64,
        /// Regular or bold.
        weight: Weight,
        /// The words.
        text: String,
    },
    /// A Code 128 symbol; the quiet zone lies outside.
    Code128 {
        /// Where the first bar begins.
        x_um: i64,
        /// Upper edge.
        y_um: i64,
        /// Height of the bars.
        height_um: i64,
        /// Width of a module.
        module_um: i64,
        /// What it says.
        text: String,
        /// Its bars.
        symbol: Code128,
    },
    /// A QR symbol; the quiet zone lies outside.
    Qr {
        /// Left edge.
        x_um: i64,
        /// Upper edge.
        y_um: i64,
        /// Width of a module.
        module_um: i64,
        /// What it says.
        text: String,
        /// Its modules.
        symbol: QrSymbol,
    },
    /// A rectangle.
    Box {
        /// Left edge.
        x_um: i64,
        /// Upper edge.
        y_um: i64,
        /// Width.
        width_um: i64,
        /// Height.
        height_um: i64,
        /// Width of the outline; filled where it is absent.
        line_um: Option<i64>,
    },
}

impl fmt::Display for Mark {
    /// Writes the mark on one line, in micrometres, for people who compare labels.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Text { x_um, baseline_um, size_um, weight, text } => {
                write!(f, "{weight:?} {size_um} at {x_um},{baseline_um}: {text}")
            }
            Self::Code128 { x_um, y_um, height_um, module_um, text, symbol } => {
                let width_um = i64::from(symbol.module_count()) * module_um;
                write!(f, "Code128 {width_um}x{height_um} by {module_um} at {x_um},{y_um}: {text}")
            }
            Self::Qr { x_um, y_um, module_um, text, .. } => {
                write!(f, "Qr by {module_um} at {x_um},{y_um}: {text}")
            }
            Self::Box { x_um, y_um, width_um, height_um, line_um } => {
                write!(f, "Box {width_um}x{height_um} at {x_um},{y_um}")?;
                line_um.map_or(Ok(()), |line| write!(f, ", outline {line}"))
            }
        }
    }
}

/// Measures a text: the words, their weight, the size of an em; the width in micrometres.
pub type Measure<'a> = &'a dyn Fn(&str, Weight, i64) -> i64;

/// Returns the marks that say these facts in this layout.
///
/// The widths of letters come in as a function, so that labels need no font here. Module widths
/// are whole dots of a 203 dpi print head, at least 0.25 mm, with quiet zones of ten modules.
///
/// # Errors
///
/// [`LabelError`] for an absent fact, and for a text or symbol that does not fit.
///
/// # Source
///
/// Quiet zone: ISO/IEC 15417:2007, 4.4 (10X). The least module is our own choice.
pub fn compose(
    layout: &Layout,
    facts: &Facts<'_>,
    measure: Measure<'_>,
) -> Result<Vec<Mark>, LabelError> {
    let mut marks = Vec::new();
    for field in &layout.fields {
        match field {
            Field::Text(it) => {
                if let Some(text) = fill(layout, &it.text, it.optional, facts)? {
                    marks.extend(set_text(layout, it, &text, measure)?);
                }
            }
            Field::Code128(it) => {
                if let Some(text) = fill(layout, &it.text, it.optional, facts)? {
                    marks.push(set_bars(layout, it, text)?);
                }
            }
            Field::Qr(it) => {
                if let Some(text) = fill(layout, &it.text, it.optional, facts)? {
                    marks.push(set_qr(layout, it, text)?);
                }
            }
            Field::Box(it) => marks.push(Mark::Box {
                x_um: it.x_um,
                y_um: it.y_um,
                width_um: it.width_um,
                height_um: it.height_um,
                line_um: it.line_um,
            }),
        }
    }
    Ok(marks)
}

/// Puts the facts in place of their names in braces; `None` where the field is to be left out.
fn fill(
    layout: &Layout,
    template: &str,
    optional: bool,
    facts: &Facts<'_>,
) -> Result<Option<String>, LabelError> {
    let mut text = String::new();
    let mut rest = template;
    while let Some((before, after)) = rest.split_once('{') {
        let (fact, after) = after.split_once('}').unwrap_or((after, ""));
        text.push_str(before);
        match facts.get(fact).map(|it| it.trim()).filter(|it| !it.is_empty()) {
            Some(value) => text.push_str(value),
            None if optional => return Ok(None),
            None => {
                let (layout, fact) = (layout.name.clone(), fact.to_owned());
                return Err(LabelError::MissingFact { layout, fact });
            }
        }
        rest = after;
    }
    text.push_str(rest);
    Ok(Some(text))
}

/// The height of lines of that size: capitals with accents above, tails below.
const fn block_height(lines: i64, size_um: i64) -> i64 {
    size_um * (105 + (lines - 1) * 118) / 100
}

fn aligned(align: Align, x_um: i64, room_um: i64, width_um: i64) -> i64 {
    match align {
        Align::Left => x_um,
        Align::Centre => x_um + (room_um - width_um) / 2,
        Align::Right => x_um + room_um - width_um,
    }
}

fn set_text(
    layout: &Layout,
    field: &TextField,
    text: &str,
    measure: Measure<'_>,
) -> Result<Vec<Mark>, LabelError> {
    let (size_um, lines) = fit(field, text, measure).ok_or_else(|| LabelError::TextTooLong {
        layout: layout.name.clone(),
        text: text.to_owned(),
        size: Length::from_micrometres(field.min_size_um),
        lines: field.lines,
        width: Length::from_micrometres(field.width_um),
    })?;
    let count = i64::try_from(lines.len()).unwrap_or(i64::MAX);
    let slack = match field.across {
        Across::Top => 0,
        Across::Middle => (field.height_um - block_height(count, size_um)).max(0) / 2,
    };
    let mark = |(text, nth): (String, i64)| Mark::Text {
        x_um: aligned(
            field.align,
            field.x_um,
            field.width_um,
            measure(&text, field.weight, size_um),
        ),
        baseline_um: field.y_um + slack + size_um * (82 + nth * 118) / 100,
        size_um,
        weight: field.weight,
        text,
    };
    Ok(lines.into_iter().zip(0..).map(mark).collect())
}

/// Returns the size and lines of the text: on one line down to the least size, else wrapped at
/// the largest size at which all of it fits.
fn fit(field: &TextField, text: &str, measure: Measure<'_>) -> Option<(i64, Vec<String>)> {
    let sizes = || sizes(field.size_um, field.min_size_um);
    let single = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let fits_single = |size: &i64| {
        block_height(1, *size) <= field.height_um
            && measure(&single, field.weight, *size) <= field.width_um
    };
    if let Some(size) = sizes().find(fits_single) {
        return Some((size, vec![single]));
    }
    sizes().filter(|_| 1 < field.lines).find_map(|size| {
        let lines = wrap(&single, field.width_um, &|it| measure(it, field.weight, size));
        let count = i64::try_from(lines.len()).ok()?;
        let fits = lines.len() <= field.lines && block_height(count, size) <= field.height_um;
        fits.then_some((size, lines))
    })
}

fn sizes(largest: i64, least: i64) -> impl Iterator<Item = i64> {
    let smaller = move |size: &i64| Some(size - SIZE_STEP_UM).filter(|it| least <= *it);
    std::iter::successors(Some(largest), smaller)
}

fn set_bars(layout: &Layout, field: &BarField, text: String) -> Result<Mark, LabelError> {
    let fault = |source| LabelError::Code128 { layout: layout.name.clone(), source };
    let symbol: Code128 = text.parse().map_err(fault)?;
    let modules = i64::from(symbol.module_count());
    let with_quiet = modules + 2 * QUIET_MODULES;
    let most = (field.width_um / with_quiet).min(field.max_module_um);
    let module_um = most / MODULE_STEP_UM * MODULE_STEP_UM;
    if module_um < LEAST_MODULE_UM {
        return Err(too_wide(layout, text, with_quiet, LEAST_MODULE_UM, field.width_um));
    }
    let width = with_quiet * module_um;
    let left = aligned(field.align, field.x_um, field.width_um, width);
    Ok(Mark::Code128 {
        x_um: left + QUIET_MODULES * module_um,
        y_um: field.y_um,
        height_um: field.height_um,
        module_um,
        text,
        symbol,
    })
}

fn set_qr(layout: &Layout, field: &QrField, text: String) -> Result<Mark, LabelError> {
    let fault = |source| LabelError::Qr { layout: layout.name.clone(), source };
    let symbol = QrSymbol::of(&text).map_err(fault)?;
    let side = symbol.side_with_quiet();
    let module_um = field.side_um / side;
    if module_um < LEAST_QR_MODULE_UM {
        return Err(too_wide(layout, text, side, LEAST_QR_MODULE_UM, field.side_um));
    }
    let inset = (field.side_um - module_um * (side - 2 * QrSymbol::QUIET_MODULES)) / 2;
    let (x_um, y_um) = (field.x_um + inset, field.y_um + inset);
    Ok(Mark::Qr { x_um, y_um, module_um, text, symbol })
}

fn too_wide(layout: &Layout, text: String, modules: i64, module: i64, room: i64) -> LabelError {
    LabelError::SymbolTooWide {
        layout: layout.name.clone(),
        text,
        needed: Length::from_micrometres(modules * module),
        module: Length::from_micrometres(module),
        room: Length::from_micrometres(room),
    }
}
