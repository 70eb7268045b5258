//! Suppliers' labels on goods-in: what one says, and codes that wait for a second person.

use actix_web::{HttpResponse, post, web};

use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::supplier_codes::{
    self, CodeAnswer, LabelOutcome, LabelView, NewSupplierCode, SupplierCodeView,
};
use crate::store::{Tx, Who};
use crate::web::page::PageError;
use crate::web::pages::words::Moment;
use crate::web::pages::{Answer, Fields, Visit};

use super::{ReceivePage, Typed};

/// A supplier's label that was read for a purchase order.
#[derive(Debug)]
pub struct LabelBox {
    /// What came of it, in words.
    pub answer: Answer,
    /// What the label says: the name of each thing, its value, and the identifier before it.
    pub said: Vec<SaidRow>,
    /// The bar codes that were scanned, to be sent along with the next one of the same label.
    pub scans: Vec<String>,
    /// The code to be learned; none where it is known or waits.
    pub unknown: Option<UnknownCode>,
    /// The code that waits for a second person.
    pub waiting: Option<CodeRow>,
    /// The line that is filled in, to be led to.
    pub line: Option<i64>,
}

/// One thing that a label says.
#[derive(Debug)]
pub struct SaidRow {
    /// Its name.
    pub title: String,
    /// Its value.
    pub value: String,
    /// The identifier that stands before it in the code; empty where none does.
    pub identifier: String,
}

/// A code that nobody has named yet.
#[derive(Debug)]
pub struct UnknownCode {
    /// gtin or item.
    pub kind: String,
    /// The code.
    pub code: String,
}

/// A supplier's code with what it means.
#[derive(Debug)]
pub struct CodeRow {
    /// Its number.
    pub number: i64,
    /// The code in words.
    pub code: String,
    /// The supplier's name.
    pub supplier: String,
    /// The part number that it means.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// Who said so.
    pub by: String,
    /// When.
    pub at: Moment,
    /// Whether a second person confirmed it.
    pub confirmed: bool,
    /// Whether the person who looks may confirm it.
    pub may_confirm: bool,
    /// Whether the person who looks may have it forgotten.
    pub may_forget: bool,
}

impl CodeRow {
    /// Returns the row of a code, as that visitor sees it.
    pub fn of(it: SupplierCodeView, visit: &Visit) -> Self {
        let may = visit.can(Permission::ConfirmCodes);
        let own = it.learned_by_id == i64::from(visit.visitor.person.id);
        Self {
            number: it.number,
            code: it.words(),
            supplier: it.supplier,
            part_number: it.part_number,
            name: it.part,
            variant: it.variant,
            by: it.learned_by,
            at: Moment(it.learned_at),
            confirmed: it.confirmed,
            may_confirm: may && !own && !it.confirmed,
            may_forget: may,
        }
    }
}

/// Reads the label that was scanned, and fills in the line that it is.
pub(super) async fn read_label(
    visit: &Visit,
    page: &mut ReceivePage,
    scans: Vec<String>,
) -> Result<(), Error> {
    let (number, texts, today) = (page.number.clone(), scans.clone(), visit.app.now().date());
    let read = move |conn: &mut _| supplier_codes::read_label(conn, &number, &texts, today);
    let view = visit.app.read(read).await?;
    let line = view.line.and_then(|it| page.lines.iter_mut().find(|line| line.line == it));
    if let Some(line) = line {
        line.open = true;
        let before = std::mem::take(&mut line.typed);
        line.typed = Typed {
            good: view.count.map(|it| it.to_string()).unwrap_or_default(),
            lot: view.lot.clone().unwrap_or_default(),
            use_by: view.use_by.map(|it| it.to_string()).unwrap_or_default(),
            serials: view.serial.clone().unwrap_or_default(),
            ..before
        };
    }
    page.label = Some(label_box(visit, view, scans));
    Ok(())
}

