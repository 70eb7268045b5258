use chrono::NaiveDate;

use super::PaperError;
use super::canvas::{Canvas, Frame, Style, Tone};
use super::flow::{BODY, Cell, Column, Flow, LEFT, RIGHT, SMALL};
use super::heading::{self, MODULE, TITLE};
use crate::domain::codes::{BinCode, KitNumber, PartNumber};
use crate::domain::labels::Code128;
use crate::units::Quantity;

/// What one person fetches on one walk, for one or more kits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickList {
    /// The list's number.
    pub number: String,
    /// The day of printing.
    pub printed_on: NaiveDate,
    /// The kits that the walk is for.
    pub kits: Vec<PickKit>,
    /// Where to go, in walking order.
    pub stops: Vec<PickStop>,
}

/// A kit on the trolley.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickKit {
    /// The kit.
    pub kit_number: KitNumber,
    /// What it is, and for whom.
    pub description: String,
    /// The trolley's slot for it.
    pub slot: String,
}

/// One bin and the one part to take from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickStop {
    /// The bin.
    pub bin: BinCode,
    /// The zone's name.
    pub zone: String,
    /// The part.
    pub part_number: PartNumber,
    /// What it is called.
    pub name: String,
    /// Its size or colour; empty where there is one kind only.
    pub variant: String,
    /// The lot to take from.
    pub lot: Option<String>,
    /// Whether each piece's serial number is to be scanned.
    pub serial_tracked: bool,
    /// What goes to which slot.
    pub takes: Vec<PickTake>,
    /// How many pieces in all.
    pub total: Quantity,
}

/// The pieces of a stop that go to one kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PickTake {
    /// The trolley's slot.
    pub slot: String,
    /// How many pieces.
    pub quantity: Quantity,
}

const KIT_COLUMNS: [Column; 3] =
    [Column::new("Slot", 20_000), Column::new("Kit", 40_000), Column::new("What it is", 120_000)];

const BARS: i64 = 8_500;
/// From the upper edge of a stop to below the bars of its bin.
const BIN_HEIGHT: i64 = 19_700;
const BIN_X: i64 = LEFT + 10_000;
const PART_X: i64 = LEFT + 66_000;
const PART_WIDTH: i64 = 72_000;
const TAKES_X: i64 = LEFT + 142_000;
const CHIP: Style = Style::new(3_800);

/// Returns the pick list as a PDF of A4 pages.
///
/// # Errors
///
/// [`PaperError::Code128`] where a bin has characters that no bar code holds.
pub fn pick_list(list: &PickList) -> Result<Vec<u8>, PaperError> {
    let mut flow = Flow::new(format!("Pick list {}", list.number));
    head(&mut flow, list)?;
    if !list.kits.is_empty() {
        flow.begin_table(&KIT_COLUMNS);
        for kit in &list.kits {
            flow.row(&kit_cells(kit));
        }
        flow.end_table();
    }
    flow.skip(5_000);
    let last = list.stops.len();
    for (stop, number) in list.stops.iter().zip(1_usize..) {
        draw_stop(&mut flow, stop, &format!("stop {number} of {last}"))?;
    }
    flow.finish()
}

fn head(flow: &mut Flow, list: &PickList) -> Result<(), PaperError> {
    let pieces: Quantity = list.stops.iter().map(|it| it.total).sum();
    let (kits, stops) = (list.kits.len(), list.stops.len());
    let words = format!(
        "Printed on {}. Kits: {kits}. Stops: {stops}. Pieces: {pieces}. Walk from the top down.",
        list.printed_on
    );
    let title = format!("Pick list {}", list.number);
    heading::head(flow, &list.number, &[(TITLE, title), (BODY.quiet(), words)])
}

fn kit_cells(kit: &PickKit) -> [Cell; 3] {
    [
        Cell::Words(vec![(Style::new(4_200).bold(), kit.slot.clone())]),
        Cell::Words(vec![(BODY.bold(), kit.kit_number.to_string())]),
        Cell::Words(vec![(BODY, kit.description.clone())]),
    ]
}

