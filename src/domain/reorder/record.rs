use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use chrono::{Datelike, NaiveDate};

use super::breaks::Discount;
use super::classes::{Abc, Xyz};
use super::scope::Scope;
use super::terms::Price;
use crate::domain::codes::PartNumber;
use crate::units::{Money, Quantity};

macro_rules! words {
    ($(#[$doc:meta])* $name:ident, $($(#[$of:meta])* $case:ident = $word:literal,)+) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum $name { $($(#[$of])* $case,)+ }

        impl $name {
            /// Every one of them.
            pub const ALL: &'static [Self] = &[$(Self::$case),+];

            /// Returns its word, which never changes.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$case => $word),+ }
            }
        }

        impl FromStr for $name {
            type Err = String;

            fn from_str(text: &str) -> Result<Self, String> {
                let known = Self::ALL.iter().find(|it| it.word() == text).copied();
                let all = [$($word),+].join(", ");
                known.ok_or_else(|| format!("'{text}' is not one of {all}"))
            }
        }
    };
}

words! {
    /// When a part is ordered, and up to what.
    PolicyKind,
    /// At the reorder point of the catalogue, the catalogue's usual order.
    AsSet = "as-set",
    /// At a reorder point for a share of waits without a stock-out.
    ReorderPoint = "reorder-point",
    /// At a reorder point for a share of demand from stock.
    FillRate = "fill-rate",
    /// At or below a minimum, up to a maximum.
    MinMax = "min-max",
    /// At each review, up to what lasts until the order after it.
    Review = "review",
    /// A full bin when the first of two is empty.
    TwoBins = "two-bins",
    /// One for each piece that leaves.
    OneForOne = "one-for-one",
    /// Once before a season.
    SeasonBuy = "season-buy",
}

words! {
    /// Which demand a part's stock is sized by.
    SizedBy,
    /// That of the days until an order of today comes.
    Ahead = "ahead",
    /// That of the busiest month of the year to come.
    Peak = "peak",
}

words! {
    /// Which pieces a lower price is for, in its word.
    DiscountWord,
    /// All of an order.
    AllUnits = "all-units",
    /// Those beyond the quantity.
    Incremental = "incremental",
}

impl From<DiscountWord> for Discount {
    fn from(word: DiscountWord) -> Self {
        match word {
            DiscountWord::AllUnits => Self::AllUnits,
            DiscountWord::Incremental => Self::Incremental,
        }
    }
}

/// A day of each year: "10-01" is the first of October.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct YearDay {
    month: u32,
    day: u32,
}

impl YearDay {
    /// Returns the first such day on or after `day`.
    pub fn on_or_after(self, day: NaiveDate) -> Option<NaiveDate> {
        let of = |year: i32| NaiveDate::from_ymd_opt(year, self.month, self.day);
        let years = (0..=8).filter_map(|more| of(day.year() + more));
        years.into_iter().find(|it| day <= *it)
    }
}

impl FromStr for YearDay {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let fault = || format!("'{text}' is no day of the year: write month-day, such as 10-01");
        let day = NaiveDate::parse_from_str(&format!("2028-{text}"), "%Y-%m-%d").ok();
        let day = day.filter(|_| text.len() == 5).ok_or_else(fault)?;
        Ok(Self { month: day.month(), day: day.day() })
    }
}

impl fmt::Display for YearDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}-{:02}", self.month, self.day)
    }
}

/// A share in hundredths of a percent, above nothing and below all: "99.9".
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ServiceLevel(i64);

impl ServiceLevel {
    /// Returns the level of so many hundredths of a percent, if it is one.
    pub fn of_hundredths(hundredths: i64) -> Option<Self> {
        Some(hundredths).filter(|it| 0 < *it && *it < 10_000).map(Self)
    }

    /// Returns the hundredths of a percent.
    pub const fn hundredths(self) -> i64 {
        self.0
    }

