use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::grammar::{check, date};
use super::tree::{Node, Space, clipped, fault, parse};
use crate::exchange::Fault;
use crate::units::Quantity;

/// The most bytes of a despatch advice: some thousand lines.
pub const MOST_BYTES: usize = 1024 * 1024;

/// Codes of UN/ECE Recommendation 20 for pieces: one, piece, each.
const PIECES: [&str; 3] = ["C62", "H87", "EA"];

/// A supplier's despatch advice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Advice {
    /// Its number.
    pub number: String,
    /// When it was written.
    pub issued_on: NaiveDate,
    /// The supplier's name, as it writes it.
    pub supplier: String,
    /// The purchase orders that it names, in its order.
    pub orders: Vec<String>,
    /// What it announces.
    pub lines: Vec<AdviceLine>,
}

/// Pieces that an advice announces, in one lot and one handling unit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AdviceLine {
    /// The line of the file.
    pub at: u64,
    /// The path of the element.
    pub place: String,
    /// The number that the supplier gave the line.
    pub line: String,
    /// How many pieces.
    pub quantity: Quantity,
    /// The purchase order, where the line itself names one.
    pub order: Option<String>,
    /// The line of the purchase order.
    pub order_line: String,
    /// Our part number, as the supplier writes it.
    pub ours: Option<String>,
    /// The supplier's own part number.
    pub theirs: Option<String>,
    /// The article number, filled up to 14 digits.
    pub gtin: Option<String>,
    /// The name.
    pub name: String,
    /// The lot; empty where none is named.
    pub lot: String,
    /// The last day of use.
    pub use_by: Option<NaiveDate>,
    /// Serial numbers.
    pub serials: Vec<String>,
    /// The number of the box or pallet, an SSCC where it is one; empty where none is named.
    pub unit: String,
}

