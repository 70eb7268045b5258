//! Bills of materials: their revisions, levels, costs and differences.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use chrono::NaiveDate;
use percent_encoding::NON_ALPHANUMERIC;

use super::words::{Day, money};
use super::{Choice, Fields, Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::bills::{BillView, CostLineView, DifferenceView, Moving, RevisionView};
use crate::ops::kits::BomView;
use crate::web::page::PageError;

/// The page at `/bills`.
#[derive(Debug, Template)]
#[template(path = "bills/list.html")]
pub struct BillsPage {
    /// The page around it.
    pub frame: Frame,
    /// The bills.
    pub bills: Vec<BillRow>,
}

/// A bill as the list shows it.
#[derive(Debug)]
pub struct BillRow {
    /// Its code.
    pub code: String,
    /// Its name.
    pub name: String,
    /// The part number that it makes; empty where none is stocked.
    pub makes: String,
    /// rider's kit, sub-kit made here, or assembly.
    pub kind: String,
    /// Its revisions, the newest first.
    pub revisions: Vec<RevisionRow>,
}

/// A revision as lists show it.
#[derive(Debug, Clone)]
pub struct RevisionRow {
    /// Its name.
    pub revision: String,
    /// The day from which it holds.
    pub from: Option<Day>,
    /// How it stands, in words.
    pub stands: String,
    /// Whether it is in force.
    pub in_force: bool,
    /// How many kits were promised it.
    pub kits: usize,
    /// How many runs of the bench were made by it.
    pub runs: i64,
}

/// The page at `/bills/{code}/{revision}`.
#[derive(Debug, Template)]
#[template(path = "bills/bill.html")]
pub struct BillPage {
    /// The page around it.
    pub frame: Frame,
    /// The bill with its revisions.
    pub bill: BillRow,
    /// The revision shown, its name.
    pub revision: String,
    /// How it stands.
    pub shown: Option<RevisionRow>,
    /// Why which revision holds for an order placed today, in words.
    pub reason: String,
    /// Its options as selects, with the values chosen.
    pub options: Vec<OptionRow>,
    /// Its levels with their costs, for the options chosen.
    pub lines: Vec<LevelRow>,
    /// The kit at stated costs.
    pub stated: String,
    /// The bought parts alone.
    pub parts: String,
    /// What the house's own work comes to.
    pub work: String,
    /// Its steps: number, title, check, caution.
    pub steps: Vec<StepRow>,
    /// Its lines as they are written.
    pub written: Vec<WrittenRow>,
    /// The revisions to compare with.
    pub others: Vec<Choice>,
    /// The revision compared with, and what differs from it.
    pub compared: Option<(String, Vec<DifferenceRow>)>,
    /// The day offered for the release of a draft, where the person may release it.
    pub release_on: Option<NaiveDate>,
}

/// An option with its values.
#[derive(Debug)]
pub struct OptionRow {
    /// Its name.
    pub name: String,
    /// Its values.
    pub values: Vec<Choice>,
}

/// One line of the levels.
#[derive(Debug)]
pub struct LevelRow {
    /// How deep, from 0 to 4.
    pub level: usize,
    /// The part or assembly in words.
    pub words: String,
    /// The part number; empty for an assembly.
    pub part_number: String,
    /// The bill that lays it out; empty for what is bought.
    pub code: String,
    /// The step; 0 where none is stated.
    pub step: u32,
    /// Pieces in one kit.
    pub quantity: crate::units::Quantity,
    /// What they cost as stated.
    pub stated: String,
    /// What the parts in them cost, where that differs.
    pub parts: String,
}

/// A step.
#[derive(Debug)]
pub struct StepRow {
    /// Its number.
    pub number: u32,
    /// Its title.
    pub title: String,
    /// What to check.
    pub check: String,
    /// What can hurt.
    pub caution: String,
}

/// A line as the bill writes it.
#[derive(Debug)]
pub struct WrittenRow {
    /// Its number.
    pub number: u32,
    /// The step.
    pub step: u32,
    /// What it calls for.
    pub item: String,
    /// How the variant is chosen.
    pub choose: String,
    /// When it counts.
    pub when: String,
    /// How many.
    pub quantity: crate::units::Quantity,
}

/// One thing that differs.
#[derive(Debug)]
pub struct DifferenceRow {
    /// What and which field.
    pub of: String,
    /// What it was.
    pub from: String,
    /// What it is.
    pub to: String,
}

impl From<DifferenceView> for DifferenceRow {
    fn from(it: DifferenceView) -> Self {
        let of = format!("{} {}", it.of, it.field).trim().to_owned();
        Self { of, from: it.from, to: it.to }
    }
}

fn bill_row(it: BillView) -> BillRow {
    BillRow {
        code: it.code,
        name: it.name,
        makes: it.makes.unwrap_or_default(),
        kind: it.kind,
        revisions: it.revisions.into_iter().map(revision_row).collect(),
    }
}

fn revision_row(it: RevisionView) -> RevisionRow {
    RevisionRow {
        revision: it.revision,
        from: it.valid_from.map(Day),
        stands: it.stands,
        in_force: it.in_force,
        kits: it.kits,
        runs: it.runs,
    }
}

#[get("/bills")]
pub(super) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let bills = visit.app.read(move |conn| ops::bills::list(conn, today)).await?;
    let frame = visit.frame(Task::Bills).await?;
    Ok(visit.show(&BillsPage { frame, bills: bills.into_iter().map(bill_row).collect() }))
}

