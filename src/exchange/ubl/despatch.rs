use std::io;

use chrono::NaiveDateTime;

use crate::units::Quantity;

use super::write::{Forbidden, Goods, Party, Xml, done};

/// What left the house in the cartons of one kit, as its receiver gets it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Despatch {
    /// Its number: the kit's.
    pub number: String,
    /// When the cartons were handed over, in UTC.
    pub at: NaiveDateTime,
    /// The receiver's order.
    pub order: String,
    /// Who sends.
    pub supplier: Party,
    /// Who receives.
    pub customer: Party,
    /// The numbers that the cartons travel under.
    pub units: Vec<String>,
    /// What is in them.
    pub lines: Vec<DespatchLine>,
}

/// Pieces of one lot, or with serial numbers, in one carton.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DespatchLine {
    /// Its number: the kit's line, and a further one where the line has several lots.
    pub number: String,
    /// The line of the receiver's order.
    pub order_line: i64,
    /// Pieces inside.
    pub quantity: Quantity,
    /// Pieces that follow or were left out.
    pub outstanding: Quantity,
    /// Why they were.
    pub reason: String,
    /// What it is.
    pub goods: Goods,
    /// The number of its carton.
    pub unit: String,
}

impl Despatch {
    /// Returns the despatch advice as a UBL 2.1 document.
    ///
    /// # Errors
    ///
    /// [`Forbidden`] where a text holds what XML can't carry.
    pub fn to_xml(&self) -> Result<String, Forbidden> {
        done(self.write())
    }

    fn write(&self) -> io::Result<Result<String, Forbidden>> {
        let mut xml = Xml::begin("DespatchAdvice")?;
        xml.leaf("ID", &self.number)?;
        xml.leaf("IssueDate", &self.at.date().to_string())?;
        xml.leaf("IssueTime", &self.at.format("%H:%M:%SZ").to_string())?;
        xml.leaf("LineCountNumeric", &self.lines.len().to_string())?;
        xml.part("OrderReference", |xml| xml.leaf("ID", &self.order))?;
        xml.part("DespatchSupplierParty", |xml| xml.party(&self.supplier))?;
        xml.part("DeliveryCustomerParty", |xml| {
            xml.leaf_if("SupplierAssignedAccountID", &self.customer.account)?;
            xml.party(&self.customer)
        })?;
        xml.part("Shipment", |xml| {
            xml.leaf("ID", &self.number)?;
            let count = self.units.len().to_string();
            xml.leaf("TotalTransportHandlingUnitQuantity", &count)?;
            self.units.iter().try_for_each(|it| unit(xml, it))
        })?;
        for line in &self.lines {
            xml.part("DespatchLine", |xml| self.line(xml, line))?;
        }
        xml.end("DespatchAdvice")
    }

    fn line(&self, xml: &mut Xml, line: &DespatchLine) -> io::Result<()> {
        xml.leaf("ID", &line.number)?;
        xml.pieces("DeliveredQuantity", line.quantity)?;
        if line.outstanding.is_some() {
            xml.pieces("OutstandingQuantity", line.outstanding)?;
            xml.leaf_if("OutstandingReason", &line.reason)?;
        }
        xml.part("OrderLineReference", |xml| xml.leaf("LineID", &line.order_line.to_string()))?;
        xml.item(&line.goods, false)?;
        if line.quantity.is_some() {
            return xml.part("Shipment", |xml| {
                xml.leaf("ID", &self.number)?;
                unit(xml, &line.unit)
            });
        }
        Ok(())
    }
}

/// Writes the number of a carton, as an SSCC where it is one.
fn unit(xml: &mut Xml, number: &str) -> io::Result<()> {
    let is_sscc = number.parse::<crate::domain::gs1::Sscc>().is_ok();
    let scheme = is_sscc.then_some(("schemeID", "SSCC"));
    xml.part("TransportHandlingUnit", |xml| xml.marked("ID", number, scheme))
}
