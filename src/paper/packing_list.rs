use chrono::NaiveDate;

use super::PaperError;
use super::canvas::{Frame, Style, Tone};
use super::flow::{BODY, Cell, Column, Flow, LEFT, SMALL, WIDTH};
use super::heading::{BESIDE, QR_SIDE, TITLE, link_code, number};
use super::strip::{StripState, StripStep, draw_strip};
use crate::domain::codes::{CartonNumber, KitNumber, PartNumber};
use crate::units::{Mass, Quantity};

/// What lies in one carton of a kit, along the assembly of the whole kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackingList {
    /// The shop that sends it.
    pub shop: String,
    /// The order's number.
    pub order: String,
    /// Who receives it, as they write their name.
    pub customer: String,
    /// The kit.
    pub kit_number: KitNumber,
    /// What the kit is called.
    pub kit_name: String,
    /// What was chosen: "Colour", "matte black".
    pub options: Vec<(String, String)>,
    /// The carton.
    pub carton_number: CartonNumber,
    /// Which carton of the kit, counted from 1.
    pub carton_index: u32,
    /// How many cartons the kit has.
    pub carton_count: u32,
    /// The day of printing.
    pub printed_on: NaiveDate,
    /// What the closed carton should weigh.
    pub expected_mass: Mass,
    /// Where the receiver checks the box, printed as a QR code.
    pub link: Option<String>,
    /// The steps of the whole kit, in assembly order.
    pub steps: Vec<PackingStep>,
}

/// One assembly step and what it takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackingStep {
    /// The step's number; 0 for packing material, which is no step and not in the strip.
    pub number: u32,
    /// What is done.
    pub title: String,
    /// What can go wrong.
    pub caution: Option<String>,
    /// The parts.
    pub lines: Vec<PackingLine>,
}

/// One part of a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackingLine {
    /// The part.
    pub part_number: PartNumber,
    /// What it is called.
    pub name: String,
    /// Its size or colour; empty where there is one kind only.
    pub variant: String,
    /// How many the kit takes.
    pub quantity: Quantity,
    /// Lots and serial numbers, ready to print.
    pub identity: Vec<String>,
    /// Whether it is a bag, whose parts stand at the steps that need them.
    pub is_bag: bool,
    /// The bag that it lies in, in words.
    pub in_bag: Option<String>,
    /// What of it was not there.
    pub short: Option<Short>,
    /// Whether it travels in another carton of the kit.
    pub other_carton: bool,
}

/// What was shipped short.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Short {
    /// How many are missing.
    pub quantity: Quantity,
    /// What that means: "stops the build".
    pub class_words: String,
    /// Why, and when it follows.
    pub reason: String,
}

const COLUMNS: [Column; 6] = [
    Column::new("", 8_000),
    Column::new("Pieces", 14_000),
    Column::new("Size or kind", 43_000),
    Column::new("Part", 56_000),
    Column::new("Part number", 21_000),
    Column::new("Lot or serial number", 38_000),
];

const CAUTIONS: [&str; 3] = [
    "Where a component maker's manual says otherwise, the manual wins: torque, air pressure and wear limits are theirs to set.",
    "Have a qualified mechanic check the first build before the first ride: steering, fastenings and brakes above all.",
    "Whether a ski bike may ride on a lift is the lift operator's decision: ask before you queue.",
];

/// Returns the packing list of one carton as a PDF of A4 pages.
///
/// # Errors
///
/// [`PaperError::Qr`] where the link is too long for a QR code.
pub fn packing_list(list: &PackingList) -> Result<Vec<u8>, PaperError> {
    let PackingList { kit_number, carton_number, carton_index, carton_count, .. } = list;
    let mut flow = Flow::new(format!(
        "Packing list, kit {kit_number}, carton {carton_number} ({carton_index} of {carton_count})"
    ));
    head(&mut flow, list)?;
    numbers(&mut flow, list)?;
    shipped_short(&mut flow, list);
    strip(&mut flow, list);
    flow.begin_table(&COLUMNS);
    for step in &list.steps {
        step_rows(&mut flow, step);
    }
    flow.end_table();
    cautions(&mut flow);
    flow.finish()
}