#[get("/bills/{code}/{revision}")]
pub(super) async fn get_bill(
    visit: Visit,
    path: web::Path<(String, String)>,
    query: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let ((code, name), query) = (path.into_inner(), query.into_inner());
    let today = visit.app.now().date();
    let may_release = visit.can(Permission::EditCatalogue);
    let (bill, bom, cost, compared, reason) = visit
        .app
        .read(move |conn| {
            let bom = ops::bills::detail(conn, &code, &name)?;
            let chosen = bom
                .options
                .iter()
                .filter_map(|(option, values)| {
                    let said = query.text(&format!("option {option}"));
                    values.iter().find(|it| *it == said).map(|it| (option.clone(), it.clone()))
                })
                .collect();
            let cost = ops::bills::cost(conn, &code, &name, &chosen, today);
            let other = query.text("compare").to_owned();
            let compared = match other.as_str() {
                "" => None,
                other => Some((other.to_owned(), ops::bills::compare(conn, &code, other, &name)?)),
            };
            let bill = ops::bills::bill(conn, &code, today)?;
            Ok((bill, bom, cost, compared, ops::bills::reason(conn, &code, today)?))
        })
        .await?;
    let cost = if bom.makes.is_some() { None } else { cost.ok() };
    let chosen: BTreeMap<String, String> =
        cost.iter().flat_map(|it| it.options.iter().cloned()).collect();
    let bill = bill_row(bill);
    let shown = bill.revisions.iter().find(|it| it.revision == bom.revision);
    let is_draft = shown.is_some_and(|it| it.from.is_none());
    let page = BillPage {
        frame: visit.frame(Task::Bills).await?,
        shown: shown.cloned(),
        reason,
        options: options(&bom, &chosen),
        stated: cost.as_ref().map(|it| money(it.stated_cents)).unwrap_or_default(),
        parts: cost.as_ref().map(|it| money(it.parts_cents)).unwrap_or_default(),
        work: cost.as_ref().map(|it| money(it.stated_cents - it.parts_cents)).unwrap_or_default(),
        lines: cost.into_iter().flat_map(|it| it.lines).map(level_row).collect(),
        others: others(&bill, &bom.revision, compared.as_ref().map(|it| it.0.as_str())),
        compared: compared
            .map(|(other, found)| (other, found.into_iter().map(DifferenceRow::from).collect())),
        release_on: (is_draft && may_release).then_some(today),
        revision: bom.revision.clone(),
        steps: steps(&bom),
        written: written(bom),
        bill,
    };
    Ok(visit.show(&page))
}

fn options(bom: &BomView, chosen: &BTreeMap<String, String>) -> Vec<OptionRow> {
    let row = |(name, values): &(String, Vec<String>)| OptionRow {
        name: name.clone(),
        values: values
            .iter()
            .map(|value| {
                let choice = Choice::new(value, value);
                if chosen.get(name) == Some(value) { choice.chosen() } else { choice }
            })
            .collect(),
    };
    bom.options.iter().map(row).collect()
}

