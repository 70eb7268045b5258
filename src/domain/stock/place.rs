/// What a place is for, and whether its balance may fall below zero.
///
/// Outside places balance the inside ones, so that each variant adds up to zero over all places.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PlaceKind {
    /// A bin that orders are served from.
    Bin,
    /// Held until inspected; serves no order.
    Quarantine,
    /// Came back; serves no order.
    Returns,
    /// What has been picked for one kit, on its way to the bench.
    Tote,
    /// A carton of one kit.
    Carton,
    /// Outside: where goods come from.
    Supplier,
    /// Outside: whoever the kits go to.
    Rider,
    /// Outside: thrown away.
    Scrap,
    /// Outside: what a count found more or less than the book said, and the opening stock.
    CountDifference,
    /// Outside: parts used up by making another, and the parts made.
    MadeOrUsedUp,
}

impl PlaceKind {
    /// Every kind.
    pub const ALL: [Self; 10] = [
        Self::Bin,
        Self::Quarantine,
        Self::Returns,
        Self::Tote,
        Self::Carton,
        Self::Supplier,
        Self::Rider,
        Self::Scrap,
        Self::CountDifference,
        Self::MadeOrUsedUp,
    ];

    /// Returns the kind's word, as it is stored and shown.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Bin => "bin",
            Self::Quarantine => "quarantine",
            Self::Returns => "returns",
            Self::Tote => "tote",
            Self::Carton => "carton",
            Self::Supplier => "supplier",
            Self::Rider => "rider",
            Self::Scrap => "scrap",
            Self::CountDifference => "count difference",
            Self::MadeOrUsedUp => "made or used up",
        }
    }

    /// Returns the kind of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.as_str() == word)
    }

    /// Returns whether the place lies outside the house, where balances may be negative.
    pub const fn is_outside(self) -> bool {
        matches!(
            self,
            Self::Supplier | Self::Rider | Self::Scrap | Self::CountDifference | Self::MadeOrUsedUp
        )
    }
}