fn head(flow: &mut Flow, list: &PackingList) -> Result<(), PaperError> {
    let top = flow.y();
    let qr_bottom = match &list.link {
        Some(link) => {
            let scan = "Scan with a phone to check the box of kit".to_owned();
            let words = [(SMALL, scan), (SMALL.bold(), list.kit_number.to_string())];
            link_code(flow.page(), link, &words, top)?
        }
        None => top,
    };
    let width = if list.link.is_some() { WIDTH - QR_SIDE - BESIDE } else { WIDTH };
    flow.paragraph(LEFT, width, BODY.quiet(), &list.shop);
    flow.paragraph(LEFT, width, TITLE, "Packing list");
    flow.skip(1_200);
    flow.paragraph(LEFT, width, Style::new(5_000).bold(), &list.kit_name);
    flow.paragraph(LEFT, width, Style::new(4_200), &format!("for {}", list.customer));
    flow.skip(1_200);
    let facts = format!(
        "Order {}, printed on {}. The closed carton weighs about {}.",
        list.order,
        list.printed_on,
        kilograms(list.expected_mass)
    );
    flow.paragraph(LEFT, width, BODY, &facts);
    if !list.options.is_empty() {
        let option = |(name, value): &(String, String)| format!("{name}: {value}");
        let options: Vec<String> = list.options.iter().map(option).collect();
        flow.paragraph(LEFT, width, BODY, &options.join("; "));
    }
    let down = qr_bottom - flow.y();
    flow.skip(down.max(0) + 3_000);
    Ok(())
}

/// Writes kilograms with two decimals, rounded to the nearest.
fn kilograms(mass: Mass) -> String {
    let hundredths = (mass.milligrams() + 5_000) / 10_000;
    format!("{}.{:02} kg", hundredths / 100, hundredths % 100)
}

fn numbers(flow: &mut Flow, list: &PackingList) -> Result<(), PaperError> {
    let top = flow.need(24_000);
    let (carton, half) = (list.carton_number.as_str(), LEFT + WIDTH / 2);
    number(flow.page(), [LEFT, top], ["Kit", list.kit_number.as_str()], 12_000)?;
    let which = format!("Carton {} of {}", list.carton_index, list.carton_count);
    number(flow.page(), [half, top], [&which, carton], 12_000)?;
    flow.skip(24_000);
    Ok(())
}

fn missing_words(line: &PackingLine, short: &Short) -> String {
    let variant =
        if line.variant.is_empty() { String::new() } else { format!(" {}", line.variant) };
    format!("{} × {}{variant} ({})", short.quantity, line.name, line.part_number)
}

/// Draws a frame at the top that names all that was shipped short, with its reason.
fn shipped_short(flow: &mut Flow, list: &PackingList) {
    let of_step = |step: &PackingStep| {
        let number = step.number;
        let words = move |line: &PackingLine| {
            let short = line.short.as_ref()?;
            let what = missing_words(line, short);
            Some((format!("Step {number}: {what}, {}.", short.class_words), short.reason.clone()))
        };
        step.lines.iter().filter_map(words).collect::<Vec<_>>()
    };
    let shorts: Vec<(String, String)> = list.steps.iter().flat_map(of_step).collect();
    if shorts.is_empty() {
        return;
    }
    let title = Style::new(4_800).bold();
    flow.need(30_000);
    let mut top = flow.y();
    flow.skip(1_800);
    flow.paragraph(SHORT_X, SHORT_WIDTH, title, "Shipped short");
    for (what, reason) in shorts {
        let reason = format!("Reason: {reason}");
        let lines =
            BODY.bold().wrap(&what, SHORT_WIDTH).len() + BODY.wrap(&reason, SHORT_WIDTH).len();
        let height = i64::try_from(lines).unwrap_or(0) * BODY.leading() + 2_000;
        // A frame closes at the foot of a page, and the next page has its own.
        if !flow.fits(height) {
            frame_short(flow, top);
            top = flow.need(height);
            flow.skip(1_800);
        }
        flow.paragraph(SHORT_X, SHORT_WIDTH, BODY.bold(), &what);
        flow.paragraph(SHORT_X, SHORT_WIDTH, BODY, &reason);
        flow.skip(900);
    }
    frame_short(flow, top);
    flow.skip(3_500);
}

