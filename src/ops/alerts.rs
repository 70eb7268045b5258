//! Missing parts that tell themselves: each alert once for as long as it stands, to whom the owner
//! named.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::json;

use crate::domain::outbox::Channel;
use crate::error::Error;
use crate::store::alerts::{self as store, ToldAlert};
use crate::store::{Conn, Tx};

use super::outbox;
use super::shortages::{Alert, alerts};

/// What is to be told.
struct News {
    raised: BTreeMap<ToldAlert, Alert>,
    cleared: BTreeSet<ToldAlert>,
}

/// Returns whether there is an alert that receivers were not told of, or one that has ended since.
///
/// # Errors
///
/// [`Error::Database`].
pub fn has_news(conn: &mut Conn) -> Result<bool, Error> {
    Ok(news(conn)?.is_some())
}

/// Returns what is to be told; nothing where there is nothing new, or nobody is told.
fn news(conn: &mut Conn) -> Result<Option<News>, Error> {
    if outbox::receivers(conn)?.is_empty() {
        return Ok(None);
    }
    let told: BTreeSet<ToldAlert> = store::standing(conn)?.into_iter().collect();
    let mut raised: BTreeMap<ToldAlert, Alert> =
        alerts(conn)?.into_iter().map(|it| (named(&it), it)).collect();
    let cleared: BTreeSet<ToldAlert> =
        told.iter().filter(|it| !raised.contains_key(it)).cloned().collect();
    raised.retain(|it, _| !told.contains(it));
    let is_new = !(raised.is_empty() && cleared.is_empty());
    Ok(is_new.then_some(News { raised, cleared }))
}

fn named(it: &Alert) -> ToldAlert {
    ToldAlert { kit: it.kit.clone(), line: it.line, cause: it.cause.word().to_owned() }
}

/// Tells receivers of alerts that are new and of those that have ended, in the transaction that
/// notes what they were told: so none is told twice, and none is lost.
///
/// # Errors
///
/// [`Error::Database`].
pub fn tell(tx: &mut Tx<'_>) -> Result<(), Error> {
    let Some(news) = news(tx.conn)? else { return Ok(()) };
    let raised: Vec<ToldAlert> = news.raised.keys().cloned().collect();
    store::raise(tx.conn, &raised, tx.now)?;
    for it in &news.cleared {
        store::clear(tx.conn, it, tx.now)?;
    }
    let subject = subject(&news);
    let cleared = news.cleared.iter();
    let body = json!({
        "type": "missing_parts.changed",
        "timestamp": tx.now.and_utc().to_rfc3339_opts(chrono::SecondsFormat::Secs, true),
        "data": {
            "raised": news.raised.values().collect::<Vec<_>>(),
            "cleared": cleared
                .map(|it| json!({ "kit": it.kit, "line": it.line, "cause": it.cause }))
                .collect::<Vec<_>>(),
        },
    });
    outbox::tell(tx, Channel::Webhook, &subject, &body.to_string())?;
    // That a part is there again is no news that anybody has to act upon.
    if !news.raised.is_empty() {
        outbox::tell(tx, Channel::Mail, &subject, &letter(&news))?;
    }
    Ok(())
}

fn subject(news: &News) -> String {
    let kits: BTreeSet<&str> = news.raised.keys().map(|it| it.kit.as_str()).collect();
    match (news.raised.len(), kits.len(), news.cleared.len()) {
        (0, _, 1) => "1 part is missing no more".to_owned(),
        (0, _, cleared) => format!("{cleared} parts are missing no more"),
        (1, _, _) => "1 part is missing".to_owned(),
        (parts, 1, _) => format!("{parts} parts are missing in one kit"),
        (parts, kits, _) => format!("{parts} parts are missing in {kits} kits"),
    }
}

fn letter(news: &News) -> String {
    let mut alerts: Vec<&Alert> = news.raised.values().collect();
    alerts.sort_by_key(|it| (it.promised_on, &it.order, &it.kit, it.step));
    let mut text = String::new();
    let mut kit = "";
    for it in alerts {
        if kit != it.kit {
            kit = &it.kit;
            let line = format!("Order {}, kit {kit}, promised {}:\n", it.order, it.promised_on);
            text.push_str(if text.is_empty() { "" } else { "\n" });
            text.push_str(&line);
        }
        let covered = match (&it.covered_by, it.due_on) {
            (Some(order), Some(day)) => format!("; comes with {order} on {day}"),
            _ => String::new(),
        };
        let note = if it.note.is_empty() { String::new() } else { format!(" ({})", it.note) };
        text.push_str(&format!(
            "- step {}, {}: {} x {} {}, {}; {}{note}{covered}\n",
            it.step,
            it.step_title,
            it.quantity,
            it.part,
            it.part_number,
            it.class_words,
            it.cause.words(),
        ));
    }
    text
}
