//! What the stock is worth, and what became of it in a month.

mod papers;

pub use papers::{file, paper};

use std::collections::BTreeMap;

use chrono::{Datelike, Months, NaiveDate, NaiveDateTime};
use serde::Serialize;

use crate::domain::ids::{MovementId, VariantId};
use crate::domain::stock::PlaceKind;
use crate::domain::valuation::{
    Books, Dated, Event, Kind, Line, Method, Outside, Piece, Sums, month, value,
};
use crate::error::Error;
use crate::store::valuation::{CrossingRow, ShareRow};
use crate::store::{Conn, catalog, valuation};

use super::{shop, words};

/// What became of one part, or of all together, over a month.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct ValueLineView {
    /// The part number; empty for all together.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// Pieces before the first day.
    pub opening_pieces: i64,
    /// What they were worth, in cents.
    pub opening_cents: i64,
    /// Changes in cents, in the order of `kinds`.
    pub changes_cents: Vec<i64>,
    /// Changes in pieces, in the order of `kinds`.
    pub changes_pieces: Vec<i64>,
    /// Pieces after the last day, by these lines.
    pub closing_pieces: i64,
    /// What they are worth, in cents.
    pub closing_cents: i64,
    /// Pieces after the last day, by the ledger's own movements.
    pub ledger_pieces: i64,
}

/// What became of the stock in a month.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct StockValueView {
    /// The shop's name.
    pub shop: String,
    /// The shop's currency; empty where nobody has said.
    pub currency: String,
    /// average or fifo.
    pub method: String,
    /// The first day.
    pub first_day: NaiveDate,
    /// The last day.
    pub last_day: NaiveDate,
    /// What a change is booked as, in words.
    pub kinds: Vec<String>,
    /// By part number.
    pub lines: Vec<ValueLineView>,
    /// All together.
    pub total: ValueLineView,
    /// Whether the pieces of every line are those of the ledger, and every sum adds up.
    pub ties: bool,
    /// Receipts that are valued at the catalogue's cost, since their price is in another currency.
    pub at_catalogue: usize,
}

/// Returns the first and the last day of a month written as 2026-11; of the month of `today` where
/// nothing is written.
///
/// # Errors
///
/// [`Error::Invalid`] for what is no month.
pub fn days_of(text: &str, today: NaiveDate) -> Result<(NaiveDate, NaiveDate), Error> {
    let text = text.trim();
    let first = match text {
        "" => today.with_day(1),
        _ => format!("{text}-01").parse::<NaiveDate>().ok(),
    };
    let last = first
        .filter(|it| (1990..=2200).contains(&it.year()))
        .and_then(|it| it.checked_add_months(Months::new(1)))
        .and_then(|it| it.pred_opt());
    first.zip(last).ok_or_else(|| {
        let message = format!("month: '{text}' is none: write it as 2026-11");
        Error::invalid("valuation.month", message)
    })
}

/// Loads what became of the stock in a month, by one method.
///
/// # Errors
///
/// [`Error::Invalid`] for what is no month.
pub fn report(
    conn: &mut Conn,
    method: Method,
    (text, today): (&str, NaiveDate),
) -> Result<StockValueView, Error> {
    let (first, last) = days_of(text, today)?;
    let rows = valuation::crossings(conn)?;
    let books = books(conn, method, &rows)?;
    let month = month(&books.entries, (first, last));
    let mut ledger = valuation::pieces_inside(conn, last)?;
    let mut names: BTreeMap<VariantId, (String, String)> = catalog::variants(conn)?
        .into_iter()
        .map(|it| (it.id, (it.part_number, words::part(&it.part, &it.variant))))
        .collect();
    let shop = shop::details(conn)?;
    let all: i64 = ledger.values().sum();
    let mut lines: Vec<ValueLineView> = month
        .lines
        .iter()
        .map(|(variant, line)| {
            let pieces = ledger.remove(variant).unwrap_or_default();
            line_view(names.remove(variant).unwrap_or_default(), line, pieces)
        })
        .collect();
    lines.sort_by(|a, b| a.part_number.cmp(&b.part_number));
    let total = line_view(Default::default(), &month.total, all);
    let forgotten = ledger.values().any(|it| *it != 0);
    let sum: i64 = lines.iter().map(|it| it.closing_cents).sum();
    let ties =
        !forgotten && sum == total.closing_cents && lines.iter().chain([&total]).all(adds_up);
    let in_span = |at: NaiveDateTime| (first..=last).contains(&at.date());
    let kinds = valuation::outside_kinds(conn)?;
    let foreign = |it: &&CrossingRow| {
        let bought = kinds.get(&it.from).is_some_and(|it| it == PlaceKind::Supplier.as_str());
        it.source.as_deref() == Some("catalogue") && in_span(it.at) && bought
    };
    Ok(StockValueView {
        shop: shop.name,
        currency: shop.currency,
        method: method.as_str().to_owned(),
        first_day: first,
        last_day: last,
        kinds: Kind::ALL.map(|it| it.words().to_owned()).to_vec(),
        at_catalogue: rows.iter().filter(foreign).count(),
        lines,
        total,
        ties,
    })
}

