use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::domain::gs1::Sscc;
use crate::domain::ids::{PurchaseOrderLineId, VariantId};
use crate::error::Error;
use crate::exchange::Fault;
use crate::exchange::ubl::{Advice, AdviceLine};
use crate::store::advices::SupplierRow;
use crate::store::purchasing::{PurchaseLineRow, PurchaseOrderRow};
use crate::store::{Conn, advices, catalog, purchasing, stock, supplier_codes};
use crate::units::Quantity;

/// Pieces that are announced, with the line of the purchase order that they are for.
pub(super) struct Matched<'a> {
    pub(super) announced: &'a AdviceLine,
    pub(super) line: PurchaseLineRow,
}

/// Returns which line of which order each announcement is for, and what is odd about it, in words.
pub(super) fn match_lines<'a>(
    conn: &mut Conn,
    advice: &'a Advice,
    orders: &[PurchaseOrderRow],
    supplier: &SupplierRow,
    today: NaiveDate,
) -> Result<(Vec<Matched<'a>>, Vec<String>), Error> {
    let (mut matched, mut faults, mut notes) = (Vec::new(), Vec::new(), Vec::new());
    if !advice.supplier.is_empty() && advice.supplier.to_lowercase() != supplier.name.to_lowercase()
    {
        notes.push(format!(
            "it comes from {}, and the purchase order went to {}",
            advice.supplier, supplier.name
        ));
    }
    for announced in &advice.lines {
        let order = match (&announced.order, orders) {
            (Some(number), _) => orders.iter().find(|it| it.number == *number),
            (None, [only]) => Some(only),
            (None, _) => None,
        };
        let Some(order) = order else {
            let message = "it does not say which of the purchase orders it is for: ask for \
                OrderLineReference/OrderReference";
            faults.push(fault(announced, message.to_owned()));
            continue;
        };
        let lines = purchasing::lines_of(conn, order.id)?;
        match match_line(conn, announced, &order.number, &lines, supplier, &mut notes)? {
            Ok(line) => matched.push(Matched { announced, line }),
            Err(message) => faults.push(fault(announced, message)),
        }
    }
    super::super::exchange::refuse(faults)?;
    for it in &matched {
        notes.extend(odd(conn, it, today)?);
    }
    notes.extend(too_many(conn, &matched, orders)?);
    Ok((matched, notes))
}

fn fault(announced: &AdviceLine, message: String) -> Fault {
    Fault { line: announced.at, column: announced.place.clone(), message }
}

/// Returns the line that an announcement is for, by the number of our line and by whatever the
/// supplier says which part it is; or why none is.
fn match_line(
    conn: &mut Conn,
    it: &AdviceLine,
    order: &str,
    lines: &[PurchaseLineRow],
    supplier: &SupplierRow,
    notes: &mut Vec<String>,
) -> Result<Result<PurchaseLineRow, String>, Error> {
    let known = match known_parts(conn, it, supplier)? {
        Ok(known) => known,
        Err(message) => return Ok(Err(message)),
    };
    let by_number = it.order_line.parse().ok();
    let by_number = lines.iter().find(|line| Some(line.line_no) == by_number);
    let by_part = known.iter().find_map(|(_, variant)| {
        let same = || lines.iter().filter(|line| line.variant == *variant);
        same().find(|line| line.open().is_some()).or_else(|| same().next())
    });
    let named = match known.first() {
        Some((words, _)) => words.clone(),
        None => it.name.clone(),
    };
    Ok(match (by_number, by_part) {
        (Some(line), _) if known.iter().all(|(_, variant)| *variant == line.variant) => {
            if known.is_empty() && it.theirs.is_some() {
                notes.push(format!(
                    "line {}: their item {} is not known here yet; it is taken as {} by our line \
                     number",
                    it.line,
                    it.theirs.as_deref().unwrap_or_default(),
                    line.part_number
                ));
            }
            Ok(line.clone())
        }
        (Some(line), _) => Err(format!(
            "it refers to our line {}, which is {}, and names {named}: ask which is meant",
            line.line_no, line.part_number
        )),
        (None, Some(line)) => {
            let why = match it.order_line.as_str() {
                "" => "it names no line of ours".to_owned(),
                number => format!("{order} has no line '{number}'"),
            };
            notes.push(format!(
                "line {}: {why}; it is taken as line {} by its part, {}",
                it.line, line.line_no, line.part_number
            ));
            Ok(line.clone())
        }
        (None, None) if known.is_empty() => Err(format!(
            "{order} has no line '{}', and nothing says which part it is: ask for our line or part \
             number",
            it.order_line
        )),
        (None, None) => {
            Err(format!("{named} is not on purchase order {order}: ask why it is sent"))
        }
    })
}

