use std::io;

use chrono::NaiveDate;

use crate::units::Quantity;

use super::write::{Forbidden, Goods, Party, Xml, done};

/// A purchase order, as the supplier gets it.
///
/// It says no prices: the books hold them without their currency, and UBL takes no amount without.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// Its number.
    pub number: String,
    /// When it was sent.
    pub issued_on: NaiveDate,
    /// When the goods are due.
    pub due_on: NaiveDate,
    /// Who orders.
    pub buyer: Party,
    /// Who delivers.
    pub seller: Party,
    /// Its lines.
    pub lines: Vec<OrderLine>,
}

/// A line of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderLine {
    /// Its number.
    pub number: i64,
    /// Pieces ordered.
    pub quantity: Quantity,
    /// What is ordered.
    pub goods: Goods,
}

impl Order {
    /// Returns the order as a UBL 2.1 document.
    ///
    /// # Errors
    ///
    /// [`Forbidden`] where a text holds what XML can't carry.
    pub fn to_xml(&self) -> Result<String, Forbidden> {
        done(self.write())
    }

    fn write(&self) -> io::Result<Result<String, Forbidden>> {
        let mut xml = Xml::begin("Order")?;
        xml.leaf("ID", &self.number)?;
        xml.leaf("IssueDate", &self.issued_on.to_string())?;
        xml.leaf("LineCountNumeric", &self.lines.len().to_string())?;
        xml.part("BuyerCustomerParty", |xml| xml.party(&self.buyer))?;
        xml.part("SellerSupplierParty", |xml| {
            xml.leaf_if("CustomerAssignedAccountID", &self.seller.account)?;
            xml.party(&self.seller)
        })?;
        xml.part("Delivery", |xml| {
            xml.part("RequestedDeliveryPeriod", |xml| xml.leaf("EndDate", &self.due_on.to_string()))
        })?;
        for line in &self.lines {
            xml.part("OrderLine", |xml| {
                xml.part("LineItem", |xml| {
                    xml.leaf("ID", &line.number.to_string())?;
                    xml.pieces("Quantity", line.quantity)?;
                    xml.item(&line.goods, true)
                })
            })?;
        }
        xml.end("Order")
    }
}
