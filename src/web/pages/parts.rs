//! Parts, and one part with its balances and movements.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use serde::Deserialize;

use super::entries::{ChangeRow, change_rows};
use super::goods_in::codes::{CodeRow, of_part};
use super::orders::Fact;
use super::words::{Day, Moment, money};
use super::{Fields, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::domain::stock::PlaceKind;
use crate::error::Error;
use crate::ops;
use crate::ops::catalog::{MovementView, PartDetailView, PartSearch, PartView};
use crate::ops::exchange::RecordKind;
use crate::ops::stock::Correction;
use crate::store::Who;
use crate::units::{Mass, Quantity};
use crate::web::page::PageError;

/// The page at `/parts`.
#[derive(Debug, Template)]
#[template(path = "parts/list.html")]
pub struct PartsPage {
    /// The page around it.
    pub frame: Frame,
    /// What was searched for.
    pub query: String,
    /// The parts found.
    pub parts: Vec<PartRow>,
    /// The part number after which the next page goes on, where there is one.
    pub next: Option<String>,
    /// Whether the person may make and change parts.
    pub may_edit: bool,
}

/// A part as the list shows it.
#[derive(Debug)]
pub struct PartRow {
    /// The part's number.
    pub number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour; empty where there is but one.
    pub variant: String,
    /// Pieces in bins.
    pub on_hand: Quantity,
    /// Pieces held for orders.
    pub reserved: Quantity,
    /// The bin that it is picked from.
    pub bin: String,
}

impl PartRow {
    /// Returns what is free to promise.
    pub fn available(&self) -> Quantity {
        self.on_hand.less(self.reserved)
    }
}

/// The page at `/parts/{part_number}`.
#[derive(Debug, Template)]
#[template(path = "parts/part.html")]
pub struct PartPage {
    /// The page around it.
    pub frame: Frame,
    /// What the list shows of it.
    pub part: PartRow,
    /// Pieces ordered and not yet here.
    pub on_order: Quantity,
    /// Its other facts: specification, mass, supplier, tracking, class.
    pub facts: Vec<Fact>,
    /// Where its pieces lie.
    pub balances: Vec<BalanceRow>,
    /// Suppliers' codes that mean it, confirmed or waiting.
    pub codes: Vec<CodeRow>,
    /// The last movements, newest first.
    pub movements: Vec<MovementRow>,
    /// The shop's rules about what stands in for it or takes its place, in words.
    pub rules: Vec<String>,
    /// Which kits it goes into, and how.
    pub uses: Vec<UseRow>,
    /// Whether the person may change the part.
    pub may_edit: bool,
    /// Who changed what of it, the newest first.
    pub changes: Vec<ChangeRow>,
    /// The form that corrects its stock, where the person may.
    pub correction: Option<CorrectionForm>,
}

/// One way in which a part gets into a kit.
#[derive(Debug)]
pub struct UseRow {
    /// The bills from the kit at the top down: in words, and the address of its page.
    pub path: Vec<(String, String)>,
    /// The options under which it counts; empty where it always does.
    pub when: String,
    /// Pieces in one kit.
    pub quantity: Quantity,
}

impl From<ops::bills::UseView> for UseRow {
    fn from(it: ops::bills::UseView) -> Self {
        let step = |(code, revision): (String, String)| {
            let href = super::bills::href(&code, &revision);
            (format!("{code} {revision}"), href)
        };
        let path = it.path.into_iter().map(step).collect();
        Self { path, when: it.when, quantity: it.quantity }
    }
}

/// Pieces of one lot in one place.
#[derive(Debug)]
pub struct BalanceRow {
    /// The place.
    pub place: String,
    /// The lot or serial number; empty where none is kept.
    pub identity: String,
    /// Whether it is a serial number.
    pub serial: bool,
    /// What its label is made of: the part number, a slash, and the lot or serial number.
    pub label: Option<String>,
    /// The last day of use, where there is one.
    pub use_by: Option<Day>,
    /// The pieces.
    pub quantity: Quantity,
}

/// One movement.
#[derive(Debug)]
pub struct MovementRow {
    /// Its id.
    pub id: i64,
    /// When.
    pub at: Moment,
    /// Pieces moved.
    pub quantity: Quantity,
    /// From where.
    pub from: String,
    /// To where.
    pub to: String,
    /// The lot or serial number; empty where none is kept.
    pub lot: String,
    /// Who.
    pub person: String,
    /// The document: pick list, purchase order, count.
    pub document: String,
    /// Whether this person may reverse it now.
    pub reversible: bool,
}

/// What the form that corrects stock holds.
#[derive(Debug, Default)]
pub struct CorrectionForm {
    /// Whether it was refused, and so stands open.
    pub open: bool,
    /// Places that can be named.
    pub places: Vec<String>,
    /// none, lot or serial.
    pub tracking: String,
    /// The place left.
    pub from: String,
    /// The place reached.
    pub to: String,
    /// How many pieces.
    pub quantity: String,
    /// The lot.
    pub lot: String,
    /// The serial number.
    pub serial: String,
    /// Why.
    pub reason: String,
}

#[derive(Deserialize)]
pub(super) struct Search {
    #[serde(default)]
    q: String,
    /// The part number after which to go on.
    #[serde(default)]
    after: String,
}

/// The most parts that one page lists.
const MOST: usize = 200;

#[get("/parts")]
pub(super) async fn get_list(
    visit: Visit,
    search: web::Query<Search>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let query = search.q.trim().to_owned();
    // One more than the page shows tells whether there is another.
    let wanted =
        PartSearch { query: query.clone(), after: search.after.trim().to_owned(), most: MOST + 1 };
    let mut found = visit.app.read(move |conn| ops::catalog::list(conn, &wanted)).await?;
    let more = MOST < found.len();
    found.truncate(MOST);
    let next = found.last().filter(|_| more).map(|it| it.part_number.clone());
    let frame = visit.frame(Task::Parts).await?;
    let may_edit = visit.can(Permission::EditCatalogue);
    Ok(visit.show(&PartsPage {
        frame,
        query,
        parts: found.into_iter().map(row).collect(),
        next,
        may_edit,
    }))
}

fn row(it: PartView) -> PartRow {
    PartRow {
        number: it.part_number,
        name: it.part,
        variant: it.variant,
        on_hand: it.on_hand,
        reserved: it.reserved,
        bin: it.bin,
    }
}

#[get("/parts/{part_number}")]
pub(super) async fn get_part(
    visit: Visit,
    number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let frame = visit.frame(Task::Parts).await?;
    Ok(visit.show(&part_page(&visit, frame, &number, None).await?))
}

async fn part_page(
    visit: &Visit,
    frame: Frame,
    number: &str,
    form: Option<&Fields>,
) -> Result<PartPage, Error> {
    let number = number.to_owned();
    let today = visit.app.now().date();
    let (view, uses, rules) = visit
        .app
        .read(move |conn| {
            let view = ops::catalog::detail(conn, &number)?;
            let rules = ops::substitution::of_part(conn, &number, today)?;
            Ok((view, ops::bills::where_used(conn, &number, today)?, rules))
        })
        .await?;
    let corrects = visit.can(Permission::CorrectStock);
    Ok(PartPage {
        frame,
        on_order: view.on_order,
        may_edit: visit.can(Permission::EditCatalogue),
        changes: change_rows(RecordKind::Part, view.changes.clone()),
        facts: facts(&view),
        rules: rules.into_iter().map(|it| it.words).collect(),
        uses: uses.into_iter().map(UseRow::from).collect(),
        balances: balances(&view),
        codes: of_part(visit, &view.part.part_number).await?,
        correction: corrects.then(|| correction_form(&view, form)),
        movements: view.movements.into_iter().map(|it| movement(it, corrects)).collect(),
        part: row(view.part),
    })
}

fn facts(view: &PartDetailView) -> Vec<Fact> {
    let mass = |milligrams| Mass::from_milligrams(milligrams);
    let item = match view.supplier_item.as_str() {
        "" => view.supplier.clone(),
        item => format!("{}, their item {item}", view.supplier),
    };
    let facts = vec![
        Fact::new("Specification", &view.specification),
        Fact::new("Attributes", &view.attributes),
        Fact::new("If missing", &view.class_words),
        Fact::new(
            "Tracked by",
            match view.part.tracking.as_str() {
                "none" => "count alone",
                tracking => tracking,
            },
        ),
        Fact::new("Mass", format!("{} ± {}", mass(view.mass_mg), mass(view.mass_sd_mg))),
        Fact::new("Box, mm", &view.box_size),
        Fact::new("Supplier", item),
        Fact::new("Costs", money(view.unit_cost_cents)),
        Fact::new("Sold in packs of", view.pack.to_string()),
        Fact::new("Least order", view.minimum_order.to_string()),
        Fact::new("Reorder at", view.reorder_point.to_string()),
    ];
    facts.into_iter().filter(|it| !it.value.is_empty()).collect()
}

fn balances(view: &PartDetailView) -> Vec<BalanceRow> {
    let number = &view.part.part_number;
    let row = |it: &ops::catalog::BalanceView| {
        let identity = it.serial.clone().or_else(|| it.lot.clone());
        BalanceRow {
            place: if it.kind == "bin" {
                it.place.clone()
            } else {
                format!("{} ({})", it.place, it.kind)
            },
            serial: it.serial.is_some(),
            label: identity.as_ref().map(|it| format!("{number}/{it}")),
            identity: identity.unwrap_or_default(),
            use_by: it.use_by.map(Day),
            quantity: it.quantity,
        }
    };
    view.balances.iter().map(row).collect()
}

fn movement(it: MovementView, corrects: bool) -> MovementRow {
    MovementRow {
        id: it.movement,
        at: Moment(it.at),
        quantity: it.quantity,
        from: it.from,
        to: it.to,
        lot: it.identity,
        person: it.person,
        document: it.document,
        reversible: it.reversible && corrects,
    }
}

fn correction_form(view: &PartDetailView, form: Option<&Fields>) -> CorrectionForm {
    let inside = view.balances.iter().filter(|it| !matches!(it.kind.as_str(), "tote" | "carton"));
    let mut places: Vec<String> = inside.map(|it| it.place.clone()).collect();
    places.push(view.part.bin.clone());
    let outside = PlaceKind::ALL.into_iter().filter(|it| it.is_outside());
    places.extend(outside.map(|it| it.as_str().to_owned()));
    places.retain(|it| !it.is_empty());
    places.sort();
    places.dedup();
    let text = |name: &str| form.map(|it| it.text(name).to_owned()).unwrap_or_default();
    CorrectionForm {
        open: form.is_some(),
        places,
        tracking: view.part.tracking.clone(),
        from: text("from"),
        to: text("to"),
        quantity: text("quantity"),
        lot: text("lot"),
        serial: text("serial"),
        reason: text("reason"),
    }
}

#[post("/parts/{part_number}/correct")]
pub(super) async fn post_correct(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::CorrectStock, &form)?;
    match corrected(&visit, who, &number, &form).await {
        Ok(words) => visit.go(&format!("/parts/{number}"), Ok(words)),
        Err(error) => {
            let answer = refusal(error)?;
            let frame = visit.answered(Task::Parts, Some(answer)).await?;
            Ok(visit.show_refused(&part_page(&visit, frame, &number, Some(&form)).await?))
        }
    }
}

async fn corrected(visit: &Visit, who: Who, number: &str, form: &Fields) -> Result<String, Error> {
    let key = form.key()?;
    let text = |name: &str| form.text(name).to_owned();
    let it = Correction {
        part_number: number.to_owned(),
        from: text("from"),
        to: text("to"),
        quantity: form.pieces("quantity", "pieces")?,
        lot: text("lot"),
        serial: text("serial"),
        reason: text("reason"),
    };
    let words = format!("{} × {number} moved from {} to {}", it.quantity, it.from, it.to);
    visit.app.write(who, move |tx| ops::stock::correct(tx, &key, &it)).await?;
    Ok(words)
}

#[post("/parts/{part_number}/reverse")]
pub(super) async fn post_reverse(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::CorrectStock, &form)?;
    let key = form.key()?;
    let movement: i64 = form.read("movement", "movement")?.unwrap_or_default();
    let done = visit.app.write(who, move |tx| ops::reversal::reverse(tx, &key, movement)).await;
    let said = done.map(|it| format!("movement {movement} is reversed by {}", it.movement));
    visit.go(&format!("/parts/{number}"), said)
}