/// Returns the parts that an announcement names, each with the words that name it; or why they
/// can't all be right.
fn known_parts(
    conn: &mut Conn,
    it: &AdviceLine,
    supplier: &SupplierRow,
) -> Result<Result<Vec<(String, VariantId)>, String>, Error> {
    let mut known = Vec::new();
    if let Some(ours) = &it.ours {
        match catalog::variant(conn, ours)? {
            Some(row) => known.push((format!("our {ours}"), row.id)),
            None => {
                return Ok(Err(format!("'{ours}' is no part number of ours: ask which is meant")));
            }
        }
    }
    if let Some(theirs) = &it.theirs {
        let code = supplier_codes::find(conn, supplier.id, "item", theirs)?;
        let confirmed = code.filter(|it| it.confirmed_at.is_some()).map(|it| it.variant);
        let listed = supplier_codes::listed(conn, theirs)?;
        let ours = catalog::variant(conn, theirs)?.map(|it| it.id);
        let variant = confirmed.or(listed.first().copied()).or(ours);
        known.extend(variant.map(|variant| (format!("their {theirs}"), variant)));
    }
    if let Some(gtin) = &it.gtin {
        let code = supplier_codes::find(conn, supplier.id, "gtin", gtin)?;
        let confirmed = code.filter(|it| it.confirmed_at.is_some());
        known.extend(confirmed.map(|code| (format!("GTIN {gtin}"), code.variant)));
    }
    let first = known.first().cloned();
    Ok(match (first, known.iter().find(|it| Some(it.1) != known.first().map(|it| it.1))) {
        (Some((first, _)), Some((other, _))) => {
            Err(format!("{first} and {other} are two parts: ask which is meant"))
        }
        _ => Ok(known),
    })
}

/// Returns what the receiver should look at, in words.
fn odd(conn: &mut Conn, it: &Matched<'_>, today: NaiveDate) -> Result<Vec<String>, Error> {
    let (announced, number) = (it.announced, &it.line.part_number);
    let mut notes = Vec::new();
    let row = catalog::variant(conn, number)?;
    let tracking = row.as_ref().map_or("", |it| it.tracking.as_str());
    let mut note = |words: String| notes.push(format!("line {}: {words}", announced.line));
    match tracking {
        "lot" if announced.lot.is_empty() => {
            note(format!("{number} is tracked by lot, and none is named: read the label"));
        }
        "serial" if announced.serials.is_empty() => {
            note(format!("{number} is tracked by serial number, and none is named: read each"));
        }
        _ => {}
    }
    if !announced.lot.is_empty() && tracking != "lot" {
        note(format!("{number} is not tracked by lot: lot {} is not kept", announced.lot));
    }
    if let Some(day) = announced.use_by.filter(|it| *it < today) {
        note(format!("{number}: {day} is past, and the pieces may not be booked"));
    }
    let unit = &announced.unit;
    let digits = unit.len() == 18 && unit.bytes().all(|it| it.is_ascii_digit());
    if digits && unit.parse::<Sscc>().is_err() {
        note(format!("{unit} is no SSCC, its check digit is wrong: a scan will not find it"));
    }
    if let Some(row) = row.as_ref().filter(|_| tracking == "serial") {
        for serial in &announced.serials {
            let held = match stock::serial(conn, row.id, serial)? {
                Some(id) => stock::is_held(conn, id)?,
                None => false,
            };
            if held {
                note(format!("{number}: serial number {serial} was received before"));
            }
        }
    }
    Ok(notes)
}

/// Returns which lines would get more than was ordered, in words.
fn too_many(
    conn: &mut Conn,
    matched: &[Matched<'_>],
    orders: &[PurchaseOrderRow],
) -> Result<Vec<String>, Error> {
    let ids: Vec<_> = orders.iter().map(|it| it.id).collect();
    let mut waiting: BTreeMap<PurchaseOrderLineId, Quantity> = BTreeMap::new();
    for it in advices::announced(conn, &ids)?.iter().filter(|it| it.request_key.is_none()) {
        let sum = waiting.entry(it.order_line).or_default();
        *sum = sum.plus(it.quantity);
    }
    let mut lines: BTreeMap<PurchaseOrderLineId, (&PurchaseLineRow, Quantity)> = BTreeMap::new();
    for it in matched {
        let sum = lines.entry(it.line.id).or_insert((&it.line, Quantity::ZERO));
        sum.1 = sum.1.plus(it.announced.quantity);
    }
    let words = |(line, now): (&PurchaseLineRow, Quantity)| {
        let before = waiting.get(&line.id).copied().unwrap_or_default();
        let over = before.plus(now).less(line.open());
        let other = match before.is_some() {
            true => format!(", {before} were announced before"),
            false => String::new(),
        };
        over.is_some().then(|| {
            format!(
                "{}: announced {now}{other}, still to come {}: {over} more than was ordered",
                line.part_number,
                line.open()
            )
        })
    };
    Ok(lines.into_values().filter_map(words).collect())
}
