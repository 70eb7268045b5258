use std::collections::BTreeMap;

use super::{Mix, MixError, Month};
use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::kits::{Bom, KitError, every_choice, resolve};
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

    /// Returns whether anything is planned for a month, be it none.
    pub fn covers(&self, month: Month) -> bool {
        self.0.values().any(|it| it.contains_key(&month))
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
