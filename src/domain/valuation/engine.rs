use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::event::{Dated, Event, Method, Outside, Piece};
use super::share::apportion;
use super::stock::{Stock, Taken, part};
use crate::domain::ids::{MovementId, VariantId};
use crate::units::{Money, Quantity};

/// What a change of the stock's value is booked as.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Bought, at the price of the order; less what was sent back or booked wrongly.
    Received,
    /// Charges on what was bought.
    Landed,
    /// Made of other parts, or got back out of them.
    Made,
    /// Used up for others, or taken apart.
    Used,
    /// Gone to riders, less what came back.
    Shipped,
    /// Thrown away.
    Scrap,
    /// Found or missed in counts, with the opening stock.
    Counted,
    /// What belongs to pieces that had left already, so that no stock bears it.
    Variance,
}

impl Kind {
    /// Every kind, in the order of the report.
    pub const ALL: [Self; 8] = [
        Self::Received,
        Self::Landed,
        Self::Made,
        Self::Used,
        Self::Shipped,
        Self::Scrap,
        Self::Counted,
        Self::Variance,
    ];

    /// Returns the kind in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Received => "received",
            Self::Landed => "landed cost",
            Self::Made => "made",
            Self::Used => "used up in making",
            Self::Shipped => "shipped to riders",
            Self::Scrap => "scrap",
            Self::Counted => "counts and opening stock",
            Self::Variance => "variance",
        }
    }
}

/// A change of what the stock is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Entry {
    /// The day.
    pub day: NaiveDate,
    /// The movement that it goes with.
    pub movement: MovementId,
    /// The variant.
    pub variant: VariantId,
    /// What it is booked as.
    pub kind: Kind,
    /// Pieces more, or below zero fewer.
    pub pieces: i64,
    /// Worth more, or below zero less.
    pub value: Money,
}

/// All entries in their order, and what is left at the end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Books {
    /// Each change.
    pub entries: Vec<Entry>,
    /// By variant, pieces and what they are worth.
    pub held: BTreeMap<VariantId, (Quantity, Money)>,
}

/// How pieces came in.
#[derive(Debug, Clone, Copy)]
struct Origin {
    variant: VariantId,
    pieces: i64,
    cents: i64,
    /// Cents of charges that the stock bears for them.
    charged: i64,
}

struct Engine {
    method: Method,
    stocks: BTreeMap<VariantId, Stock>,
    origins: BTreeMap<MovementId, Origin>,
    taken: BTreeMap<MovementId, Taken>,
    /// What the last pieces of a variant cost that came in: pieces and cents.
    last: BTreeMap<VariantId, (i64, i64)>,
    /// By run and variant, pieces and cents that went in.
    runs: BTreeMap<(i64, VariantId), (i64, i64)>,
    entries: Vec<Entry>,
    day: NaiveDate,
}

/// Returns what every event, in the order of happening, does to the value of the stock.
pub fn value(method: Method, events: &[Dated]) -> Books {
    let mut engine = Engine {
        method,
        stocks: BTreeMap::new(),
        origins: BTreeMap::new(),
        taken: BTreeMap::new(),
        last: BTreeMap::new(),
        runs: BTreeMap::new(),
        entries: Vec::new(),
        day: NaiveDate::MIN,
    };
    for it in events {
        engine.day = it.day;
        engine.event(&it.event);
    }
    let held = engine.stocks.iter().map(|(variant, stock)| {
        (*variant, (Quantity::new(stock.pieces()), Money::from_cents(stock.cents())))
    });
    Books { held: held.collect(), entries: engine.entries }
}

impl Engine {
    fn event(&mut self, event: &Event) {
        match event {
            Event::In { piece, reverses: Some(out), from, .. } => {
                self.undo_out(*piece, *out, *from);
            }
            Event::In { piece, from, cost, reverses: None } => self.come(*piece, *from, *cost),
            Event::Out { piece, reverses: Some(came), to } => self.undo_in(*piece, *came, *to),
            Event::Out { piece, to, reverses: None } => {
                self.leave(*piece, kind(*to));
            }
            Event::Make { run, used, made } => self.make(*run, used, made),
            Event::Apart { run, taken, back, scrapped } => {
                self.apart(*run, taken, back, scrapped);
            }
            Event::Charge { movement, amount } => self.charge(*movement, amount.cents()),
        }
    }

    fn stock(&mut self, variant: VariantId) -> &mut Stock {
        self.stocks.entry(variant).or_insert(Stock::new(self.method))
    }

    fn note(&mut self, (movement, variant): (MovementId, VariantId), kind: Kind, by: (i64, i64)) {
        let (pieces, cents) = by;
        if pieces != 0 || cents != 0 {
            let (day, value) = (self.day, Money::from_cents(cents));
            self.entries.push(Entry { day, movement, variant, kind, pieces, value });
        }
    }

    fn put(&mut self, piece: Piece, kind: Kind, cents: i64) {
        let Piece { movement, variant, quantity } = piece;
        let pieces = quantity.pieces();
        self.stock(variant).put(movement, pieces, cents);
        self.origins.insert(movement, Origin { variant, pieces, cents, charged: 0 });
        self.last.insert(variant, (pieces, cents));
        self.note((movement, variant), kind, (pieces, cents));
    }

