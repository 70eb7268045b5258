//! Deliveries against purchase orders.

pub mod advice;
mod announced;
pub mod codes;
pub mod papers;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use super::words::{Day, Moment, count};
use super::{Answer, Fields, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::receiving::{Count, PurchaseLineView, PurchaseOrderView, ReceiptView};
use crate::store::Who;
use crate::units::Quantity;
use crate::web::page::{self, PageError};

pub use announced::Announced;
use codes::{CodeRow, LabelBox};

/// The page at `/goods-in`.
#[derive(Debug, Template)]
#[template(path = "goods_in/list.html")]
pub struct GoodsInPage {
    /// The page around it.
    pub frame: Frame,
    /// Purchase orders that are not all here, by due date.
    pub due: Vec<DueOrder>,
    /// The newest purchase orders of which nothing more is to come.
    pub complete: Vec<DueOrder>,
    /// Suppliers' codes that wait for a second person.
    pub waiting: Vec<CodeRow>,
    /// Whether the person may take a supplier's despatch advice in.
    pub may_take_advice: bool,
}

/// A purchase order that is on its way, or was.
#[derive(Debug)]
pub struct DueOrder {
    /// Its number.
    pub number: String,
    /// The supplier's name.
    pub supplier: String,
    /// The date due.
    pub due: Day,
    /// Whether that date is past.
    pub late: bool,
    /// What is on it and what has come, in words.
    pub words: String,
    /// What waits for it, in words; empty where nothing does.
    pub waited_for: String,
}

/// The page at `/goods-in/{po}`.
#[derive(Debug, Template)]
#[template(path = "goods_in/receive.html")]
pub struct ReceivePage {
    /// The page around it.
    pub frame: Frame,
    /// The purchase order's number.
    pub number: String,
    /// The supplier's name.
    pub supplier: String,
    /// The date due.
    pub due: Day,
    /// Orders that wait for it, in words; empty where none does.
    pub waited_for: String,
    /// What the supplier is to know.
    pub note: String,
    /// Whether the person may book deliveries.
    pub may_book: bool,
    /// Whether the person may write to the supplier.
    pub may_buy: bool,
    /// The supplier's label that was scanned.
    pub label: Option<LabelBox>,
    /// Its lines.
    pub lines: Vec<ReceiveLine>,
    /// What was booked on it, the newest first.
    pub receipts: Vec<Receipt>,
}

/// A line of a purchase order.
#[derive(Debug)]
pub struct ReceiveLine {
    /// The line's number.
    pub line: i64,
    /// The part's number.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour.
    pub variant: String,
    /// The supplier's own item; empty where unknown.
    pub supplier_item: String,
    /// The packing that was agreed, such as "packs of 100".
    pub pack: String,
    /// Pieces ordered.
    pub ordered: Quantity,
    /// Pieces received so far, sound or damaged.
    pub received: Quantity,
    /// Whether pieces are still to come.
    pub open: bool,
    /// How it stands, in words.
    pub words: String,
    /// What must be written down with it.
    pub track: Track,
    /// What the supplier has announced of it.
    pub announced: Vec<Announced>,
    /// Why its form was refused.
    pub refused: Option<Answer>,
    /// What the form holds: nothing but the bin, or what was typed before it was refused.
    pub typed: Typed,
}

/// What a line's form holds.
#[derive(Debug, Clone, Default)]
pub struct Typed {
    /// Sound pieces.
    pub good: String,
    /// Damaged pieces.
    pub damaged: String,
    /// The lot.
    pub lot: String,
    /// Its last day of use.
    pub use_by: String,
    /// Serial numbers, one a line.
    pub serials: String,
    /// The bin.
    pub bin: String,
    /// The delivery note.
    pub delivery_note: String,
    /// A note.
    pub note: String,
    /// Whether the rest will not come.
    pub close: bool,
    /// The announcement that it is filled in from.
    pub announced: String,
}

impl Typed {
    fn of(form: &Fields) -> Self {
        let text = |name: &str| form.text(name).to_owned();
        Self {
            good: text("good"),
            damaged: text("damaged"),
            lot: text("lot"),
            use_by: text("use_by"),
            serials: text("serials"),
            bin: text("bin"),
            delivery_note: text("delivery_note"),
            note: text("note"),
            close: form.ticked("close"),
            announced: text("announced"),
        }
    }
}

/// What goods-in writes down with the pieces of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Track {
    /// The count alone.
    Nothing,
    /// A lot, with a last day of use where its label has one.
    Lot,
    /// The serial number of each piece.
    Serial,
}

