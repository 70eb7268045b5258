use chrono::{Datelike, NaiveDate};
use serde::Serialize;

use crate::domain::codes::{Label, Scan, read_scan};
use crate::domain::ids::{SupplierId, VariantId};
use crate::error::Error;
use crate::store::purchasing::{PurchaseLineRow, PurchaseOrderRow};
use crate::store::{Conn, catalog, purchasing, supplier_codes};
use crate::units::Quantity;

use super::{SupplierCodeView, supplier_of};

/// What came of reading a supplier's label.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LabelOutcome {
    /// The line is known.
    Known,
    /// A second person must confirm first what the code means.
    Waiting,
    /// Nobody has said yet what the code means.
    Unknown,
    /// The part is known, and is not on this purchase order.
    Elsewhere,
    /// The label says how many or which lot, and not of what.
    NoGoods,
    /// The text can't be read.
    Unreadable,
}

/// One thing that a label says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct SaidView {
    /// The identifier as it is written: "(10)" or "1T".
    pub identifier: String,
    /// The data title of its standard.
    pub title: String,
    /// The value.
    pub value: String,
}

/// What a supplier's label says to somebody who books a delivery.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct LabelView {
    /// What came of it.
    pub outcome: LabelOutcome,
    /// The answer in words.
    pub words: String,
    /// The line of the purchase order that it is.
    pub line: Option<i64>,
    /// The part number.
    pub part_number: Option<String>,
    /// The lot.
    pub lot: Option<String>,
    /// The last day of use.
    pub use_by: Option<NaiveDate>,
    /// The serial number.
    pub serial: Option<String>,
    /// How many pieces the label speaks of; what was counted is for the receiver to say.
    pub count: Option<Quantity>,
    /// The kind of the code that is to be learned or confirmed.
    pub kind: Option<String>,
    /// That code.
    pub code: Option<String>,
    /// What is waiting for a second person.
    pub waiting: Option<SupplierCodeView>,
    /// Everything that the label says, in order.
    pub said: Vec<SaidView>,
}

/// Reads the labels of one package that was delivered on a purchase order: several bar codes of
/// one label may be given one after the other.
///
/// # Errors
///
/// [`Error::NotFound`] when there is no such order. A text that can't be read is an answer.
pub fn read_label(
    conn: &mut Conn,
    number: &str,
    scans: &[String],
    today: NaiveDate,
) -> Result<LabelView, Error> {
    let order = purchasing::purchase_order(conn, number)?
        .ok_or_else(|| Error::not_found("purchase order", number))?;
    let lines = purchasing::lines_of(conn, order.id)?;
    let mut label = Label::default();
    for scan in scans {
        match of_scan(scan, today) {
            Ok(it) => label = label.and(it),
            Err(words) => return Ok(view(&label, LabelOutcome::Unreadable, words)),
        }
    }
    if !label.names_goods() {
        let words = "the label does not say which part this is: scan its item code too".to_owned();
        return Ok(view(&label, LabelOutcome::NoGoods, words));
    }
    let supplier = supplier_of(conn, &order.supplier_code)?;
    answer(conn, &order, supplier, &lines, &label)
}

fn of_scan(text: &str, today: NaiveDate) -> Result<Label, String> {
    let item = |text: String| Label { items: vec![text], ..Label::default() };
    let scan = read_scan(text, today.year()).map_err(|it| it.to_string())?;
    let scan = match scan {
        Scan::Printed(it) => it.of,
        scan => scan,
    };
    Ok(match scan {
        Scan::Label(label) => *label,
        // A number alone may be an article number and the maker's own item number alike.
        Scan::Perhaps(label, text) if label.gtin.is_some() => Label { items: vec![text], ..*label },
        Scan::Perhaps(label, _) => *label,
        Scan::Part(number) => Label { ours: vec![number.to_string()], ..Label::default() },
        Scan::Lot(lot) => Label { lot: Some(lot), ..Label::default() },
        Scan::Serial(serial) => Label { serial: Some(serial), ..Label::default() },
        Scan::Other(text) => item(text),
        Scan::Printed(it) => item(it.text),
        Scan::Bin(code) => return Err(format!("{code} is a bin: scan the supplier's label")),
        Scan::Kit(number) => return Err(format!("{number} is a kit: scan the supplier's label")),
        Scan::Carton(number) => {
            return Err(format!("{number} is a carton: scan the supplier's label"));
        }
    })
}

