//! Orders, and one order with its kits.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use serde::Deserialize;

use super::printers::print_on::PrintersAt;
use super::strip::Strip;
use super::today::{OrderLine, cover_words, stands};
use super::words::{Day, Moment, Word, count};
use super::{Fields, Frame, Task, Visit};
use crate::domain::codes::without_print;
use crate::domain::fit::Verdict;
use crate::domain::labels::QrSymbol;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::fit::{FindingView, FitView};
use crate::ops::orders::{KitView, OrderView};
use crate::ops::shortages::{Alert as OpsAlert, Cause};
use crate::units::Quantity;
use crate::web::page::PageError;

/// The page at `/orders`.
#[derive(Debug, Template)]
#[template(path = "orders/list.html")]
pub struct OrdersPage {
    /// The page around it.
    pub frame: Frame,
    /// What was searched for.
    pub query: String,
    /// The orders: those in the house by promised date, then those that have left.
    pub orders: Vec<ListedOrder>,
    /// How many more there are than the page lists.
    pub more: usize,
    /// Whether the person may hold stock anew.
    pub may_reserve: bool,
}

/// An order as the list shows it.
#[derive(Debug)]
pub struct ListedOrder {
    /// The order's facts.
    pub order: OrderLine,
    /// Where it stands, in words.
    pub stands: String,
    /// Missing-part alerts that are open.
    pub alerts: Quantity,
}

/// The page at `/orders/{number}`.
#[derive(Debug, Template)]
#[template(path = "orders/order.html")]
pub struct OrderPage {
    /// The page around it.
    pub frame: Frame,
    /// The order's number.
    pub number: String,
    /// The rider's or dealer's name.
    pub rider: String,
    /// The date promised.
    pub promised: Day,
    /// Whether that date is past.
    pub late: bool,
    /// Where the order stands, in words.
    pub stands: String,
    /// Who and where, by name.
    pub facts: Vec<Fact>,
    /// Its kits.
    pub kits: Vec<OrderedKit>,
    /// Whether the person may cancel it: nobody has begun to pick it.
    pub may_cancel: bool,
    /// The printers that it offers.
    pub printers: PrintersAt,
}

/// One kit of an order.
#[derive(Debug)]
pub struct OrderedKit {
    /// The kit's number.
    pub number: String,
    /// What is built.
    pub build: String,
    /// What was chosen, such as ("size", "M").
    pub options: Vec<Fact>,
    /// The revision of its bill, in words, and the address of its page.
    pub bill: (String, String),
    /// Whether newer bills would change it while nobody has begun to pick it.
    pub newer: bool,
    /// What stands in its lines in the place of other parts, in words.
    pub in_place: Vec<String>,
    /// Whether parts of it may still be exchanged.
    pub exchangeable: bool,
    /// Its steps.
    pub strip: Strip,
    /// The stages from order to verified box.
    pub stages: Vec<Stage>,
    /// Its missing-part alerts, by step.
    pub alerts: Vec<Alert>,
    /// What the rules of fit say of it.
    pub fit: FitPanel,
    /// The task that goes on with it, where the person may do it.
    pub next: Option<super::today::NextTask>,
    /// The receiver's page, once the kit is sealed.
    pub box_link: Option<BoxLink>,
}

/// What the rules of fit say of a kit.
#[derive(Debug)]
pub struct FitPanel {
    /// All of it in a few words.
    pub words: String,
    /// What does not fit, rule by rule.
    pub misfits: Vec<FindingView>,
    /// What is not known, and what fits.
    pub others: Vec<FindingView>,
}

impl FitPanel {
    /// Returns a view's findings, what does not fit apart and what is not known before what fits.
    pub fn of(fit: &FitView) -> Self {
        let of = |verdict: Verdict| {
            fit.findings.iter().filter(move |it| it.verdict == verdict.words()).cloned()
        };
        Self {
            words: fit.words.clone(),
            misfits: of(Verdict::DoesNotFit).collect(),
            others: of(Verdict::NotKnown).chain(of(Verdict::Fits)).collect(),
        }
    }
}

/// A named value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// What it is.
    pub name: String,
    /// Its value, with its unit.
    pub value: String,
}

impl Fact {
    /// Returns a named value.
    pub fn new(name: impl Into<String>, value: impl Into<String>) -> Self {
        Self { name: name.into(), value: value.into() }
    }
}

/// One stage on a kit's way.
#[derive(Debug)]
pub struct Stage {
    /// The stage, such as "picked".
    pub words: Word,
    /// Whether it is reached.
    pub reached: bool,
    /// How far it is, or when it was reached, in words.
    pub how_far: String,
}