    /// Returns it as a share of 1.
    pub const fn share(self) -> f64 {
        crate::domain::statistics::real(self.0) / 10_000.0
    }
}

impl FromStr for ServiceLevel {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let fault =
            || format!("'{text}' is no level of service: write percent below 100, such as 99.9");
        let (whole, part) = text.split_once('.').unwrap_or((text, "0"));
        let digits = |it: &str| !it.is_empty() && it.bytes().all(|it| it.is_ascii_digit());
        if !digits(whole) || !digits(part) || 2 < part.len() {
            return Err(fault());
        }
        let hundredths = format!("{whole}{part:0<2}").parse::<i64>().ok();
        hundredths.and_then(Self::of_hundredths).ok_or_else(fault)
    }
}

impl fmt::Display for ServiceLevel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, part) = (self.0 / 100, self.0 % 100);
        match part {
            0 => write!(f, "{whole}"),
            part if part % 10 == 0 => write!(f, "{whole}.{}", part / 10),
            part => write!(f, "{whole}.{part:02}"),
        }
    }
}

/// Prices by the quantity from which they hold: "1000 0.17; 5000 0.12; 10000 0.105".
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Prices(Vec<Price>);

impl Prices {
    /// Returns them, from the fewest pieces to the most.
    pub fn all(&self) -> &[Price] {
        &self.0
    }
}

impl FromStr for Prices {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let mut prices: Vec<Price> = Vec::new();
        for step in text.split(';').map(str::trim).filter(|it| !it.is_empty()) {
            let fault = || {
                format!(
                    "'{step}' is no price: write pieces and what one costs from there on, with at \
                     most five decimals, such as 1000 0.17; 5000 0.12"
                )
            };
            let (from, price) = step.split_once(' ').ok_or_else(fault)?;
            let from: Quantity = from.parse().map_err(|_| fault())?;
            let per_thousand = per_thousand(price.trim()).ok_or_else(fault)?;
            if prices.last().is_some_and(|last| from <= last.from) {
                return Err(format!("'{step}': the quantities of the prices must rise"));
            }
            prices.push(Price { from, per_thousand });
        }
        Ok(Self(prices))
    }
}

/// Returns what a thousand pieces cost at a price for one.
fn per_thousand(text: &str) -> Option<Money> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let digits = |it: &str| it.bytes().all(|it| it.is_ascii_digit());
    if whole.is_empty() || !digits(whole) || !digits(part) || 5 < part.len() {
        return None;
    }
    let cents = format!("{whole}{part:0<5}").parse::<i64>().ok()?;
    (0 < cents).then(|| Money::from_cents(cents))
}

impl fmt::Display for Prices {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, it) in self.0.iter().enumerate() {
            f.write_str(if at == 0 { "" } else { "; " })?;
            let cents = it.per_thousand.cents();
            let text = format!("{}.{:05}", cents / 100_000, cents % 100_000);
            write!(f, "{} {}", it.from, text.trim_end_matches('0').trim_end_matches('.'))?;
        }
        Ok(())
    }
}

/// How a part or a class is bought. What a record leaves open, the wider one says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PolicyRecord {
    /// What it is said for.
    pub scope: Scope,
    /// When, and up to what.
    pub kind: Option<PolicyKind>,
    /// How well the part must be served.
    pub service: Option<ServiceLevel>,
    /// Order at or below this, of [`PolicyKind::MinMax`].
    pub minimum: Option<Quantity>,
    /// Order up to this, of [`PolicyKind::MinMax`].
    pub maximum: Option<Quantity>,
    /// Days from one review to the next.
    pub review_days: Option<i64>,
    /// Pieces in one container, for which a card stands, of [`PolicyKind::TwoBins`].
    pub container: Option<Quantity>,
    /// Which demand the stock is sized by.
    pub sized_by: Option<SizedBy>,
    /// The standard deviation of a day's demand in percent of its mean, or of a season's; where
    /// nobody states it, the forecast's own error says it.
    pub variation_percent: Option<i64>,
    /// What a piece left over costs, of [`PolicyKind::SeasonBuy`].
    pub left_over: Option<Money>,
    /// What a piece short costs, of [`PolicyKind::SeasonBuy`].
    pub short: Option<Money>,
    /// The day on which the season begins.
    pub season_starts: Option<YearDay>,
    /// What keeping a piece for a year costs, in percent of its price.
    pub holding_percent: Option<i64>,
    /// Days of demand that one order may hold.
    pub cover_days: Option<i64>,
    /// Days after arrival within which the last piece must be used.
    pub shelf_life_days: Option<i64>,
    /// Pieces that the bin takes.
    pub room: Option<Quantity>,
    /// Prices by quantity; empty where the catalogue's holds for all.
    pub prices: Prices,
    /// Which pieces a lower price is for.
    pub discount: Option<DiscountWord>,
    /// What the shop notes.
    pub note: String,
}

