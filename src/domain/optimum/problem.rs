/// What one limit takes of each choice, and how much there is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limit {
    /// The choice, and how much of the limit it takes.
    pub takes: Vec<(usize, i64)>,
    /// How much all chosen together may take.
    pub most: i64,
}

/// Choices, each taken whole or not at all, under limits.
///
/// What counts is told in stages: of all that reach the best of the first stage, those that reach
/// the best of the second, and so on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    pub(super) choices: usize,
    pub(super) limits: Vec<Limit>,
    pub(super) stages: Vec<Vec<i64>>,
}

/// Why a problem can't be computed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ProblemError {
    /// A number below zero, or so large that sums of it might not be exact.
    #[error("{what} is {value}: it must lie between 0 and {most}")]
    Range {
        /// Which number, in words.
        what: &'static str,
        /// What it is.
        value: i64,
        /// The most it may be.
        most: i64,
    },
    /// A limit or a stage that does not go with the choices.
    #[error("{what} has {count} numbers for {choices} choices")]
    Length {
        /// What does not go with them.
        what: &'static str,
        /// How many numbers it has.
        count: usize,
        /// How many choices there are.
        choices: usize,
    },
    /// More than is computed in one go.
    #[error("{choices} choices under {limits} limits are more than are computed in one go")]
    TooMany {
        /// How many choices there are.
        choices: usize,
        /// How many limits there are.
        limits: usize,
    },
}

impl ProblemError {
    /// Returns the code that tells a program what is wrong.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Range { .. } => "optimum.range",
            Self::Length { .. } => "optimum.length",
            Self::TooMany { .. } => "optimum.too_many",
        }
    }
}

/// The most that a number of a problem may be. Sums of products then stay exact in 128 bits.
const MOST: i64 = 1_000_000_000;

/// The most entries of a dense table.
const MOST_ENTRIES: usize = 4_000_000;

impl Problem {
    /// Returns a problem whose numbers can be computed with exactly.
    ///
    /// # Errors
    ///
    /// [`ProblemError`] when a number is below zero or above a thousand million, when a stage does
    /// not value each choice, or when a limit names a choice that is not there.
    pub fn new(
        choices: usize,
        limits: Vec<Limit>,
        stages: Vec<Vec<i64>>,
    ) -> Result<Self, ProblemError> {
        if MOST_ENTRIES < choices.saturating_mul(limits.len() + 1) {
            return Err(ProblemError::TooMany { choices, limits: limits.len() });
        }
        for limit in &limits {
            in_range("a limit", limit.most)?;
            for (choice, takes) in &limit.takes {
                in_range("what a choice takes", *takes)?;
                if choices <= *choice {
                    return Err(ProblemError::Length {
                        what: "a limit",
                        count: choice + 1,
                        choices,
                    });
                }
            }
        }
        for stage in &stages {
            if stage.len() != choices {
                return Err(ProblemError::Length { what: "a stage", count: stage.len(), choices });
            }
            stage.iter().try_for_each(|it| in_range("what a choice is worth", *it))?;
        }
        Ok(Self { choices, limits, stages })
    }

    /// Returns whether a choice keeps every limit.
    pub fn allows(&self, chosen: &[bool]) -> bool {
        let is_chosen = |at: usize| chosen.get(at).copied().unwrap_or_default();
        self.limits.iter().all(|limit| {
            let taken: i64 = limit.takes.iter().filter(|it| is_chosen(it.0)).map(|it| it.1).sum();
            taken <= limit.most
        })
    }

    /// Returns what a choice is worth in each stage.
    pub fn worth(&self, chosen: &[bool]) -> Vec<i64> {
        self.stages
            .iter()
            .map(|stage| stage.iter().zip(chosen).filter(|it| *it.1).map(|it| it.0).sum())
            .collect()
    }
}

fn in_range(what: &'static str, value: i64) -> Result<(), ProblemError> {
    if (0..=MOST).contains(&value) {
        return Ok(());
    }
    Err(ProblemError::Range { what, value, most: MOST })
}