impl Track {
    /// Returns whether a lot is asked for.
    pub const fn lot(self) -> bool {
        matches!(self, Self::Lot)
    }

    /// Returns whether serial numbers are asked for.
    pub const fn serials(self) -> bool {
        matches!(self, Self::Serial)
    }
}

/// Something that was booked.
#[derive(Debug)]
pub struct Receipt {
    /// The part's number.
    pub part_number: String,
    /// When.
    pub at: Moment,
    /// Who counted.
    pub by: String,
    /// The supplier's delivery note.
    pub delivery_note: String,
    /// Sound pieces.
    pub good: Quantity,
    /// Damaged pieces.
    pub damaged: Quantity,
    /// How it differed from what was to come, with the note beside it.
    pub words: String,
}

#[derive(Deserialize)]
pub(super) struct Search {
    #[serde(default)]
    q: String,
}

#[get("/goods-in")]
pub(super) async fn get_list(
    visit: Visit,
    search: web::Query<Search>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let query = search.q.trim();
    let wanted = query.to_owned();
    let orders = visit.app.read(move |conn| ops::receiving::list(conn, &wanted)).await?;
    if orders.iter().any(|it| it.number == query) {
        return Ok(page::see_other(&format!("/goods-in/{query}")));
    }
    let unit = (query.to_owned(), visit.app.now().date());
    let unit = visit.app.read(move |conn| ops::advices::unit(conn, &unit.0, unit.1)).await;
    if let Ok(unit) = unit.as_ref()
        && let Some(order) = unit.orders.first()
    {
        return Ok(page::see_other(&announced::href(order, &unit.unit)));
    }
    let today = visit.app.now().date();
    let (complete, due): (Vec<_>, Vec<_>) = orders.iter().partition(|it| it.complete);
    let frame = visit.live_frame(Task::GoodsIn).await?;
    let page = GoodsInPage {
        frame,
        waiting: codes::waiting(&visit).await?,
        may_take_advice: visit.can(Permission::TakeAdvice),
        due: due.into_iter().map(|it| due_order(it, today)).collect(),
        complete: complete.into_iter().map(|it| due_order(it, today)).collect(),
    };
    Ok(visit.show(&page))
}

fn due_order(it: &PurchaseOrderView, today: NaiveDate) -> DueOrder {
    let ordered: Quantity = it.lines.iter().map(|it| it.ordered).sum();
    let received: Quantity = it.lines.iter().map(|it| it.received).sum();
    let lines = super::words::count_of(&it.lines, "line", "lines");
    DueOrder {
        number: it.number.clone(),
        supplier: it.supplier.clone(),
        due: Day(it.due_on),
        late: !it.complete && it.due_on < today,
        words: format!("{lines}, {received} of {} here", count(ordered, "piece", "pieces")),
        waited_for: it.waited_for_by.join(", "),
    }
}

#[get("/goods-in/{number}")]
pub(super) async fn get_order(
    visit: Visit,
    number: web::Path<String>,
    query: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let frame = visit.live_frame(Task::GoodsIn).await?;
    let mut page = receive_page(&visit, frame, &number).await?;
    announced::fill(&mut page.lines, query.text("fill"), query.text("unit"));
    let scans = query.all("scan").filter(|it| !it.is_empty()).map(str::to_owned);
    let scans: Vec<String> = scans.collect();
    if let Some(answer) = announced::scanned(&visit, &mut page, &scans).await? {
        page.frame.answer = Some(answer);
    } else if !scans.is_empty() {
        codes::read_label(&visit, &mut page, scans).await?;
    }
    Ok(visit.show(&page))
}

