use crate::domain::statistics::{StatisticsError, at_least_zero, finite, share};

/// How much of a year's spend a part is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Abc {
    /// The few that are most of it.
    A,
    /// Those between.
    B,
    /// The many that are little of it.
    C,
}

impl Abc {
    /// Every class.
    pub const ALL: [Self; 3] = [Self::A, Self::B, Self::C];

    /// Returns whether a letter is the class's.
    pub fn is(self, letter: char) -> bool {
        self.name().starts_with(letter)
    }

    /// Returns the class's letter.
    pub const fn name(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
        }
    }
}

/// A part's place among all by what is spent on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranked {
    /// Its place in the list that was given, from 0.
    pub at: usize,
    /// The share of all that it and those before it make up.
    pub up_to: f64,
    /// Its class where the parts before it decide: A as long as they stay below the first cut. The
    /// greatest part is always an A.
    pub by_share_before: Abc,
    /// Its class where it counts itself: A as long as it does not pass the first cut.
    pub by_share_after: Abc,
}

/// The most parts that are ranked at once.
const MOST: usize = 1_000_000;

/// Returns the parts in the order of what a year of them costs, most first, with their classes by
/// both customary rules; parts that cost alike stay in the order given.
///
/// `cuts` are the shares of the whole where A and B end, such as 0.8 and 0.95.
///
/// # Errors
///
/// [`StatisticsError`] when a cost is below zero, all are zero, or the cuts do not rise.
///
/// # Source
///
/// Silver, Pyke & Thomas, *Inventory and Production Management in Supply Chains*, 4th ed., §2.4.
pub fn rank_by_spend(
    costs: &[f64],
    (first, second): (f64, f64),
) -> Result<Vec<Ranked>, StatisticsError> {
    let (first, second) = (share("the first cut", first)?, share("the second cut", second)?);
    if second < first {
        return Err(StatisticsError::Contradiction("the second cut must not be below the first"));
    }
    if MOST < costs.len() {
        let count = u64::try_from(costs.len()).unwrap_or(u64::MAX);
        return Err(StatisticsError::TooMany { what: "parts", count, most: 1_000_000 });
    }
    costs.iter().try_for_each(|it| at_least_zero("a year's cost", *it).map(|_| ()))?;
    let total = finite("the total", costs.iter().sum())?;
    if total <= 0.0 {
        return Err(StatisticsError::Contradiction(
            "no part costs anything, so none can be ranked",
        ));
    }
    let mut order: Vec<(usize, f64)> = costs.iter().copied().enumerate().collect();
    order.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut sum = 0.0;
    let rank = |(at, cost): (usize, f64)| {
        let before = sum / total;
        sum += cost;
        let up_to = sum / total;
        // The last digit of a sum of shares decides nothing.
        let slack = 1e-12;
        let class = |a: bool, b: bool| match (a, b) {
            (true, _) => Abc::A,
            (false, true) => Abc::B,
            (false, false) => Abc::C,
        };
        Ranked {
            at,
            up_to,
            by_share_before: class(before < first - slack, before < second - slack),
            by_share_after: class(up_to <= first + slack, up_to <= second + slack),
        }
    };
    Ok(order.into_iter().map(rank).collect())
}

/// How steady demand is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Xyz {
    /// Steady.
    X,
    /// Between.
    Y,
    /// Unsteady.
    Z,
}

impl Xyz {
    /// Every class.
    pub const ALL: [Self; 3] = [Self::X, Self::Y, Self::Z];

    /// Returns whether a letter is the class's.
    pub fn is(self, letter: char) -> bool {
        self.name().starts_with(letter)
    }

    /// Returns the class's letter.
    pub const fn name(self) -> &'static str {
        match self {
            Self::X => "X",
            Self::Y => "Y",
            Self::Z => "Z",
        }
    }
}

/// The coefficients of variation at which X and Y end.
///
/// # Source
///
/// Common practice, no source.
pub const XYZ_CUTS: (f64, f64) = (0.5, 1.0);

/// Returns how steady demand is, by its standard deviation over its mean, both of one period;
/// demand of nothing is unsteady.
///
/// # Errors
///
/// [`StatisticsError`] when a figure is below zero.
pub fn steadiness(mean: f64, sd: f64, cuts: (f64, f64)) -> Result<Xyz, StatisticsError> {
    let mean = at_least_zero("the mean demand", mean)?;
    let sd = at_least_zero("the standard deviation of demand", sd)?;
    Ok(match sd / mean {
        it if it <= cuts.0 => Xyz::X,
        it if it <= cuts.1 => Xyz::Y,
        _ => Xyz::Z,
    })
}
