use crate::units::Quantity;

/// How large a planned order is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum LotRule {
    /// Exactly what is lacking.
    #[default]
    LotForLot,
    /// Whole packs, and not below a minimum.
    Packs {
        /// The least that is ordered at once.
        minimum: Quantity,
        /// Pieces in one pack.
        pack: Quantity,
    },
    /// What is lacking in so many periods, the first counted.
    Periods(usize),
}

impl LotRule {
    /// Returns the order for what is lacking, where `later` is what each period after it lacks by
    /// itself.
    pub(super) fn order(self, lacking: i64, later: impl Iterator<Item = i64>) -> Option<i64> {
        match self {
            Self::LotForLot => Some(lacking),
            Self::Packs { minimum, pack } => {
                let whole = Quantity::new(lacking).max(minimum).in_packs_of(pack).pieces();
                Some(whole).filter(|it| lacking <= *it)
            }
            Self::Periods(count) => {
                let mut later = later.take(count.saturating_sub(1));
                later.try_fold(lacking, i64::checked_add)
            }
        }
    }
}