async fn receive_page(visit: &Visit, frame: Frame, number: &str) -> Result<ReceivePage, Error> {
    let number = number.to_owned();
    let order = visit.app.read(move |conn| ops::receiving::detail(conn, &number)).await?;
    Ok(ReceivePage {
        frame,
        note: order.note,
        may_book: visit.can(Permission::Receive),
        may_buy: visit.can(Permission::Buy),
        label: None,
        due: Day(order.due_on),
        waited_for: order.waited_for_by.join(", "),
        lines: announced::lines(order.lines, order.announced),
        receipts: order.receipts.into_iter().map(receipt).collect(),
        number: order.number,
        supplier: order.supplier,
    })
}

fn receive_line(it: PurchaseLineView) -> ReceiveLine {
    let one = it.pack <= Quantity::ONE;
    ReceiveLine {
        line: it.line,
        pack: if one { "singly".to_owned() } else { format!("packs of {}", it.pack) },
        track: match it.tracking.as_str() {
            "lot" => Track::Lot,
            "serial" => Track::Serial,
            _ => Track::Nothing,
        },
        announced: Vec::new(),
        refused: None,
        typed: Typed { bin: it.bin, ..Typed::default() },
        part_number: it.part_number,
        name: it.part,
        variant: it.variant,
        supplier_item: it.supplier_item,
        ordered: it.ordered,
        received: it.received,
        open: it.open.is_some(),
        words: it.words,
    }
}

fn receipt(it: ReceiptView) -> Receipt {
    let note = if it.note.is_empty() { String::new() } else { format!(": “{}”", it.note) };
    Receipt {
        part_number: it.part_number,
        at: Moment(it.received_at),
        by: it.by,
        delivery_note: it.delivery_note,
        good: it.good,
        damaged: it.damaged,
        words: format!("{}{note}", it.difference),
    }
}

#[post("/goods-in/{number}")]
pub(super) async fn post_book(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Receive, &form)?;
    match booked(&visit, who, &number, &form).await {
        Ok(words) => visit.go(&format!("/goods-in/{number}"), Ok(words)),
        Err(error) => {
            let answer = refusal(error)?;
            let frame = visit.answered(Task::GoodsIn, None).await?;
            let mut page = receive_page(&visit, frame, &number).await?;
            let line = form.text("line");
            if let Some(line) = page.lines.iter_mut().find(|it| it.line.to_string() == line) {
                line.typed = Typed::of(&form);
                line.refused = Some(answer);
                line.open = true;
            }
            Ok(visit.show_refused(&page))
        }
    }
}

async fn booked(visit: &Visit, who: Who, number: &str, form: &Fields) -> Result<String, Error> {
    let (key, number, count) = (form.key()?, number.to_owned(), counted(form)?);
    let work =
        move |tx: &mut crate::store::Tx<'_>| ops::receiving::receive(tx, &key, &number, &count);
    Ok(visit.app.write(who, work).await?.words)
}

fn counted(form: &Fields) -> Result<Count, Error> {
    let text = |name: &str| form.text(name).to_owned();
    let serials = form.text("serials").split([',', ';', '\n']);
    Ok(Count {
        line: form.read("line", "line")?.unwrap_or_default(),
        good: form.pieces("good", "sound pieces")?,
        damaged: form.pieces("damaged", "damaged pieces")?,
        lot: text("lot"),
        use_by: form.read("use_by", "use by")?,
        serials: serials.map(str::trim).filter(|it| !it.is_empty()).map(str::to_owned).collect(),
        bin: text("bin"),
        delivery_note: text("delivery_note"),
        note: text("note"),
        close: form.ticked("close"),
        announced: form.read("announced", "announced")?,
    })
}
