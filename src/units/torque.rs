use std::fmt;

use super::band::{Band, Inside};
use super::stated::{Stated, Value};
use super::unit::TorqueUnit;
use super::{Amount, Ratio, Rounding};

/// A torque as stated.
pub type Torque = Stated<TorqueUnit>;

/// A torque as stated, with its band.
pub type TorqueBand = Band<TorqueUnit>;

impl Band<TorqueUnit> {
    /// Returns the whole in·lbf figures that stay inside the band: the low end rounded up, the
    /// high end down. `None` where no whole figure lies inside, or no end was stated.
    pub fn whole_inch_pounds_inside(&self) -> Option<Inside> {
        self.inside(TorqueUnit::InchPound, 0)
    }

    /// Returns the statement in N·m, to so many decimals that stay inside the band.
    pub fn in_newton_metres(&self, places: u32) -> String {
        self.shown_in(TorqueUnit::NewtonMetre, places)
    }

    /// Returns the statement in in·lbf: whole figures inside the band where there are any.
    pub fn in_inch_pounds(&self) -> String {
        self.shown_in(TorqueUnit::InchPound, 0)
    }
}

/// Which figure of two statements differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Figure {
    /// The low ends.
    Low,
    /// The values aimed at.
    Target,
    /// The high ends.
    High,
}

/// Two stated torques of one joint that can't both be right.
///
/// As text it names both in both units, and by how much they differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Disagreement {
    /// The one statement.
    pub first: TorqueBand,
    /// The other.
    pub second: TorqueBand,
    /// Where they differ most.
    pub figure: Figure,
    /// How far apart they are there.
    pub apart: Value<TorqueUnit>,
    /// The difference in percent of the larger figure, to two decimals.
    pub percent: Ratio,
}

impl fmt::Display for Disagreement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let figure = match self.figure {
            Figure::Low => "their low ends ",
            Figure::High => "their high ends ",
            Figure::Target => "they ",
        };
        write!(
            f,
            "'{}' is {}, and '{}' is {}: {figure}differ by {} N·m ({} in·lbf), {} %",
            self.first,
            in_the_other_unit(&self.first),
            self.second,
            in_the_other_unit(&self.second),
            self.apart.newton_metres().significant(4),
            self.apart.inch_pounds().significant(4),
            self.percent.decimal(1, Rounding::Nearest),
        )
    }
}

fn in_the_other_unit(band: &TorqueBand) -> String {
    match band.unit() {
        TorqueUnit::NewtonMetre => band.shown_in(TorqueUnit::InchPound, 2),
        _ => band.shown_in(TorqueUnit::NewtonMetre, 3),
    }
}

/// Statements may differ by the larger figure divided by this: by 1 %.
///
/// # Source
///
/// Common practice, no source: published pairs are rounded to within it.
const PARTS: Ratio = Ratio::constant(100, 1);

/// A last digit in halves of it.
const WHOLE_DIGIT: Ratio = Ratio::constant(2, 1);

/// Returns by how much two stated torques of one joint disagree, or `None` where both can be true.
///
/// Two bands are compared end by end and target by target, two single figures with each other. A
/// single figure has to lie within the other's band, and a band below the other's "at most". Each
/// comparison leaves 1 % of the larger figure. Where the units differ, so that one figure may have
/// been converted from the other, it leaves one of the finer figure's last stated digit if that is
/// more, as an end of a band may have been rounded inwards: 45 in·lbf and 5 N·m agree, 40 in·lbf and
/// 5 N·m do not, nor do 75 in·lbf and 6.2 N·m.
pub fn disagree(first: &TorqueBand, second: &TorqueBand) -> Option<Disagreement> {
    let mut worst: Option<Disagreement> = None;
    let converted = first.unit() != second.unit();
    for (figure, a, b) in comparisons(first, second) {
        let larger = a.value.max(b.value);
        let apart = a.value.apart(b.value);
        let finer = a.rounding.zip(b.rounding).map(|(a, b)| a.min(b)).filter(|_| converted);
        let rounding = finer.and_then(|it| it.times(WHOLE_DIGIT));
        // What is too fine to be computed agrees with nothing, so that a person looks at it.
        let near = |it: Value<TorqueUnit>| it.times(PARTS).is_some_and(|it| it <= larger);
        if apart.is_some_and(|it| near(it) || Some(it) <= rounding) {
            continue;
        }
        let apart = apart.unwrap_or(larger);
        let percent = percent(apart, larger);
        if worst.is_none_or(|it| it.percent < percent) {
            worst = Some(Disagreement { first: *first, second: *second, figure, apart, percent });
        }
    }
    worst
}

/// One figure, and how far off it may be by having been rounded to its last digit.
#[derive(Clone, Copy)]
struct Rounded {
    value: Value<TorqueUnit>,
    rounding: Option<Value<TorqueUnit>>,
}

/// The figures of one statement.
struct Figures {
    low: Option<Rounded>,
    target: Option<Rounded>,
    high: Option<Rounded>,
}

