use std::collections::BTreeMap;

use super::FitError;
use crate::units::Length;

/// The most kinds of spacers that are looked through.
const MOST_HEIGHTS: usize = 40;
/// The most pieces in one stack that are looked through.
const MOST_PIECES: u32 = 24;
/// The largest table of reachable heights that is built.
const MOST_CELLS: usize = 40_000_000;
/// The most combinations that are listed.
const MOST_LISTED: usize = 1_000;
/// A total that no spacers make.
const OUT_OF_REACH: u8 = u8::MAX;

/// How tolerances are added up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToleranceRule {
    /// Not at all: nominal measures only.
    Nominal,
    /// All at their worst end at once: the plain sum.
    WorstCase,
    /// As independent deviations: the root of the sum of their squares.
    RootSumSquare,
}

impl ToleranceRule {
    /// Returns the rule in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Nominal => "nominal measures",
            Self::WorstCase => "worst-case sum",
            Self::RootSumSquare => "root-sum-square",
        }
    }
}

/// How far the measures may be off, each to either side.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tolerances {
    /// One for each thing in the stack but spacers: the cut, the head tube, each headset stack.
    pub parts: Vec<Length>,
    /// Of each spacer.
    pub spacer: Length,
}

impl Tolerances {
    /// Returns how far a stack with that many spacers may be off, to either side. The root is
    /// rounded up to the next µm, so that a verdict with it equals one of squares.
    pub fn room(&self, pieces: u32, rule: ToleranceRule) -> Length {
        let pieces = i64::from(pieces);
        match rule {
            ToleranceRule::Nominal => Length::ZERO,
            ToleranceRule::WorstCase => {
                self.parts.iter().fold(self.spacer.times(pieces), |sum, it| sum.plus(*it))
            }
            ToleranceRule::RootSumSquare => {
                let square = |it: &Length| it.micrometres().saturating_mul(it.micrometres());
                let spacers = square(&self.spacer).saturating_mul(pieces);
                let sum = self.parts.iter().map(square).fold(spacers, i64::saturating_add);
                let root = sum.isqrt();
                let exact = root.saturating_mul(root) == sum;
                Length::from_micrometres(if exact { root } else { root + 1 })
            }
        }
    }
}

/// The limits of what stays free under the cap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Clearance {
    /// The least.
    pub least: Length,
    /// The most.
    pub most: Length,
}

impl Clearance {
    /// Returns the usual limits, 2 to 5 mm.
    ///
    /// # Source
    ///
    /// ISO 4210-2, 4.7.4 for the most; the least is common practice, no source.
    pub const USUAL: Self =
        Self { least: Length::from_micrometres(2_000), most: Length::from_micrometres(5_000) };
}

/// Spacers of one height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SpacerStock {
    /// The height.
    pub height: Length,
    /// How many there are; as many as wanted where none is said.
    pub count: Option<u32>,
}

/// Which spacers are looked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpacerQuestion {
    /// How far the steerer stands above all that it carries but spacers.
    pub exposure: Length,
    /// What may stay free under the cap.
    pub clearance: Clearance,
    /// The spacers there are.
    pub stock: Vec<SpacerStock>,
    /// The most pieces in one stack.
    pub most_pieces: u32,
    /// How far measures may be off.
    pub tolerances: Tolerances,
    /// How that adds up.
    pub rule: ToleranceRule,
}

/// The stacks that a question allows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpacerChoice {
    /// The least total height, nominal, before tolerances; not below zero.
    pub least: Length,
    /// The greatest total height, nominal, before tolerances; below zero where the steerer ends too
    /// low even without spacers.
    pub most: Length,
    /// Each stack once, tallest spacer first in it: those of fewest pieces first, then those
    /// nearest the middle of the limits, then those of taller spacers.
    pub stacks: Vec<Vec<Length>>,
    /// Whether there are more than the list holds.
    pub more: bool,
}

/// Returns every stack of spacers whose clearance under the cap stays within the limits.
///
/// # Errors
///
/// [`FitError::TooMany`] past what is looked through, [`FitError::NoHeight`] for a spacer without a
/// height and [`FitError::Reversed`] for limits that are the wrong way round.
pub fn choose_spacers(question: &SpacerQuestion) -> Result<SpacerChoice, FitError> {
    let limits = question.clearance;
    if limits.most < limits.least {
        let (low, high) = (limits.least, limits.most);
        return Err(FitError::Reversed { what: "clearance", low, high });
    }
    let (least, most) = (question.exposure.plus(limits.least), question.exposure.plus(limits.most));
    let table = Table::of(question, most)?;
    let (mut stacks, mut more) = (Vec::new(), false);
    for pieces in 0..=question.most_pieces {
        let room = question.tolerances.room(pieces, question.rule);
        let (low, high) = (least.plus(room).max(Length::ZERO), most.less(room));
        for total in table.totals_from_the_middle(low, high) {
            more |= !table.list(total, pieces, &mut stacks);
        }
    }
    Ok(SpacerChoice { least: least.max(Length::ZERO), most, stacks, more })
}

/// For the spacers from each height on, and each number of pieces: which totals can be made.
///
/// A cell holds how few spacers of that height the total needs, or [`OUT_OF_REACH`]; so a height's
/// count is kept without trying its copies one by one.
struct Table {
    heights: Vec<(usize, u32)>,
    step: i64,
    pieces: usize,
    width: usize,
    /// One level for each height, and a last one of no spacers at all.
    levels: Vec<Vec<u8>>,
}

