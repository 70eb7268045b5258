use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate};

use super::history::MOST_LEVELS;
use super::{Mix, Month, PlanError, Plans, Used};
use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::kits::{Bom, KitError, OptionDef, contents, resolve};

/// Chance from a seed: the same seed rolls the same, on every machine.
///
/// # Source
///
/// SplitMix64: G. L. Steele, D. Lea & C. H. Flood, *Fast splittable pseudorandom number generators*,
/// OOPSLA 2014.
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    /// Returns dice that roll by a seed.
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Returns the next 64 bits.
    pub const fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        bits ^ (bits >> 31)
    }

    /// Returns a whole number from 0 up to but without `end`; 0 where there is none.
    pub fn below(&mut self, end: i64) -> i64 {
        let end = u64::try_from(end.max(1)).unwrap_or(1);
        i64::try_from(self.roll() % end).unwrap_or(0)
    }

    /// Returns whether something happens that does in so many of a thousand cases.
    pub fn happens(&mut self, per_mille: i64) -> bool {
        self.below(1000) < per_mille
    }

    /// Returns a whole number around `mean` with the standard deviation `sd`, both in tenths; never
    /// below zero. Twelve rolls added up are near enough to normal for invented days.
    pub fn around(&mut self, mean_tenths: i64, sd_tenths: i64) -> i64 {
        let sum: i64 = (0..12).map(|_| self.below(1001)).sum();
        let tenths = mean_tenths + (sum - 6000) * sd_tenths / 1000;
        ((tenths + 5).div_euclid(10)).max(0)
    }
}

/// How a part is used beside the bikes.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Habit {
    /// Of a thousand pieces in bikes, so many are sold again as spares.
    pub spares_per_mille: i64,
    /// Of a thousand pieces in bikes, so many are lost, broken or miscounted.
    pub lost_per_mille: i64,
    /// In so many of a thousand months, one to three are sold that no bike asked for.
    pub alone_per_mille: i64,
}

/// What was used of each part, day by day.
pub type UsedByDay = BTreeMap<PartNumber, BTreeMap<NaiveDate, Used>>;

/// Returns what invented days from `from` up to but without `until` use of each part: bike by bike,
/// each with options by the mix of the plan, as many in a month as are planned for that month of the
/// year, give or take 7 %. A bag counts for itself and for all that it holds.
///
/// # Errors
///
/// [`PlanError`] when a kit is not there or does not lay out.
pub fn invent(
    plans: &Plans,
    (boms, variants): (&BTreeMap<String, Bom>, &[Variant]),
    (from, until): (NaiveDate, NaiveDate),
    habit: impl Fn(&PartNumber) -> Habit,
    seed: u64,
) -> Result<UsedByDay, PlanError> {
    let mut dice = Dice::new(seed);
    let mut used = UsedByDay::new();
    let months = std::iter::successors(Some(Month::of(from)), |it| Some(it.next()));
    let months: Vec<Month> = months.take_while(|it| it.first_day() < until).collect();
    for (kit, planned) in plans.kits() {
        let bom = boms.get(kit).ok_or_else(|| KitError::UnknownKit { kit: kit.to_owned() })?;
        let mut laid = BTreeMap::new();
        for month in &months {
            let alike = |it: &&Month| it.first_day().month() == month.first_day().month();
            let Some((_, (bikes, mix))) = planned.iter().rev().find(|it| alike(&it.0)) else {
                continue;
            };
            let bikes = (bikes * (930 + dice.below(141)) + 500) / 1000;
            for _ in 0..bikes {
                let day = dice.below(month.days());
                let day = day_of(*month, day);
                let choice = chosen(&mut dice, &bom.options, mix);
                if !laid.contains_key(&choice) {
                    let pieces = lay_out(boms, kit, &choice, variants)?;
                    laid.insert(choice.clone(), pieces);
                }
                if day < from || until <= day {
                    continue;
                }
                for (part, pieces, is_leaf) in laid.get(&choice).into_iter().flatten() {
                    let habit = if *is_leaf { habit(part) } else { Habit::default() };
                    let more = Used {
                        kits: *pieces,
                        spares: count(&mut dice, *pieces, habit.spares_per_mille),
                        lost: count(&mut dice, *pieces, habit.lost_per_mille),
                    };
                    add(&mut used, part, day, more);
                }
            }
        }
    }
    for variant in variants {
        let chance = habit(&variant.part_number).alone_per_mille;
        for month in &months {
            let day = day_of(*month, dice.below(month.days()));
            let spares = 1 + dice.below(3);
            if dice.happens(chance) && from <= day && day < until {
                add(&mut used, &variant.part_number, day, Used { spares, ..Used::default() });
            }
        }
    }
    Ok(used)
}

fn day_of(month: Month, day: i64) -> NaiveDate {
    let first = month.first_day();
    first.checked_add_days(Days::new(u64::try_from(day).unwrap_or(0))).unwrap_or(first)
}

fn count(dice: &mut Dice, pieces: i64, per_mille: i64) -> i64 {
    match per_mille {
        0 => 0,
        per_mille => (0..pieces).map(|_| i64::from(dice.happens(per_mille))).sum(),
    }
}

fn add(used: &mut UsedByDay, part: &PartNumber, day: NaiveDate, more: Used) {
    let sum = used.entry(part.clone()).or_default().entry(day).or_default();
    *sum = sum.plus(more);
}

/// Returns what an invented customer chooses.
fn chosen(dice: &mut Dice, options: &[OptionDef], mix: &Mix) -> BTreeMap<String, String> {
    let choose = |option: &OptionDef| {
        let values = &option.values;
        let roll = dice.below(100_000);
        let mut reached = 0.0;
        let hit = values.iter().find(|value| {
            reached += 100_000.0 * mix.share(&option.name, value, values.len());
            crate::domain::statistics::real(roll) < reached
        });
        (option.name.clone(), hit.or(values.last()).cloned().unwrap_or_default())
    };
    options.iter().map(choose).collect()
}

/// Returns the pieces of each part in one bike on every level, and whether a part holds no others.
fn lay_out(
    boms: &BTreeMap<String, Bom>,
    kit: &str,
    choice: &BTreeMap<String, String>,
    variants: &[Variant],
) -> Result<Vec<(PartNumber, i64, bool)>, PlanError> {
    let lines = resolve(boms, kit, choice, variants);
    let lines = lines.map_err(|mut faults| PlanError::Kit(faults.swap_remove(0)))?;
    let mut sums: BTreeMap<PartNumber, (i64, bool)> = BTreeMap::new();
    for line in lines {
        unpack(boms, &line.part_number, line.quantity.pieces(), 0, &mut sums);
    }
    Ok(sums.into_iter().map(|(part, (pieces, is_leaf))| (part, pieces, is_leaf)).collect())
}

fn unpack(
    boms: &BTreeMap<String, Bom>,
    part: &PartNumber,
    pieces: i64,
    level: usize,
    sums: &mut BTreeMap<PartNumber, (i64, bool)>,
) {
    let inside = if level < MOST_LEVELS { contents(boms, part) } else { Vec::new() };
    let sum = sums.entry(part.clone()).or_insert((0, inside.is_empty()));
    sum.0 += pieces;
    for (held, each) in inside {
        unpack(boms, &held, pieces * each.pieces(), level + 1, sums);
    }
}
