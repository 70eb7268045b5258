use chrono::NaiveDate;

use super::{StockValueView, ValueLineView};
use crate::domain::purchasing::UnitPrice;
use crate::domain::valuation::{Kind, Method};
use crate::error::Error;
use crate::exchange;
use crate::ops::labels::unprintable;
use crate::paper::{self, StockValue, StockValueRow};
use crate::units::Money;

fn money(cents: i64) -> String {
    UnitPrice::each(Money::from_cents(cents)).to_string()
}

impl ValueLineView {
    /// Returns what changed of a kind, in cents.
    pub fn change(&self, kind: Kind) -> i64 {
        let at = Kind::ALL.iter().position(|it| *it == kind);
        at.and_then(|at| self.changes_cents.get(at)).copied().unwrap_or_default()
    }
}

impl StockValueView {
    /// Returns what ties the report to the ledger, and what is to be known of it, in sentences.
    pub fn checks(&self) -> Vec<String> {
        let total = &self.total;
        let holds = if self.ties { "they tie" } else { "THEY DO NOT TIE: run kitwright check" };
        let mut checks = vec![
            format!(
                "Pieces at the end: {} by these lines, {} by the ledger's movements; {holds}.",
                total.closing_pieces, total.ledger_pieces
            ),
            format!(
                "Value: opening {} and changes {} are closing {}.",
                money(total.opening_cents),
                money(total.changes_cents.iter().sum()),
                money(total.closing_cents)
            ),
        ];
        if 0 < self.at_catalogue {
            checks.push(format!(
                "{} receipts are valued at the catalogue's cost: their price is in another currency, \
                 and these books hold no rates.",
                self.at_catalogue
            ));
        }
        checks
    }
}

/// Returns the report as a file.
pub fn file(view: &StockValueView) -> String {
    let head = ["part_number", "part", "opening_pieces", "opening_value"];
    let tail = ["closing_pieces", "closing_value", "ledger_pieces"];
    let kinds = view.kinds.iter().map(|it| it.replace(' ', "_"));
    let columns: Vec<String> = head
        .iter()
        .map(|it| (*it).to_owned())
        .chain(kinds)
        .chain(tail.iter().map(|it| (*it).to_owned()))
        .collect();
    let row = |it: &ValueLineView| {
        let mut row = vec![
            it.part_number.clone(),
            it.part.clone(),
            it.opening_pieces.to_string(),
            money(it.opening_cents),
        ];
        row.extend(it.changes_cents.iter().map(|it| money(*it)));
        row.extend([
            it.closing_pieces.to_string(),
            money(it.closing_cents),
            it.ledger_pieces.to_string(),
        ]);
        row
    };
    exchange::stock_value::write(&columns, view.lines.iter().map(row).collect())
}

/// Returns the report as a PDF.
///
/// # Errors
///
/// [`Error::Invalid`] where it can't be printed.
pub fn paper(view: &StockValueView, today: NaiveDate) -> Result<Vec<u8>, Error> {
    let row = |it: &ValueLineView| {
        let made = it.change(Kind::Made) + it.change(Kind::Used);
        let all = it.part_number.is_empty();
        StockValueRow {
            part_number: if all { "All parts".to_owned() } else { it.part_number.clone() },
            part: it.part.clone(),
            amounts: [
                it.opening_cents,
                it.change(Kind::Received),
                it.change(Kind::Landed),
                made,
                it.change(Kind::Shipped),
                it.change(Kind::Scrap),
                it.change(Kind::Counted),
                it.change(Kind::Variance),
                it.closing_cents,
            ]
            .map(money),
            pieces: it.closing_pieces.to_string(),
        }
    };
    let method = Method::from_word(&view.method).map_or("", Method::words);
    let it = StockValue {
        shop: view.shop.clone(),
        method: method.to_owned(),
        currency: view.currency.clone(),
        first_day: view.first_day,
        last_day: view.last_day,
        printed_on: today,
        rows: view.lines.iter().chain([&view.total]).map(row).collect(),
        checks: view.checks(),
    };
    paper::stock_value(&it).map_err(unprintable)
}
