use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::Done;
use super::draft::{one_line, order};
use super::life::{address, wrong_state};
use crate::domain::outbox::About;
use crate::domain::people::Permission;
use crate::domain::purchasing::{Lateness, Waiting, lateness};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::outbox::{Mail, queue_mail};
use crate::ops::{people as people_ops, shop, shortages, words};
use crate::store::purchasing::{Chase, PurchaseLineRow, PurchaseOrderRow};
use crate::store::{Conn, Tx, purchasing};
use crate::units::Quantity;

/// A line that is late, promised late or not confirmed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct LateView {
    /// The purchase order.
    pub order: String,
    /// The supplier's name.
    pub supplier: String,
    /// The line's number.
    pub line: i64,
    /// The part number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// Pieces still to come.
    pub open: Quantity,
    /// When we expect them: the day wanted where the line has one, or the day due.
    pub expected_on: NaiveDate,
    /// When the supplier promised them.
    pub promised_on: Option<NaiveDate>,
    /// late, promised_late or unconfirmed.
    pub kind: String,
    /// Days late, or days since it was sent where it is not confirmed.
    pub days: i64,
    /// What is wrong, in words.
    pub words: String,
    /// Kits that wait for it, with their orders.
    pub waiting: Vec<String>,
    /// The days on which the supplier was asked, the newest first.
    pub chased_on: Vec<NaiveDate>,
}

/// A chase that was noted.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
#[serde(default)]
pub struct ChaseView {
    /// Whether it goes by e-mail; otherwise somebody asked by themselves and says what was said.
    pub by_mail: bool,
    /// What was said, where it does not go by e-mail.
    pub words: String,
    /// Why a second time on one day; empty for the first.
    pub again_because: String,
}

/// Loads the open lines that are late, promised late or not confirmed, the latest first.
///
/// # Errors
///
/// [`Error::Database`].
pub fn late(conn: &mut Conn, today: NaiveDate) -> Result<Vec<LateView>, Error> {
    let lines = purchasing::all_lines(conn)?;
    let promises = purchasing::promises(conn)?;
    let chases = purchasing::chases(conn)?;
    let mut waiting: BTreeMap<(String, String), BTreeSet<String>> = BTreeMap::new();
    for alert in shortages::alerts(conn)? {
        if let Some(order) = alert.covered_by {
            let kit = format!("{} of order {}", alert.kit, alert.order);
            waiting.entry((order, alert.part_number)).or_default().insert(kit);
        }
    }
    let mut views = Vec::new();
    for order in purchasing::purchase_orders(conn)?.iter().filter(|it| it.is_with_supplier()) {
        let open = |it: &&PurchaseLineRow| it.order == order.id && it.open().is_some();
        for line in lines.iter().filter(open) {
            let dates = dates(order, line, promises.get(&line.id).map(|it| it.promised_on));
            let Some(it) = lateness(&dates, today) else { continue };
            let key = (order.number.clone(), line.part_number.clone());
            let (kind, days, words) = told(it);
            views.push(LateView {
                order: order.number.clone(),
                supplier: order.supplier.clone(),
                line: line.line_no,
                part_number: line.part_number.clone(),
                part: words::part(&line.part, &line.variant_words),
                open: line.open(),
                expected_on: dates.expected_on,
                promised_on: dates.promised_on,
                kind: kind.to_owned(),
                days,
                words,
                waiting: waiting.get(&key).into_iter().flatten().cloned().collect(),
                chased_on: chases
                    .get(&order.id)
                    .into_iter()
                    .flatten()
                    .map(|it| it.chased_on)
                    .collect(),
            });
        }
    }
    let rank = |it: &LateView| (it.kind != "late", it.kind == "unconfirmed");
    views.sort_by(|a, b| (rank(a), b.days, &a.order).cmp(&(rank(b), a.days, &b.order)));
    Ok(views)
}