fn adds_up(line: &ValueLineView) -> bool {
    let cents: i64 = line.changes_cents.iter().sum();
    let pieces: i64 = line.changes_pieces.iter().sum();
    line.closing_pieces == line.ledger_pieces
        && line.opening_pieces + pieces == line.closing_pieces
        && line.opening_cents + cents == line.closing_cents
}

fn line_view((part_number, part): (String, String), line: &Line, ledger: i64) -> ValueLineView {
    let changes: Vec<Sums> = Kind::ALL.map(|it| line.of(it)).to_vec();
    ValueLineView {
        part_number,
        part,
        opening_pieces: line.opening.pieces,
        opening_cents: line.opening.value.cents(),
        changes_cents: changes.iter().map(|it| it.value.cents()).collect(),
        changes_pieces: changes.iter().map(|it| it.pieces).collect(),
        closing_pieces: line.closing.pieces,
        closing_cents: line.closing.value.cents(),
        ledger_pieces: ledger,
    }
}

fn books(conn: &mut Conn, method: Method, rows: &[CrossingRow]) -> Result<Books, Error> {
    let kinds = valuation::outside_kinds(conn)?
        .into_iter()
        .filter_map(|(id, word)| Some((id, PlaceKind::from_word(&word)?)))
        .collect();
    let shares = valuation::shares(conn)?;
    Ok(value(method, &events(rows, &shares, &kinds)))
}

type Kinds = BTreeMap<crate::domain::ids::PlaceId, PlaceKind>;

/// Returns what changes the value of the stock, in the order of happening: a run at its first
/// movement, a charge after the newest movement of its moment.
fn events(rows: &[CrossingRow], shares: &[ShareRow], kinds: &Kinds) -> Vec<Dated> {
    let mut events = Vec::new();
    let mut shares = shares.iter().peekable();
    let mut runs: BTreeMap<(&str, i64), Vec<&CrossingRow>> = BTreeMap::new();
    for row in rows {
        if let (Some(run), Some(role)) = (row.run, row.role.as_deref())
            && role != "lost"
        {
            runs.entry((&row.request_key, run)).or_default().push(row);
        }
    }
    for row in rows {
        while let Some(share) = shares.next_if(|it| it.after < i64::from(row.id)) {
            events.push(charge(share));
        }
        let event = match (row.run, row.role.as_deref()) {
            (Some(run), Some(role)) if role != "lost" => {
                runs.remove(&(row.request_key.as_str(), run)).map(|rows| of_run(run, &rows))
            }
            _ => crossing(row, kinds),
        };
        events.extend(event.map(|event| Dated { day: row.at.date(), event }));
    }
    events.extend(shares.map(charge));
    events
}

fn charge(share: &ShareRow) -> Dated {
    let event = Event::Charge { movement: share.movement, amount: share.amount };
    Dated { day: share.at.date(), event }
}

const fn piece(row: &CrossingRow) -> Piece {
    Piece { movement: row.id, variant: row.variant, quantity: row.quantity }
}

fn of_run(run: i64, rows: &[&CrossingRow]) -> Event {
    let with = |role: &str| -> Vec<Piece> {
        let of = |it: &&&CrossingRow| it.role.as_deref() == Some(role);
        rows.iter().filter(of).map(|it| piece(it)).collect()
    };
    let taken = with("taken apart");
    if taken.is_empty() {
        return Event::Make { run, used: with("used"), made: with("made") };
    }
    Event::Apart { run, taken, back: with("back"), scrapped: with("scrapped") }
}

fn crossing(row: &CrossingRow, kinds: &Kinds) -> Option<Event> {
    let reverses: Option<MovementId> = row.reverses;
    match (kinds.get(&row.from), kinds.get(&row.to)) {
        (Some(from), None) => {
            let from = outside(*from)?;
            Some(Event::In { piece: piece(row), from, cost: row.cost, reverses })
        }
        (None, Some(to)) => Some(Event::Out { piece: piece(row), to: outside(*to)?, reverses }),
        _ => None,
    }
}

const fn outside(kind: PlaceKind) -> Option<Outside> {
    match kind {
        PlaceKind::Supplier => Some(Outside::Supplier),
        PlaceKind::Rider => Some(Outside::Rider),
        PlaceKind::Scrap => Some(Outside::Scrap),
        PlaceKind::CountDifference => Some(Outside::Count),
        _ => None,
    }
}
