//! Purchase orders as their buyer sees them: drafts, approval, sending, confirmation, changes.

pub mod act;
pub mod late;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use serde::Deserialize;

use super::entries::encoded;
use super::words::{Day, Moment, Word, count_of, sentence};
use super::{Choice, Fields, Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::domain::purchasing::{State, UnitPrice};
use crate::error::Error;
use crate::ops;
use crate::ops::purchasing::{BuyingLineView, BuyingView, ChargeView};
use crate::units::{Money, Quantity};
use crate::web::api::purchasing::state_of;
use crate::web::page::PageError;

/// Returns an amount of cents with two decimals; below zero with its sign.
pub(super) fn amount(cents: i64) -> String {
    UnitPrice::each(Money::from_cents(cents)).to_string()
}

/// The page at `/purchasing`.
#[derive(Debug, Template)]
#[template(path = "purchasing/list.html")]
pub struct OrdersPage {
    /// The page around it.
    pub frame: Frame,
    /// The states to choose from.
    pub states: Vec<Choice>,
    /// The orders, the newest first.
    pub orders: Vec<OrderRow>,
    /// How many lines are late or not confirmed.
    pub late: usize,
    /// What a buyer may approve, in words.
    pub limit: String,
    /// The same as it is typed.
    pub limit_typed: String,
    /// Whether the person may set it.
    pub may_set_limit: bool,
}

/// A purchase order in the list.
#[derive(Debug)]
pub struct OrderRow {
    /// Its number.
    pub number: String,
    /// The supplier's name.
    pub supplier: String,
    /// How it stands.
    pub state: String,
    /// What is to be done about it; empty where nothing.
    pub wants: Word,
    /// The day of the order.
    pub ordered: Day,
    /// The day due.
    pub due: Day,
    /// What is on it, in words.
    pub words: String,
    /// What it comes to.
    pub worth: String,
}

/// Returns what is to be done about an order.
const fn wants(it: &BuyingView) -> Word {
    match (it.wants_approval, it.wants_sending, it.changed) {
        (true, _, true) => "its change waits for approval",
        (true, ..) => "waits for approval",
        (_, true, true) => "its change waits to be sent",
        (_, true, _) => "waits to be sent",
        _ => "",
    }
}

fn worth(it: &BuyingView) -> String {
    it.worth_cents.map_or_else(|| "in several currencies".to_owned(), amount)
}

impl From<BuyingView> for OrderRow {
    fn from(it: BuyingView) -> Self {
        Self {
            wants: wants(&it),
            worth: worth(&it),
            words: count_of(&it.lines, "line", "lines"),
            number: it.number,
            supplier: it.supplier,
            state: it.state,
            ordered: Day(it.ordered_on),
            due: Day(it.due_on),
        }
    }
}

#[derive(Deserialize)]
pub(super) struct Filter {
    #[serde(default)]
    state: String,
}

#[get("/purchasing")]
pub(super) async fn get_list(
    visit: Visit,
    filter: web::Query<Filter>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    let (only, today) = (state_of(&filter.state)?, visit.app.now().date());
    let orders = visit.app.read(move |conn| ops::purchasing::list(conn, only)).await?;
    let late = visit.app.read(move |conn| ops::purchasing::late(conn, today)).await?.len();
    let limit = visit.app.read(ops::purchasing::limit).await?.map(|it| amount(it.cents()));
    let choice = |it: &State| {
        let choice = Choice::new(it.as_str(), it.as_str());
        if only == Some(*it) { choice.chosen() } else { choice }
    };
    let page = OrdersPage {
        frame: visit.frame(Task::Purchasing).await?,
        states: State::ALL.iter().map(choice).collect(),
        orders: orders.into_iter().map(OrderRow::from).collect(),
        late,
        limit_typed: limit.clone().unwrap_or_default(),
        limit: limit.unwrap_or_else(|| "any amount".to_owned()),
        may_set_limit: visit.can(Permission::SetPurchaseLimit),
    };
    Ok(visit.show(&page))
}

#[post("/purchasing/limit")]
pub(super) async fn post_limit(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::SetPurchaseLimit, &form)?;
    let said = match act::money(&form, "limit", "the limit") {
        Ok(cents) => {
            let key = form.key()?;
            let work =
                move |tx: &mut crate::store::Tx<'_>| ops::purchasing::set_limit(tx, &key, cents);
            visit.app.write(who, work).await
        }
        Err(fault) => Err(fault),
    };
    let words = "What a buyer may approve is kept.".to_owned();
    visit.go("/purchasing", said.map(|()| words))
}

