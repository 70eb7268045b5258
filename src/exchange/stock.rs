//! Stock, as counted or at the start: `part_number,bin,quantity,lot,use_by,serial`.

use chrono::NaiveDate;

use super::csv::whole;
use super::csv::{Faults, Further, Table, Text};
use super::fields::{self, Fields, Seen};
use super::{At, Fault, Read};
use crate::domain::codes::{BinCode, PartNumber};
use crate::units::Quantity;

const COLUMNS: [&str; 6] = ["part_number", "bin", "quantity", "lot", "use_by", "serial"];

/// Pieces of one part number, and of one lot or with one serial number, in one bin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockRecord {
    /// The part number.
    pub part_number: PartNumber,
    /// The bin.
    pub bin: BinCode,
    /// How many lie there; 1 where a serial number is given.
    pub quantity: Quantity,
    /// The lot.
    pub lot: Option<String>,
    /// The last day on which pieces of the lot may be used.
    pub use_by: Option<NaiveDate>,
    /// The serial number of the piece.
    pub serial: Option<String>,
}

/// Returns the stock of a file. The same part and lot may not lie in one bin twice, nor the same
/// serial number of a part anywhere twice.
///
/// # Errors
///
/// Every fault of the file, in order of line.
pub fn read(bytes: &[u8]) -> Result<Vec<At<StockRecord>>, Vec<Fault>> {
    whole(read_all(bytes))
}

/// Returns what could be read of a file, and every fault of the rest in order of line.
pub fn read_all(bytes: &[u8]) -> Read<StockRecord> {
    let mut faults = Faults::default();
    let table = Table::parse(bytes, &COLUMNS, Further::Refused, &mut faults);
    let (mut stock, mut seen) = (Vec::new(), Seen::new());
    for row in &table.rows {
        let mut fields = Fields::of(&table, row, &mut faults);
        stock.extend(piece(&mut fields, &mut seen).map(|value| At { line: row.line, value }));
    }
    faults.beside(stock)
}

fn piece(fields: &mut Fields<'_>, seen: &mut Seen) -> Option<StockRecord> {
    let part_number: Option<PartNumber> = fields.parse("part_number");
    let bin: Option<BinCode> = fields.parse("bin");
    let quantity = fields.pieces("quantity");
    let lot = fields.maybe("lot");
    let use_by = fields.maybe_with("use_by", fields::day);
    let serial = fields.maybe("serial");
    let single = quantity.is_none_or(|it| it == Quantity::ONE);
    if matches!(serial, Some(Some(_))) && !single {
        fields.fault("quantity", "a piece with a serial number is one piece: write 1");
    }
    if matches!((&lot, &use_by), (Some(None), Some(Some(_)))) {
        fields.fault("lot", "a use-by day belongs to a lot: fill in the lot");
    }
    let record = StockRecord {
        part_number: part_number?,
        bin: bin?,
        quantity: quantity?,
        lot: lot?,
        use_by: use_by?,
        serial: serial?,
    };
    fields.once(seen, "part_number", Some(key(&record)));
    Some(record)
}

/// Returns what no other row may share: the serial number, or else part, lot and bin.
fn key(record: &StockRecord) -> String {
    let StockRecord { part_number, bin, lot, serial, .. } = record;
    match (serial, lot) {
        (Some(serial), _) => format!("{part_number} with serial number {serial}"),
        (None, Some(lot)) => format!("{part_number} of lot {lot} in {bin}"),
        (None, None) => format!("{part_number} without a lot in {bin}"),
    }
}

/// Returns a file of the stock, which reads back as the same.
pub fn write<'a>(stock: impl IntoIterator<Item = &'a StockRecord>) -> String {
    let mut text = Text::with_heading(COLUMNS);
    for it in stock {
        text.row([
            it.part_number.to_string(),
            it.bin.to_string(),
            it.quantity.to_string(),
            it.lot.clone().unwrap_or_default(),
            it.use_by.map(|day| day.to_string()).unwrap_or_default(),
            it.serial.clone().unwrap_or_default(),
        ]);
    }
    text.finish()
}
