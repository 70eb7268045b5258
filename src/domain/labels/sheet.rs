use std::str::FromStr;

use serde::Deserialize;

use super::Layout;
use super::layout::{LayoutError, LayoutFault, line_at, millimetres, some_millimetres};
use crate::units::Length;

/// A sheet of labels: read from TOML, in millimetres from the top left corner.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    /// The name that messages and pages use.
    pub name: String,
    /// The sheet's width.
    #[serde(rename = "width_mm", deserialize_with = "millimetres")]
    pub width_um: i64,
    /// The sheet's height.
    #[serde(rename = "height_mm", deserialize_with = "millimetres")]
    pub height_um: i64,
    /// Labels side by side.
    pub columns: u32,
    /// Labels one below the other.
    pub rows: u32,
    /// Left edge of the first label; the grid stands in the middle where it is left out.
    #[serde(default, rename = "left_mm", deserialize_with = "some_millimetres")]
    pub left_um: Option<i64>,
    /// Upper edge of the first label; the grid stands in the middle where it is left out.
    #[serde(default, rename = "top_mm", deserialize_with = "some_millimetres")]
    pub top_um: Option<i64>,
    /// Between two labels side by side.
    #[serde(default, rename = "gap_x_mm", deserialize_with = "millimetres")]
    pub gap_x_um: i64,
    /// Between two labels one below the other.
    #[serde(default, rename = "gap_y_mm", deserialize_with = "millimetres")]
    pub gap_y_um: i64,
    /// Width of a label of the sheet; that of the layout where it is left out.
    #[serde(default, rename = "label_width_mm", deserialize_with = "some_millimetres")]
    pub label_width_um: Option<i64>,
    /// Height of a label of the sheet; that of the layout where it is left out.
    #[serde(default, rename = "label_height_mm", deserialize_with = "some_millimetres")]
    pub label_height_um: Option<i64>,
}

/// Why labels do not go on a sheet.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SheetError {
    /// A layout is larger than the sheet's labels.
    #[error(
        "the layout '{layout}' is {by} {too} for the labels of the sheet '{sheet}', which are {width} by {height}: choose a larger sheet, or change the layout"
    )]
    Label {
        /// The layout's name.
        layout: String,
        /// What is too much.
        by: Length,
        /// "too wide" or "too high".
        too: &'static str,
        /// The sheet's name.
        sheet: String,
        /// Width of its labels.
        width: Length,
        /// Height of its labels.
        height: Length,
    },
    /// The grid is larger than the sheet.
    #[error(
        "{columns} by {rows} labels of this size do not fit the sheet '{sheet}': it holds at most {most_columns} by {most_rows}"
    )]
    Grid {
        /// The sheet's name.
        sheet: String,
        /// Labels side by side.
        columns: u32,
        /// Labels one below the other.
        rows: u32,
        /// How many fit side by side.
        most_columns: i64,
        /// How many fit one below the other.
        most_rows: i64,
    },
    /// The first free label is not on the sheet.
    #[error("the sheet has labels 1 to {last}, so printing cannot start at {start}")]
    Start {
        /// The label to start at.
        start: u32,
        /// The last label of the sheet.
        last: u32,
    },
}

impl Sheet {
    /// The sheets that come with the program: the word that chooses each, and its text.
    pub const BUILT_IN: [(&'static str, &'static str); 4] = [
        ("a4", include_str!("../../../labels/sheets/a4.toml")),
        ("a4-a6", include_str!("../../../labels/sheets/a4-a6.toml")),
        ("letter", include_str!("../../../labels/sheets/letter.toml")),
        ("letter-2x5", include_str!("../../../labels/sheets/letter-2x5.toml")),
    ];

    /// Returns the sheet that comes with the program under that word.
    pub fn built_in(word: &str) -> Option<Self> {
        let (_, text) = Self::BUILT_IN.into_iter().find(|(it, _)| *it == word)?;
        text.parse().ok()
    }

    /// Returns an A4 sheet with that grid of labels of the layout's own size, in its middle.
    pub fn a4(columns: u32, rows: u32) -> Self {
        Self {
            name: "A4".to_owned(),
            width_um: 210_000,
            height_um: 297_000,
            columns,
            rows,
            left_um: None,
            top_um: None,
            gap_x_um: 0,
            gap_y_um: 0,
            label_width_um: None,
            label_height_um: None,
        }
    }

