use std::collections::BTreeSet;

use super::PaperError;
use super::canvas::{Canvas, Frame, Style, Tone};
use super::heading::HEADING;
use super::pdf::{note, save};
use crate::domain::messages::Language;

pub(super) const PAGE_WIDTH: i64 = 210_000;
pub(super) const PAGE_HEIGHT: i64 = 297_000;
pub(super) const LEFT: i64 = 15_000;
pub(super) const RIGHT: i64 = PAGE_WIDTH - LEFT;
pub(super) const WIDTH: i64 = RIGHT - LEFT;
/// The width of one of two columns.
pub(super) const HALF: i64 = (WIDTH - 8_000) / 2;
const TOP: i64 = 14_000;
const BOTTOM: i64 = PAGE_HEIGHT - 19_000;
const FOOT: i64 = PAGE_HEIGHT - 10_000;
const PAD: i64 = 1_300;
/// From the end of a column of numbers to the next column.
const GAP: i64 = 3_000;
const HAIRLINE: i64 = 180;
/// A row up to this height is kept on one page, and its heading with it.
const KEEP: i64 = 24_000;

/// Reading size, and what stands beside it.
pub(super) const BODY: Style = Style::new(3_300);
pub(super) const SMALL: Style = Style::new(2_800);

/// A column of a table.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    title: &'static str,
    width_um: i64,
    side: Side,
}

/// Where the words of a column stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Left,
    /// For numbers that are compared or added up.
    Right,
}

impl Column {
    pub(super) const fn new(title: &'static str, width_um: i64) -> Self {
        Self { title, width_um, side: Side::Left }
    }

    /// Returns a column whose words end at its right edge.
    pub(super) const fn right(title: &'static str, width_um: i64) -> Self {
        Self { title, width_um, side: Side::Right }
    }

    /// Returns the width that words of the column may take.
    const fn room(self) -> i64 {
        match self.side {
            Side::Left => self.width_um - PAD,
            Side::Right => self.width_um - GAP,
        }
    }

    /// Returns where a line of the column that begins at `x_um` is to start.
    fn start(self, x_um: i64, style: Style, text: &str) -> i64 {
        match self.side {
            Side::Left => x_um,
            Side::Right => x_um + self.room() - style.width(text),
        }
    }
}

/// What stands in a column.
#[derive(Debug, Clone)]
pub(super) enum Cell {
    /// Paragraphs, each in its own style.
    Words(Vec<(Style, String)>),
    /// A box to tick by hand.
    Tick,
    /// A hatched box: there is nothing to tick.
    Missing,
}

impl Cell {
    /// Returns the lines of the cell in that room.
    fn lines(&self, width_um: i64) -> Vec<(Style, String)> {
        match self {
            Self::Words(paragraphs) => paragraphs
                .iter()
                .flat_map(|(style, text)| {
                    style.wrap(text, width_um).into_iter().map(|line| (*style, line))
                })
                .collect(),
            Self::Tick | Self::Missing => Vec::new(),
        }
    }
}

/// A document of A4 pages that fills from the top and breaks where a page is full.
pub(super) struct Flow {
    title: String,
    language: Language,
    done: Vec<Canvas>,
    page: Canvas,
    y_um: i64,
    columns: Vec<Column>,
    group: Option<String>,
    halves: Option<Halves>,
    /// How far down what is set may reach.
    bottom_um: i64,
}

/// Two columns of text side by side.
#[derive(Debug, Clone, Copy)]
struct Halves {
    /// Where both begin on this page.
    top_um: i64,
    /// Where the left one ended, once the right one is being filled.
    left_end_um: Option<i64>,
}

impl Flow {
    /// Returns an empty document; the title also stands at the foot of each page.
    pub(super) fn new(title: String) -> Self {
        Self::in_language(title, Language::default())
    }

    /// Returns an empty document whose pages are counted in that language.
    pub(super) fn in_language(title: String, language: Language) -> Self {
        let page = Canvas::new(PAGE_WIDTH, PAGE_HEIGHT);
        let (done, columns) = (Vec::new(), Vec::new());
        Self {
            title,
            language,
            done,
            page,
            y_um: TOP,
            columns,
            group: None,
            halves: None,
            bottom_um: BOTTOM,
        }
    }

