use chrono::NaiveDate;

use crate::domain::gs1::{Element, GS, Gtin, Meaning, expand_upc_e, meaning};
use crate::units::Quantity;

use super::identifier::{self, Field};

/// One thing that a label says, with the name that its standard gives it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// The identifier as it is written: "(10)" or "1T".
    pub identifier: String,
    /// The data title.
    pub title: String,
    /// The value as it is encoded.
    pub value: String,
}

/// What a label of another maker says of the goods that it is on, whatever its standard.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Label {
    /// The article number, filled up to 14 digits.
    pub gtin: Option<String>,
    /// The maker's or supplier's own item numbers.
    pub items: Vec<String>,
    /// Numbers by which we, the customer, are said to know the item.
    pub ours: Vec<String>,
    /// The lot.
    pub lot: Option<String>,
    /// The serial number.
    pub serial: Option<String>,
    /// The last day of use.
    pub use_by: Option<NaiveDate>,
    /// How many pieces.
    pub count: Option<Quantity>,
    /// Our order, as the supplier writes it.
    pub order: Option<String>,
    /// The number of the box or pallet.
    pub unit: Option<String>,
    /// Everything it says, in order.
    pub said: Vec<Said>,
}

impl Label {
    /// Returns what GS1 elements say. `year` is the current one.
    pub(super) fn of_elements(elements: &[Element], year: i32) -> Self {
        let mut label = Self::default();
        for it in elements {
            let value = || Some(it.value.clone());
            match (it.ai.as_str(), meaning(it, year)) {
                ("01" | "02" | "03", _) => label.gtin = value(),
                ("8006" | "8026", _) => label.gtin = it.value.get(..14).map(str::to_owned),
                ("240", _) => label.items.push(it.value.clone()),
                ("241", _) => label.ours.push(it.value.clone()),
                ("10", _) => label.lot = value(),
                ("21", _) => label.serial = value(),
                ("400", _) => label.order = value(),
                ("00", _) => label.unit = value(),
                ("17", Meaning::Days(day, _)) => label.use_by = Some(day),
                ("7003", Meaning::Moment(at)) => label.use_by = Some(at.date()),
                ("30" | "37", Meaning::Count(count)) => label.count = quantity(count),
                _ => {}
            }
            label.said.push(Said {
                identifier: format!("({})", it.ai),
                title: it.title().to_owned(),
                value: it.value.clone(),
            });
        }
        label
    }

    /// Returns what a bare article number says.
    pub(super) fn of_gtin(gtin: &Gtin) -> Self {
        let title = format!("GTIN-{}", gtin.as_str().len());
        let said = Said { identifier: String::new(), title, value: gtin.to_string() };
        Self { gtin: Some(gtin.to_14()), said: vec![said], ..Self::default() }
    }

    /// Adds what a field with a data identifier says.
    pub(super) fn add(&mut self, field: &Field<'_>) {
        let value = || Some(field.value.to_owned());
        match field.identifier {
            "P" => self.ours.push(field.value.to_owned()),
            "1P" | "30P" => self.items.push(field.value.to_owned()),
            "1T" | "T" => self.lot = value(),
            "S" | "1S" => self.serial = value(),
            "Q" => self.count = field.value.parse().ok().and_then(quantity),
            "K" => self.order = value(),
            "3S" | "4S" | "J" | "1J" | "2J" | "3J" | "4J" | "5J" | "6J" => self.unit = value(),
            "14D" => self.use_by = identifier::day(field.value),
            _ => {}
        }
        self.said.push(Said {
            identifier: field.identifier.to_owned(),
            title: field.title.to_owned(),
            value: field.value.to_owned(),
        });
    }

    /// Returns what several labels of the same goods say together; the later word counts.
    #[must_use]
    pub fn and(mut self, later: Self) -> Self {
        let items = if later.items.is_empty() { self.items } else { later.items };
        let ours = if later.ours.is_empty() { self.ours } else { later.ours };
        self.said.extend(later.said);
        Self {
            gtin: later.gtin.or(self.gtin),
            items,
            ours,
            lot: later.lot.or(self.lot),
            serial: later.serial.or(self.serial),
            use_by: later.use_by.or(self.use_by),
            count: later.count.or(self.count),
            order: later.order.or(self.order),
            unit: later.unit.or(self.unit),
            said: self.said,
        }
    }

    /// Returns the label in words: "BATCH/LOT 7731, COUNT 24".
    pub fn words(&self) -> String {
        let one = |it: &Said| match it.title.as_str() {
            "" => format!("{} {}", it.identifier, it.value),
            title => format!("{title} {}", it.value),
        };
        self.said.iter().map(one).collect::<Vec<_>>().join(", ")
    }

    /// Returns whether the label says which goods it is on, and not only how many or which lot.
    pub fn names_goods(&self) -> bool {
        self.gtin.is_some() || !self.items.is_empty() || !self.ours.is_empty()
    }
}

fn quantity(count: u64) -> Option<Quantity> {
    i64::try_from(count).ok().map(Quantity::new)
}

/// Returns the article number that digits without any identifier may be, a UPC-E expanded.
pub(super) fn article(digits: &str) -> Option<Gtin> {
    match expand_upc_e(digits) {
        Some(long) => long.parse().ok(),
        None => digits.parse().ok(),
    }
}

/// Returns whether a text without a symbology identifier begins as an element string would: an
/// article, its content or a logistic unit with a right check digit, and more behind it.
pub(super) fn looks_like_elements(text: &str) -> bool {
    if text.contains(GS) {
        return true;
    }
    let right = |length: usize| {
        let number = text.get(2..2 + length).unwrap_or_default();
        let mut body = number.chars();
        let last = body.next_back();
        last.is_some() && crate::domain::gs1::check_digit(body.as_str()) == last
    };
    (text.starts_with("01") || text.starts_with("02")) && right(14)
        || text.starts_with("00") && right(18)
}