fn dates(
    order: &PurchaseOrderRow,
    line: &PurchaseLineRow,
    promised_on: Option<NaiveDate>,
) -> Waiting {
    let expected_on = line.wanted_on.map_or(order.due_on, |it| it.max(order.ordered_on));
    Waiting { expected_on, promised_on, sent_on: order.ordered_on }
}

fn told(it: Lateness) -> (&'static str, i64, String) {
    let count = |days: i64| if days == 1 { "1 day".to_owned() } else { format!("{days} days") };
    match it {
        Lateness::Late { days } => ("late", days, format!("{} late", count(days))),
        Lateness::PromisedLate { days } => {
            ("promised_late", days, format!("promised {} later than expected", count(days)))
        }
        Lateness::Unconfirmed { days } => {
            ("unconfirmed", days, format!("not confirmed, sent {} ago", count(days)))
        }
    }
}

/// Asks the supplier where the late and unconfirmed lines of an order stay, by e-mail through the
/// outbox, or notes that somebody asked by themselves.
///
/// # Errors
///
/// [`Error::Conflict`] `purchasing.chased` where they were asked today already and nobody says why
/// again, and where nothing is late; [`Error::Invalid`] where there is no address.
pub fn chase(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    it: &ChaseView,
) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.chase", &(number, it), |tx| {
        let (order, today) = (order(tx.conn, number)?, tx.today());
        let lines: Vec<LateView> =
            late(tx.conn, today)?.into_iter().filter(|it| it.order == number).collect();
        if lines.is_empty() {
            let why = "nothing of it is late or unconfirmed";
            return Err(wrong_state(tx.conn, &order, why)?);
        }
        let again_because = one_line(&it.again_because);
        let asked_today = lines.iter().any(|it| it.chased_on.contains(&today));
        if asked_today && again_because.is_empty() {
            let message = format!(
                "{} was asked about {number} today: say why they are asked again, or wait",
                order.supplier
            );
            return Err(Error::conflict("purchasing.chased", message));
        }
        let again_because = if asked_today { again_because } else { String::new() };
        let words = match it.by_mail {
            true => mail(tx, &order, &lines)?,
            false => one_line(&it.words),
        };
        if words.is_empty() {
            let message = "write what was asked and answered";
            return Err(Error::invalid("purchasing.no_words", message));
        }
        let how = if it.by_mail { "by e-mail" } else { "by hand" };
        let chase = Chase { chased_on: today, again_because, words: words.clone() };
        purchasing::note_chase(tx, order.id, &chase)?;
        let again = match chase.again_because.as_str() {
            "" => String::new(),
            because => format!(", again because: {because}"),
        };
        let told = format!("asked {how}{again}: {words}");
        purchasing::note_event(tx, order.id, order.revision, "chased", &told)?;
        Ok(Done::new(format!("{} was asked {how} about {number}", order.supplier)))
    })
}

/// Queues the mail that asks; returns its text.
fn mail(tx: &mut Tx<'_>, order: &PurchaseOrderRow, lines: &[LateView]) -> Result<String, Error> {
    let (to, shop) = (address(order)?, shop::details(tx.conn)?);
    let rows: Vec<String> = lines
        .iter()
        .map(|it| {
            let promised = it
                .promised_on
                .map_or_else(|| "not confirmed".to_owned(), |day| format!("confirmed for {day}"));
            format!(
                "line {}: {} × {} {}, expected {}, {promised}",
                it.line, it.open, it.part_number, it.part, it.expected_on
            )
        })
        .collect();
    let text = format!(
        "Dear {},\n\nof our purchase order {} of {} we still wait for:\n\n{}\n\nPlease tell us for each \
         line on which day it comes, and what keeps it.\n\n{}\n",
        order.supplier,
        order.number,
        order.ordered_on,
        rows.join("\n"),
        shop.name
    );
    let subject = format!("Purchase order {}: when does it come? {}", order.number, shop.name);
    let about = About::PurchaseOrder(order.number.clone());
    queue_mail(tx, &Mail { to, subject, text, files: Vec::new(), about })?;
    Ok(rows.join("; "))
}
