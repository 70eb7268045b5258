use std::collections::{BTreeMap, BTreeSet};

use super::history::MOST_LEVELS;
use super::{Mix, MixError, Month};
use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::kits::{Bom, KitError, contents, every_choice, resolve};
use crate::domain::statistics::real;

/// How many bikes of a kit the shop plans for a month, and who will choose what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanRecord {
    /// The kit's code.
    pub kit: String,
    /// The month in which they leave.
    pub month: Month,
    /// How many.
    pub bikes: i64,
    /// The shares of the options; one that says nothing is that of the month before.
    pub mix: Mix,
}

/// All that is planned, by kit and month.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Plans(BTreeMap<String, BTreeMap<Month, (i64, Mix)>>);

impl Plans {
    /// Returns the plans of those records, each month with its own mix.
    pub fn of(records: Vec<PlanRecord>) -> Self {
        let mut plans: BTreeMap<String, BTreeMap<Month, (i64, Mix)>> = BTreeMap::new();
        for it in records {
            plans.entry(it.kit).or_default().insert(it.month, (it.bikes, it.mix));
        }
        for months in plans.values_mut() {
            let mut last = Mix::default();
            for (_, mix) in months.values_mut() {
                if mix.is_empty() {
                    mix.clone_from(&last);
                }
                last.clone_from(mix);
            }
        }
        Self(plans)
    }

    /// Returns each kit with its months, and the bikes and mix of each.
    pub fn kits(&self) -> impl Iterator<Item = (&str, &BTreeMap<Month, (i64, Mix)>)> {
        self.0.iter().map(|(kit, months)| (kit.as_str(), months))
    }
}

/// The most choices of options of one kit that are laid out.
const MOST_CHOICES: usize = 20_000;

/// Why a kit can't be planned.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// Its bill does not lay out.
    #[error("{0}")]
    Kit(#[from] KitError),
    /// The mix names what the kit does not have.
    #[error("{0}")]
    Mix(#[from] MixError),
    /// There are too many choices.
    #[error("kit {0} has more than {MOST_CHOICES} choices of options, too many to plan")]
    Choices(String),
}

/// Returns how many pieces of each part number one bike of a kit takes on average, by the mix of
/// its options, one level down: bags and what else is made count as one piece.
///
/// # Errors
///
/// [`PlanError`] when the kit is not there, does not lay out for a choice that is made, or has no
/// such option.
pub fn per_kit(
    boms: &BTreeMap<String, Bom>,
    code: &str,
    mix: &Mix,
    variants: &[Variant],
) -> Result<BTreeMap<PartNumber, f64>, PlanError> {
    let bom = boms.get(code).ok_or_else(|| KitError::UnknownKit { kit: code.to_owned() })?;
    for (option, values) in mix.options() {
        let known = bom.options.iter().find(|it| it.name == option);
        let known = known.ok_or_else(|| MixError::Unknown(option.to_owned()))?;
        for value in values {
            if !known.values.iter().any(|it| it == value) {
                return Err(MixError::Unknown(format!("{option}={value}")).into());
            }
        }
    }
    let choices = every_choice(&bom.options, MOST_CHOICES)
        .ok_or_else(|| PlanError::Choices(code.to_owned()))?;
    let mut sums: BTreeMap<PartNumber, f64> = BTreeMap::new();
    for choice in choices {
        let shares = bom.options.iter().map(|option| {
            let value = choice.get(&option.name).map(String::as_str).unwrap_or_default();
            mix.share(&option.name, value, option.values.len())
        });
        let share: f64 = shares.product();
        if share <= 0.0 {
            continue;
        }
        let lines = resolve(boms, code, &choice, variants);
        let lines = lines.map_err(|mut faults| PlanError::Kit(faults.swap_remove(0)))?;
        for line in lines {
            *sums.entry(line.part_number).or_default() += share * real(line.quantity.pieces());
        }
    }
    Ok(sums)
}

/// How many pieces of each part the planned bikes take, month by month and on every level.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Needs {
    /// Pieces by part number and month.
    pub by_part: BTreeMap<PartNumber, BTreeMap<Month, f64>>,
    /// Pieces that bikes take of a part itself, not inside what is made of it.
    pub direct: BTreeMap<PartNumber, BTreeMap<Month, f64>>,
    months: BTreeSet<Month>,
}

impl Needs {
    /// Returns what the plans come to by the bills, and what of them can't be laid out, in words.
    pub fn of(
        plans: &Plans,
        boms: &BTreeMap<String, Bom>,
        variants: &[Variant],
    ) -> (Self, Vec<String>) {
        let (mut needs, mut faults) = (Self::default(), Vec::new());
        for (kit, months) in plans.kits() {
            // Months of one mix are laid out once.
            let mut laid: Vec<(&Mix, BTreeMap<PartNumber, f64>)> = Vec::new();
            for (month, (bikes, mix)) in months {
                needs.months.insert(*month);
                if !laid.iter().any(|it| it.0 == mix) {
                    match per_kit(boms, kit, mix, variants) {
                        Ok(each) => laid.push((mix, each)),
                        Err(fault) => {
                            faults.push(format!("the plan of {kit} for {month}: {fault}"));
                            continue;
                        }
                    }
                }
                let each = laid.iter().find(|it| it.0 == mix);
                for (part, pieces) in each.into_iter().flat_map(|it| &it.1) {
                    needs.add(boms, part, (*month, pieces * real(*bikes)), 0);
                }
            }
        }
        (needs, faults)
    }

    fn add(
        &mut self,
        boms: &BTreeMap<String, Bom>,
        part: &PartNumber,
        (month, pieces): (Month, f64),
        level: usize,
    ) {
        let sums = if level == 0 {
            vec![&mut self.direct, &mut self.by_part]
        } else {
            vec![&mut self.by_part]
        };
        for sum in sums {
            *sum.entry(part.clone()).or_default().entry(month).or_default() += pieces;
        }
        if level < MOST_LEVELS {
            for (inside, each) in contents(boms, part) {
                self.add(boms, &inside, (month, pieces * real(each.pieces())), level + 1);
            }
        }
    }

    /// Returns how many pieces of a part are planned for a month; nothing where the month has no
    /// plan.
    pub fn pieces(&self, part: &PartNumber, month: Month) -> Option<f64> {
        let planned = self.months.contains(&month);
        planned
            .then(|| self.by_part.get(part).and_then(|it| it.get(&month)).copied().unwrap_or(0.0))
    }
}