/// The page at `/purchasing/{number}`.
#[derive(Debug, Template)]
#[template(path = "purchasing/order.html")]
pub struct OrderPage {
    /// The page around it.
    pub frame: Frame,
    /// The order's number.
    pub number: String,
    /// The supplier's name.
    pub supplier: String,
    /// How it stands.
    pub state: String,
    /// What is to be done about it.
    pub wants: Word,
    /// The revision that the books hold.
    pub revision: i64,
    /// The day of the order.
    pub ordered: Day,
    /// The day due.
    pub due: Day,
    /// What it comes to.
    pub worth: String,
    /// The least that the supplier takes, where that is more.
    pub below: Option<String>,
    /// Whether somebody may approve it now.
    pub to_approve: bool,
    /// Whether it may be sent now.
    pub to_send: bool,
    /// Whether the supplier may confirm it.
    pub to_confirm: bool,
    /// Whether it may be called off.
    pub to_cancel: bool,
    /// Whether lines may be written.
    pub to_edit: bool,
    /// Whether no supplier has seen it.
    pub ours_alone: bool,
    /// What the supplier is to know.
    pub note: String,
    /// Its lines.
    pub lines: Vec<LineRow>,
    /// Charges on its deliveries, the newest first.
    pub charges: Vec<ChargeRow>,
    /// Whether something has come, so that it may be charged.
    pub has_come: bool,
    /// What happened, the newest first.
    pub history: Vec<EventRow>,
}

/// A line of an order.
#[derive(Debug)]
pub struct LineRow {
    /// Its number.
    pub line: i64,
    /// The part's number.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// Pieces ordered.
    pub ordered: Quantity,
    /// Pieces received.
    pub received: Quantity,
    /// Pieces still to come.
    pub open: Quantity,
    /// Whether it is closed.
    pub closed: bool,
    /// What a price is, in words.
    pub price: String,
    /// The price as it is typed.
    pub price_typed: String,
    /// The pieces that it is for.
    pub price_per: Quantity,
    /// What the line comes to.
    pub amount: String,
    /// The day wanted, as it is typed; empty where it is the day due.
    pub wanted_typed: String,
    /// The day wanted or due, in words.
    pub wanted: String,
    /// What the supplier promised, in words.
    pub promised: String,
    /// The pieces of the promise, as they are typed.
    pub promised_pieces: Quantity,
    /// The day of the promise, as it is typed.
    pub promised_typed: String,
    /// Why it was ordered, or why the rest will not come.
    pub because: String,
    /// Why it was ordered, as it is typed.
    pub reason: String,
}

/// A charge on a delivery.
#[derive(Debug)]
pub struct ChargeRow {
    /// When.
    pub at: Moment,
    /// By whom.
    pub by: String,
    /// What for, on which delivery, by which paper.
    pub words: String,
    /// How much.
    pub amount: String,
    /// Who bears what, in words.
    pub shares: String,
}

/// Something that happened.
#[derive(Debug)]
pub struct EventRow {
    /// When.
    pub at: Moment,
    /// Who.
    pub by: String,
    /// The revision.
    pub revision: i64,
    /// What.
    pub words: String,
}