const SHORT_X: i64 = LEFT + 9_000;
const SHORT_WIDTH: i64 = WIDTH - 12_000;

fn frame_short(flow: &mut Flow, top: i64) {
    let height = flow.y() - top + 1_000;
    flow.page().hatch(Frame::new(LEFT, top, 5_500, height));
    flow.page().outline(Frame::new(LEFT, top, WIDTH, height), 600, Tone::Ink);
}

fn strip(flow: &mut Flow, list: &PackingList) {
    let steps: Vec<StripStep> =
        list.steps.iter().filter(|it| it.number != 0).map(strip_step).collect();
    if steps.is_empty() {
        return;
    }
    flow.need(34_000);
    flow.paragraph(LEFT, WIDTH, SMALL.quiet(), "Assembly, step by step");
    flow.skip(600);
    draw_strip(flow, &steps);
    let words = "Dark: parts in this carton. Outlined: none in this carton; the other carton's list names its own. Hatched: a part is missing.";
    flow.paragraph(LEFT, WIDTH, SMALL.quiet(), words);
    flow.skip(4_000);
}

fn strip_step(step: &PackingStep) -> StripStep {
    let here = step.lines.iter().any(|it| !it.other_carton);
    let short = |line: &PackingLine| line.short.as_ref().map(|it| missing_words(line, it));
    StripStep {
        number: step.number,
        parts: step.lines.iter().filter(|it| !it.is_bag).map(|it| it.quantity).sum(),
        state: if here { StripState::Done } else { StripState::Elsewhere },
        missing: step.lines.iter().filter_map(short).collect(),
    }
}

/// Draws the parts of a step that lie in this carton; a step that has none here is in the strip only.
fn step_rows(flow: &mut Flow, step: &PackingStep) {
    let here: Vec<&PackingLine> = step.lines.iter().filter(|it| !it.other_carton).collect();
    if here.is_empty() {
        return;
    }
    let heading = match step.number {
        0 => step.title.clone(),
        number => format!("Step {number}: {}", step.title),
    };
    flow.begin_group(&heading, step.caution.as_deref());
    for line in here {
        flow.row(&line_cells(line));
    }
}

fn line_cells(line: &PackingLine) -> [Cell; 6] {
    let sign = match (&line.short, &line.in_bag) {
        (Some(_), _) => Cell::Missing,
        (None, Some(_)) => Cell::Words(Vec::new()),
        (None, None) => Cell::Tick,
    };
    let size = if line.in_bag.is_some() { BODY } else { Style::new(4_200) };
    let mut part = vec![(BODY, line.name.clone())];
    if let Some(short) = &line.short {
        let words = format!("{} missing, {}: {}", short.quantity, short.class_words, short.reason);
        part.push((SMALL.bold(), words));
    }
    let bag = line.in_bag.iter().map(|bag| (SMALL, format!("in {bag}")));
    let identity = line.identity.iter().map(|it| (SMALL, it.clone())).chain(bag).collect();
    [
        sign,
        Cell::Words(vec![(size.bold(), line.quantity.to_string())]),
        Cell::Words(vec![(size.bold(), line.variant.clone())]),
        Cell::Words(part),
        Cell::Words(vec![(BODY, line.part_number.to_string())]),
        Cell::Words(identity),
    ]
}

fn cautions(flow: &mut Flow) {
    flow.skip(5_000);
    flow.need(18_000);
    flow.paragraph(LEFT, WIDTH, BODY.bold(), "Before you ride");
    flow.skip(600);
    for caution in CAUTIONS {
        flow.paragraph(LEFT, WIDTH, SMALL, caution);
        flow.skip(500);
    }
}