/// The words of a stop's middle column, in the order in which they are read.
fn part_words(stop: &PickStop) -> Vec<(Style, String)> {
    let large = |text: &str| Canvas::fitted(Style::new(6_000).bold(), 4_000, PART_WIDTH, text);
    let mut words = match stop.variant.as_str() {
        "" => vec![(large(&stop.name), stop.name.clone())],
        variant => vec![(large(variant), variant.to_owned()), (BODY, stop.name.clone())],
    };
    if let Some(lot) = &stop.lot {
        words.push((BODY, format!("from lot {lot}")));
    }
    if stop.serial_tracked {
        words.push((BODY.bold(), "Scan each serial number.".to_owned()));
    }
    words
}

fn draw_stop(flow: &mut Flow, stop: &PickStop, which: &str) -> Result<(), PaperError> {
    let words: Vec<(Style, String)> = part_words(stop)
        .into_iter()
        .flat_map(|(style, text)| {
            style.wrap(&text, PART_WIDTH).into_iter().map(move |it| (style, it))
        })
        .collect();
    let chips = chip_rows(&stop.takes);
    let words_height: i64 = words.iter().map(|(style, _)| style.leading()).sum();
    let chips_height = 12_500 + i64::try_from(chips.len()).unwrap_or(0) * 7_000;
    let where_to = SMALL.wrap(&format!("{}, {which}", stop.zone), PART_X - BIN_X - 4_000);
    let bin_height =
        BIN_HEIGHT + i64::try_from(where_to.len()).unwrap_or(0) * SMALL.leading() + 3_500;
    let height = (words_height + BARS + 6_500).max(chips_height).max(bin_height);
    let top = flow.need(height + 3_000);
    flow.rule(Tone::Ink);
    let y = top + 2_500;
    let page = flow.page();
    page.outline(Frame::new(LEFT, y, 6_000, 6_000), 400, Tone::Ink);
    draw_bin(page, stop, y, &where_to)?;
    let mut line = y;
    for (style, text) in words {
        page.text(PART_X, line + style.ascent(), style, &text);
        line += style.leading();
    }
    let part = stop.part_number.as_str();
    let symbol: Code128 = part.parse()?;
    page.bars(&symbol, [PART_X, line + 900], MODULE, BARS)?;
    let beside = PART_X + (i64::from(symbol.module_count()) + 10) * MODULE;
    page.text(beside, line + 900 + BARS, BODY, part);
    let total = Style::new(9_500).bold();
    page.text_right(RIGHT, y + 7_200, total, &format!("× {}", stop.total));
    draw_chips(page, &chips, y + 10_500);
    flow.skip(height + 3_000);
    Ok(())
}

fn draw_bin(
    page: &mut Canvas,
    stop: &PickStop,
    y: i64,
    where_to: &[String],
) -> Result<(), PaperError> {
    page.text(BIN_X, y + 7_200, Style::new(9_500).bold(), stop.bin.as_str());
    page.bars(&stop.bin.as_str().parse::<Code128>()?, [BIN_X, y + 10_400], MODULE, BARS)?;
    let mut line = y + BIN_HEIGHT;
    for text in where_to {
        page.text(BIN_X, line + SMALL.ascent(), SMALL.quiet(), text);
        line += SMALL.leading();
    }
    Ok(())
}

/// Returns the takes in rows that fit the right column; each says slot and pieces.
fn chip_rows(takes: &[PickTake]) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut used = 0;
    for take in takes {
        let chip = format!("{}: {}", take.slot, take.quantity);
        let width = chip_width(&chip);
        match rows.last_mut() {
            Some(row) if used + width <= RIGHT - TAKES_X => row.push(chip),
            _ => {
                rows.push(vec![chip]);
                used = 0;
            }
        }
        used += width;
    }
    rows
}

fn chip_width(chip: &str) -> i64 {
    CHIP.width(chip) + 4_200
}

fn draw_chips(page: &mut Canvas, rows: &[Vec<String>], top: i64) {
    let mut y = top;
    for row in rows {
        let mut right = RIGHT;
        for chip in row.iter().rev() {
            let width = chip_width(chip);
            let frame = Frame::new(right - width + 1_200, y, width - 1_200, 6_000);
            page.outline(frame, 250, Tone::Ink);
            page.text(frame.x_um + 1_500, y + 4_300, CHIP, chip);
            right -= width;
        }
        y += 7_000;
    }
}
