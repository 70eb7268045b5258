//! One part is taken for another in a kit: all its lines, or none.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use crate::domain::ids::VariantId;
use crate::domain::substitution::{Consent, is_pair};
use crate::error::Error;
use crate::ops::fit::{of_one, refuse_misfit};
use crate::ops::kits::as_variant;
use crate::ops::once::{RequestKey, once};
use crate::ops::orders as order_ops;
use crate::store::catalog::VariantRow;
use crate::store::orders::{KitLineRow, KitRow};
use crate::store::substitution::NewChange;
use crate::store::{Tx, orders, substitution};

use super::{Shelf, needed};

/// Which part is to be taken for which, and with whose word.
#[derive(Debug, Clone, Serialize)]
pub struct Request {
    /// The kit's number.
    pub kit: String,
    /// The part that its lines ask for.
    pub from: String,
    /// The part to be taken.
    pub to: String,
    /// Who of the customer's side said so; may be empty where no word is needed.
    pub said_by: String,
    /// When they said so.
    pub said_on: Option<NaiveDate>,
}

/// What was exchanged.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct Substituted {
    /// The kit.
    pub kit: String,
    /// Each exchange: the part that was asked for, and the part that was taken.
    pub exchanged: Vec<(String, String)>,
}

/// Takes another part for one that a kit's lines ask for, and holds stock for it.
///
/// The whole number goes over: all lines of the kit that ask for it, and the other of a pair with it.
///
/// # Errors
///
/// [`Error::NotFound`], [`Error::Invalid`] where the customer's word is wanted, and
/// [`Error::Conflict`] where no rule allows it, where pieces are picked, where stock of the other
/// part does not cover the lines, and where the kit would not fit together.
pub fn substitute(tx: &mut Tx<'_>, key: &RequestKey, it: &Request) -> Result<Substituted, Error> {
    once(tx, key, "substitution.substitute", it, |tx| {
        let today = tx.today();
        let kit = orders::kit(tx.conn, &it.kit)?;
        let kit = kit.ok_or_else(|| Error::not_found("kit", &it.kit))?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        let shelf = Shelf::load(tx.conn, today, &[&it.from, &it.to])?;
        let (from, to) = (shelf.row(&it.from)?, shelf.row(&it.to)?);
        let mut swaps = vec![(from, to)];
        swaps.extend(mates(&shelf, &lines, from, to)?);
        let mut changes = Vec::new();
        for (from, to) in &swaps {
            changes.extend(exchange(&shelf, &kit, &lines, (from, to), it, today)?);
        }
        substitution::note_changes(tx.conn, &changes, tx.who.user(), tx.now)?;
        for (from, to) in &swaps {
            substitution::set_part(tx.conn, kit.id, from.id, to.id)?;
        }
        order_ops::reserve(tx)?;
        let lines = orders::lines_of(tx.conn, &[kit.id])?;
        refuse_misfit(&of_one(tx.conn, &kit, &lines)?, &kit, &lines)?;
        let exchanged = swaps
            .into_iter()
            .map(|(from, to)| (from.part_number.clone(), to.part_number.clone()))
            .collect();
        Ok(Substituted { kit: kit.number, exchanged })
    })
}

/// Returns why one part can't be taken for another in a kit as things stand.
pub(super) fn refusal(
    shelf: &Shelf,
    kit: &KitRow,
    lines: &[KitLineRow],
    from: VariantId,
    to: &VariantRow,
) -> Option<String> {
    if !matches!(kit.state.as_str(), "open" | "picking") {
        return Some(format!("kit {} is {}", kit.number, kit.state));
    }
    let of_part = || lines.iter().filter(|it| it.variant == from);
    if of_part().any(|it| it.picked.is_some()) {
        return Some("pieces of it are picked: put them back first".to_owned());
    }
    if of_part().any(|it| it.short.is_some()) {
        return Some("pieces of it are left out with a reason: take that back first".to_owned());
    }
    let (needed, free) = (needed(lines, from), shelf.free(to));
    (free < needed).then(|| {
        format!(
            "{free} of {} are free and the kit needs {needed}: a line takes one part number whole",
            to.part_number
        )
    })
}

/// Returns the changes of the lines that ask for one part, or why it can't be exchanged.
fn exchange(
    shelf: &Shelf,
    kit: &KitRow,
    lines: &[KitLineRow],
    (from, to): (&VariantRow, &VariantRow),
    it: &Request,
    today: NaiveDate,
) -> Result<Vec<NewChange>, Error> {
    if !lines.iter().any(|line| line.variant == from.id) {
        return Err(Error::not_found("part in this kit", &from.part_number));
    }
    let rule = shelf.stand_ins(&from.part_number).into_iter().find(|(row, _)| row.id == to.id);
    let no = |why: String| {
        let message = format!("{} can't stand in for {}: {why}", to.part_number, from.part_number);
        Error::conflict("substitution.refused", message)
    };
    let (_, rule) = rule.ok_or_else(|| no("no rule of the shop says so".to_owned()))?;
    let (consent, reason) = shelf.consent(rule, from, to)?.map_err(no)?;
    if let Some(why) = refusal(shelf, kit, lines, from.id, to) {
        return Err(no(why));
    }
    let said_by = it.said_by.trim();
    let said_on = it.said_on.filter(|day| *day <= today);
    if consent == Consent::Customer && (said_by.is_empty() || said_on.is_none()) {
        let message = format!(
            "{} for {} takes the customer's word: enter who said so, and on which day up to today",
            to.part_number, from.part_number
        );
        return Err(Error::invalid("substitution.consent", message));
    }
    let said = consent == Consent::Customer;
    let change = |line: &KitLineRow| NewChange {
        kit: kit.id,
        line: line.number,
        quantity: line.quantity,
        from: from.id,
        to: to.id,
        reason: reason.clone(),
        consent,
        said_by: if said { said_by.to_owned() } else { String::new() },
        said_on: said_on.filter(|_| said),
    };
    Ok(lines.iter().filter(|line| line.variant == from.id).map(change).collect())
}

/// Returns what must go over with a part: the other of its pair, to the other of the new pair.
fn mates<'a>(
    shelf: &'a Shelf,
    lines: &[KitLineRow],
    from: &VariantRow,
    to: &VariantRow,
) -> Result<Vec<(&'a VariantRow, &'a VariantRow)>, Error> {
    let pair = |a: &VariantRow, b: &VariantRow| {
        as_variant(a).zip(as_variant(b)).is_some_and(|(a, b)| is_pair(&a, &b))
    };
    let mut found: Vec<(&VariantRow, &VariantRow)> = Vec::new();
    for row in shelf.rows.values().filter(|row| lines.iter().any(|it| it.variant == row.id)) {
        if !pair(from, row) {
            continue;
        }
        let new = shelf.stand_ins(&row.part_number).into_iter().find(|(it, _)| pair(to, it));
        let (new, _) = new.ok_or_else(|| {
            let message = format!(
                "{} is one of a pair with {}, and nothing may stand in for that one alike: a pair \
                 is never mixed",
                from.part_number, row.part_number
            );
            Error::conflict("substitution.pair", message)
        })?;
        found.push((row, new));
    }
    Ok(found)
}
