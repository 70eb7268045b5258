use std::collections::BTreeMap;

use crate::domain::people::Permission;
use crate::exchange::{self, Kind, plan, substitutions};

/// What is entered one record at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecordKind {
    /// Who sells to the shop.
    Supplier,
    /// A place of the house.
    Bin,
    /// A part number, with what is stated of it in rows of fact and value.
    Part,
    /// An air chart, with rows by the rider's mass.
    AirChart,
    /// A text of the catalogue, with a row for each language that it has words in.
    Word,
    /// A rule about two part numbers.
    Rule,
    /// How a part or a class of parts is bought.
    Policy,
    /// The bikes of a kit planned for a month.
    PlannedMonth,
}

impl RecordKind {
    /// Returns the kind of file that holds such records.
    pub const fn file(self) -> Kind {
        match self {
            Self::Supplier => Kind::Suppliers,
            Self::Bin => Kind::Bins,
            Self::Part => Kind::Parts,
            Self::AirChart => Kind::AirCharts,
            Self::Word => Kind::Glossary,
            Self::Rule => Kind::Substitutions,
            Self::Policy => Kind::Policies,
            Self::PlannedMonth => Kind::Plan,
        }
    }

    /// Returns the columns of such a record; of one with several rows, those that the rows share.
    pub const fn columns(self) -> &'static [&'static str] {
        match self {
            Self::Supplier => &exchange::suppliers::COLUMNS,
            Self::Bin => &exchange::bins::COLUMNS,
            Self::Part => &exchange::parts::COLUMNS,
            Self::AirChart => &exchange::air_charts::HEAD,
            Self::Word => &exchange::glossary::HEAD,
            Self::Rule => &exchange::substitutions::COLUMNS,
            Self::Policy => &exchange::policies::COLUMNS,
            Self::PlannedMonth => &exchange::plan::COLUMNS,
        }
    }

    /// Returns the columns of a row, where such a record has rows.
    pub const fn row_columns(self) -> &'static [&'static str] {
        match self {
            Self::Supplier | Self::Bin | Self::Rule | Self::Policy | Self::PlannedMonth => &[],
            Self::Part => &["fact", "value"],
            Self::AirChart => &exchange::air_charts::ROW,
            Self::Word => &exchange::glossary::ROW,
        }
    }

    /// Returns what such a record is called.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Supplier => "supplier",
            Self::Bin => "bin",
            Self::Part => "part number",
            Self::AirChart => "air chart",
            Self::Word => "glossary entry",
            Self::Rule => "rule",
            Self::Policy => "policy",
            Self::PlannedMonth => "planned month",
        }
    }

    /// Returns whether such a record can be taken away: nothing but pages and papers refers to it.
    pub const fn can_go(self) -> bool {
        matches!(self, Self::AirChart | Self::Word | Self::Rule | Self::Policy | Self::PlannedMonth)
    }

    /// Returns what lets a person make, change and take away such records.
    pub const fn permission(self) -> Permission {
        match self {
            Self::Policy | Self::PlannedMonth => Permission::Buy,
            _ => Permission::EditCatalogue,
        }
    }

    /// Returns a record's key as a sentence holds it: words stand in quotes.
    pub fn named(self, key: &str) -> String {
        if self == Self::Word { format!("“{key}”") } else { key.to_owned() }
    }

    /// Returns the columns that make up a record's key, each with its text.
    pub fn of_key(self, key: &str) -> BTreeMap<&'static str, String> {
        match self {
            Self::Rule => {
                let (from, to) = substitutions::of_key(key);
                [("from", from.to_owned()), ("to", to.to_owned())].into()
            }
            Self::PlannedMonth => {
                let (kit, month) = plan::of_key(key);
                [("kit", kit.to_owned()), ("month", month.to_owned())].into()
            }
            _ => self.columns().iter().take(1).map(|it| (*it, key.to_owned())).collect(),
        }
    }
}