impl PolicyRecord {
    /// Returns a record that leaves everything open.
    pub fn open(scope: Scope) -> Self {
        Self {
            scope,
            kind: None,
            service: None,
            minimum: None,
            maximum: None,
            review_days: None,
            container: None,
            sized_by: None,
            variation_percent: None,
            left_over: None,
            short: None,
            season_starts: None,
            holding_percent: None,
            cover_days: None,
            shelf_life_days: None,
            room: None,
            prices: Prices::default(),
            discount: None,
            note: String::new(),
        }
    }

    /// Returns this record, with what it leaves open as the wider one says it.
    #[must_use]
    pub fn within(self, wider: &Self) -> Self {
        Self {
            kind: self.kind.or(wider.kind),
            service: self.service.or(wider.service),
            minimum: self.minimum.or(wider.minimum),
            maximum: self.maximum.or(wider.maximum),
            review_days: self.review_days.or(wider.review_days),
            container: self.container.or(wider.container),
            sized_by: self.sized_by.or(wider.sized_by),
            variation_percent: self.variation_percent.or(wider.variation_percent),
            left_over: self.left_over.or(wider.left_over),
            short: self.short.or(wider.short),
            season_starts: self.season_starts.or(wider.season_starts),
            holding_percent: self.holding_percent.or(wider.holding_percent),
            cover_days: self.cover_days.or(wider.cover_days),
            shelf_life_days: self.shelf_life_days.or(wider.shelf_life_days),
            room: self.room.or(wider.room),
            prices: if self.prices == Prices::default() {
                wider.prices.clone()
            } else {
                self.prices
            },
            discount: self.discount.or(wider.discount),
            scope: self.scope,
            note: self.note,
        }
    }

    /// Returns what of the record contradicts itself or is missing, by column.
    pub fn faults(&self) -> Vec<(&'static str, &'static str)> {
        let mut faults = Vec::new();
        match self.kind {
            Some(PolicyKind::MinMax) => {
                if self.minimum.is_none() {
                    faults.push(("minimum", "min-max needs the least that is kept: fill it in"));
                }
                if self.maximum.is_none() {
                    faults.push(("maximum", "min-max needs the most that is kept: fill it in"));
                }
                if self.maximum.zip(self.minimum).is_some_and(|(most, least)| most <= least) {
                    faults.push(("maximum", "the most that is kept must be above the least"));
                }
            }
            Some(PolicyKind::SeasonBuy) => {
                let missing = [
                    ("left_over_cost", self.left_over.is_none()),
                    ("short_cost", self.short.is_none()),
                    ("season_starts", self.season_starts.is_none()),
                ];
                let open = missing.into_iter().filter(|it| it.1);
                faults.extend(open.map(|it| (it.0, "a season buy rests on it: fill it in")));
            }
            _ => {}
        }
        if matches!(self.scope, Scope::Class(..)) && !self.prices.all().is_empty() {
            faults.push(("prices", "prices are a part's own: write them for its part number"));
        }
        faults
    }
}

