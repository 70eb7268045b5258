//! What of the catalogue can be taken away, and what is still needed.

use std::collections::BTreeMap;

use crate::domain::demand::Month;
use crate::domain::ids::KitId;
use crate::domain::setup::AirChart;
use crate::error::Error;
use crate::exchange::{plan, substitutions};
use crate::ops::exchange::RecordKind;
use crate::ops::kits::{contents_by_day, from_bag};
use crate::store::catalog::VariantRow;
use crate::store::orders::KitRow;
use crate::store::{Conn, Tx, card, catalog, demand, orders, reorder, substitution};

/// The most kits that a refusal names.
const MOST_NAMED: usize = 5;

/// Takes a record away, but for an air chart that the card of a kit still takes.
pub(super) fn drop_record(tx: &mut Tx<'_>, kind: RecordKind, key: &str) -> Result<(), Error> {
    match kind {
        RecordKind::AirChart => {
            let all = card::charts(tx.conn)?;
            let chart = all.iter().find(|it| it.code == key);
            let needed = chart.map(|it| kits_with(tx.conn, it)).transpose()?.unwrap_or_default();
            if !needed.is_empty() {
                return Err(Error::conflict("catalog.in_use", in_use(key, &needed)));
            }
            Ok(card::drop_chart(tx.conn, key)?)
        }
        RecordKind::Word => {
            for it in card::glossary_entries(tx.conn)?.iter().filter(|it| it.text == key) {
                card::drop_words(tx.conn, key, it.language)?;
            }
            Ok(())
        }
        RecordKind::Rule => {
            let (from, to) = substitutions::of_key(key);
            let ends = catalog::variant(tx.conn, from)?.zip(catalog::variant(tx.conn, to)?);
            Ok(ends.map_or(Ok(()), |(from, to)| substitution::drop_rule(tx.conn, from.id, to.id))?)
        }
        RecordKind::Policy => Ok(reorder::drop_policy(tx.conn, key)?),
        RecordKind::PlannedMonth => {
            let (kit, month) = plan::of_key(key);
            let month = month.parse::<Month>();
            Ok(month.map_or(Ok(()), |month| demand::drop_planned(tx.conn, kit, month))?)
        }
        RecordKind::Supplier | RecordKind::Bin | RecordKind::Part => Err(Error::conflict(
            "catalog.in_use",
            format!("a {} stays: the books refer to it", kind.words()),
        )),
    }
}

fn in_use(key: &str, kits: &[String]) -> String {
    let named: Vec<&str> = kits.iter().take(MOST_NAMED).map(String::as_str).collect();
    let more = if named.len() < kits.len() { " and others" } else { "" };
    format!(
        "{key} stands on the assembly cards of kits that have not left, {}{more}: change it instead, \
         or take it out when they have left",
        named.join(", ")
    )
}

/// Loads the kits that have not left and hold a part that the chart is for.
fn kits_with(conn: &mut Conn, chart: &AirChart) -> Result<Vec<String>, Error> {
    let here = |it: &KitRow| !["despatched", "cancelled"].contains(&it.state.as_str());
    let kits: BTreeMap<KitId, KitRow> =
        orders::kits(conn)?.into_iter().filter(here).map(|it| (it.id, it)).collect();
    let contents = contents_by_day(conn, kits.values().map(|it| it.bills_on))?;
    let rows = catalog::variants(conn)?;
    let answers = |row: &&VariantRow| {
        let attributes = row.attributes.parse();
        attributes.is_ok_and(|it| chart.is_for(&row.part_number, &row.part, &it))
    };
    let numbers: Vec<&str> =
        rows.iter().filter(answers).map(|it| it.part_number.as_str()).collect();
    let ids: Vec<KitId> = kits.keys().copied().collect();
    let mut found: Vec<String> = Vec::new();
    for line in orders::lines_of(conn, &ids)? {
        let Some(kit) = kits.get(&line.kit) else { continue };
        let bags = contents.get(&kit.bills_on);
        let held = bags.map(|it| from_bag(it, &line.part_number)).unwrap_or_default();
        let within = held.iter().any(|it| numbers.contains(&it.part_number.as_str()));
        if within || numbers.contains(&line.part_number.as_str()) {
            found.push(kit.number.clone());
        }
    }
    found.sort();
    found.dedup();
    Ok(found)
}
