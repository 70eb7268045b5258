use std::fmt;
use std::str::FromStr;

/// A kind of file that the shop reads and writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Who sells to the shop.
    Suppliers,
    /// The places of the house.
    Bins,
    /// The catalogue.
    Parts,
    /// Bills of materials.
    Kits,
    /// What the catalogue's words are called in other languages.
    Glossary,
    /// Which pressure for which rider.
    AirCharts,
    /// Which part may stand in for which, and which takes another's place.
    Substitutions,
    /// How each part or class of parts is bought.
    Policies,
    /// The bikes planned for each month.
    Plan,
    /// What was used of each part before these books began.
    DemandHistory,
    /// What lies where.
    Stock,
    /// What riders and dealers have ordered.
    Orders,
    /// What the shop has ordered.
    PurchaseOrders,
}

impl Kind {
    /// Returns all kinds, in an order in which each refers only to those before it.
    pub const ALL: [Self; 13] = [
        Self::Suppliers,
        Self::Bins,
        Self::Parts,
        Self::Kits,
        Self::Glossary,
        Self::AirCharts,
        Self::Substitutions,
        Self::Policies,
        Self::Plan,
        Self::DemandHistory,
        Self::Stock,
        Self::Orders,
        Self::PurchaseOrders,
    ];

    /// Returns the word for the kind on the command line and in addresses.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Suppliers => "suppliers",
            Self::Bins => "bins",
            Self::Parts => "parts",
            Self::Kits => "kits",
            Self::Glossary => "glossary",
            Self::AirCharts => "air-charts",
            Self::Substitutions => "substitutions",
            Self::Policies => "policies",
            Self::Plan => "plan",
            Self::DemandHistory => "demand-history",
            Self::Stock => "stock",
            Self::Orders => "orders",
            Self::PurchaseOrders => "purchase-orders",
        }
    }
}

/// A word that names no kind of file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "'{0}' is no kind of file: write one of parts, suppliers, bins, stock, kits, glossary, \
     air-charts, substitutions, policies, plan, demand-history, orders, purchase-orders"
)]
pub struct UnknownKind(pub String);

impl FromStr for Kind {
    type Err = UnknownKind;

    fn from_str(text: &str) -> Result<Self, UnknownKind> {
        let known = Self::ALL.into_iter().find(|it| it.as_str() == text);
        known.ok_or_else(|| UnknownKind(text.to_owned()))
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}