/// A part that a kit lacks.
#[derive(Debug)]
pub struct Alert {
    /// The step that it stops.
    pub step: i64,
    /// The step's title.
    pub step_title: String,
    /// The part's number.
    pub part_number: String,
    /// The part in words, its size or colour first.
    pub part: String,
    /// Pieces missing.
    pub missing: Quantity,
    /// What the lack of it does: "stops the build", "stops the ride" and so on.
    pub class: String,
    /// Where it turned out, with the reason or note beside it.
    pub cause: String,
    /// The purchase order that covers it, its number.
    pub covered_by: Option<String>,
    /// When it will be here, in words; empty where no delivery is waited for.
    pub cover: String,
    /// Parts with free stock that may stand in for it, in words.
    pub stand_ins: Vec<String>,
}

/// The receiver's page of one kit.
#[derive(Debug)]
pub struct BoxLink {
    /// Its address here.
    pub href: String,
    /// The modules of the QR code of its address from outside, as the path of a drawing, one unit each.
    pub modules: String,
    /// Modules along one side.
    pub side: i64,
    /// What the receiver has said so far, in words.
    pub said: String,
}

impl BoxLink {
    /// Returns the receiver's page at that path, with the code of `public_url` before it.
    ///
    /// # Errors
    ///
    /// [`Error::Internal`] when the address is too long for a code.
    pub fn new(public_url: &str, href: String, said: String) -> Result<Self, Error> {
        let address = format!("{public_url}{href}");
        let symbol = QrSymbol::of(&address).map_err(|fault| Error::Internal(fault.to_string()))?;
        let mut modules = String::new();
        for (y, row) in (QrSymbol::QUIET_MODULES..).zip(symbol.rows()) {
            for (x, _) in (QrSymbol::QUIET_MODULES..).zip(row).filter(|(_, dark)| **dark) {
                modules.push_str(&format!("M{x} {y}h1v1h-1z"));
            }
        }
        Ok(Self { href, modules, side: symbol.side_with_quiet(), said })
    }
}

#[derive(Deserialize)]
pub(super) struct Search {
    #[serde(default)]
    q: String,
}

#[get("/orders")]
pub(super) async fn get_list(
    visit: Visit,
    search: web::Query<Search>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let query = without_print(search.q.trim()).to_owned();
    let today = visit.app.now().date();
    let wanted = query.clone();
    let found = visit.app.read(move |conn| ops::orders::list(conn, &wanted, today)).await?;
    let more = found.more;
    let orders = found
        .orders
        .iter()
        .map(|it| ListedOrder {
            order: OrderLine::of(it, today),
            stands: stands(it),
            alerts: super::words::length(&it.alerts),
        })
        .collect();
    let may_reserve = visit.can(Permission::ManageOrders);
    let frame = visit.live_frame(Task::Orders).await?;
    Ok(visit.show(&OrdersPage { frame, query, orders, more, may_reserve }))
}

#[post("/orders/reserve")]
pub(super) async fn post_reserve(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageOrders, &form)?;
    let said = visit.app.write(who, ops::orders::reserve).await.map(|it| {
        format!(
            "{} pieces are held for kits that wait to be picked, {} are short",
            it.held, it.short
        )
    });
    visit.go("/orders", said)
}

#[post("/orders/{number}/cancel")]
pub(super) async fn post_cancel(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageOrders, &form)?;
    let (key, number) = (form.key()?, number.into_inner());
    let (href, words) = (format!("/orders/{number}"), format!("order {number} is cancelled"));
    let work = move |tx: &mut crate::store::Tx<'_>| ops::orders::cancel(tx, &key, &number);
    let said = visit.app.write(who, work).await.map(|()| words);
    visit.go(&href, said)
}

#[get("/orders/{number}")]
pub(super) async fn get_order(
    visit: Visit,
    number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let (number, now) = (number.into_inner(), visit.app.now());
    let (order, links, newer) = visit
        .app
        .read(move |conn| {
            let order = ops::orders::detail(conn, &number, now.date())?;
            let (mut links, mut newer) = (Vec::new(), Vec::new());
            for kit in order.kits.iter().filter(|it| it.state == "open") {
                if ops::bills::moving(conn, &kit.number, now.date())?.differs() {
                    newer.push(kit.number.clone());
                }
            }
            for kit in order.kits.iter().filter(|it| has_box(it)) {
                let path = ops::verification::link_path(conn, &kit.number, now)?;
                links.push((kit.number.clone(), path));
            }
            Ok((order, links, newer))
        })
        .await?;
    let mut kits = Vec::new();
    for kit in &order.kits {
        let path = links.iter().find(|it| it.0 == kit.number).map(|it| it.1.as_str());
        let newer = newer.contains(&kit.number);
        kits.push(OrderedKit { newer, ..ordered_kit(&visit, &order, kit, path)? });
    }
    let page = OrderPage {
        frame: visit.live_frame(Task::Orders).await?,
        printers: PrintersAt::of(&visit, format!("/orders/{}", order.number)).await?,
        stands: stands(&order),
        promised: Day(order.promised_on),
        late: order.promised_on < now.date() && order.leave.is_open(),
        may_cancel: visit.can(Permission::ManageOrders)
            && order.kits.iter().all(|it| it.state == "open"),
        facts: facts(&order),
        kits,
        number: order.number,
        rider: order.customer,
    };
    Ok(visit.show(&page))
}