    pub(super) const fn page(&mut self) -> &mut Canvas {
        &mut self.page
    }

    /// Returns where the next thing goes.
    pub(super) const fn y(&self) -> i64 {
        self.y_um
    }

    pub(super) const fn skip(&mut self, height_um: i64) {
        self.y_um += height_um;
    }

    /// Returns the same document, whose pages end that much higher.
    pub(super) const fn shortened(mut self, by_um: i64) -> Self {
        self.bottom_um = BOTTOM - by_um;
        self
    }

    /// Returns how many pages there are so far.
    pub(super) const fn pages(&self) -> usize {
        self.done.len() + 1
    }

    /// Begins two columns of text below what is there.
    pub(super) const fn begin_halves(&mut self) {
        self.halves = Some(Halves { top_um: self.y_um, left_end_um: None });
    }

    /// Goes on below both columns.
    pub(super) fn end_halves(&mut self) {
        let left_end = self.halves.take().and_then(|it| it.left_end_um);
        self.y_um = self.y_um.max(left_end.unwrap_or(self.y_um));
    }

    /// Returns the left edge of what is being filled: the page, or a column of it.
    pub(super) fn left(&self) -> i64 {
        let right_half = self.halves.is_some_and(|it| it.left_end_um.is_some());
        if right_half { RIGHT - HALF } else { LEFT }
    }

    /// Breaks the column or page unless that much height is left; returns where the next thing goes.
    pub(super) fn need(&mut self, height_um: i64) -> i64 {
        let room = self.bottom_um - TOP;
        while self.bottom_um < self.y_um + height_um.min(room) && TOP < self.y_um {
            self.next_column();
        }
        self.y_um
    }

    fn next_column(&mut self) {
        match &mut self.halves {
            Some(it) if it.left_end_um.is_none() => {
                it.left_end_um = Some(self.y_um);
                self.y_um = it.top_um;
            }
            Some(_) => {
                self.break_page();
                self.begin_halves();
            }
            None => self.break_page(),
        }
    }

    /// Returns whether that much height is left on the page.
    pub(super) const fn fits(&self, height_um: i64) -> bool {
        self.y_um + height_um <= self.bottom_um
    }

    fn break_page(&mut self) {
        let next = Canvas::new(PAGE_WIDTH, PAGE_HEIGHT);
        self.done.push(std::mem::replace(&mut self.page, next));
        self.y_um = TOP;
        if !self.columns.is_empty() {
            self.column_heads();
            if let Some(group) = self.group.clone() {
                self.group_head(&format!("{group} (continued)"));
            }
        }
    }

    /// Sets a paragraph across that width and moves below it.
    pub(super) fn paragraph(&mut self, x_um: i64, width_um: i64, style: Style, text: &str) {
        for line in style.wrap(text, width_um) {
            let y = self.need(style.leading());
            self.page.text(x_um, y + style.ascent(), style, &line);
            self.y_um += style.leading();
        }
    }

    /// Draws a hairline from margin to margin.
    pub(super) fn rule(&mut self, tone: Tone) {
        self.page.fill(Frame::new(LEFT, self.y_um, WIDTH, HAIRLINE), tone);
    }

    /// Begins a table, whose heads come again on each further page.
    pub(super) fn begin_table(&mut self, columns: &[Column]) {
        self.need(22_000 + KEEP);
        self.columns = columns.to_vec();
        self.group = None;
        self.column_heads();
    }

    pub(super) fn end_table(&mut self) {
        self.columns.clear();
        self.group = None;
    }

    fn column_heads(&mut self) {
        let mut x = LEFT;
        let style = SMALL.quiet();
        for column in self.columns.clone() {
            let start = column.start(x, style, column.title);
            self.page.text(start, self.y_um + style.ascent(), style, column.title);
            x += column.width_um;
        }
        self.y_um += style.leading() + 600;
        self.rule(Tone::Ink);
        self.y_um += HAIRLINE;
    }

