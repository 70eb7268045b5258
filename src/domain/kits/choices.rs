use std::collections::BTreeMap;

use super::OptionDef;

/// Returns every choice of options that an order can make, in the order of the options' values;
/// nothing where there are more than `most`.
///
/// ```
/// use kitwright::domain::kits::{OptionDef, every_choice};
/// let option = |name: &str, values: &[&str]| OptionDef {
///     name: name.to_owned(),
///     values: values.iter().map(|it| (*it).to_owned()).collect(),
/// };
/// let options = [option("size", &["S", "M"]), option("ski", &["95", "105", "115"])];
/// assert_eq!(every_choice(&options, 6).map(|it| it.len()), Some(6));
/// assert_eq!(every_choice(&options, 5), None);
/// assert_eq!(every_choice(&[], 1).map(|it| it.len()), Some(1), "no option, one kit");
/// ```
pub fn every_choice(options: &[OptionDef], most: usize) -> Option<Vec<BTreeMap<String, String>>> {
    let mut choices = vec![BTreeMap::new()];
    for option in options {
        if most < choices.len().saturating_mul(option.values.len()) {
            return None;
        }
        choices = choices
            .into_iter()
            .flat_map(|chosen: BTreeMap<String, String>| {
                option.values.iter().map(move |value| {
                    let mut chosen = chosen.clone();
                    chosen.insert(option.name.clone(), value.clone());
                    chosen
                })
            })
            .collect();
    }
    Some(choices)
}
