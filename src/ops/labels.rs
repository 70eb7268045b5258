//! Labels and papers: facts from the books, to be printed.

mod facts;
mod layouts;
mod print;

pub use layouts::{
    LayoutView, OwnLayout, check_layout, keep_layout, layouts, reset_layout, sample_svg,
    text as layout_text,
};
pub(super) use print::{LOCATION, PREFIX, sscc_of};
pub use print::{
    LookedAt, PrintJob, PrintView, last_prints, look_at, print, prints, set_company_prefix,
    set_location_number, sheet,
};
pub(in crate::ops) use print::{page_size, print_within};

use chrono::NaiveDate;

use crate::error::Error;
use crate::paper::{self, PackingLine, PackingList, PackingStep, PickKit, PickList, PickStop};
use crate::paper::{PaperError, PickTake, Short};
use crate::store::{Conn, kits, orders, people};
use crate::units::Mass;

use super::packing::{BenchCartonView, BenchLineView, BenchView, bench};
use super::picking;

/// Returns the shop's name, as papers carry it.
///
/// # Errors
///
/// [`Error::Database`].
pub fn shop_name(conn: &mut Conn) -> Result<String, Error> {
    Ok(people::setting(conn, "shop name")?.unwrap_or_else(|| "Kitwright".to_owned()))
}

pub(super) fn unprintable(fault: PaperError) -> Error {
    Error::invalid("paper.unprintable", fault.to_string())
}

fn carton_of(view: &BenchView, position: u32) -> Result<&BenchCartonView, Error> {
    view.cartons
        .iter()
        .find(|it| it.position == position)
        .ok_or_else(|| Error::not_found("carton of the kit", position.to_string()))
}

/// Returns the packing list of one carton as a PDF. `link` opens the receiver's page.
///
/// # Errors
///
/// [`Error::Conflict`] while the carton is not sealed: a list says what is inside, not what should
/// be.
pub fn packing_list(
    conn: &mut Conn,
    kit: &str,
    position: u32,
    link: &str,
    today: NaiveDate,
) -> Result<Vec<u8>, Error> {
    let view = bench(conn, kit)?;
    let carton = carton_of(&view, position)?;
    if carton.sealed_at.is_none() {
        return Err(Error::conflict(
            "papers.not_sealed",
            format!(
                "carton {} is not sealed: its packing list is printed after that",
                carton.number
            ),
        ));
    }
    let row = orders::kit(conn, kit)?.ok_or_else(|| Error::not_found("kit", kit))?;
    let mut steps: Vec<PackingStep> = kits::steps(conn, row.bom)?
        .into_iter()
        .map(|it| PackingStep {
            number: it.number,
            title: it.title,
            caution: Some(it.caution).filter(|it| !it.is_empty()),
            lines: Vec::new(),
        })
        .collect();
    steps.push(PackingStep {
        number: 0,
        title: "Packing material".to_owned(),
        caution: None,
        lines: Vec::new(),
    });
    for other in &view.cartons {
        for line in other.lines.iter().rev() {
            put_on_list(&mut steps, line, other.position != carton.position)?;
        }
    }
    let list = PackingList {
        shop: shop_name(conn)?,
        order: view.order.clone(),
        customer: view.customer.clone(),
        kit_number: stored(view.kit.parse())?,
        kit_name: row.bom_name,
        options: orders::options_of(conn, row.id)?,
        carton_number: stored(carton.number.parse())?,
        carton_index: carton.position,
        carton_count: carton.of,
        printed_on: today,
        expected_mass: Mass::from_milligrams(carton.expected_mass_mg),
        link: Some(link.to_owned()),
        steps,
    };
    paper::packing_list(&list).map_err(unprintable)
}

pub(super) fn stored<T, E: std::fmt::Display>(read: Result<T, E>) -> Result<T, Error> {
    read.map_err(|fault| Error::Internal(format!("a stored number can't be read: {fault}")))
}

/// Returns what tells a line's part from its look-alikes, with the part in whose place it stands.
fn with_note(line: &BenchLineView) -> String {
    match (line.in_place_of.as_str(), line.variant.as_str()) {
        ("", variant) => variant.to_owned(),
        (old, "") => format!("in place of {old}"),
        (old, variant) => format!("{variant}, in place of {old}"),
    }
}

fn put_on_list(
    steps: &mut [PackingStep],
    line: &BenchLineView,
    other_carton: bool,
) -> Result<(), Error> {
    let short = line.short.is_some().then(|| Short {
        quantity: line.short,
        class_words: line.class_words.clone(),
        reason: line.short_reason.clone(),
    });
    let from_bag = line.contents.iter().filter(|it| it.step != 0);
    let mut all = vec![(
        line.step,
        PackingLine {
            part_number: stored(line.part_number.parse())?,
            name: line.part.clone(),
            variant: with_note(line),
            quantity: line.quantity,
            identity: line.identities.clone(),
            is_bag: from_bag.clone().next().is_some(),
            in_bag: None,
            short,
            other_carton,
        },
    )];
    for it in from_bag {
        all.push((
            it.step,
            PackingLine {
                part_number: stored(it.part_number.parse())?,
                name: it.name.clone(),
                variant: it.variant.clone(),
                quantity: it.quantity.times(line.quantity.less(line.short)),
                identity: Vec::new(),
                is_bag: false,
                in_bag: Some(line.part.clone()),
                short: None,
                other_carton,
            },
        ));
    }
    for (number, it) in all.into_iter().filter(|(_, it)| it.quantity.is_some()) {
        if let Some(step) = steps.iter_mut().find(|step| step.number == number) {
            step.lines.push(it);
        }
    }
    Ok(())
}

/// Returns a pick list as a PDF, in walking order.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn pick_list(conn: &mut Conn, number: &str, today: NaiveDate) -> Result<Vec<u8>, Error> {
    let view = picking::list(conn, number)?;
    let kits = view
        .kits
        .iter()
        .map(|it| {
            Ok(PickKit {
                kit_number: stored(it.kit.parse())?,
                description: format!("{}, {}: {}", it.order, it.customer, it.build),
                slot: it.slot.to_string(),
            })
        })
        .collect::<Result<_, Error>>()?;
    let stops = view
        .stops
        .into_iter()
        .map(|it| {
            Ok(PickStop {
                bin: stored(it.bin.parse())?,
                zone: it.zone,
                part_number: stored(it.part_number.parse())?,
                name: it.part,
                variant: it.variant,
                lot: it.lot,
                serial_tracked: it.tracking == "serial",
                takes: it
                    .takes
                    .into_iter()
                    .map(|take| PickTake { slot: take.slot.to_string(), quantity: take.quantity })
                    .collect(),
                total: it.quantity,
            })
        })
        .collect::<Result<_, Error>>()?;
    let list = PickList { number: view.number, printed_on: today, kits, stops };
    paper::pick_list(&list).map_err(unprintable)
}