fn line_row(it: BuyingLineView, due: Day) -> LineRow {
    let price = UnitPrice::new(Money::from_cents(it.price_cents), it.price_per);
    let currency = if it.currency.is_empty() { String::new() } else { it.currency + " " };
    let promised = match (it.promised, it.promised_on) {
        (Some(pieces), Some(day)) if pieces == it.ordered => Day(day).to_string(),
        (Some(pieces), Some(day)) => format!("{pieces} on {}", Day(day)),
        _ => "–".to_owned(),
    };
    LineRow {
        price: format!("{currency}{price}"),
        price_typed: amount(it.price_cents),
        price_per: it.price_per,
        amount: it.amount_cents.map_or_else(|| "too large".to_owned(), amount),
        wanted_typed: it.wanted_on.map(|it| it.to_string()).unwrap_or_default(),
        wanted: it.wanted_on.map_or(due, Day).to_string(),
        promised_pieces: it.promised.unwrap_or(it.ordered),
        promised_typed: it.promised_on.map(|it| it.to_string()).unwrap_or_default(),
        promised,
        because: if it.closed { it.closed_because } else { it.reason.clone() },
        reason: it.reason,
        line: it.line,
        part_number: it.part_number,
        name: it.part,
        variant: it.variant,
        ordered: it.ordered,
        received: it.received,
        open: it.open,
        closed: it.closed,
    }
}

fn charge_row(it: ChargeView) -> ChargeRow {
    let note = match it.delivery_note.as_str() {
        "" => "without delivery note".to_owned(),
        note => format!("delivery note {note}"),
    };
    let paper = match it.document.as_str() {
        "" => "estimate".to_owned(),
        paper => paper.to_owned(),
    };
    let share = |it: &ops::purchasing::ChargeShare| {
        format!("{} × {}: {}", it.quantity, it.part_number, amount(it.amount_cents))
    };
    ChargeRow {
        at: Moment(it.at),
        by: it.by,
        words: format!("{}, {note}, {paper}, by {}", it.kind, it.basis),
        amount: amount(it.amount_cents),
        shares: it.shares.iter().map(share).collect::<Vec<_>>().join("; "),
    }
}

#[get("/purchasing/{number}")]
pub(super) async fn get_order(
    visit: Visit,
    number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Buy)?;
    let frame = visit.frame(Task::Purchasing).await?;
    Ok(visit.show(&order_page(&visit, frame, &number).await?))
}

async fn order_page(visit: &Visit, frame: Frame, number: &str) -> Result<OrderPage, Error> {
    let (one, other) = (number.to_owned(), number.to_owned());
    let it = visit.app.read(move |conn| ops::purchasing::detail(conn, &one)).await?;
    let charges = visit.app.read(move |conn| ops::purchasing::charges(conn, &other)).await?;
    let state = state_of(&it.state)?.unwrap_or(State::Draft);
    let due = Day(it.due_on);
    let below = it
        .worth_cents
        .filter(|worth| *worth < it.minimum_cents && it.wants_approval && !it.changed)
        .map(|_| amount(it.minimum_cents));
    Ok(OrderPage {
        frame,
        wants: wants(&it),
        worth: worth(&it),
        below,
        to_approve: it.wants_approval,
        to_send: it.wants_sending,
        to_confirm: state.is_coming() && !it.changed,
        to_cancel: matches!(state, State::Draft | State::Approved | State::Sent | State::Confirmed),
        to_edit: state != State::Cancelled,
        ours_alone: state.is_ours_alone(),
        has_come: it.lines.iter().any(|it| it.received.is_some()),
        revision: it.revision,
        ordered: Day(it.ordered_on),
        due,
        note: it.note,
        lines: it.lines.into_iter().map(|it| line_row(it, due)).collect(),
        charges: charges.into_iter().map(charge_row).collect(),
        history: it
            .history
            .into_iter()
            .map(|it| EventRow {
                at: Moment(it.at),
                by: it.by,
                revision: it.revision,
                words: told(&it.kind, it.words),
            })
            .collect(),
        number: it.number,
        supplier: it.supplier,
        state: it.state,
    })
}

/// Returns what happened, with the kind of thing before words that do not say it themselves.
fn told(kind: &str, words: String) -> String {
    if words.contains(kind) { sentence(&words) } else { sentence(&format!("{kind}: {words}")) }
}

/// Returns the address of an order's page.
pub(super) fn href(number: &str) -> String {
    format!("/purchasing/{}", encoded(number))
}
