use crate::units::Money;

/// By what a charge is shared among the lines of a delivery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Basis {
    /// What each line cost.
    Value,
    /// What each line weighs.
    Mass,
    /// How many pieces each line has.
    Pieces,
}

impl Basis {
    /// Every basis.
    pub const ALL: [Self; 3] = [Self::Value, Self::Mass, Self::Pieces];

    /// Returns the word that it is stored and shown by.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Value => "value",
            Self::Mass => "mass",
            Self::Pieces => "pieces",
        }
    }

    /// Returns the basis of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|it| it.as_str() == word)
    }
}

/// Returns an amount shared by weights so that the shares add up to it exactly: each gets its part
/// rounded down, and the cents left over go one each to the largest remainders, the first of equals.
/// Weights below zero count as none; with no weight at all, all share alike.
///
/// # Source
///
/// Largest remainder with the quota of Hare, common practice in sharing whole units.
///
/// ```
/// use kitwright::domain::valuation::apportion;
/// use kitwright::units::Money;
/// let shares = apportion(Money::from_cents(100), &[1, 1, 1]);
/// assert_eq!(shares.map(|it| it.iter().map(|it| it.cents()).collect()), Some(vec![34, 33, 33]));
/// assert_eq!(apportion(Money::from_cents(1), &[]), None);
/// ```
pub fn apportion(amount: Money, weights: &[i128]) -> Option<Vec<Money>> {
    if weights.is_empty() {
        return None;
    }
    let weights: Vec<i128> = weights.iter().map(|it| (*it).max(0)).collect();
    let all: i128 = weights.iter().sum();
    let weights = if all == 0 { vec![1; weights.len()] } else { weights };
    let all: i128 = weights.iter().sum();
    let (sign, cents) = (amount.cents().signum(), i128::from(amount.cents()).abs());
    let mut shares: Vec<(i128, i128)> = weights
        .iter()
        .map(|weight| {
            let part = cents.checked_mul(*weight)?;
            Some((part / all, part % all))
        })
        .collect::<Option<_>>()?;
    let left = cents - shares.iter().map(|it| it.0).sum::<i128>();
    let mut order: Vec<usize> = (0..shares.len()).collect();
    order.sort_by_key(|at| std::cmp::Reverse(shares.get(*at).map_or(0, |it| it.1)));
    for at in order.into_iter().take(usize::try_from(left).unwrap_or(0)) {
        if let Some(share) = shares.get_mut(at) {
            share.0 += 1;
        }
    }
    let money = |it: (i128, i128)| i64::try_from(it.0).ok().map(|it| Money::from_cents(sign * it));
    shares.into_iter().map(money).collect()
}
