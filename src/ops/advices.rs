//! Suppliers' despatch advices: what is on its way. An advice books nothing; what was counted does.

mod matching;

use chrono::{Datelike, NaiveDate};
use data_encoding::HEXLOWER;
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::domain::codes::{Scan, read_scan};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::exchange::Fault;
use crate::exchange::ubl::{Advice, read_advice};
use crate::store::advices::{AnnouncedRow, NewAdvice, NewAdviceLine, SupplierRow};
use crate::store::purchasing::PurchaseOrderRow;
use crate::store::{Conn, Tx, advices, purchasing};
use crate::units::Quantity;

use super::{people, words};
use matching::{Matched, match_lines};

/// Pieces that an advice announces, in one lot and one box.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct AnnouncedView {
    /// Its number, to be named when it is booked.
    pub announced: i64,
    /// The advice's number.
    pub advice: String,
    /// The purchase order.
    pub order: String,
    /// The line of the purchase order.
    pub line: i64,
    /// The part number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// How many pieces are announced; what came is for the receiver to count.
    pub quantity: Quantity,
    /// The lot; empty where none is named.
    pub lot: String,
    /// The last day of use.
    pub use_by: Option<NaiveDate>,
    /// Serial numbers.
    pub serials: Vec<String>,
    /// The number of the box or pallet, an SSCC where it is one; empty where none is named.
    pub unit: String,
    /// Whether what came of it was booked.
    pub booked: bool,
}

impl AnnouncedView {
    fn of(row: AnnouncedRow, order: &str) -> Self {
        Self {
            announced: row.id.into(),
            advice: row.advice,
            order: order.to_owned(),
            line: row.line_no,
            part: words::part(&row.part, &row.variant_words),
            part_number: row.part_number,
            quantity: row.quantity,
            lot: row.lot,
            use_by: row.use_by,
            serials: row.serials.lines().map(str::to_owned).collect(),
            unit: row.unit,
            booked: row.request_key.is_some(),
        }
    }
}

/// A despatch advice, and what to look at before the goods come.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct AdviceView {
    /// Its number.
    pub number: String,
    /// The supplier's code here.
    pub supplier_code: String,
    /// The supplier's name.
    pub supplier: String,
    /// When it was written.
    pub issued_on: NaiveDate,
    /// Whether it had been taken in before, so that nothing was done now.
    pub known: bool,
    /// What came of it, in words.
    pub words: String,
    /// What it announces.
    pub lines: Vec<AnnouncedView>,
    /// What is odd about it, in words: more than was ordered, a lot that is not named.
    pub notes: Vec<String>,
}

/// Takes a supplier's despatch advice in: goods-in of its purchase orders shows from then on what
/// it announces. The same file again changes nothing and says so.
///
/// # Errors
///
/// [`Error::Faults`] with everything that is wrong in it, by line of the file and path of the
/// element; [`Error::Conflict`] where another file came under the same number.
pub fn take(tx: &mut Tx<'_>, bytes: &[u8]) -> Result<AdviceView, Error> {
    people::check(tx.who.role(), Permission::TakeAdvice)?;
    let advice = read_advice(bytes).map_err(Error::Faults)?;
    let orders = orders_of(tx.conn, &advice)?;
    let supplier = one_supplier(tx.conn, &orders)?;
    let content = HEXLOWER.encode(&Sha256::digest(bytes));
    if let Some(known) = advices::find(tx.conn, supplier.id, &advice.number)? {
        let who = known.by.unwrap_or_else(|| "the program".to_owned());
        let when = format!("on {} by {who}", known.taken_at.date());
        if known.content != content {
            return Err(Error::conflict(
                "advices.other_content",
                format!(
                    "another advice {} of {} was taken in {when}: ask {} for one with a number of \
                     its own",
                    advice.number, supplier.name, supplier.name
                ),
            ));
        }
        let words = format!(
            "advice {} of {} was taken in {when}: nothing was changed",
            advice.number, supplier.name
        );
        return view(tx.conn, &advice, &orders, supplier, (true, words, Vec::new()));
    }
    let today = tx.today();
    let (lines, notes) = match_lines(tx.conn, &advice, &orders, &supplier, today)?;
    write(tx, &advice, &supplier, &content, &lines)?;
    let pieces: Quantity = lines.iter().map(|it| it.announced.quantity).sum();
    let (noun, they) =
        if pieces == Quantity::ONE { ("piece", "it is") } else { ("pieces", "they are") };
    let words = format!(
        "advice {} of {}: {pieces} {noun} announced; nothing is booked until {they} counted",
        advice.number, supplier.name
    );
    view(tx.conn, &advice, &orders, supplier, (false, words, notes))
}