fn answer(
    conn: &mut Conn,
    order: &PurchaseOrderRow,
    supplier: SupplierId,
    lines: &[PurchaseLineRow],
    label: &Label,
) -> Result<LabelView, Error> {
    for ours in &label.ours {
        if let Some(row) = catalog::variant(conn, ours)? {
            return Ok(known(order, lines, label, row.id, &row.part_number));
        }
    }
    let codes = codes(label);
    let mut waiting = None;
    for (kind, code) in &codes {
        match supplier_codes::find(conn, supplier, kind, code)? {
            Some(row) if row.confirmed_at.is_some() => {
                return Ok(known(order, lines, label, row.variant, &row.part_number));
            }
            Some(row) => waiting = waiting.or(Some(row)),
            None => {}
        }
    }
    for item in label.items.iter().chain(&label.ours) {
        let listed = supplier_codes::listed(conn, item)?;
        if let Some(line) = lines.iter().find(|it| listed.contains(&it.variant)) {
            return Ok(known(order, lines, label, line.variant, &line.part_number));
        }
    }
    let first = codes.into_iter().next();
    let (kind, code) = first.map(|(kind, code)| (kind.to_owned(), code)).unzip();
    Ok(match waiting.map(SupplierCodeView::of) {
        Some(it) => {
            let words = format!(
                "{} is said by {} to be {}: waiting for a second person",
                it.words(),
                it.learned_by,
                it.part_number
            );
            let (kind, code) = (Some(it.kind.clone()), Some(it.code.clone()));
            LabelView { kind, code, waiting: Some(it), ..view(label, LabelOutcome::Waiting, words) }
        }
        None => {
            let words = format!(
                "{} has not been seen from {} before: say which line it is",
                code.as_deref().unwrap_or_default(),
                order.supplier
            );
            LabelView { kind, code, ..view(label, LabelOutcome::Unknown, words) }
        }
    })
}

/// Returns the codes of a label that may be learned, the best first.
fn codes(label: &Label) -> Vec<(&'static str, String)> {
    let gtin = label.gtin.iter().map(|it| ("gtin", it.clone()));
    let items = label.items.iter().chain(&label.ours).map(|it| ("item", it.clone()));
    gtin.chain(items).collect()
}

fn known(
    order: &PurchaseOrderRow,
    lines: &[PurchaseLineRow],
    label: &Label,
    variant: VariantId,
    part_number: &str,
) -> LabelView {
    let same = || lines.iter().filter(|it| it.variant == variant);
    let line = same().find(|it| it.open().is_some()).or_else(|| same().next());
    let part_number = Some(part_number.to_owned());
    let Some(line) = line else {
        let words = format!(
            "this is {}, which is not on {}: look at the delivery note",
            part_number.as_deref().unwrap_or_default(),
            order.number
        );
        return LabelView { part_number, ..view(label, LabelOutcome::Elsewhere, words) };
    };
    let mut words = format!("line {}: {} {}", line.line_no, line.variant_words, line.part);
    if let Some(named) = label.order.as_ref().filter(|it| **it != order.number) {
        words.push_str(&format!("; the label names order {named}, not {}", order.number));
    }
    LabelView { line: Some(line.line_no), part_number, ..view(label, LabelOutcome::Known, words) }
}

fn view(label: &Label, outcome: LabelOutcome, words: String) -> LabelView {
    let said = label.said.iter().map(|it| SaidView {
        identifier: it.identifier.clone(),
        title: it.title.clone(),
        value: it.value.clone(),
    });
    LabelView {
        outcome,
        words,
        line: None,
        part_number: None,
        lot: label.lot.clone(),
        use_by: label.use_by,
        serial: label.serial.clone(),
        count: label.count,
        kind: None,
        code: None,
        waiting: None,
        said: said.collect(),
    }
}