fn has_box(kit: &KitView) -> bool {
    matches!(kit.state.as_str(), "sealed" | "despatched")
}

fn facts(order: &OrderView) -> Vec<Fact> {
    let address = format!("{}, {}", order.address, order.country);
    let mut facts = vec![
        Fact::new("Placed", Day(order.placed_on).to_string()),
        Fact::new("Channel", &order.channel),
        Fact::new("Goes to", address),
    ];
    if !order.email.is_empty() {
        facts.push(Fact::new("E-mail", &order.email));
    }
    facts
}

fn ordered_kit(
    visit: &Visit,
    order: &OrderView,
    kit: &KitView,
    path: Option<&str>,
) -> Result<OrderedKit, Error> {
    let alerts: Vec<&OpsAlert> = order.alerts.iter().filter(|it| it.kit == kit.number).collect();
    let public_url = &visit.app.settings().public_url;
    let link = path.map(|path| BoxLink::new(public_url, path.to_owned(), kit.receiver.clone()));
    Ok(OrderedKit {
        number: kit.number.clone(),
        build: kit.name.clone(),
        options: kit.options.iter().map(|(name, value)| Fact::new(name, value)).collect(),
        bill: (
            format!("{} revision {}", kit.bill, kit.revision),
            super::bills::href(&kit.bill, &kit.revision),
        ),
        newer: false,
        in_place: kit.in_place.iter().map(|it| it.words.clone()).collect(),
        exchangeable: matches!(kit.state.as_str(), "open" | "picking"),
        strip: Strip { missing_words: Vec::new(), ..Strip::from(&kit.strip) },
        stages: stages(kit, &alerts),
        alerts: alerts.into_iter().map(alert).collect(),
        fit: FitPanel::of(&kit.fit),
        next: super::today::kit_task(visit, kit),
        box_link: link.transpose()?,
    })
}

fn alert(it: &OpsAlert) -> Alert {
    let note = if it.note.is_empty() { String::new() } else { format!(": “{}”", it.note) };
    let waited_for = it.cause == Cause::NotInStock;
    Alert {
        step: it.step.into(),
        step_title: it.step_title.clone(),
        part_number: it.part_number.clone(),
        part: it.part.clone(),
        missing: it.quantity,
        class: it.class_words.clone(),
        cause: format!("{}{note}", it.cause.words()),
        covered_by: it.covered_by.clone(),
        cover: if waited_for { cover_words(&[it]) } else { String::new() },
        stand_ins: it.stand_ins.clone(),
    }
}

fn stages(kit: &KitView, alerts: &[&OpsAlert]) -> Vec<Stage> {
    let short = alerts.iter().filter(|it| it.cause == Cause::NotInStock);
    let short: Quantity = short.map(|it| it.quantity).sum();
    let left_out = alerts.iter().filter(|it| it.cause == Cause::LeftOut);
    let wanted = kit.pieces.less(left_out.map(|it| it.quantity).sum());
    let of = |pieces: Quantity| format!("{pieces} of {wanted} pieces");
    let stage = |words, reached, how_far| Stage { words, reached, how_far };
    let sealed = has_box(kit);
    let left = kit.despatched_at.map(|at| Moment(at).to_string());
    let not_yet = || "not yet".to_owned();
    let held = match short.is_some() {
        true => format!("{} short", count(short, "piece", "pieces")),
        false => "all".to_owned(),
    };
    vec![
        stage("parts held", !short.is_some(), held),
        stage("picked", wanted <= kit.picked, of(kit.picked)),
        stage("packed", wanted <= kit.packed, of(kit.packed)),
        stage("sealed", sealed, if sealed { "every line proved".to_owned() } else { not_yet() }),
        stage("handed over", left.is_some(), left.unwrap_or_else(not_yet)),
        stage(
            "checked by the receiver",
            kit.all_confirmed,
            match kit.receiver.as_str() {
                "" => not_yet(),
                words => words.to_owned(),
            },
        ),
    ]
}
