//! Purchase orders and what was received on them.

mod life;
mod receipts;

pub use life::*;
pub use receipts::*;

use chrono::NaiveDate;
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::Bool;

use crate::domain::ids::{PurchaseOrderId, PurchaseOrderLineId, SupplierId, VariantId};
use crate::domain::orders::Incoming;
use crate::domain::purchasing::{LineProgress, Progress, UnitPrice};
use crate::units::{Money, Quantity};

use super::schema::{parts, purchase_order_lines, purchase_orders, suppliers, variants};
use super::{CHUNK, Conn};

/// A purchase order's head.
#[derive(Debug, Clone, Queryable)]
pub struct PurchaseOrderRow {
    /// The purchase order.
    pub id: PurchaseOrderId,
    /// Its number.
    pub number: String,
    /// The supplier's code.
    pub supplier_code: String,
    /// The supplier's name.
    pub supplier: String,
    /// When it was sent.
    pub ordered_on: NaiveDate,
    /// When the goods are due.
    pub due_on: NaiveDate,
    /// What the supplier is to know; empty where nothing.
    pub note: String,
    /// Where orders are sent.
    pub email: Option<String>,
    /// The supplier's postal address, its lines parted by semicolons; empty where it is not known.
    pub address: String,
    /// The supplier.
    pub supplier_id: SupplierId,
    /// The revision that the books hold.
    pub revision: i64,
    /// The revision that was last approved; 0 where none was.
    pub approved_revision: i64,
    /// The revision that was last sent; 0 where none was.
    pub sent_revision: i64,
    /// Whether it was called off.
    pub cancelled: bool,
}

impl PurchaseOrderRow {
    /// Returns how far the order has come on its way to the supplier.
    pub const fn progress(&self) -> Progress {
        Progress {
            revision: self.revision,
            approved: self.approved_revision,
            sent: self.sent_revision,
            cancelled: self.cancelled,
        }
    }

    /// Returns whether the supplier has the order and means to deliver it.
    pub const fn is_with_supplier(&self) -> bool {
        0 < self.sent_revision && !self.cancelled
    }
}

macro_rules! purchase_order_rows {
    () => {
        purchase_orders::table
            .inner_join(suppliers::table.on(suppliers::id.eq(purchase_orders::supplier_id)))
            .select((
                purchase_orders::id,
                purchase_orders::number,
                suppliers::code,
                suppliers::name,
                purchase_orders::ordered_on,
                purchase_orders::due_on,
                purchase_orders::note,
                suppliers::email,
                suppliers::address,
                suppliers::id,
                purchase_orders::revision,
                purchase_orders::approved_revision,
                purchase_orders::sent_revision,
                purchase_orders::cancelled,
            ))
    };
}

/// Loads every purchase order by due date.
pub fn purchase_orders(conn: &mut Conn) -> QueryResult<Vec<PurchaseOrderRow>> {
    purchase_order_rows!().order((purchase_orders::due_on, purchase_orders::number)).load(conn)
}

/// Loads the purchase orders of which more is to come, by due date.
pub fn open_orders(conn: &mut Conn) -> QueryResult<Vec<PurchaseOrderRow>> {
    let open = purchase_order_lines::table
        .filter(is_open())
        .select(purchase_order_lines::purchase_order_id);
    purchase_order_rows!()
        .filter(purchase_orders::id.eq_any(open))
        .order((purchase_orders::due_on, purchase_orders::number))
        .load(conn)
}

/// Loads the purchase orders of which nothing more is to come, the latest first, and no more than
/// `most` where that is given.
pub fn complete_orders(conn: &mut Conn, most: Option<i64>) -> QueryResult<Vec<PurchaseOrderRow>> {
    let open = purchase_order_lines::table
        .filter(is_open())
        .select(purchase_order_lines::purchase_order_id);
    purchase_order_rows!()
        .filter(purchase_orders::id.ne_all(open))
        .order((purchase_orders::due_on.desc(), purchase_orders::number.desc()))
        .limit(most.unwrap_or(i64::MAX))
        .load(conn)
}

/// The condition that more of a line is to come, in the words of the index
/// `purchase_order_lines_open`: a bound value would not find it.
fn is_open() -> diesel::expression::SqlLiteral<Bool> {
    sql::<Bool>(
        "(NOT purchase_order_lines.closed
            AND purchase_order_lines.received < purchase_order_lines.quantity)",
    )
}