    /// What comes from elsewhere than a supplier is worth what lies there, or cost last, or what is
    /// said.
    fn come(&mut self, piece: Piece, from: Outside, cost: Option<Money>) {
        let stated = cost.map(Money::cents);
        let pieces = piece.quantity.pieces();
        let stock = self.stock(piece.variant);
        let (held, worth) = (stock.pieces(), stock.cents());
        let known = if 0 < held { Some((held, worth)) } else { None };
        let known = known.or(self.last.get(&piece.variant).copied());
        let known = known.map(|(of, cents)| scaled(cents, pieces, of));
        let cents = match from {
            Outside::Supplier => stated.or(known),
            _ => known.or(stated),
        };
        self.put(piece, kind(from), cents.unwrap_or(0));
    }

    fn leave(&mut self, piece: Piece, kind: Kind) -> i64 {
        let Piece { movement, variant, quantity } = piece;
        let taken = self.stock(variant).take(quantity.pieces(), None);
        let cents = taken.cents;
        self.taken.insert(movement, taken);
        self.note((movement, variant), kind, (-quantity.pieces(), -cents));
        cents
    }

    /// What had left by mistake lies again where it lay, at the same cost.
    fn undo_out(&mut self, piece: Piece, out: MovementId, from: Outside) {
        let Some(taken) = self.taken.get(&out).cloned() else {
            return self.come(piece, from, None);
        };
        let pieces = piece.quantity.pieces();
        self.stock(piece.variant).put_back(&taken);
        self.note((piece.movement, piece.variant), kind(from), (pieces, taken.cents));
    }

    /// What had come by mistake goes at the cost that it came with, and its charges are a variance.
    fn undo_in(&mut self, piece: Piece, came: MovementId, to: Outside) {
        let Piece { movement, variant, quantity } = piece;
        let Some(origin) = self.origins.get(&came).copied() else {
            self.leave(piece, kind(to));
            return;
        };
        let method = self.method;
        let stock = self.stock(variant);
        let worth = match method {
            Method::Fifo => stock.take(quantity.pieces(), Some(came)).cents,
            Method::Average => {
                let before = stock.cents();
                let taken = stock.take(quantity.pieces(), Some(came));
                let wanted = origin.cents + origin.charged - taken.cents;
                stock.lower(wanted);
                before - stock.cents()
            }
        };
        self.note((movement, variant), kind(to), (-quantity.pieces(), -origin.cents));
        self.note((movement, variant), Kind::Variance, (0, origin.cents - worth));
    }

    fn make(&mut self, run: i64, used: &[Piece], made: &[Piece]) {
        let mut all = 0;
        for piece in used {
            let cents = self.leave(*piece, Kind::Used);
            let sum = self.runs.entry((run, piece.variant)).or_default();
            *sum = (sum.0 + piece.quantity.pieces(), sum.1 + cents);
            all += cents;
        }
        let weights: Vec<i128> = made.iter().map(|it| it.quantity.pieces().into()).collect();
        let shares = apportion(Money::from_cents(all), &weights).unwrap_or_default();
        for (piece, share) in made.iter().zip(shares) {
            self.put(*piece, Kind::Made, share.cents());
        }
    }

    fn apart(&mut self, run: i64, taken: &[Piece], back: &[Piece], scrapped: &[Piece]) {
        let all: i64 = taken.iter().map(|it| self.leave(*it, Kind::Used)).sum();
        let parts: Vec<Piece> = back.iter().chain(scrapped).copied().collect();
        let weights: Vec<i128> = parts
            .iter()
            .map(|it| {
                let (pieces, cents) = self.runs.get(&(run, it.variant)).copied().unwrap_or((1, 0));
                // In thousandths of a cent, so that parts of a cent count as well.
                i128::from(cents) * i128::from(it.quantity.pieces()) * 1000
                    / i128::from(pieces.max(1))
            })
            .collect();
        let Some(shares) = apportion(Money::from_cents(all), &weights) else { return };
        for (nth, (piece, share)) in parts.iter().zip(shares).enumerate() {
            self.put(*piece, Kind::Made, share.cents());
            if back.len() <= nth {
                self.scrap_at_once(*piece);
            }
        }
    }

    /// A part that is thrown away as it comes out never lies on a shelf: it takes its own cost with
    /// it.
    fn scrap_at_once(&mut self, piece: Piece) {
        let Piece { movement, variant, quantity } = piece;
        let Some(origin) = self.origins.get(&movement).copied() else { return };
        let stock = self.stock(variant);
        let before = stock.cents();
        let taken = stock.take(quantity.pieces(), Some(movement));
        stock.lower(origin.cents - taken.cents);
        let cents = before - stock.cents();
        self.note((movement, variant), Kind::Scrap, (-quantity.pieces(), -cents));
    }

    fn charge(&mut self, movement: MovementId, cents: i64) {
        let Some(origin) = self.origins.get(&movement).copied() else { return };
        let borne = self.stock(origin.variant).charge(movement, cents, origin.pieces);
        if let Some(origin) = self.origins.get_mut(&movement) {
            origin.charged += borne;
        }
        self.note((movement, origin.variant), Kind::Landed, (0, cents));
        self.note((movement, origin.variant), Kind::Variance, (0, borne - cents));
    }
}

const fn kind(outside: Outside) -> Kind {
    match outside {
        Outside::Supplier => Kind::Received,
        Outside::Rider => Kind::Shipped,
        Outside::Scrap => Kind::Scrap,
        Outside::Count => Kind::Counted,
    }
}

/// Returns what pieces cost at the cost of others, to the nearest cent.
fn scaled(cents: i64, pieces: i64, of: i64) -> i64 {
    if of <= 0 {
        return 0;
    }
    let whole = pieces / of;
    cents.saturating_mul(whole).saturating_add(part_of(cents, pieces % of, of))
}

fn part_of(cents: i64, pieces: i64, of: i64) -> i64 {
    if pieces == 0 { 0 } else { part(cents, pieces, of) }
}
