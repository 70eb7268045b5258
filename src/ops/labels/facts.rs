use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::{carton_of, shop_name};
use crate::domain::labels::{LabelKind, headline};
use crate::error::Error;
use crate::ops::kits::contents;
use crate::ops::packing::bench;
use crate::ops::words;
use crate::store::{Conn, catalog, orders, packing, stock};
use crate::units::Quantity;

/// What a label says, by the names that layouts give in braces.
pub(super) type Facts = BTreeMap<&'static str, String>;

/// Returns the facts of each label of one thing: two for a two-bin card, one for all others.
pub(super) fn facts_of(
    conn: &mut Conn,
    kind: LabelKind,
    id: &str,
    today: NaiveDate,
) -> Result<Vec<Facts>, Error> {
    let facts = match kind {
        LabelKind::Part => part_facts(conn, id)?,
        LabelKind::TwoBin => return card_facts(conn, id),
        LabelKind::Bin => bin_facts(conn, id)?,
        LabelKind::Lot | LabelKind::Serial => identity_facts(conn, kind, id)?,
        LabelKind::Bag => bag_facts(conn, id, today)?,
        LabelKind::Quarantine => quarantine_facts(conn, id, today)?,
        LabelKind::Kit => kit_facts(conn, id)?,
        LabelKind::Carton => carton_facts(conn, id)?,
    };
    Ok(vec![facts])
}

fn part_facts(conn: &mut Conn, number: &str) -> Result<Facts, Error> {
    let row =
        catalog::variant(conn, number)?.ok_or_else(|| Error::not_found("part number", number))?;
    let (variant, name) = headline(&row.part, &row.variant);
    Ok(BTreeMap::from([
        ("part_number", row.part_number),
        ("name", name),
        ("variant", variant),
        ("bin", row.bin_code.unwrap_or_default()),
    ]))
}

fn card_facts(conn: &mut Conn, number: &str) -> Result<Vec<Facts>, Error> {
    let mut facts = part_facts(conn, number)?;
    let row =
        catalog::variant(conn, number)?.ok_or_else(|| Error::not_found("part number", number))?;
    if Quantity::ZERO < row.order_quantity {
        facts.insert("reorder_quantity", row.order_quantity.to_string());
    }
    facts.insert("cards", "2".to_owned());
    let card = |card: &str| {
        let mut facts = facts.clone();
        facts.insert("card", card.to_owned());
        facts
    };
    Ok(["1", "2"].map(card).to_vec())
}

fn bin_facts(conn: &mut Conn, code: &str) -> Result<Facts, Error> {
    let bins = catalog::bins(conn)?;
    let bin =
        bins.iter().find(|it| it.code == code).ok_or_else(|| Error::not_found("bin", code))?;
    let held: Vec<String> = catalog::variants(conn)?
        .into_iter()
        .filter(|it| it.bin == Some(bin.id))
        .map(|it| words::part(&it.part, &it.variant))
        .collect();
    Ok(BTreeMap::from([("bin", bin.code.clone()), ("contents", held.join(" · "))]))
}

fn identity_facts(conn: &mut Conn, kind: LabelKind, id: &str) -> Result<Facts, Error> {
    let (number, code) = id.split_once('/').ok_or_else(|| {
        Error::invalid(
            "labels.identity",
            format!("'{id}': write the part number, a slash, and the lot or serial number"),
        )
    })?;
    let row =
        catalog::variant(conn, number)?.ok_or_else(|| Error::not_found("part number", number))?;
    let (variant, name) = headline(&row.part, &row.variant);
    let mut facts = BTreeMap::from([
        ("part_number", row.part_number.clone()),
        ("name", name),
        ("variant", variant),
    ]);
    if kind == LabelKind::Serial {
        stock::serial(conn, row.id, code)?
            .ok_or_else(|| Error::not_found("serial number of that part", code))?;
        facts.insert("serial", code.to_owned());
    } else {
        let (_, use_by) = stock::lot(conn, row.id, code)?
            .ok_or_else(|| Error::not_found("lot of that part", code))?;
        facts.insert("name", words::part(&row.part, &row.variant));
        facts.insert("lot", code.to_owned());
        facts.insert("use_by", use_by.map(|it| it.to_string()).unwrap_or_default());
    }
    facts.retain(|_, value| !value.is_empty());
    Ok(facts)
}