    /// Returns the corners at which labels of that layout stand, row by row, from `start` on.
    ///
    /// A layout that is smaller than the sheet's labels stands in their middle.
    ///
    /// # Errors
    ///
    /// [`SheetError`] for a layout, a grid or a start that does not fit.
    pub fn corners(&self, layout: &Layout, start: u32) -> Result<Corners, SheetError> {
        let width = self.label_width_um.unwrap_or(layout.width_um);
        let height = self.label_height_um.unwrap_or(layout.height_um);
        let (over, below) = (layout.width_um - width, layout.height_um - height);
        if 0 < over || 0 < below {
            let (too, by) = if 0 < over { ("too wide", over) } else { ("too high", below) };
            return Err(SheetError::Label {
                layout: layout.name.clone(),
                by: Length::from_micrometres(by),
                too,
                sheet: self.name.clone(),
                width: Length::from_micrometres(width),
                height: Length::from_micrometres(height),
            });
        }
        let (across, down) = (i64::from(self.columns), i64::from(self.rows));
        let span = |count: i64, each: i64, gap: i64| count * each + (count - 1) * gap;
        let left = self.left_um.unwrap_or((self.width_um - span(across, width, self.gap_x_um)) / 2);
        let top = self.top_um.unwrap_or((self.height_um - span(down, height, self.gap_y_um)) / 2);
        let (free_x, free_y) =
            (self.width_um - self.left_um.unwrap_or(0), self.height_um - self.top_um.unwrap_or(0));
        let most_columns = (free_x + self.gap_x_um) / (width + self.gap_x_um).max(1);
        let most_rows = (free_y + self.gap_y_um) / (height + self.gap_y_um).max(1);
        if !(1..=most_columns).contains(&across) || !(1..=most_rows).contains(&down) {
            return Err(SheetError::Grid {
                sheet: self.name.clone(),
                columns: self.columns,
                rows: self.rows,
                most_columns,
                most_rows,
            });
        }
        let last = self.columns.saturating_mul(self.rows);
        if !(1..=last).contains(&start) {
            return Err(SheetError::Start { start, last });
        }
        let (x_um, y_um) = (left - over / 2, top - below / 2);
        let (step_x_um, step_y_um) = (width + self.gap_x_um, height + self.gap_y_um);
        let next = i64::from(start) - 1;
        Ok(Corners { x_um, y_um, step_x_um, step_y_um, across, down, next })
    }
}

impl FromStr for Sheet {
    type Err = LayoutError;

    fn from_str(text: &str) -> Result<Self, LayoutError> {
        let fault = |line, words| LayoutError(vec![LayoutFault { line, words }]);
        let sheet: Self = toml::from_str(text).map_err(|error| {
            let line = line_at(text, error.span().map_or(0, |it| it.start));
            fault(line, error.message().to_owned())
        })?;
        let sides = [sheet.width_um, sheet.height_um];
        let labels = [sheet.label_width_um, sheet.label_height_um].into_iter().flatten();
        if sides.into_iter().any(|it| !(10_000..=1_000_000).contains(&it))
            || labels.into_iter().any(|it| it < 1_000)
        {
            return Err(fault(
                1,
                "a sheet is from 10 to 1000 mm wide and high, and a label 1 mm at least".to_owned(),
            ));
        }
        Ok(sheet)
    }
}

/// The places of labels on sheets, one after the other.
#[derive(Debug, Clone)]
pub struct Corners {
    x_um: i64,
    y_um: i64,
    step_x_um: i64,
    step_y_um: i64,
    across: i64,
    down: i64,
    next: i64,
}

impl Iterator for Corners {
    /// The left and upper edge of the next label; `true` where it is the first of a further sheet.
    type Item = ([i64; 2], bool);

    fn next(&mut self) -> Option<Self::Item> {
        let turned = self.next == self.across * self.down;
        let place = if turned { 0 } else { self.next };
        self.next = place + 1;
        let x_um = self.x_um + place % self.across * self.step_x_um;
        let y_um = self.y_um + place / self.across * self.step_y_um;
        Some(([x_um, y_um], turned))
    }
}