/// Returns what a despatch advice of UBL 2.1 says, or everything that is wrong with it.
///
/// # Errors
///
/// The faults, by line of the file and path of the element: of the XML; of the schema; a quantity
/// that is negative, no whole number or without a unit for pieces; numbers that are empty or stand
/// twice.
pub fn read_advice(bytes: &[u8]) -> Result<Advice, Vec<Fault>> {
    if MOST_BYTES < bytes.len() {
        let message = format!("the file has more than {MOST_BYTES} bytes: no advice is that long");
        return Err(vec![fault(1, "", message)]);
    }
    let root = parse(bytes).map_err(|it| vec![it])?;
    if root.space != Space::Advice || root.name != "DespatchAdvice" {
        let message = format!(
            "this is a {}, and a DespatchAdvice of UBL 2 is wanted: choose that file",
            clipped(&root.name)
        );
        return Err(vec![fault(root.line, "", message)]);
    }
    let mut faults = Vec::new();
    check(&root, "", &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    let advice = read(&root, &mut faults);
    if faults.is_empty() { Ok(advice) } else { Err(faults) }
}

fn read(root: &Node, faults: &mut Vec<Fault>) -> Advice {
    let number = root.text_at(&["ID"]).to_owned();
    if number.is_empty() || 60 < number.chars().count() {
        let message = "the advice needs a number of 1 to 60 characters";
        faults.push(fault(root.line, "ID", message));
    }
    let said = root.text_at(&["LineCountNumeric"]);
    let count = root.all("DespatchLine").count();
    if !said.is_empty() && said.parse() != Ok(count) {
        let message = format!("it says that it has {said} lines, and has {count}: get it anew");
        faults.push(fault(root.line, "LineCountNumeric", message));
    }
    let units = Units::of(root);
    let mut seen = BTreeSet::new();
    let mut lines = Vec::new();
    for (nth, node) in (1..).zip(root.all("DespatchLine")) {
        let place = format!("DespatchLine[{nth}]");
        if !seen.insert(node.text_at(&["ID"])) {
            let message = format!("two lines have the number {}", node.text_at(&["ID"]));
            faults.push(fault(node.line, &format!("{place}/ID"), message));
        }
        lines.extend(read_line(node, &place, &units, faults));
    }
    let orders = root.all("OrderReference").map(|it| it.text_at(&["ID"]).to_owned());
    let party = root.at(&["DespatchSupplierParty", "Party"]);
    Advice {
        number,
        issued_on: date(root.text_at(&["IssueDate"])).unwrap_or_default(),
        supplier: party.map_or("", |it| it.text_at(&["PartyName", "Name"])).to_owned(),
        orders: orders.filter(|it| !it.is_empty()).collect(),
        lines,
    }
}

/// Reads one line; several where it is spread over several units, none where it announces nothing.
fn read_line(
    node: &Node,
    place: &str,
    units: &Units<'_>,
    faults: &mut Vec<Fault>,
) -> Vec<AdviceLine> {
    let before = faults.len();
    let quantity = quantity(node, place, faults);
    let line = node.text_at(&["ID"]);
    if line.is_empty() {
        faults.push(fault(node.line, &format!("{place}/ID"), "the line needs a number"));
    }
    let mut read = AdviceLine {
        at: node.line,
        place: place.to_owned(),
        line: line.to_owned(),
        quantity,
        order: word(node, &["OrderLineReference", "OrderReference", "ID"]),
        order_line: node.text_at(&["OrderLineReference", "LineID"]).to_owned(),
        ours: word(node, &["Item", "BuyersItemIdentification", "ID"]),
        theirs: word(node, &["Item", "SellersItemIdentification", "ID"]),
        gtin: gtin(node, place, faults),
        name: node.text_at(&["Item", "Name"]).to_owned(),
        lot: String::new(),
        use_by: None,
        serials: Vec::new(),
        unit: String::new(),
    };
    read_instances(node, place, &mut read, faults);
    let parts = units.parts(node, quantity, place, faults);
    if before < faults.len() || !quantity.is_some() {
        return Vec::new();
    }
    if 1 < parts.len() && !read.serials.is_empty() {
        let message = "its serial numbers are spread over several units: send a line for each unit";
        faults.push(fault(node.line, place, message));
        return Vec::new();
    }
    let part = |(unit, quantity)| AdviceLine { quantity, unit, ..read.clone() };
    parts.into_iter().map(part).collect()
}

fn word(node: &Node, path: &[&str]) -> Option<String> {
    Some(node.text_at(path)).filter(|it| !it.is_empty()).map(str::to_owned)
}

/// Returns the pieces of a line, which are a whole number of pieces and not below zero.
fn quantity(node: &Node, place: &str, faults: &mut Vec<Fault>) -> Quantity {
    let place = format!("{place}/DeliveredQuantity");
    let Some(it) = node.at(&["DeliveredQuantity"]) else {
        faults.push(fault(node.line, &place, "it is missing: ask how many pieces are sent"));
        return Quantity::ZERO;
    };
    match it.attribute("unitCode") {
        Some(code) if PIECES.contains(&code) => {}
        Some(code) => {
            let message =
                format!("unitCode {} does not count pieces: ask for C62, H87 or EA", clipped(code));
            faults.push(fault(it.line, &place, message));
        }
        None => {
            let message = "unitCode is missing: 12 of what? Ask for C62, H87 or EA for pieces";
            faults.push(fault(it.line, &place, message));
        }
    }
    let text = it.text.trim().trim_start_matches('+');
    if text.starts_with('-') && text.bytes().any(|it| (b'1'..=b'9').contains(&it)) {
        let message = format!("{} is below zero: nobody sends fewer than no pieces", clipped(text));
        faults.push(fault(it.line, &place, message));
        return Quantity::ZERO;
    }
    let (whole, part) = text.trim_start_matches('-').split_once('.').unwrap_or((text, ""));
    let whole = if whole.is_empty() { "0" } else { whole };
    match whole.parse() {
        Ok(pieces) if part.bytes().all(|it| it == b'0') => pieces,
        _ => {
            let message = format!("{} is no whole number of pieces up to 10000000", clipped(text));
            faults.push(fault(it.line, &place, message));
            Quantity::ZERO
        }
    }
}

fn gtin(node: &Node, place: &str, faults: &mut Vec<Fault>) -> Option<String> {
    let it = node.at(&["Item", "StandardItemIdentification", "ID"])?;
    let text = it.text.trim();
    let digits =
        matches!(text.len(), 8 | 12 | 13 | 14) && text.bytes().all(|it| it.is_ascii_digit());
    // Other schemes than GTIN stand here too; what has not the form of one is none.
    if !digits {
        return None;
    }
    match text.parse::<crate::domain::gs1::Gtin>() {
        Ok(gtin) => Some(gtin.to_14()),
        Err(error) => {
            let place = format!("{place}/Item/StandardItemIdentification");
            faults.push(fault(it.line, &place, error.to_string()));
            None
        }
    }
}

/// Reads lot, last day of use and serial numbers.
fn read_instances(node: &Node, place: &str, read: &mut AdviceLine, faults: &mut Vec<Fault>) {
    let Some(item) = node.at(&["Item"]) else { return };
    let mut lots = BTreeSet::new();
    for it in item.all("ItemInstance") {
        read.serials.extend(word(it, &["SerialID"]));
        lots.extend(word(it, &["LotIdentification", "LotNumberID"]));
        let day = date(it.text_at(&["LotIdentification", "ExpiryDate"]));
        read.use_by = read.use_by.or(day).or(date(it.text_at(&["BestBeforeDate"])));
    }
    let mut wrong = |message: String| {
        faults.push(fault(node.line, &format!("{place}/Item/ItemInstance"), message));
    };
    if 1 < lots.len() {
        let lots: Vec<String> = lots.iter().map(|it| clipped(it)).collect();
        wrong(format!(
            "it names the lots {} and does not say how many of each: ask for a line for each lot",
            lots.join(" and ")
        ));
    }
    read.lot = lots.into_iter().next().unwrap_or_default();
    let mut seen = BTreeSet::new();
    if let Some(twice) = read.serials.iter().find(|it| !seen.insert(it.as_str())) {
        wrong(format!("serial number {} stands twice", clipped(twice)));
    }
    let count = i64::try_from(read.serials.len()).unwrap_or(i64::MAX);
    if !read.serials.is_empty() && Quantity::new(count) != read.quantity {
        wrong(format!(
            "{} pieces, and serial numbers of {count}: ask for that of each piece",
            read.quantity
        ));
    }
}

/// Which boxes or pallets an advice names, and what it says is in them.
struct Units<'a> {
    /// Each unit with the lines that it says it holds: line and quantity.
    named: Vec<(String, Vec<&'a Node>)>,
}

impl<'a> Units<'a> {
    fn of(root: &'a Node) -> Self {
        let units = root.all("Shipment").flat_map(|it| it.all("TransportHandlingUnit"));
        let named = units.map(|it| (number(it), it.all("HandlingUnitDespatchLine").collect()));
        Self { named: named.filter(|it| !it.0.is_empty()).collect() }
    }

    /// Returns the units that a line is in, with the pieces in each.
    fn parts(
        &self,
        node: &Node,
        quantity_of_line: Quantity,
        place: &str,
        faults: &mut Vec<Fault>,
    ) -> Vec<(String, Quantity)> {
        let own = node.all("Shipment").flat_map(|it| it.all("TransportHandlingUnit")).map(number);
        let own: Vec<String> = own.filter(|it| !it.is_empty()).collect();
        if let [unit] = own.as_slice() {
            return vec![(unit.clone(), quantity_of_line)];
        }
        let id = node.text_at(&["ID"]);
        let mut parts = Vec::new();
        for (unit, lines) in &self.named {
            for line in lines.iter().filter(|it| it.text_at(&["ID"]) == id) {
                parts.push((unit.clone(), quantity(line, place, faults)));
            }
        }
        if parts.is_empty() {
            // One unit holds everything; of several it is not said which holds the line.
            let only = match self.named.as_slice() {
                [(unit, lines)] if lines.is_empty() => unit.clone(),
                _ => String::new(),
            };
            return vec![(only, quantity_of_line)];
        }
        let sum: Quantity = parts.iter().map(|it| it.1).sum();
        if sum != quantity_of_line {
            let message =
                format!("its units hold {sum} pieces together, and the line {quantity_of_line}");
            faults.push(fault(node.line, place, message));
        }
        parts.retain(|it| it.1.is_some());
        parts
    }
}

/// Returns a unit's number; an SSCC without the identifier that may stand before it.
fn number(unit: &Node) -> String {
    let text = unit.text_at(&["ID"]);
    let bare =
        text.strip_prefix("(00)").or_else(|| text.strip_prefix("00").filter(|it| it.len() == 18));
    bare.unwrap_or(text).chars().filter(|it| !it.is_control()).collect()
}
