use std::collections::BTreeMap;

use super::OptionDef;

/// The most choices that are laid out.
const MOST: usize = 10_000;

/// Returns every choice of the options' values, in the order in which they are offered; nothing
/// where there are more than ten thousand.
pub fn combinations(options: &[OptionDef]) -> Option<Vec<BTreeMap<String, String>>> {
    let count = options.iter().fold(1_usize, |count, it| count.saturating_mul(it.values.len()));
    if MOST < count {
        return None;
    }
    let mut choices = vec![BTreeMap::new()];
    for option in options {
        choices = choices
            .into_iter()
            .flat_map(|chosen: BTreeMap<String, String>| {
                option.values.iter().map(move |value| {
                    let mut more = chosen.clone();
                    more.insert(option.name.clone(), value.clone());
                    more
                })
            })
            .collect();
    }
    Some(choices)
}