fn label_box(visit: &Visit, view: LabelView, scans: Vec<String>) -> LabelBox {
    let counted = match (view.outcome, view.count) {
        (LabelOutcome::Known, Some(count)) => format!(". The label says {count}: count them"),
        _ => String::new(),
    };
    let words = format!("{}{counted}", view.words);
    let answer = match view.outcome {
        LabelOutcome::Known => Answer::done(words),
        _ => Answer::refused(words),
    };
    // What can't be read must not stand in the way of the next scan.
    let scans = if view.outcome == LabelOutcome::Unreadable { Vec::new() } else { scans };
    let unknown = view.kind.zip(view.code).filter(|_| view.outcome == LabelOutcome::Unknown);
    LabelBox {
        answer,
        said: view
            .said
            .into_iter()
            .map(|it| SaidRow { title: it.title, value: it.value, identifier: it.identifier })
            .collect(),
        scans,
        unknown: unknown.map(|(kind, code)| UnknownCode { kind, code }),
        waiting: view.waiting.map(|it| CodeRow::of(it, visit)),
        line: view.line,
    }
}

/// Loads the codes that wait for a second person.
pub(super) async fn waiting(visit: &Visit) -> Result<Vec<CodeRow>, Error> {
    let codes = visit.app.read(supplier_codes::list).await?;
    Ok(codes.into_iter().filter(|it| !it.confirmed).map(|it| CodeRow::of(it, visit)).collect())
}

/// Loads the codes that mean one part.
pub(in crate::web::pages) async fn of_part(
    visit: &Visit,
    part_number: &str,
) -> Result<Vec<CodeRow>, Error> {
    let codes = visit.app.read(supplier_codes::list).await?;
    let of_part = codes.into_iter().filter(|it| it.part_number == part_number);
    Ok(of_part.map(|it| CodeRow::of(it, visit)).collect())
}

#[post("/goods-in/{number}/codes")]
pub(in crate::web::pages) async fn post_learn(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Receive, &form)?;
    let said = learned(&visit, who, &number, &form).await;
    visit.go(&format!("/goods-in/{number}"), said)
}

async fn learned(visit: &Visit, who: Who, number: &str, form: &Fields) -> Result<String, Error> {
    let (key, number) = (form.key()?, number.to_owned());
    let line = form.read("line", "line")?;
    let line = line.ok_or_else(|| Error::invalid("form.field", "line: choose which line it is"))?;
    let code = NewSupplierCode {
        kind: form.text("kind").to_owned(),
        code: form.text("code").to_owned(),
        line,
    };
    let work = move |tx: &mut Tx<'_>| supplier_codes::learn(tx, &key, &number, &code);
    Ok(visit.app.write(who, work).await?.words)
}

/// What is done with a code that was learned.
type Act = fn(&mut Tx<'_>, &crate::ops::RequestKey, i64) -> Result<CodeAnswer, Error>;

#[post("/goods-in/codes/confirm")]
pub(in crate::web::pages) async fn post_confirm(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    act(&visit, &form, supplier_codes::confirm).await
}

#[post("/goods-in/codes/forget")]
pub(in crate::web::pages) async fn post_forget(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    act(&visit, &form, supplier_codes::forget).await
}

async fn act(visit: &Visit, form: &Fields, act: Act) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ConfirmCodes, form)?;
    let part_number = form.text("part").to_owned();
    let said = acted(visit, who, form, act).await;
    let back = match part_number.as_str() {
        "" => "/goods-in".to_owned(),
        number => format!("/parts/{number}"),
    };
    visit.go(&back, said)
}

async fn acted(visit: &Visit, who: Who, form: &Fields, act: Act) -> Result<String, Error> {
    let key = form.key()?;
    let code: i64 = form.read("code", "code")?.unwrap_or_default();
    Ok(visit.app.write(who, move |tx| act(tx, &key, code)).await?.words)
}
