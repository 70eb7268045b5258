use serde::{Deserialize, Serialize};

use super::Done;
use super::draft::{expected_on, one_line, order};
use crate::domain::outbox::About;
use crate::domain::people::Permission;
use crate::domain::purchasing::{Approval, Progress, State, check_approval};
use crate::error::Error;
use crate::ops::once::{RequestKey, once};
use crate::ops::outbox::{Mail, MailFile, queue_mail};
use crate::ops::{people as people_ops, receiving, shop, ubl};
use crate::store::purchasing::{PurchaseLineRow, PurchaseOrderRow};
use crate::store::{Conn, Tx, people, purchasing};
use crate::units::Money;

/// The setting that holds what a buyer may approve, in cents.
const LIMIT: &str = "purchase limit";

/// Loads the amount above which the owner approves; nothing where the shop has set none.
///
/// # Errors
///
/// [`Error::Database`].
pub fn limit(conn: &mut Conn) -> Result<Option<Money>, Error> {
    let cents = people::setting(conn, LIMIT)?.and_then(|it| it.parse().ok());
    Ok(cents.map(Money::from_cents))
}

/// Keeps the amount above which the owner approves; nothing takes the limit away.
///
/// # Errors
///
/// [`Error::Forbidden`] for whoever is not the owner, [`Error::Invalid`] below zero.
pub fn set_limit(tx: &mut Tx<'_>, key: &RequestKey, limit: Option<i64>) -> Result<(), Error> {
    people_ops::check(tx.who.role(), Permission::SetPurchaseLimit)?;
    once(tx, key, "purchasing.limit", &limit, |tx| {
        if limit.is_some_and(|it| it < 0) {
            return Err(Error::invalid("purchasing.limit", "the limit: write 0 or more"));
        }
        let text = limit.map(|it| it.to_string()).unwrap_or_default();
        Ok(people::put_setting(tx.conn, LIMIT, &text)?)
    })
}

/// What somebody says in approving an order.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Approve {
    /// Whether the supplier takes it though it comes to less than they ask.
    pub below_minimum_agreed: bool,
}

/// Returns what the lines come to in the shop's own currency; nothing where one is in another.
pub(super) fn worth(lines: &[PurchaseLineRow], own: &str) -> Option<Money> {
    lines.iter().filter(|it| !it.closed).try_fold(Money::ZERO, |sum, it| {
        let here = it.currency.is_empty() || it.currency == own;
        let cost = it.price().cost(it.quantity).filter(|_| here)?;
        sum.cents().checked_add(cost.cents()).map(Money::from_cents)
    })
}

/// Approves the revision that the books hold: a second person does, or the owner.
///
/// # Errors
///
/// [`crate::domain::purchasing::PurchasingError`], which says who may; [`Error::Conflict`] where
/// there is nothing to approve.
pub fn approve(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    it: Approve,
) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.approve", &(number, it), |tx| {
        let order = order(tx.conn, number)?;
        if !order.progress().wants_approval() {
            return Err(wrong_state(tx.conn, &order, "there is nothing to approve")?);
        }
        let lines = purchasing::lines_of(tx.conn, order.id)?;
        let own = shop::details(tx.conn)?.currency;
        let events = purchasing::events_of(tx.conn, order.id)?;
        let me = tx.who.user();
        let wrote = ["drafted", "changed", "line closed", "line opened"];
        let own_work = events
            .iter()
            .take_while(|event| event.kind != "approved" || event.revision == order.revision)
            .any(|event| wrote.contains(&event.kind.as_str()) && event.user == me);
        let minimum = purchasing::supplier_terms(tx.conn, &order.supplier_code)?
            .map_or(Money::ZERO, |terms| terms.minimum_order);
        let value = worth(&lines, &own);
        check_approval(&Approval {
            role: tx.who.role(),
            own_work,
            value,
            limit: limit(tx.conn)?,
            minimum: if order.sent_revision == 0 { minimum } else { Money::ZERO },
            below_minimum_agreed: it.below_minimum_agreed,
            lines: lines.len(),
        })?;
        let progress = Progress { approved: order.revision, ..order.progress() };
        purchasing::set_progress(tx.conn, order.id, progress)?;
        let worth = value.map_or_else(String::new, |it| format!(", {own} {}", two_places(it)));
        let words = format!("revision {} approved{worth}", order.revision);
        purchasing::note_event(tx, order.id, order.revision, "approved", &words)?;
        Ok(Done::new(format!("purchase order {number}: {words}")))
    })
}

/// Returns an amount with two decimals.
pub(super) fn two_places(amount: Money) -> String {
    crate::domain::purchasing::UnitPrice::each(amount).to_string()
}

/// Returns the refusal of something that the order's state does not allow.
pub(super) fn wrong_state(
    conn: &mut Conn,
    order: &PurchaseOrderRow,
    why: &str,
) -> Result<Error, Error> {
    let state = super::view::state(conn, order)?;
    let message = format!("purchase order {} is {}: {why}", order.number, state.as_str());
    Ok(Error::conflict("purchasing.state", message))
}

/// Notes that a person sent the order themselves, and how: by post, in the supplier's portal.
///
/// # Errors
///
/// [`Error::Conflict`] unless it is approved and not yet sent as it is; [`Error::Invalid`] where
/// nobody says how.
pub fn sent(tx: &mut Tx<'_>, key: &RequestKey, number: &str, how: &str) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.sent", &(number, how), |tx| {
        let how = one_line(how);
        if how.is_empty() {
            return Err(Error::invalid("purchasing.how", "write how it was sent: by post, by fax"));
        }
        let order = leaves(tx, number)?;
        let words = format!("revision {} sent by hand: {how}", order.revision);
        purchasing::note_event(tx, order.id, order.revision, "sent", &words)?;
        Ok(Done::new(format!("purchase order {number}: {words}")))
    })
}

