use std::collections::BTreeMap;
use std::fmt;

use super::fault::LabelError;
use super::layout::{Across, Align, BarField, Field, Layout, MatrixField, TextField, Weight};
use super::{Symbol, Symbology, wrap};
use crate::units::Length;

/// What a label says: each fact under the name that its layout gives in braces.
pub type Facts<'a> = BTreeMap<&'a str, String>;

/// The step in which modules grow: a dot of a 203 dpi print head.
const MODULE_STEP_UM: i64 = 125;
/// The least width of a QR module that a phone reads from an arm's length.
const LEAST_QR_MODULE_UM: i64 = 400;
/// The least width of a Data Matrix module: three dots.
const LEAST_MATRIX_MODULE_UM: i64 = 375;
/// The height of the line below bars, in hundredths of its size.
const HRI_HEIGHT: i64 = 120;
/// Letters shrink in steps that the eye does not see.
const SIZE_STEP_UM: i64 = 50;

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
    /// A symbol; its quiet zone lies outside.
    Symbol {
        /// Where the first bar begins.
        x_um: i64,
        /// Upper edge.
        y_um: i64,
        /// Height of bars, or of the matrix.
        height_um: i64,
        /// Width of a module.
        module_um: i64,
        /// Its bars or modules.
        symbol: Symbol,
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
            Self::Symbol { x_um, y_um, height_um, module_um, symbol } => {
                write!(f, "{}", symbol.symbology())?;
                if symbol.own_height_um(*module_um).is_none() {
                    write!(f, " {}x{height_um}", symbol.width_um(*module_um))?;
                }
                write!(f, " by {module_um} at {x_um},{y_um}: {}", symbol.text())
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

impl Mark {
    /// Returns left edge, upper edge, width and height of what is inked, quiet zones left out.
    pub fn frame(&self, measure: Measure<'_>) -> [i64; 4] {
        match self {
            Self::Text { x_um, baseline_um, size_um, weight, text } => {
                let top = baseline_um - size_um * ASCENT / 100;
                [*x_um, top, measure(text, *weight, *size_um), size_um * (ASCENT + DESCENT) / 100]
            }
            Self::Symbol { x_um, y_um, height_um, module_um, symbol } => {
                [*x_um, *y_um, symbol.width_um(*module_um), *height_um]
            }
            Self::Box { x_um, y_um, width_um, height_um, .. } => {
                [*x_um, *y_um, *width_um, *height_um]
            }
        }
    }
}

/// Returns the marks that say these facts in this layout.
///
/// The widths of letters come in as a function, so that labels need no font here. Module widths
/// are whole dots of a 203 dpi print head where a use does not ask for more.
///
/// # Errors
///
/// [`LabelError`] for an absent fact, and for a text or symbol that does not fit: it is never cut
/// off, and nothing runs past an edge.
///
/// # Source
///
/// Quiet zones: [`Symbology::quiet`]. The least module is our own choice.
pub fn compose(
    layout: &Layout,
    facts: &Facts<'_>,
    measure: Measure<'_>,
) -> Result<Vec<Mark>, LabelError> {
    let mut marks = Vec::new();
    for (field, number) in layout.fields.iter().zip(1..) {
        marks.extend(At { layout, number }.marks(field, facts, measure)?);
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

/// How far letters reach above and below their line, in hundredths of an em: a capital with an
/// accent, and a tail.
const ASCENT: i64 = 82;
const DESCENT: i64 = 23;
/// From one line to the next, in hundredths of an em.
const LEADING: i64 = 118;

const fn block_height(lines: i64, size_um: i64) -> i64 {
    size_um * (ASCENT + DESCENT + (lines - 1) * LEADING) / 100
}

fn aligned(align: Align, x_um: i64, room_um: i64, width_um: i64) -> i64 {
    match align {
        Align::Left => x_um,
        Align::Centre => x_um + (room_um - width_um) / 2,
        Align::Right => x_um + room_um - width_um,
    }
}

/// A field of a layout, for messages.
pub(super) struct At<'a> {
    pub(super) layout: &'a Layout,
    pub(super) number: usize,
}

impl At<'_> {
    /// Returns the marks of the field; none where it is left out.
    pub(super) fn marks(
        &self,
        field: &Field,
        facts: &Facts<'_>,
        measure: Measure<'_>,
    ) -> Result<Vec<Mark>, LabelError> {
        let fill = |text: &str, optional: bool| fill(self.layout, text, optional, facts);
        match field {
            Field::Text(it) => match fill(&it.text, it.optional)? {
                Some(text) => self.set_text(it, &text, measure),
                None => Ok(Vec::new()),
            },
            Field::Box(it) => Ok(vec![Mark::Box {
                x_um: it.x_um,
                y_um: it.y_um,
                width_um: it.width_um,
                height_um: it.height_um,
                line_um: it.line_um,
            }]),
            _ => {
                if let Some((symbology, it)) = field.bars()
                    && let Some(text) = fill(&it.text, it.optional)?
                {
                    return self.set_bars(symbology, it, &text, measure);
                }
                if let Some((symbology, it)) = field.matrix()
                    && let Some(text) = fill(&it.text, it.optional)?
                {
                    return Ok(vec![self.set_matrix(symbology, it, &text)?]);
                }
                Ok(Vec::new())
            }
        }
    }

    fn set_text(
        &self,
        field: &TextField,
        text: &str,
        measure: Measure<'_>,
    ) -> Result<Vec<Mark>, LabelError> {
        let set = fit(field, text, measure);
        let (size_um, lines) = set.ok_or_else(|| self.text_too_long(field, text, measure))?;
        let count = i64::try_from(lines.len()).unwrap_or(i64::MAX);
        let slack = match field.across {
            Across::Top => 0,
            Across::Middle => (field.height_um - block_height(count, size_um)).max(0) / 2,
        };
        let mark = |(text, nth): (String, i64)| {
            let width_um = measure(&text, field.weight, size_um);
            Mark::Text {
                x_um: aligned(field.align, field.x_um, field.width_um, width_um),
                baseline_um: field.y_um + slack + size_um * (ASCENT + nth * LEADING) / 100,
                size_um,
                weight: field.weight,
                text,
            }
        };
        Ok(lines.into_iter().zip(0..).map(mark).collect())
    }

    fn text_too_long(&self, field: &TextField, text: &str, measure: Measure<'_>) -> LabelError {
        let text = single(text);
        let long = measure(&text, field.weight, field.min_size_um);
        let lines = i64::try_from(field.lines).unwrap_or(i64::MAX);
        // Lines that break between words hold less than their width, so some is always too much.
        let over = (long - lines.saturating_mul(field.width_um)).max(long / 20);
        LabelError::TextTooLong {
            layout: self.layout.name.clone(),
            field: self.number,
            text,
            size: Length::from_micrometres(field.min_size_um),
            long: Length::from_micrometres(long),
            lines: field.lines,
            width: Length::from_micrometres(field.width_um),
            over: Length::from_micrometres(over),
        }
    }

    fn symbol(&self, symbology: Symbology, text: &str) -> Result<Symbol, LabelError> {
        let (layout, field) = (self.layout.name.clone(), self.number);
        Symbol::of(symbology, text).map_err(|source| LabelError::Symbol { layout, field, source })
    }

    fn set_bars(
        &self,
        symbology: Symbology,
        field: &BarField,
        text: &str,
        measure: Measure<'_>,
    ) -> Result<Vec<Mark>, LabelError> {
        let symbol = self.symbol(symbology, text)?;
        let (least, most) = (least_module(field), field.max_module_um);
        let fits = |module: &i64| symbol.width_with_quiet_um(*module) <= field.width_um;
        let steps = |from: i64| {
            (0..).map_while(move |it| {
                (least <= from - it * MODULE_STEP_UM).then_some(from - it * MODULE_STEP_UM)
            })
        };
        let module_um = steps(most / MODULE_STEP_UM * MODULE_STEP_UM).find(fits);
        let module_um = module_um.or_else(|| Some(least).filter(fits)).ok_or_else(|| {
            self.too_wide(text, symbol.width_with_quiet_um(least), least, field.width_um)
        })?;
        let hri = field.hri_um.map(|size| self.set_hri(field, size, symbol.hri(), measure));
        let hri = hri.transpose()?;
        let below = field.hri_um.map_or(0, |size| size * HRI_HEIGHT / 100);
        let height_um = field.height_um - below;
        let needed = 2 * symbol.bearer_um(module_um) + 10 * module_um;
        if height_um < needed {
            return Err(LabelError::SymbolTooHigh {
                layout: self.layout.name.clone(),
                field: self.number,
                text: text.to_owned(),
                needed: Length::from_micrometres(needed + below),
                room: Length::from_micrometres(field.height_um),
            });
        }
        let [left, _] = symbology.quiet();
        let whole = symbol.width_with_quiet_um(module_um);
        let x_um = aligned(field.align, field.x_um, field.width_um, whole) + left * module_um;
        let bars = Mark::Symbol { x_um, y_um: field.y_um, height_um, module_um, symbol };
        Ok([bars].into_iter().chain(hri).collect())
    }

    /// Sets the characters below the bars, on one line, as wide as the field at most.
    fn set_hri(
        &self,
        field: &BarField,
        size_um: i64,
        text: &str,
        measure: Measure<'_>,
    ) -> Result<Mark, LabelError> {
        let weight = Weight::Regular;
        let width_um = measure(text, weight, size_um);
        if field.width_um < width_um {
            return Err(self.too_wide(text, width_um, size_um, field.width_um));
        }
        let bottom = field.y_um + field.height_um;
        Ok(Mark::Text {
            x_um: aligned(Align::Centre, field.x_um, field.width_um, width_um),
            baseline_um: bottom - size_um * DESCENT / 100,
            size_um,
            weight,
            text: text.to_owned(),
        })
    }

    fn set_matrix(
        &self,
        symbology: Symbology,
        field: &MatrixField,
        text: &str,
    ) -> Result<Mark, LabelError> {
        let symbol = self.symbol(symbology, text)?;
        let modules = symbol.width_with_quiet_um(1);
        let least = match symbology {
            Symbology::Qr | Symbology::Gs1Qr => LEAST_QR_MODULE_UM,
            _ => LEAST_MATRIX_MODULE_UM,
        };
        let fitting = field.side_um / modules;
        let widest = field.max_module_um.map_or(fitting, |it| fitting.min(it));
        let dots = widest / MODULE_STEP_UM * MODULE_STEP_UM;
        let module_um = if least <= dots { dots } else { widest };
        if module_um < least {
            return Err(self.too_wide(text, modules * least, least, field.side_um));
        }
        let height_um = symbol.own_height_um(module_um).unwrap_or(0);
        let inset = (field.side_um - height_um) / 2;
        let (x_um, y_um) = (field.x_um + inset, field.y_um + inset);
        Ok(Mark::Symbol { x_um, y_um, height_um, module_um, symbol })
    }

    fn too_wide(&self, text: &str, needed: i64, module: i64, room: i64) -> LabelError {
        LabelError::SymbolTooWide {
            layout: self.layout.name.clone(),
            field: self.number,
            text: text.to_owned(),
            needed: Length::from_micrometres(needed),
            module: Length::from_micrometres(module),
            room: Length::from_micrometres(room),
            over: Length::from_micrometres(needed - room),
        }
    }
}

/// Returns the narrowest module that the field and its use allow.
fn least_module(field: &BarField) -> i64 {
    field
        .of_use
        .map_or(field.min_module_um, |it| it.rule().least_module_um.min(field.max_module_um))
}

fn single(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Returns the size and lines of the text: on one line down to the least size, else wrapped at
/// the largest size at which all of it fits.
fn fit(field: &TextField, text: &str, measure: Measure<'_>) -> Option<(i64, Vec<String>)> {
    let single = single(text);
    let highest = field.height_um * 100 / block_height(1, 100);
    let largest = field.size_um.min(highest);
    // Widths grow with the size, so the size that fits is near this one; the rest is rounding.
    let width = measure(&single, field.weight, largest).max(1);
    let near = if width <= field.width_um { largest } else { largest * field.width_um / width };
    let stepped =
        field.size_um - (field.size_um - near).max(0).div_euclid(SIZE_STEP_UM) * SIZE_STEP_UM;
    let fits_single = |size: &i64| {
        block_height(1, *size) <= field.height_um
            && measure(&single, field.weight, *size) <= field.width_um
    };
    if let Some(size) =
        sizes(stepped.min(field.size_um), field.min_size_um).take(4).find(fits_single)
    {
        return Some((size, vec![single]));
    }
    sizes(field.size_um, field.min_size_um).filter(|_| 1 < field.lines).find_map(|size| {
        let lines = wrap(&single, field.width_um, &|it| measure(it, field.weight, size));
        let count = i64::try_from(lines.len()).ok()?;
        let fits = lines.len() <= field.lines && block_height(count, size) <= field.height_um;
        let all_within =
            || lines.iter().all(|it| measure(it, field.weight, size) <= field.width_um);
        (fits && all_within()).then_some((size, lines))
    })
}

fn sizes(from_um: i64, least_um: i64) -> impl Iterator<Item = i64> {
    let steps = (from_um - least_um).max(0) / SIZE_STEP_UM;
    let last = (from_um >= least_um).then_some(least_um);
    let stepped = (0..=steps).map(move |it| from_um - it * SIZE_STEP_UM);
    stepped.filter(move |it| least_um <= *it).chain(last)
}