fn figures(band: &TorqueBand) -> Figures {
    let (low, target, high) = band.stated();
    let rounded = |value: Option<Value<TorqueUnit>>, amount: Option<Amount>| {
        let rounding = amount.and_then(|it| Value::new(it.half_digit(), band.unit()));
        value.map(|value| Rounded { value, rounding })
    };
    Figures {
        low: rounded(band.low(), low),
        target: rounded(band.target(), target),
        high: rounded(band.high(), high),
    }
}

/// Returns the pairs of figures that have to agree.
fn comparisons(first: &TorqueBand, second: &TorqueBand) -> Vec<(Figure, Rounded, Rounded)> {
    let (a, b) = (figures(first), figures(second));
    let ends = |it: &Figures| (it.low.is_some(), it.high.is_some());
    let pairs = match (ends(&a), ends(&b)) {
        (ours, theirs) if ours == theirs => vec![
            (Figure::Low, a.low.zip(b.low)),
            (Figure::Target, a.target.zip(b.target)),
            (Figure::High, a.high.zip(b.high)),
        ],
        ((false, false), _) => outside(a.target, &b),
        (_, (false, false)) => outside(b.target, &a),
        ((_, true), (_, true)) => narrower_high(&a, &b),
        ((true, _), (true, _)) => narrower_low(&a, &b),
        ((true, _), _) => vec![(Figure::Low, beyond(a.low, b.high))],
        (_, _) => vec![(Figure::Low, beyond(b.low, a.high))],
    };
    pairs.into_iter().filter_map(|(figure, pair)| pair.map(|(a, b)| (figure, a, b))).collect()
}

type Pair = (Figure, Option<(Rounded, Rounded)>);

/// Returns both figures where the one lies above its limit.
fn beyond(figure: Option<Rounded>, limit: Option<Rounded>) -> Option<(Rounded, Rounded)> {
    figure.zip(limit).filter(|(figure, limit)| limit.value < figure.value)
}

/// A figure alone has to lie within a band.
fn outside(target: Option<Rounded>, band: &Figures) -> Vec<Pair> {
    vec![(Figure::Low, beyond(band.low, target)), (Figure::High, beyond(target, band.high))]
}

/// One of the two is "at most", and the other's high end has to keep to it.
fn narrower_high(a: &Figures, b: &Figures) -> Vec<Pair> {
    let (band, limit) = if a.low.is_some() { (a, b) } else { (b, a) };
    vec![(Figure::High, beyond(band.high, limit.high))]
}

/// One of the two is "at least", and the other's low end has to keep to it.
fn narrower_low(a: &Figures, b: &Figures) -> Vec<Pair> {
    let (band, limit) = if a.high.is_some() { (a, b) } else { (b, a) };
    vec![(Figure::Low, beyond(limit.low, band.low))]
}

fn percent(part: Value<TorqueUnit>, whole: Value<TorqueUnit>) -> Ratio {
    let nano = |it: Value<TorqueUnit>| it.newton_metres().parts(9, Rounding::Nearest);
    let hundredths = nano(part).zip(nano(whole)).and_then(|(part, whole)| {
        Ratio::new(part.checked_mul(100)?, whole)?.parts(2, Rounding::Nearest)
    });
    hundredths.and_then(|it| Ratio::new(it, 100)).unwrap_or(Ratio::constant(100, 1))
}

/// Whether a preset torque key may be used on a joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeyFit {
    /// The key's target, give or take its own tolerance, lies inside the joint's band.
    Fits,
    /// It may turn the bolt less tight than the band's low end, or tighter than its high end.
    Outside {
        /// By how much it may stay below the low end.
        below: Option<Value<TorqueUnit>>,
        /// By how much it may pass the high end.
        above: Option<Value<TorqueUnit>>,
    },
    /// The key's tolerance is not stated, so nobody can say.
    NoTolerance,
    /// The joint's band is not stated, so nobody can say.
    NoBand,
}

/// Returns whether a preset key, such as "5.5 N·m ± 6 %", may be used on a joint.
///
/// The whole of the key's band has to lie inside the joint's; the target alone is not enough.
pub fn key_fit(key: &TorqueBand, joint: &TorqueBand) -> KeyFit {
    let (Some(weakest), Some(strongest)) = (key.low(), key.high()) else {
        return KeyFit::NoTolerance;
    };
    if !joint.has_ends() {
        return KeyFit::NoBand;
    }
    let below = joint.low().filter(|low| weakest < *low).and_then(|low| low.apart(weakest));
    let above = joint.high().filter(|it| *it < strongest).and_then(|it| it.apart(strongest));
    match (below, above) {
        (None, None) => KeyFit::Fits,
        (below, above) => KeyFit::Outside { below, above },
    }
}

/// How a published conversion compares with the exact one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PrintedCheck {
    /// The difference as a share of the printed figure.
    pub relative_difference: Ratio,
    /// Whether the difference is no more than half of the printed figure's last digit.
    pub within_printed_digits: bool,
}

/// Returns how a printed figure compares with the one that it was converted from; `None` where it
/// is zero, or too fine to be computed.
pub fn check_printed(original: &Torque, printed: &Torque) -> Option<PrintedCheck> {
    let apart = original.value().apart(printed.value())?;
    let relative_difference = apart.newton_metres().over(printed.value().newton_metres())?;
    let within_printed_digits = apart <= printed.half_digit()?;
    Some(PrintedCheck { relative_difference, within_printed_digits })
}
