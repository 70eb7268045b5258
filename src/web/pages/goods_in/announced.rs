use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

use super::{ReceiveLine, ReceivePage, Typed, receive_line};
use crate::error::Error;
use crate::ops::advices::{self, AnnouncedView};
use crate::ops::receiving::PurchaseLineView;
use crate::units::Quantity;
use crate::web::pages::words::count_of;
use crate::web::pages::{Answer, Visit};

/// What is escaped in an address.
const ESCAPED: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'_').remove(b'.');

/// Pieces that a supplier has announced.
#[derive(Debug)]
pub struct Announced {
    /// Its number.
    pub number: String,
    /// The advice's number.
    pub advice: String,
    /// How many pieces.
    pub quantity: Quantity,
    /// The lot, or how many serial numbers, in words; empty where neither is named.
    pub which: String,
    /// The box or pallet; empty where none is named.
    pub unit: String,
    /// Whether what came of it was booked.
    pub booked: bool,
    /// Whether the line's form is filled in from it.
    pub filled: bool,
    /// What the form of its line holds when it is filled in from it.
    pub typed: Typed,
}

impl Announced {
    /// Returns what a line shows of an announcement.
    pub fn of(it: AnnouncedView) -> Self {
        let which = match (it.lot.as_str(), it.serials.len(), it.use_by) {
            ("", 0, _) => String::new(),
            ("", _, _) => count_of(&it.serials, "serial number", "serial numbers"),
            (lot, _, Some(day)) => format!("lot {lot}, use by {day}"),
            (lot, _, None) => format!("lot {lot}"),
        };
        let typed = Typed {
            good: it.quantity.to_string(),
            lot: it.lot,
            use_by: it.use_by.map(|it| it.to_string()).unwrap_or_default(),
            serials: it.serials.join("\n"),
            delivery_note: it.advice.clone(),
            announced: it.announced.to_string(),
            ..Typed::default()
        };
        Self {
            number: it.announced.to_string(),
            advice: it.advice,
            quantity: it.quantity,
            which,
            unit: it.unit,
            booked: it.booked,
            filled: false,
            typed,
        }
    }
}

/// Returns the address of goods-in with what one box or pallet holds filled in.
pub(super) fn href(order: &str, unit: &str) -> String {
    let encoded = |text: &str| utf8_percent_encode(text, ESCAPED).to_string();
    format!("/goods-in/{}?unit={}", encoded(order), encoded(unit))
}

/// Returns the lines of a purchase order, each with what is announced of it and the first of that
/// filled in.
pub(super) fn lines(
    lines: Vec<PurchaseLineView>,
    announced: Vec<AnnouncedView>,
) -> Vec<ReceiveLine> {
    let mut announced = announced;
    let mut all: Vec<ReceiveLine> = lines.into_iter().map(receive_line).collect();
    for line in &mut all {
        let (own, others) = announced.into_iter().partition(|it| it.line == line.line);
        announced = others;
        line.announced = own.into_iter().map(Announced::of).collect();
    }
    fill(&mut all, "", "");
    all
}

/// Fills each line in from one announcement: the one of that number, one in that box or pallet, or
/// the first that waits. Says how many of them were asked for and are filled in now.
pub(super) fn fill(lines: &mut [ReceiveLine], number: &str, unit: &str) -> usize {
    let mut asked = 0;
    for line in lines {
        let wanted = |it: &Announced| {
            !it.booked && (it.number == number || !unit.is_empty() && it.unit == unit)
        };
        let all = &mut line.announced;
        let named = all.iter().position(wanted);
        asked += usize::from(named.is_some());
        let first = all.iter().position(|it| !it.booked);
        for it in all.iter_mut() {
            it.filled = false;
        }
        if let Some(it) = named.or(first).and_then(|at| all.get_mut(at)) {
            it.filled = true;
            line.open = true;
            line.typed = Typed { bin: line.typed.bin.clone(), ..it.typed.clone() };
        }
    }
    asked
}

/// Fills in what a box or pallet holds whose number was scanned; nothing where the scan is none.
pub(super) async fn scanned(
    visit: &Visit,
    page: &mut ReceivePage,
    scans: &[String],
) -> Result<Option<Answer>, Error> {
    let [scan] = scans else { return Ok(None) };
    let (text, today) = (scan.clone(), visit.app.now().date());
    let unit = match visit.app.read(move |conn| advices::unit(conn, &text, today)).await {
        Ok(unit) => unit,
        Err(Error::NotFound { .. }) => return Ok(None),
        Err(error) => return Err(error),
    };
    if !unit.orders.contains(&page.number) {
        let words = format!(
            "{} was announced for {}: open that purchase order",
            unit.unit,
            unit.orders.join(", ")
        );
        return Ok(Some(Answer::refused(words)));
    }
    Ok(Some(match fill(&mut page.lines, "", &unit.unit) {
        0 => Answer::refused(format!("all that was announced in {} has been booked", unit.unit)),
        1 => Answer::done(format!("{}: 1 line is filled in. Count the pieces", unit.unit)),
        many => {
            Answer::done(format!("{}: {many} lines are filled in. Count the pieces", unit.unit))
        }
    }))
}