fn others(bill: &BillRow, shown: &str, compared: Option<&str>) -> Vec<Choice> {
    let others = bill.revisions.iter().filter(|it| it.revision != shown);
    others
        .map(|it| {
            let choice = Choice::new(&it.revision, format!("revision {}", it.revision));
            if compared == Some(it.revision.as_str()) { choice.chosen() } else { choice }
        })
        .collect()
}

fn level_row(it: CostLineView) -> LevelRow {
    let differs = it.stated_cents != it.parts_cents;
    LevelRow {
        level: it.level.min(4),
        words: it.words,
        part_number: it.part_number,
        code: it.code,
        step: it.step,
        quantity: it.quantity,
        stated: money(it.stated_cents),
        parts: if differs { money(it.parts_cents) } else { String::new() },
    }
}

fn steps(bom: &BomView) -> Vec<StepRow> {
    let row = |it: &crate::ops::kits::StepView| StepRow {
        number: it.number,
        title: it.title.clone(),
        check: it.check.clone(),
        caution: it.caution.clone(),
    };
    bom.steps.iter().map(row).collect()
}

fn written(bom: BomView) -> Vec<WrittenRow> {
    let row = |it: crate::ops::kits::BomLineView| WrittenRow {
        number: it.number,
        step: it.step,
        item: it.item,
        choose: it.choose,
        when: it.when,
        quantity: it.quantity,
    };
    bom.lines.into_iter().map(row).collect()
}

#[post("/bills/{code}/{revision}/release")]
pub(super) async fn post_release(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::EditCatalogue, &form)?;
    let (code, name) = path.into_inner();
    let href = href(&code, &name);
    let day = form.read::<NaiveDate>("valid_from", "the day from which it holds");
    let said = match (day, form.key()) {
        (Err(error), _) | (_, Err(error)) => Err(error),
        (Ok(None), _) => Err(Error::invalid("form.field", "enter the day from which it holds")),
        (Ok(Some(day)), Ok(key)) => {
            let words = format!("revision {name} of {code} holds from {day}");
            let work = move |tx: &mut crate::store::Tx<'_>| {
                ops::bills::release(tx, &key, &code, &name, day)
            };
            visit.app.write(who, work).await.map(|()| words)
        }
    };
    visit.go(&href, said)
}

/// Returns the address of a revision's page.
pub(super) fn href(code: &str, revision: &str) -> String {
    let part =
        |text: &str| percent_encoding::utf8_percent_encode(text, NON_ALPHANUMERIC).to_string();
    format!("/bills/{}/{}", part(code), part(revision))
}

/// The page at `/kits/{kit}/newer`.
#[derive(Debug, Template)]
#[template(path = "bills/newer.html")]
pub struct NewerPage {
    /// The page around it.
    pub frame: Frame,
    /// What moving the kit would change.
    pub moving: Moving,
    /// The day whose bills the kit follows.
    pub bills_on: Day,
    /// What differs between the two revisions.
    pub bill: Vec<DifferenceRow>,
    /// Whether the person may move it, and it can be moved.
    pub may_move: bool,
}

#[get("/kits/{kit}/newer")]
pub(super) async fn get_newer(
    visit: Visit,
    kit: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let mut moving = visit.app.read(move |conn| ops::bills::moving(conn, &kit, today)).await?;
    let may = visit.can(Permission::ManageOrders);
    let page = NewerPage {
        frame: visit.frame(Task::Orders).await?,
        bills_on: Day(moving.bills_on),
        may_move: may && moving.refused.is_empty() && moving.differs(),
        bill: std::mem::take(&mut moving.bill).into_iter().map(DifferenceRow::from).collect(),
        moving,
    };
    Ok(visit.show(&page))
}

#[post("/kits/{kit}/newer")]
pub(super) async fn post_newer(
    visit: Visit,
    kit: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageOrders, &form)?;
    let (key, kit) = (form.key()?, kit.into_inner());
    let href = format!("/kits/{kit}/newer");
    let work = move |tx: &mut crate::store::Tx<'_>| ops::bills::move_kit(tx, &key, &kit);
    let said = visit.app.write(who, work).await;
    let said = said.map(|it| format!("kit {} follows revision {} now", it.kit, it.revision));
    visit.go(&href, said)
}