    /// Begins a group of rows under a heading, which comes again where the group is broken.
    pub(super) fn begin_group(&mut self, heading: &str, caution: Option<&str>) {
        self.group = None;
        let bar = LEFT + 900;
        let lines = caution
            .map_or(0, |it| i64::try_from(SMALL.wrap(it, WIDTH - 22_000).len()).unwrap_or(0));
        self.need(10_000 + KEEP + lines * SMALL.leading());
        self.group_head(heading);
        if let Some(caution) = caution {
            let (top, style) = (self.y_um, SMALL.bold());
            self.page.text(bar + 2_200, top + style.ascent(), style, "Caution:");
            self.paragraph(bar + 19_000, WIDTH - 22_000, SMALL, caution);
            let height = self.y_um - top;
            self.page.fill(Frame::new(bar, top + 300, 700, height - 300), Tone::Ink);
            self.y_um += 1_000;
        }
        self.group = Some(heading.to_owned());
    }

    fn group_head(&mut self, heading: &str) {
        let style = HEADING;
        self.y_um += 2_400;
        self.paragraph(LEFT, WIDTH, style, heading);
        self.y_um += 500;
    }

    /// Sets a row of the table; one that is taller than a page goes on over the next pages.
    pub(super) fn row(&mut self, cells: &[Cell]) {
        let columns = self.columns.clone();
        let mut lines: Vec<Vec<(Style, String)>> =
            cells.iter().zip(&columns).map(|(cell, it)| cell.lines(it.room())).collect();
        let height = lines.iter().map(|it| height_of(it)).max().unwrap_or(0).max(5_000);
        let mut y = self.need((height + 2 * PAD).min(KEEP));
        let mut x = LEFT;
        for (cell, column) in cells.iter().zip(&columns) {
            self.sign(cell, x, y + PAD);
            x += column.width_um;
        }
        while lines.iter().any(|it| !it.is_empty()) {
            let room = BOTTOM - y - 2 * PAD;
            self.set_lines(&columns, &mut lines, room);
            if lines.iter().any(|it| !it.is_empty()) {
                self.break_page();
                y = self.y_um;
            }
        }
        self.y_um = self.y_um.max(y + 5_000 + PAD) + PAD;
        self.rule(Tone::Pale);
    }

    fn sign(&mut self, cell: &Cell, x: i64, y: i64) {
        let frame = Frame::new(x, y, 4_600, 4_600);
        match cell {
            Cell::Words(_) => {}
            Cell::Tick => self.page.outline(frame, 350, Tone::Ink),
            Cell::Missing => {
                self.page.hatch(frame);
                self.page.outline(frame, 350, Tone::Ink);
            }
        }
    }

    /// Sets as many lines of each column as fit the room, and takes them from `lines`.
    fn set_lines(&mut self, columns: &[Column], lines: &mut [Vec<(Style, String)>], room: i64) {
        let (mut x, top) = (LEFT, self.y_um + PAD);
        for (words, column) in lines.iter_mut().zip(columns) {
            let mut height = 0;
            let fitting = words.iter().take_while(|(style, _)| {
                height += style.leading();
                height <= room
            });
            let fitting = fitting.count().max(1).min(words.len());
            let mut y = top;
            for (style, line) in words.drain(..fitting) {
                self.page.text(column.start(x, style, &line), y + style.ascent(), style, &line);
                y += style.leading();
            }
            self.y_um = self.y_um.max(y);
            x += column.width_um;
        }
    }

    /// Returns the PDF, with the note of what could not be printed and the foot of each page.
    pub(super) fn finish(mut self) -> Result<Vec<u8>, PaperError> {
        let mut missing: BTreeSet<char> =
            self.done.iter().flat_map(|it| it.missing().iter().copied()).collect();
        missing.extend(self.page.missing());
        if let Some(note) = note(&missing) {
            self.skip(2_000);
            self.paragraph(LEFT, WIDTH, SMALL.bold(), &note);
        }
        let mut pages = self.done;
        pages.push(self.page);
        let last = pages.len();
        for (page, number) in pages.iter_mut().zip(1_usize..) {
            page.fill(Frame::new(LEFT, FOOT - 5_000, WIDTH, HAIRLINE), Tone::Pale);
            let style = SMALL.quiet();
            let foot = Canvas::fitted(style, 1_800, WIDTH - 35_000, &self.title);
            page.text(LEFT, FOOT, foot, &self.title);
            page.text_right(RIGHT, FOOT, style, &self.language.page_of(number, last));
        }
        save(&self.title, pages)
    }
}

fn height_of(lines: &[(Style, String)]) -> i64 {
    lines.iter().map(|(style, _)| style.leading()).sum()
}