/// Sends the order to the supplier's address with its PDF and its UBL document, by the outbox. What
/// the supplier had before goes as a change.
///
/// # Errors
///
/// [`Error::Conflict`] unless it is approved and not yet sent as it is, or where the shop has no mail
/// server; [`Error::Invalid`] where the supplier has no address.
pub fn mail(tx: &mut Tx<'_>, key: &RequestKey, number: &str) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.mail", &number, |tx| {
        let order = leaves(tx, number)?;
        let to = address(&order)?;
        let (today, shop) = (tx.today(), shop::details(tx.conn)?);
        let change = 1 < order.revision;
        let files = vec![
            MailFile {
                name: format!("{}.pdf", file_name(&order)),
                media_type: "application/pdf".to_owned(),
                content: receiving::purchase_order(tx.conn, number, today)?,
            },
            MailFile {
                name: format!("{}.xml", file_name(&order)),
                media_type: "application/xml".to_owned(),
                content: ubl::order(tx.conn, number)?.into_bytes(),
            },
        ];
        let what = match change {
            true => format!("Change {} to purchase order {number}", order.revision - 1),
            false => format!("Purchase order {number}"),
        };
        let asked = match change {
            true => "It takes the place of what you had from us before.",
            false => "Please confirm each line with the day on which you will deliver it.",
        };
        let text = format!(
            "Dear {},\n\nwith this comes {}, as a PDF and as a UBL 2.1 document. {asked} Please name \
             {number} on your delivery note and invoice.\n\n{}\n",
            order.supplier,
            lower_first(&what),
            shop.name
        );
        let about = About::PurchaseOrder(number.to_owned());
        let subject = format!("{what}, {}", shop.name);
        queue_mail(tx, &Mail { to, subject, text, files, about })?;
        let address = order.email.clone().unwrap_or_default();
        let words = format!("revision {} sent to {address} by e-mail", order.revision);
        purchasing::note_event(tx, order.id, order.revision, "sent", &words)?;
        Ok(Done::new(format!("purchase order {number}: {words}; Messages says when it has left")))
    })
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|it| it.to_lowercase().chain(chars).collect()).unwrap_or_default()
}

fn file_name(order: &PurchaseOrderRow) -> String {
    let safe = |it: char| if it.is_alphanumeric() || it == '-' { it } else { '_' };
    let number: String = order.number.chars().map(safe).collect();
    if order.revision == 1 { number } else { format!("{number}-{}", order.revision) }
}

/// Returns the address that a supplier's mail goes to.
pub(super) fn address(
    order: &PurchaseOrderRow,
) -> Result<crate::domain::outbox::MailAddress, Error> {
    let none = || {
        let message = format!(
            "{} has no e-mail address: write it in the catalogue, or send the order another way",
            order.supplier
        );
        Error::invalid("purchasing.no_address", message)
    };
    let text = order.email.as_deref().filter(|it| !it.is_empty()).ok_or_else(none)?;
    text.parse().map_err(|fault: String| Error::invalid("purchasing.no_address", fault))
}

/// Marks the order as with the supplier; the days of a first sending count from today.
fn leaves(tx: &mut Tx<'_>, number: &str) -> Result<PurchaseOrderRow, Error> {
    let row = order(tx.conn, number)?;
    if !row.progress().wants_sending() {
        let why = match row.progress().wants_approval() {
            true => "have it approved first",
            false => "the supplier has it as it is",
        };
        return Err(wrong_state(tx.conn, &row, why)?);
    }
    if row.sent_revision == 0 {
        let terms = purchasing::supplier_terms(tx.conn, &row.supplier_code)?
            .ok_or_else(|| Error::not_found("supplier", row.supplier_code.clone()))?;
        let today = tx.today();
        let due_on = expected_on(&terms, today)?;
        purchasing::set_days(tx.conn, row.id, (today, due_on))?;
    }
    let progress = Progress { sent: row.revision, ..row.progress() };
    purchasing::set_progress(tx.conn, row.id, progress)?;
    order(tx.conn, number)
}

/// Calls an order off of which nothing has come, with the reason.
///
/// # Errors
///
/// [`Error::Conflict`] where some of it is here, or it is called off already; [`Error::Invalid`]
/// without a reason.
pub fn cancel(tx: &mut Tx<'_>, key: &RequestKey, number: &str, why: &str) -> Result<Done, Error> {
    people_ops::check(tx.who.role(), Permission::Buy)?;
    once(tx, key, "purchasing.cancel", &(number, why), |tx| {
        let why = one_line(why);
        if why.is_empty() {
            return Err(Error::invalid("purchasing.why", "write why it is called off"));
        }
        let row = order(tx.conn, number)?;
        let state = super::view::state(tx.conn, &row)?;
        let may = matches!(state, State::Draft | State::Approved | State::Sent | State::Confirmed);
        if !may {
            let words = "only an order of which nothing has come is called off: close its lines";
            return Err(wrong_state(tx.conn, &row, words)?);
        }
        let progress = Progress { cancelled: true, ..row.progress() };
        purchasing::set_progress(tx.conn, row.id, progress)?;
        let told = match row.sent_revision {
            0 => "",
            _ => "; tell the supplier",
        };
        purchasing::note_event(tx, row.id, row.revision, "cancelled", &why)?;
        Ok(Done::new(format!("purchase order {number} is cancelled{told}")))
    })
}
