use std::io;

use chrono::NaiveDate;

use crate::domain::purchasing::UnitPrice;
use crate::units::{Money, Quantity};

use super::write::{Forbidden, Goods, Party, Xml, done};

/// A purchase order, as the supplier gets it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// Its number.
    pub number: String,
    /// How often it was changed since its supplier first had it; none for the order itself.
    pub change: i64,
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
    /// What a change did to it; none where nothing.
    pub status: Option<LineStatus>,
    /// Pieces ordered.
    pub quantity: Quantity,
    /// What is ordered.
    pub goods: Goods,
    /// What the pieces cost; none where its currency is not known, since UBL takes no amount without.
    pub price: Option<Price>,
    /// The day on which it is wanted, where it is not the day on which all is due.
    pub wanted_on: Option<NaiveDate>,
}

/// What a change did to a line.
///
/// # Source
///
/// Codes of the list LineStatusCode that OASIS publishes with UBL (from memory, unconfirmed); the
/// schema itself takes any.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineStatus {
    /// It says something else than before.
    Revised,
    /// No more of it is wanted.
    Cancelled,
}

impl LineStatus {
    const fn code(self) -> &'static str {
        match self {
            Self::Revised => "Revised",
            Self::Cancelled => "Cancelled",
        }
    }
}

/// What the pieces cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Price {
    /// The amount, and how many pieces it is for.
    pub price: UnitPrice,
    /// Its currency, in the capitals of ISO 4217.
    pub currency: String,
}

impl Order {
    /// Returns the order as a UBL 2.1 Order, or as an OrderChange where its supplier had it before.
    ///
    /// # Errors
    ///
    /// [`Forbidden`] where a text holds what XML can't carry.
    pub fn to_xml(&self) -> Result<String, Forbidden> {
        done(self.write())
    }

    fn write(&self) -> io::Result<Result<String, Forbidden>> {
        let root = if self.change == 0 { "Order" } else { "OrderChange" };
        let mut xml = Xml::begin(root)?;
        if self.change == 0 {
            xml.leaf("ID", &self.number)?;
        } else {
            xml.leaf("ID", &format!("{}-{}", self.number, self.change))?;
        }
        xml.leaf("IssueDate", &self.issued_on.to_string())?;
        if self.change != 0 {
            xml.leaf("SequenceNumberID", &self.change.to_string())?;
        }
        xml.leaf("LineCountNumeric", &self.lines.len().to_string())?;
        if self.change != 0 {
            xml.part("OrderReference", |xml| xml.leaf("ID", &self.number))?;
        }
        xml.part("BuyerCustomerParty", |xml| xml.party(&self.buyer))?;
        xml.part("SellerSupplierParty", |xml| {
            xml.leaf_if("CustomerAssignedAccountID", &self.seller.account)?;
            xml.party(&self.seller)
        })?;
        wanted(&mut xml, self.due_on)?;
        for line in &self.lines {
            xml.part("OrderLine", |xml| {
                xml.part("LineItem", |xml| {
                    xml.leaf("ID", &line.number.to_string())?;
                    if let Some(status) = line.status {
                        xml.leaf("LineStatusCode", status.code())?;
                    }
                    xml.pieces("Quantity", line.quantity)?;
                    if let Some(price) = &line.price
                        && let Some(cost) = price.price.cost(line.quantity)
                    {
                        price.write(xml, "LineExtensionAmount", cost)?;
                    }
                    if let Some(day) = line.wanted_on {
                        wanted(xml, day)?;
                    }
                    if let Some(price) = &line.price {
                        xml.part("Price", |xml| {
                            price.write(xml, "PriceAmount", price.price.amount())?;
                            if price.price.per() == Quantity::ONE {
                                return Ok(());
                            }
                            xml.pieces("BaseQuantity", price.price.per())
                        })?;
                    }
                    xml.item(&line.goods, true)
                })
            })?;
        }
        xml.end(root)
    }
}

impl Price {
    fn write(&self, xml: &mut Xml, name: &str, amount: Money) -> io::Result<()> {
        xml.marked(name, &amount.to_string(), Some(("currencyID", &self.currency)))
    }
}

fn wanted(xml: &mut Xml, day: NaiveDate) -> io::Result<()> {
    xml.part("Delivery", |xml| {
        xml.part("RequestedDeliveryPeriod", |xml| xml.leaf("EndDate", &day.to_string()))
    })
}
