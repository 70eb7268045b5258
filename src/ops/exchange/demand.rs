//! How parts are bought, what is planned, and what was used before these books began.

use crate::domain::demand::{HistoryRecord, PlanRecord, per_kit};
use crate::domain::reorder::{PolicyRecord, Scope};
use crate::error::Error;
use crate::exchange::{At, Fault, Read, plan as plan_files};
use crate::ops::kits::as_variant;
use crate::store::{Tx, demand, kits, reorder};

use super::reference::Known;
use super::{count, refuse};

/// Takes policies, and returns their keys.
pub(super) fn policies(
    tx: &mut Tx<'_>,
    (records, mut faults): Read<PolicyRecord>,
) -> Result<Vec<String>, Error> {
    let known = Known::load(tx.conn)?;
    for it in &records {
        if let Scope::Part(number) = &it.value.scope
            && !known.variants.contains_key(number.as_str())
        {
            let message = format!("there is no part number '{number}': import parts first");
            faults.push(Fault { line: it.line, column: "for".to_owned(), message });
        }
    }
    refuse(faults)?;
    for it in &records {
        let variant = match &it.value.scope {
            Scope::Part(number) => known.variants.get(number.as_str()).map(|it| it.id),
            Scope::Class(..) => None,
        };
        reorder::put_policy(tx.conn, &it.value, variant)?;
    }
    Ok(records.into_iter().map(|it| it.value.scope.to_string()).collect())
}

/// Takes planned months, and returns their keys.
pub(super) fn plan(
    tx: &mut Tx<'_>,
    (records, mut faults): Read<PlanRecord>,
) -> Result<Vec<String>, Error> {
    let today = tx.today();
    let boms = kits::boms_on(tx.conn, today)?;
    let known = Known::load(tx.conn)?;
    let variants: Vec<_> = known.variants.values().filter_map(as_variant).collect();
    let mut right: Vec<(&str, &crate::domain::demand::Mix)> = Vec::new();
    for At { line, value } in &records {
        if right.contains(&(value.kit.as_str(), &value.mix)) {
            continue;
        }
        let column = if boms.contains_key(&value.kit) { "mix" } else { "kit" };
        match per_kit(&boms, &value.kit, &value.mix, &variants) {
            Ok(_) => right.push((&value.kit, &value.mix)),
            Err(fault) => {
                let message = fault.to_string();
                faults.push(Fault { line: *line, column: column.to_owned(), message });
            }
        }
    }
    refuse(faults)?;
    for it in &records {
        demand::put_planned(tx.conn, &it.value)?;
    }
    Ok(records.iter().map(|it| plan_files::key(&it.value)).collect())
}

/// Takes the months of a demand history, and returns how many there were.
pub(super) fn history(
    tx: &mut Tx<'_>,
    (records, mut faults): Read<HistoryRecord>,
) -> Result<u64, Error> {
    let known = Known::load(tx.conn)?;
    let mut rows = Vec::with_capacity(records.len());
    for it in &records {
        let variant = known.variant(it.line, &it.value.part_number, &mut faults);
        rows.extend(variant.map(|variant| (variant.id, it.value.month, it.value.used)));
    }
    refuse(faults)?;
    demand::put_history(tx.conn, &rows)?;
    Ok(count(&records))
}