/// Loads the purchase order of that number.
pub fn purchase_order(conn: &mut Conn, number: &str) -> QueryResult<Option<PurchaseOrderRow>> {
    purchase_order_rows!().filter(purchase_orders::number.eq(number)).first(conn).optional()
}

/// A purchase order's head to be written.
#[derive(Debug)]
pub struct NewPurchaseOrder<'a> {
    /// Its number.
    pub number: &'a str,
    /// Whom it goes to.
    pub supplier: SupplierId,
    /// When it is sent.
    pub ordered_on: NaiveDate,
    /// When the goods are due.
    pub due_on: NaiveDate,
    /// What the supplier is to know.
    pub note: &'a str,
}

/// Writes a purchase order's head.
pub fn make_purchase_order(
    conn: &mut Conn,
    it: &NewPurchaseOrder<'_>,
) -> QueryResult<PurchaseOrderId> {
    diesel::insert_into(purchase_orders::table)
        .values((
            purchase_orders::number.eq(it.number),
            purchase_orders::supplier_id.eq(it.supplier),
            purchase_orders::ordered_on.eq(it.ordered_on),
            purchase_orders::due_on.eq(it.due_on),
            purchase_orders::note.eq(it.note),
        ))
        .returning(purchase_orders::id)
        .get_result(conn)
}

/// Writes what the supplier is to know of a purchase order.
pub fn set_note(conn: &mut Conn, order: PurchaseOrderId, note: &str) -> QueryResult<()> {
    diesel::update(purchase_orders::table.find(i64::from(order)))
        .set(purchase_orders::note.eq(note))
        .execute(conn)
        .map(drop)
}

/// A line of a purchase order to be written.
#[derive(Debug)]
pub struct NewPurchaseLine<'a> {
    /// The purchase order.
    pub order: PurchaseOrderId,
    /// Its number in the order.
    pub line_no: i64,
    /// The variant.
    pub variant: VariantId,
    /// Pieces ordered.
    pub quantity: Quantity,
    /// What the pieces cost.
    pub price: UnitPrice,
    /// The currency of the price; empty where it is the shop's own.
    pub currency: &'a str,
    /// The day on which it is wanted, where it is not the day on which all is due.
    pub wanted_on: Option<NaiveDate>,
    /// Why it is ordered; empty where nobody said.
    pub reason: &'a str,
    /// The revision of the order that it comes with.
    pub revision: i64,
}

/// Writes a line of a purchase order.
pub fn make_line(conn: &mut Conn, it: &NewPurchaseLine<'_>) -> QueryResult<()> {
    diesel::insert_into(purchase_order_lines::table)
        .values((
            purchase_order_lines::purchase_order_id.eq(it.order),
            purchase_order_lines::line_no.eq(it.line_no),
            purchase_order_lines::variant_id.eq(it.variant),
            purchase_order_lines::quantity.eq(it.quantity),
            purchase_order_lines::unit_price_cents.eq(it.price.amount()),
            purchase_order_lines::currency.eq(it.currency),
            purchase_order_lines::wanted_on.eq(it.wanted_on),
            purchase_order_lines::price_per.eq(it.price.per()),
            purchase_order_lines::reason.eq(it.reason),
            purchase_order_lines::changed_in.eq(it.revision),
        ))
        .execute(conn)
        .map(drop)
}

/// A line of a purchase order, with what the catalogue says of its part.
#[derive(Debug, Clone, Queryable)]
pub struct PurchaseLineRow {
    /// The line.
    pub id: PurchaseOrderLineId,
    /// The purchase order.
    pub order: PurchaseOrderId,
    /// Its number in the order.
    pub line_no: i64,
    /// The variant.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// The variant in words.
    pub variant_words: String,
    /// Pieces ordered.
    pub quantity: Quantity,
    /// Pieces received, good or damaged.
    pub received: Quantity,
    /// What `price_per` pieces cost.
    pub price_cents: Money,
    /// Whether no more is expected.
    pub closed: bool,
    /// The currency of the price; empty where it is the shop's own.
    pub currency: String,
    /// The day on which it is wanted, where it is not the day on which all is due.
    pub wanted_on: Option<NaiveDate>,
    /// The pieces that the price is for.
    pub price_per: Quantity,
    /// Why it was ordered; empty where nobody said.
    pub reason: String,
    /// Why the rest of it will not come; empty where nobody said.
    pub closed_because: String,
    /// The revision of the order in which the line was last changed.
    pub changed_in: i64,
}