impl Table {
    fn of(question: &SpacerQuestion, most: Length) -> Result<Self, FitError> {
        let heights = by_height(&question.stock)?;
        if MOST_PIECES < question.most_pieces {
            let most = usize::try_from(MOST_PIECES).unwrap_or(0);
            return Err(FitError::TooMany { what: "pieces in a stack", most });
        }
        let step = heights.keys().fold(0, |step, it| divisor(step, *it)).max(1);
        let too_fine = FitError::TooMany { what: "table cells", most: MOST_CELLS };
        let size = |it: i64| usize::try_from(it).map_err(|_| too_fine.clone());
        let pieces = size(i64::from(question.most_pieces))?;
        let width = size(most.micrometres().max(0) / step)?.saturating_add(1);
        let cells = width.saturating_mul(pieces + 1).saturating_mul(heights.len() + 1);
        if MOST_CELLS < cells {
            return Err(too_fine);
        }
        let heights = heights.into_iter().rev();
        let heights = heights
            .map(|(height, count)| Ok((size(height / step)?, count)))
            .collect::<Result<Vec<_>, FitError>>()?;
        let mut table = Self { heights, step, pieces, width, levels: Vec::new() };
        table.fill();
        Ok(table)
    }

    /// Builds the levels from the last height back to the first.
    fn fill(&mut self) {
        let mut last = vec![OUT_OF_REACH; (self.pieces + 1) * self.width];
        if let Some(nothing) = last.first_mut() {
            *nothing = 0;
        }
        self.levels.push(last);
        for (height, count) in self.heights.iter().rev() {
            let Some(below) = self.levels.last() else { return };
            let mut level: Vec<u8> =
                below.iter().map(|it| if *it == OUT_OF_REACH { *it } else { 0 }).collect();
            // One piece more and its height more is this far along in the level.
            let one_more = self.width + height;
            for at in one_more..level.len() {
                let total = at % self.width;
                let fewer = level.get(at - one_more).copied().unwrap_or(OUT_OF_REACH);
                let more = u32::from(fewer) + 1;
                let reached = *height <= total && fewer != OUT_OF_REACH && more <= *count;
                if let Some(cell) = level.get_mut(at).filter(|it| reached && **it == OUT_OF_REACH) {
                    *cell = fewer + 1;
                }
            }
            self.levels.push(level);
        }
        self.levels.reverse();
    }

    fn reaches(&self, level: usize, pieces: usize, total: usize) -> bool {
        let cell = self.levels.get(level).and_then(|it| it.get(pieces * self.width + total));
        cell.is_some_and(|it| *it != OUT_OF_REACH)
    }

    /// Returns the totals on the spacers' common step between two heights, nearest the middle first
    /// and the lower of two that are as near.
    fn totals_from_the_middle(&self, low: Length, high: Length) -> Vec<usize> {
        let (low, high) = (low.micrometres(), high.micrometres());
        if high < low {
            return Vec::new();
        }
        let first = low / self.step + i64::from(low % self.step != 0);
        let mut totals: Vec<i64> = (first..=high / self.step).collect();
        totals.sort_by_key(|it| ((2 * it * self.step - low - high).abs(), *it));
        totals.into_iter().filter_map(|it| usize::try_from(it).ok()).collect()
    }

    /// Adds every stack of that total and number of pieces; returns whether all were added.
    fn list(&self, total: usize, pieces: u32, stacks: &mut Vec<Vec<Length>>) -> bool {
        let pieces = usize::try_from(pieces).unwrap_or(usize::MAX);
        self.list_from(0, pieces, total, &mut Vec::new(), stacks)
    }

    fn list_from(
        &self,
        level: usize,
        pieces: usize,
        total: usize,
        taken: &mut Vec<Length>,
        stacks: &mut Vec<Vec<Length>>,
    ) -> bool {
        if pieces > self.pieces || total >= self.width || !self.reaches(level, pieces, total) {
            return true;
        }
        let Some((height, count)) = self.heights.get(level) else {
            if stacks.len() == MOST_LISTED {
                return false;
            }
            stacks.push(taken.clone());
            return true;
        };
        let most = usize::try_from(*count).unwrap_or(pieces).min(pieces).min(total / height);
        let start = taken.len();
        let one = Length::from_micrometres(self.step).times(i64::try_from(*height).unwrap_or(0));
        let mut all = true;
        for copies in (0..=most).rev() {
            taken.truncate(start);
            taken.extend(std::iter::repeat_n(one, copies));
            let left = total - copies * height;
            all = all && self.list_from(level + 1, pieces - copies, left, taken, stacks);
        }
        taken.truncate(start);
        all
    }
}

/// Returns how many spacers of each height there are, in µm, with stocks of one height added up.
fn by_height(stock: &[SpacerStock]) -> Result<BTreeMap<i64, u32>, FitError> {
    let mut heights = BTreeMap::new();
    for it in stock {
        if it.height <= Length::ZERO {
            return Err(FitError::NoHeight);
        }
        let count: &mut u32 = heights.entry(it.height.micrometres()).or_default();
        *count = count.saturating_add(it.count.unwrap_or(u32::MAX));
    }
    if MOST_HEIGHTS < heights.len() {
        return Err(FitError::TooMany { what: "heights", most: MOST_HEIGHTS });
    }
    Ok(heights)
}

fn divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { divisor(b, a % b) }
}