/// Returns what a bag of one run says: which steps its pieces belong to, and how many they are.
fn bag_facts(conn: &mut Conn, id: &str, today: NaiveDate) -> Result<Facts, Error> {
    let mut facts = identity_facts(conn, LabelKind::Bag, id)?;
    let number = facts.get("part_number").cloned().unwrap_or_default();
    let contents = contents(conn, today)?;
    let held = contents.get(&number).map(Vec::as_slice).unwrap_or_default();
    if held.is_empty() {
        return Err(Error::invalid(
            "labels.no_bag",
            format!(
                "{number} is no bag: no bill of materials says what is in it; print a lot label"
            ),
        ));
    }
    let mut steps: Vec<u32> = held.iter().map(|it| it.step).filter(|it| *it != 0).collect();
    steps.sort_unstable();
    steps.dedup();
    let pieces = held.iter().fold(Quantity::ZERO, |sum, it| sum.plus(it.quantity));
    let list: Vec<String> = steps.iter().map(ToString::to_string).collect();
    match steps.len() {
        0 => {}
        1 => drop(facts.insert("steps", format!("Step {}", list.concat()))),
        _ => drop(facts.insert("steps", format!("Steps {}", list.join(", ")))),
    }
    facts.insert("pieces", pieces.to_string());
    Ok(facts)
}

fn quarantine_facts(conn: &mut Conn, id: &str, today: NaiveDate) -> Result<Facts, Error> {
    let mut facts = match id.split_once('/') {
        Some(_) => identity_facts(conn, LabelKind::Lot, id)?,
        None => part_facts(conn, id)?,
    };
    if let Some((number, _)) = id.split_once('/') {
        facts.extend(part_facts(conn, number)?);
    }
    facts.insert("printed_on", today.to_string());
    Ok(facts)
}

fn kit_facts(conn: &mut Conn, number: &str) -> Result<Facts, Error> {
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let order = orders::order_of(conn, kit.order)?;
    let cartons = packing::cartons_of(conn, &[kit.id])?.len();
    Ok(BTreeMap::from([
        ("shop", shop_name(conn)?),
        ("order", order.number),
        ("rider", order.customer),
        ("kit_number", kit.number),
        ("kit_name", kit.bom_name),
        ("cartons", if cartons == 0 { String::new() } else { cartons.to_string() }),
    ]))
}

fn carton_facts(conn: &mut Conn, number: &str) -> Result<Facts, Error> {
    let (kit, position) =
        packing::carton(conn, number)?.ok_or_else(|| Error::not_found("carton", number))?;
    let view = bench(conn, &kit)?;
    let carton = carton_of(&view, words::small(position)?)?;
    let main: Vec<String> = carton
        .lines
        .iter()
        .rev()
        .filter(|it| it.step != 0)
        .map(|it| words::part(&it.part, &it.variant))
        .collect();
    Ok(BTreeMap::from([
        ("shop", shop_name(conn)?),
        ("order", view.order.clone()),
        ("rider", view.customer.clone()),
        ("carton_index", carton.position.to_string()),
        ("carton_count", carton.of.to_string()),
        ("kit_number", view.kit.clone()),
        ("carton_number", carton.number.clone()),
        ("kit_name", view.build.clone()),
        ("contents", in_short(&main)),
    ]))
}

/// The most characters of its contents that a carton's label has room for.
const CONTENTS_CHARS: usize = 130;

/// Returns the parts that come first, and how many more lines the packing list has.
fn in_short(parts: &[String]) -> String {
    let mut words = String::new();
    for (at, part) in parts.iter().enumerate() {
        let comma = if words.is_empty() { "" } else { ", " };
        if CONTENTS_CHARS < words.chars().count() + part.chars().count() {
            return format!("{words}{comma}{} more", parts.len() - at);
        }
        words.push_str(comma);
        words.push_str(part);
    }
    words
}
