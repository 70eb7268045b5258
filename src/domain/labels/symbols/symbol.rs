use super::{ElementsError, QrError, QrSymbol, Symbology, ean, elements, matrix};
use crate::domain::gs1::Gs1Error;
use crate::domain::labels::{Code128, Code128Error};
use crate::units::Length;

/// Why a text has no symbol of that kind.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SymbolError {
    /// Code 128 refuses it.
    #[error(transparent)]
    Code128(#[from] Code128Error),
    /// QR refuses it.
    #[error(transparent)]
    Qr(#[from] QrError),
    /// It is no list of elements.
    #[error(transparent)]
    Elements(#[from] ElementsError),
    /// It is no GTIN.
    #[error(transparent)]
    Gtin(Gs1Error),
    /// It is a GTIN of another length.
    #[error("'{text}' does not have the {length} digits that this bar code holds")]
    Length {
        /// The number.
        text: String,
        /// The digits that the symbol holds.
        length: usize,
    },
    /// No zeros of the number can be left out.
    #[error("'{0}' has no UPC-E: print it as UPC-A")]
    NotUpcE(String),
    /// It is longer than the largest symbol holds.
    #[error("a Data Matrix cannot hold these {bytes} bytes")]
    TooLong {
        /// The length of the text.
        bytes: usize,
    },
    /// The drawing refused a number that it should have taken.
    #[error("the bars of '{0}' could not be drawn")]
    Drawing(String),
}

/// A symbol ready to be drawn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Symbol {
    symbology: Symbology,
    text: String,
    hri: String,
    shape: Shape,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Shape {
    /// Widths in modules, bar and space in turn.
    Bars(Vec<u8>),
    /// Whether each element is wide, bar and space in turn.
    WideBars(Vec<bool>),
    /// Rows of modules.
    Matrix(Vec<Vec<bool>>),
}

/// A dark rectangle of a symbol: left, top, width and height from the symbol's corner.
pub type Dark = [i64; 4];

impl Symbol {
    /// Returns the symbol of that text: plain, a whole GTIN, or elements in brackets, as the kind
    /// has it.
    ///
    /// ```
    /// use kitwright::domain::labels::{Symbol, Symbology};
    /// let symbol = Symbol::of(Symbology::Ean13, "9520123456788")?;
    /// assert_eq!(symbol.hri(), "9 520123 456788");
    /// assert_eq!(symbol.width_um(330), 95 * 330);
    /// # Ok::<(), kitwright::domain::labels::SymbolError>(())
    /// ```
    ///
    /// # Errors
    ///
    /// [`SymbolError`] where the kind can't say the text.
    pub fn of(symbology: Symbology, text: &str) -> Result<Self, SymbolError> {
        let mut hri = text.to_owned();
        let shape = match symbology {
            Symbology::Code128 => Shape::Bars(text.parse::<Code128>()?.widths()?),
            Symbology::Gs1128 => Shape::Bars(Code128::of_elements(text)?.widths()?),
            Symbology::Ean13 => {
                let digits = ean::gtin(text, 13)?;
                hri = grouped(&digits, &[1, 6, 6]);
                Shape::Bars(run_lengths(&ean::ean13(&digits)?))
            }
            Symbology::UpcA => {
                let digits = ean::gtin(text, 12)?;
                hri = grouped(&digits, &[1, 5, 5, 1]);
                Shape::Bars(run_lengths(&ean::ean13(&format!("0{digits}"))?))
            }
            Symbology::Ean8 => {
                let digits = ean::gtin(text, 8)?;
                hri = grouped(&digits, &[4, 4]);
                Shape::Bars(run_lengths(&ean::ean8(&digits)?))
            }
            Symbology::UpcE => {
                let (modules, digits) = ean::upce(&ean::gtin(text, 12)?)?;
                hri = grouped(&digits, &[1, 6, 1]);
                Shape::Bars(run_lengths(&modules))
            }
            Symbology::Itf14 => {
                let digits = ean::gtin(text, 14)?;
                hri = grouped(&digits, &[1, 2, 5, 5, 1]);
                Shape::WideBars(ean::itf14(&digits)?)
            }
            Symbology::DataMatrix => Shape::Matrix(matrix::datamatrix(text)?),
            Symbology::Gs1DataMatrix => Shape::Matrix(matrix::gs1_datamatrix(text)?),
            Symbology::Qr => Shape::Matrix(QrSymbol::of(text)?.rows().to_vec()),
            Symbology::Gs1Qr => Shape::Matrix(QrSymbol::of_elements(text)?.rows().to_vec()),
        };
        Ok(Self { symbology, text: text.to_owned(), hri, shape })
    }

    /// Returns the kind.
    pub const fn symbology(&self) -> Symbology {
        self.symbology
    }

    /// Returns the text as it was given.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Returns the human readable interpretation: the digits in their groups, or the elements
    /// with their identifiers in brackets.
    pub fn hri(&self) -> &str {
        &self.hri
    }

    /// Returns what a reader says of it; U+001D separates elements.
    ///
    /// # Errors
    ///
    /// [`ElementsError`] never, as the symbol was made of elements.
    pub fn message(&self) -> Result<String, ElementsError> {
        match self.symbology {
            Symbology::Gs1128 | Symbology::Gs1DataMatrix | Symbology::Gs1Qr => {
                elements::message(&self.text)
            }
            Symbology::UpcA | Symbology::UpcE => Ok(format!("0{}", self.text)),
            _ => Ok(self.text.clone()),
        }
    }

    /// Returns the rows of a matrix, or the one row of bars where all widths are whole modules.
    pub fn modules(&self) -> Vec<Vec<bool>> {
        match &self.shape {
            Shape::Matrix(rows) => rows.clone(),
            Shape::WideBars(_) => Vec::new(),
            Shape::Bars(widths) => {
                let run = |(width, dark)| std::iter::repeat_n(dark, usize::from(width));
                vec![
                    widths
                        .iter()
                        .copied()
                        .zip([true, false].into_iter().cycle())
                        .flat_map(run)
                        .collect(),
                ]
            }
        }
    }

    /// Returns whether each element of an ITF-14 is wide, from the first bar.
    pub fn wide_elements(&self) -> &[bool] {
        match &self.shape {
            Shape::WideBars(wide) => wide,
            Shape::Bars(_) | Shape::Matrix(_) => &[],
        }
    }

    /// Returns the width without quiet zones, for that width of a module.
    pub fn width_um(&self, module_um: i64) -> i64 {
        match &self.shape {
            Shape::Bars(widths) => widths.iter().map(|it| i64::from(*it)).sum::<i64>() * module_um,
            Shape::WideBars(wide) => wide.iter().map(|it| element_um(*it, module_um)).sum(),
            Shape::Matrix(rows) => count(rows.first().map_or(0, Vec::len)) * module_um,
        }
    }

    /// Returns the width with the quiet zones on both sides.
    pub fn width_with_quiet_um(&self, module_um: i64) -> i64 {
        let [left, right] = self.symbology.quiet();
        self.width_um(module_um) + (left + right) * module_um
    }

    /// Returns how thick the bearer bars above and below are; none but ITF-14 has them.
    ///
    /// # Source
    ///
    /// GS1 General Specifications, section 5.3: at least 2X where no printing plate is used.
    pub const fn bearer_um(&self, module_um: i64) -> i64 {
        match self.symbology {
            Symbology::Itf14 => 2 * module_um,
            _ => 0,
        }
    }

    /// Returns the dark rectangles; bars and bearer bars together are `height_um` high, and a
    /// matrix is as high as it is wide.
    ///
    /// Bearer bars cover the quiet zones too, so the first may begin left of the corner.
    pub fn dark(&self, module_um: i64, height_um: i64) -> Vec<Dark> {
        match &self.shape {
            Shape::Bars(widths) => {
                bars(widths.iter().map(|it| i64::from(*it) * module_um), 0, height_um)
            }
            Shape::WideBars(wide) => {
                let bearer = self.bearer_um(module_um);
                let [left, _] = self.symbology.quiet();
                let whole = self.width_with_quiet_um(module_um);
                let inner = height_um - 2 * bearer;
                let mut dark =
                    bars(wide.iter().map(|it| element_um(*it, module_um)), bearer, inner);
                let start = -left * module_um;
                dark.push([start, 0, whole, bearer]);
                dark.push([start, height_um - bearer, whole, bearer]);
                dark
            }
            Shape::Matrix(rows) => matrix_rows(rows, module_um),
        }
    }

    /// Returns the height that a matrix has; `None` for bars, which are as high as they are drawn.
    pub fn own_height_um(&self, module_um: i64) -> Option<i64> {
        match &self.shape {
            Shape::Matrix(rows) => Some(count(rows.len()) * module_um),
            Shape::Bars(_) | Shape::WideBars(_) => None,
        }
    }

    /// Returns the width without quiet zones as a length, for that width of a module.
    pub fn width(&self, module: Length) -> Length {
        Length::from_micrometres(self.width_um(module.micrometres()))
    }
}

/// Returns the width of an element of Interleaved 2 of 5: a wide one is 2.5 modules, cut to whole
/// dots of a 203 dpi head where the module is of whole dots.
///
/// # Source
///
/// GS1 General Specifications, section 5.3: 2.5 to 1 is the target, 2.25 to 3 the range.
const fn element_um(is_wide: bool, module_um: i64) -> i64 {
    const DOT_UM: i64 = 125;
    let wide = module_um * 5 / 2;
    match is_wide {
        false => module_um,
        true if module_um % DOT_UM == 0 && DOT_UM * 3 < module_um => wide / DOT_UM * DOT_UM,
        true => wide,
    }
}

fn bars(widths: impl Iterator<Item = i64>, top: i64, height_um: i64) -> Vec<Dark> {
    let mut left = 0;
    let mut dark = Vec::new();
    for (width, is_bar) in widths.zip([true, false].into_iter().cycle()) {
        if is_bar {
            dark.push([left, top, width, height_um]);
        }
        left += width;
    }
    dark
}

fn matrix_rows(rows: &[Vec<bool>], module_um: i64) -> Vec<Dark> {
    let mut dark = Vec::new();
    for (row, nth) in rows.iter().zip(0_i64..) {
        let mut left = 0;
        for run in row.chunk_by(PartialEq::eq) {
            let width = count(run.len()) * module_um;
            if run.first() == Some(&true) {
                dark.push([left, nth * module_um, width, module_um]);
            }
            left += width;
        }
    }
    dark
}

fn run_lengths(modules: &[bool]) -> Vec<u8> {
    modules.chunk_by(PartialEq::eq).map(|run| u8::try_from(run.len()).unwrap_or(u8::MAX)).collect()
}

fn count(modules: usize) -> i64 {
    i64::try_from(modules).unwrap_or(0)
}

fn grouped(digits: &str, groups: &[usize]) -> String {
    let mut rest = digits.chars();
    let group = |length: &usize| rest.by_ref().take(*length).collect::<String>();
    groups.iter().map(group).collect::<Vec<_>>().join(" ")
}
