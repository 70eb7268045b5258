use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::outlook::outlooks;
use super::wall::{WallBin, named, of_part};
use crate::domain::ids::VariantId;
use crate::domain::outbox::Channel;
use crate::error::Error;
use crate::ops::outbox;
use crate::store::{Conn, Tx, card_scans};

/// Returns whether a bin must be told of that nobody was told of yet, or one is as it should be again
/// of which somebody was; never where the shop tells nobody by e-mail.
///
/// # Errors
///
/// [`Error::Database`].
pub fn is_any_bin_to_tell(conn: &mut Conn, today: NaiveDate) -> Result<bool, Error> {
    let tells = outbox::receivers(conn)?.iter().any(|it| it.channel == Channel::Mail);
    if !tells {
        return Ok(false);
    }
    let told: BTreeSet<VariantId> = card_scans::told(conn)?.into_iter().collect();
    Ok(alerts(conn, today)?.into_keys().collect::<BTreeSet<_>>() != told)
}

/// Queues one e-mail to each receiver of alerts about the bins whose day has come and of which nobody
/// was told yet; returns their part numbers. What is as it should be again is told anew the next time.
///
/// # Errors
///
/// [`Error::Database`].
pub fn tell_of_bins(tx: &mut Tx<'_>) -> Result<Vec<String>, Error> {
    let today = tx.today();
    let alerts = alerts(tx.conn, today)?;
    let told: BTreeSet<VariantId> = card_scans::told(tx.conn)?.into_iter().collect();
    let over: Vec<VariantId> = told.iter().filter(|it| !alerts.contains_key(it)).copied().collect();
    card_scans::forget_told(tx.conn, &over)?;
    let fresh: Vec<(&VariantId, &WallBin)> =
        alerts.iter().filter(|it| !told.contains(it.0)).collect();
    if fresh.is_empty() {
        return Ok(Vec::new());
    }
    let subject = match fresh.len() {
        1 => "1 bin needs an order today".to_owned(),
        many => format!("{many} bins need an order today"),
    };
    let lines: Vec<String> = fresh.iter().map(|it| format!("- {}.", named(it.1))).collect();
    let text = format!(
        "From today on, the use expected until an order's arrival takes the second bin below half:\n\n\
         {}\n\nScan their cards at the wall, or order at the buying desk.\n",
        lines.join("\n")
    );
    outbox::tell(tx, Channel::Mail, &subject, &text)?;
    let ids: Vec<VariantId> = fresh.iter().map(|it| *it.0).collect();
    card_scans::note_told(tx.conn, &ids, today)?;
    Ok(fresh.iter().map(|it| it.1.part_number.clone()).collect())
}

/// Loads the bins of every zone whose day has come.
fn alerts(conn: &mut Conn, today: NaiveDate) -> Result<BTreeMap<VariantId, WallBin>, Error> {
    let outlooks = outlooks(conn, today)?;
    let mut alerts = BTreeMap::new();
    for it in outlooks.judgement.parts.iter().filter(|it| it.decision.bins.is_some()) {
        let bin = of_part(&outlooks, it.row.bin_code.as_deref().unwrap_or("no bin"), it)?;
        if bin.alert {
            alerts.insert(it.row.id, bin);
        }
    }
    Ok(alerts)
}