/// Loads the purchase orders that an advice is about.
fn orders_of(conn: &mut Conn, advice: &Advice) -> Result<Vec<PurchaseOrderRow>, Error> {
    let mut numbers: Vec<(String, u64)> = advice.orders.iter().map(|it| (it.clone(), 1)).collect();
    numbers.extend(advice.lines.iter().filter_map(|it| Some((it.order.clone()?, it.at))));
    let (mut orders, mut faults) = (Vec::<PurchaseOrderRow>::new(), Vec::new());
    for (number, line) in numbers {
        if orders.iter().any(|it| it.number == number) {
            continue;
        }
        match purchasing::purchase_order(conn, &number)? {
            Some(order) => orders.push(order),
            None => {
                let message = format!("there is no purchase order '{number}': check with them");
                faults.push(Fault { line, column: "OrderReference/ID".to_owned(), message });
            }
        }
    }
    if orders.is_empty() && faults.is_empty() {
        let message = "no purchase order is named: ask which of ours it is for".to_owned();
        faults.push(Fault { line: 1, column: "OrderReference/ID".to_owned(), message });
    }
    if advice.lines.is_empty() {
        let message = "it announces no piece: there is nothing to wait for".to_owned();
        faults.push(Fault { line: 1, column: "DespatchLine".to_owned(), message });
    }
    super::exchange::refuse(faults)?;
    Ok(orders)
}

/// Loads the supplier, who is one and the same for all the orders of an advice.
fn one_supplier(conn: &mut Conn, orders: &[PurchaseOrderRow]) -> Result<SupplierRow, Error> {
    let mut found: Option<SupplierRow> = None;
    for order in orders {
        let row = advices::supplier_of(conn, &order.number)?
            .ok_or_else(|| Error::not_found("purchase order", order.number.as_str()))?;
        match &found {
            Some(first) if first.id != row.id => {
                return Err(Error::invalid(
                    "advices.two_suppliers",
                    format!(
                        "its purchase orders went to {} and to {}: an advice comes from one supplier",
                        first.name, row.name
                    ),
                ));
            }
            _ => found = Some(row),
        }
    }
    found.ok_or_else(|| Error::Internal("an advice has no purchase order".to_owned()))
}

fn write(
    tx: &mut Tx<'_>,
    advice: &Advice,
    supplier: &SupplierRow,
    content: &str,
    lines: &[Matched<'_>],
) -> Result<(), Error> {
    let (now, user) = (tx.now, tx.who.user());
    let (number, issued_on) = (advice.number.as_str(), advice.issued_on);
    let head = NewAdvice { supplier: supplier.id, number, issued_on, content };
    let id = advices::make(tx.conn, &head, now, user)?;
    for it in lines {
        let line = NewAdviceLine {
            line: &it.announced.line,
            order_line: it.line.id,
            quantity: it.announced.quantity,
            lot: &it.announced.lot,
            use_by: it.announced.use_by,
            serials: &it.announced.serials.join("\n"),
            unit: &it.announced.unit,
        };
        advices::make_line(tx.conn, id, &line)?;
    }
    Ok(())
}

fn view(
    conn: &mut Conn,
    advice: &Advice,
    orders: &[PurchaseOrderRow],
    supplier: SupplierRow,
    (known, words, notes): (bool, String, Vec<String>),
) -> Result<AdviceView, Error> {
    let mut lines = announced(conn, orders)?;
    lines.retain(|it| it.advice == advice.number);
    Ok(AdviceView {
        number: advice.number.clone(),
        supplier_code: supplier.code,
        supplier: supplier.name,
        issued_on: advice.issued_on,
        known,
        words,
        lines,
        notes,
    })
}

/// Loads all that was announced of purchase orders.
pub(super) fn announced(
    conn: &mut Conn,
    orders: &[PurchaseOrderRow],
) -> Result<Vec<AnnouncedView>, Error> {
    let ids: Vec<_> = orders.iter().map(|it| it.id).collect();
    let rows = advices::announced(conn, &ids)?;
    let view = |row: AnnouncedRow| {
        let order = orders.iter().find(|it| it.id == row.order)?;
        Some(AnnouncedView::of(row, &order.number))
    };
    Ok(rows.into_iter().filter_map(view).collect())
}

/// A box or pallet that was scanned or typed: its number, and the purchase orders that it was
/// announced for, those first that wait for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct UnitView {
    /// The number, as it was announced.
    pub unit: String,
    /// The purchase orders.
    pub orders: Vec<String>,
}

/// Looks up a box or pallet by its number, or by what a scanner reads from its label.
///
/// # Errors
///
/// [`Error::NotFound`] when no advice announces it.
pub fn unit(conn: &mut Conn, text: &str, today: NaiveDate) -> Result<UnitView, Error> {
    let text = text.trim();
    let label = match read_scan(text, today.year()) {
        Ok(Scan::Label(label) | Scan::Perhaps(label, _)) => label.unit,
        _ => None,
    };
    for number in [Some(text.to_owned()), label].into_iter().flatten().filter(|it| !it.is_empty()) {
        let mut orders = advices::orders_of_unit(conn, &number)?;
        if !orders.is_empty() {
            let mut seen = std::collections::BTreeSet::new();
            orders.retain(|it| seen.insert(it.clone()));
            return Ok(UnitView { unit: number, orders });
        }
    }
    Err(Error::not_found("announced box or pallet", text))
}