/// All policies of the shop.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Policies(BTreeMap<Scope, PolicyRecord>);

impl Policies {
    /// Returns the policies of those records.
    pub fn of(records: Vec<PolicyRecord>) -> Self {
        Self(records.into_iter().map(|it| (it.scope.clone(), it)).collect())
    }

    /// Returns what holds for a part of that class: its own record before that of both letters, and
    /// that before the one of the first letter alone.
    pub fn of_part(&self, part: &PartNumber, class: Option<(Abc, Xyz)>) -> PolicyRecord {
        let own = Scope::Part(part.clone());
        let mut found = self.0.get(&own).cloned().unwrap_or_else(|| PolicyRecord::open(own));
        let wider = class.into_iter().flat_map(|(abc, xyz)| [Some(xyz), None].map(|it| (abc, it)));
        for (abc, xyz) in wider {
            if let Some(record) = self.0.get(&Scope::Class(abc, xyz)) {
                found = found.within(record);
            }
        }
        found
    }

    /// Returns the records, classes first.
    pub fn all(&self) -> impl Iterator<Item = &PolicyRecord> {
        self.0.values()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_part_leaves_open_its_class_says() {
        let class = |text: &str, kind, service: &str| PolicyRecord {
            kind,
            service: Some(service.parse().unwrap()),
            ..PolicyRecord::open(text.parse().unwrap())
        };
        let bolt: PartNumber = "MT108R".parse().unwrap();
        let policies = Policies::of(vec![
            class("C", Some(PolicyKind::TwoBins), "99.9"),
            class("CZ", None, "95"),
            PolicyRecord {
                shelf_life_days: Some(730),
                ..PolicyRecord::open("MT108R".parse().unwrap())
            },
        ]);
        let held = |class| policies.of_part(&bolt, class);
        let steady = held(Some((Abc::C, Xyz::X)));
        assert_eq!((steady.kind, steady.shelf_life_days), (Some(PolicyKind::TwoBins), Some(730)));
        assert_eq!(steady.service.map(|it| it.to_string()).as_deref(), Some("99.9"));
        let unsteady = held(Some((Abc::C, Xyz::Z)));
        assert_eq!(unsteady.kind, Some(PolicyKind::TwoBins));
        assert_eq!(unsteady.service.map(|it| it.to_string()).as_deref(), Some("95"));
        assert_eq!(held(None).kind, None);
    }

    #[test]
    fn texts_read_back_as_they_are_written() {
        for text in ["1000 0.17; 5000 0.12; 10000 0.105", "1 318", ""] {
            assert_eq!(text.parse::<Prices>().unwrap().to_string(), text);
        }
        for text in ["99.9", "98", "99.95", "0.5"] {
            assert_eq!(text.parse::<ServiceLevel>().unwrap().to_string(), text);
        }
        for text in ["100", "0", "99.999", "-1", "9 9", ""] {
            assert!(text.parse::<ServiceLevel>().is_err(), "{text}");
        }
        for text in ["5000 0.12; 1000 0.17", "1000", "1000 0", "1000 0.1234567", "x 1"] {
            assert!(text.parse::<Prices>().is_err(), "{text}");
        }
        for text in ["A", "CX", "MT108R"] {
            assert_eq!(text.parse::<Scope>().unwrap().to_string(), text);
        }
        for text in ["D", "AXX", "XA", "MT108S", ""] {
            assert!(text.parse::<Scope>().is_err(), "{text}");
        }
        let day = |year, month, day| NaiveDate::from_ymd_opt(year, month, day).unwrap();
        let season: YearDay = "10-01".parse().unwrap();
        assert_eq!(season.on_or_after(day(2026, 10, 1)), Some(day(2026, 10, 1)));
        assert_eq!(season.on_or_after(day(2026, 10, 2)), Some(day(2027, 10, 1)));
        assert!("13-01".parse::<YearDay>().is_err() && "1-1".parse::<YearDay>().is_err());
    }
}