impl PurchaseLineRow {
    /// Returns how far the line has come; `confirmed` says whether its supplier has promised a day.
    pub const fn progress(&self, confirmed: bool) -> LineProgress {
        LineProgress {
            ordered: self.quantity,
            received: self.received,
            closed: self.closed,
            confirmed,
        }
    }

    /// Returns how many pieces are still to come.
    pub fn open(&self) -> Quantity {
        self.progress(false).open()
    }

    /// Returns what the pieces cost.
    pub fn price(&self) -> UnitPrice {
        UnitPrice::new(self.price_cents, self.price_per)
    }
}

macro_rules! line_rows {
    () => {
        purchase_order_lines::table
            .inner_join(variants::table.on(variants::id.eq(purchase_order_lines::variant_id)))
            .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
            .select((
                purchase_order_lines::id,
                purchase_order_lines::purchase_order_id,
                purchase_order_lines::line_no,
                purchase_order_lines::variant_id,
                variants::part_number,
                parts::name,
                variants::variant,
                purchase_order_lines::quantity,
                purchase_order_lines::received,
                purchase_order_lines::unit_price_cents,
                purchase_order_lines::closed,
                purchase_order_lines::currency,
                purchase_order_lines::wanted_on,
                purchase_order_lines::price_per,
                purchase_order_lines::reason,
                purchase_order_lines::closed_because,
                purchase_order_lines::changed_in,
            ))
            .order((purchase_order_lines::purchase_order_id, purchase_order_lines::line_no))
    };
}

/// Loads the lines of every purchase order.
pub fn all_lines(conn: &mut Conn) -> QueryResult<Vec<PurchaseLineRow>> {
    line_rows!().load(conn)
}

/// Loads the lines of purchase orders.
pub fn lines_of_orders(
    conn: &mut Conn,
    orders: &[PurchaseOrderId],
) -> QueryResult<Vec<PurchaseLineRow>> {
    let mut rows = Vec::new();
    for some in orders.chunks(CHUNK) {
        let of_some = line_rows!().filter(purchase_order_lines::purchase_order_id.eq_any(some));
        rows.extend(of_some.load::<PurchaseLineRow>(conn)?);
    }
    Ok(rows)
}

/// Loads the lines of one purchase order.
pub fn lines_of(conn: &mut Conn, order: PurchaseOrderId) -> QueryResult<Vec<PurchaseLineRow>> {
    line_rows!().filter(purchase_order_lines::purchase_order_id.eq(order)).load(conn)
}

/// Number, day due, line, variant, pieces ordered and received of an open line.
type OpenColumns = (String, NaiveDate, PurchaseOrderLineId, VariantId, Quantity, Quantity);

/// Loads what is still to come of every variant on orders that the supplier has, by the day that
/// was promised or else the day due.
pub fn incoming(conn: &mut Conn) -> QueryResult<Vec<Incoming>> {
    let rows: Vec<OpenColumns> = purchase_order_lines::table
        .inner_join(
            purchase_orders::table
                .on(purchase_orders::id.eq(purchase_order_lines::purchase_order_id)),
        )
        .filter(is_open())
        .filter(purchase_orders::sent_revision.gt(0))
        .filter(purchase_orders::cancelled.eq(false))
        .select((
            purchase_orders::number,
            purchase_orders::due_on,
            purchase_order_lines::id,
            purchase_order_lines::variant_id,
            purchase_order_lines::quantity,
            purchase_order_lines::received,
        ))
        .load(conn)?;
    let promises = promises(conn)?;
    let mut coming: Vec<Incoming> = rows
        .into_iter()
        .map(|(purchase_order, due_on, line, variant, ordered, received)| Incoming {
            purchase_order,
            due_on: promises.get(&line).map_or(due_on, |it| it.promised_on),
            variant,
            quantity: ordered.less(received),
        })
        .filter(|it| it.quantity.is_some())
        .collect();
    coming.sort_by(|a, b| (a.due_on, &a.purchase_order).cmp(&(b.due_on, &b.purchase_order)));
    Ok(coming)
}

/// Sets how many pieces of a line have come, and whether no more is expected.
pub fn set_received(
    conn: &mut Conn,
    line: PurchaseOrderLineId,
    received: Quantity,
    closed: bool,
) -> QueryResult<()> {
    diesel::update(purchase_order_lines::table.find(i64::from(line)))
        .set((purchase_order_lines::received.eq(received), purchase_order_lines::closed.eq(closed)))
        .execute(conn)
        .map(drop)
}
