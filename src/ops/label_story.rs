//! Which print of a label was scanned, and what became of the piece that it names.
//!
//! Two labels of one serial number on two pieces would make one piece of them in the books. So a
//! label whose number is printed again is void, and a number that is used up is told with its
//! story.

use crate::domain::codes::{Printed, Scan};
use crate::domain::labels::{Counting, LabelKind};
use crate::domain::picking::Found;
use crate::error::Error;
use crate::store::labels::PrintRow;
use crate::store::{Conn, labels, stock};

use super::scan::{ScanAnswer, ScanOutcome};

/// Returns which label a scan names, by its kind and what its prints are counted by.
fn label_of(found: &Found) -> Option<(LabelKind, String)> {
    match found {
        Found::Serial { part, code, .. } => {
            Some((LabelKind::Serial, format!("{}/{code}", part.part_number)))
        }
        Found::Kit(number) => Some((LabelKind::Kit, number.clone())),
        _ => None,
    }
}

/// Returns what a print of a label is called on its paper.
fn which(number: i64) -> String {
    if number == 1 { "the first label".to_owned() } else { format!("copy {number}") }
}

fn when(print: &PrintRow) -> String {
    let by = print.by.as_deref().unwrap_or("the command line");
    format!("printed on {} by {by}", print.at.format("%Y-%m-%d at %H:%M"))
}

/// Returns the refusal of a label that was printed again, or was never printed here; `None` for
/// every other scan.
pub(super) fn void(
    conn: &mut Conn,
    scan: &Scan,
    found: &Found,
) -> Result<Option<ScanAnswer>, Error> {
    let (Scan::Printed(printed), Some((kind, identity))) = (scan, label_of(found)) else {
        return Ok(None);
    };
    if kind.counting() != Counting::EachLabel || !is_ours(printed, found) {
        return Ok(None);
    }
    let prints = labels::prints(conn, Some(kind.word()), &identity)?;
    let (number, thing) = (i64::from(printed.number), name(found));
    let words = match prints.first() {
        Some(last) if number == last.number => return Ok(None),
        Some(last) if number < last.number => format!(
            "this is {} of {thing}, and it is void: {} was {}. Destroy this label, and look for a \
             second piece that bears the other",
            which(number),
            which(last.number),
            when(last)
        ),
        Some(last) => format!(
            "this label says that it is print {number} of {thing}, and {} were printed here: ask \
             who made it",
            last.number
        ),
        None => format!(
            "this label says that it is print {number} of {thing}, and none was printed here: ask \
             who made it"
        ),
    };
    Ok(Some(ScanAnswer::new(ScanOutcome::Refused, "scan.void_label", words)))
}

/// Returns whether the scan was understood as a label of ours, and not as a maker's own number that
/// only ends alike.
fn is_ours(printed: &Printed, found: &Found) -> bool {
    match (&printed.of, found) {
        (Scan::Serial(read), Found::Serial { code, .. }) => read == code,
        (Scan::Kit(_), Found::Kit(_)) => true,
        _ => false,
    }
}

fn name(found: &Found) -> String {
    match found {
        Found::Serial { part, code, .. } => format!("serial number {code} of {}", part.words()),
        Found::Kit(number) => format!("kit {number}"),
        _ => String::new(),
    }
}

/// Returns where the piece of a scanned serial number was packed and by which of its labels; `None`
/// while it is not packed.
pub(super) fn used(conn: &mut Conn, scan: &Scan, found: &Found) -> Result<Option<String>, Error> {
    let Found::Serial { serial, place, part, code } = found else { return Ok(None) };
    let Some(packed) = stock::packed(conn, *serial)? else { return Ok(None) };
    if place.as_ref().is_some_and(|(_, at)| *at != packed.carton) {
        return Ok(None);
    }
    let identity = format!("{}/{code}", part.part_number);
    let prints = labels::prints(conn, Some(LabelKind::Serial.word()), &identity)?;
    let then = prints.iter().find(|it| it.at <= packed.at);
    let by_label = then.map(|it| format!(" by {}, {}", which(it.number), when(it)));
    let by = packed.by.map(|it| format!(" by {it}")).unwrap_or_default();
    let scanned = match scan {
        Scan::Printed(it) => prints.iter().find(|print| print.number == i64::from(it.number)),
        _ => None,
    };
    let this = match (scanned, prints.first()) {
        (Some(print), _) => format!("; this is {}, {}", which(print.number), when(print)),
        (None, Some(last)) if 1 < last.number => {
            format!("; {} labels of it were printed, the last {}", last.number, when(last))
        }
        _ => String::new(),
    };
    Ok(Some(format!(
        "serial number {code} was packed already in kit {}, carton {}, on {}{by}{}{this}: read the \
         number on the piece itself, and put the piece aside",
        packed.kit,
        packed.carton,
        packed.at.format("%Y-%m-%d at %H:%M"),
        by_label.unwrap_or_default(),
    )))
}
