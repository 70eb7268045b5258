use std::collections::BTreeMap;

use super::block::RouteError;
use super::floor::{Zone, round_of_zones};

/// What a cart takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cart {
    /// Totes: one for each kit, with a code of its own.
    pub slots: usize,
    /// How much it may carry, in mg.
    pub most_mg: i64,
}

/// What is to be taken for one kit: the zones, with this kit's spots alone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Load {
    /// The zones.
    pub zones: Vec<Zone>,
    /// What it weighs, in mg.
    pub mass_mg: i64,
}

/// Kits that share a walk.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wave {
    /// The loads' places in the list.
    pub loads: Vec<usize>,
    /// How long the walk is, in mm.
    pub length_mm: i64,
}

/// Up to so many loads every way of sharing is looked at.
const EXACT: usize = 9;

/// Returns which kits share a walk, so that all walks together are short: the shortest of all ways
/// for up to nine kits, and by savings for more.
///
/// # Errors
///
/// [`RouteError::TooLarge`] when one kit is too much for the cart, and as
/// [`round_of_zones`].
///
/// # Source
///
/// Savings: G. Clarke, J. W. Wright, Operations Research 12(4), 1964, pages 568-581.
pub fn waves(loads: &[Load], cart: &Cart) -> Result<Vec<Wave>, RouteError> {
    if cart.slots == 0 && !loads.is_empty() {
        return Err(RouteError::TooLarge { load: 0, why: "the cart has no room for a tote" });
    }
    let heavy = loads.iter().position(|it| cart.most_mg < it.mass_mg);
    if let Some(load) = heavy {
        return Err(RouteError::TooLarge { load, why: "it weighs more than the cart may carry" });
    }
    if loads.len() <= EXACT { shortest(loads, cart) } else { by_savings(loads, cart) }
}

fn fits(loads: &[Load], of: &[usize], cart: &Cart) -> bool {
    let mass: i64 = of.iter().filter_map(|it| loads.get(*it)).map(|it| it.mass_mg).sum();
    of.len() <= cart.slots && mass <= cart.most_mg
}

/// Returns the walk of several loads together.
fn together(loads: &[Load], of: &[usize]) -> Result<i64, RouteError> {
    let mut zones: BTreeMap<&str, Zone> = BTreeMap::new();
    for zone in of.iter().filter_map(|it| loads.get(*it)).flat_map(|it| &it.zones) {
        match zones.get_mut(zone.name.as_str()) {
            Some(it) => it.spots.extend(&zone.spots),
            None => {
                zones.insert(&zone.name, zone.clone());
            }
        }
    }
    let zones: Vec<Zone> = zones.into_values().collect();
    Ok(round_of_zones(&zones)?.length_mm)
}

/// Looks at every way of sharing, set by set; a set is the bits of a number.
fn shortest(loads: &[Load], cart: &Cart) -> Result<Vec<Wave>, RouteError> {
    let members =
        |set: usize| -> Vec<usize> { (0..loads.len()).filter(|it| set >> it & 1 == 1).collect() };
    let mut alone: BTreeMap<usize, i64> = BTreeMap::new();
    for set in 1..1_usize << loads.len() {
        let of = members(set);
        if fits(loads, &of, cart) {
            alone.insert(set, together(loads, &of)?);
        }
    }
    let mut best: BTreeMap<usize, (i64, usize)> = BTreeMap::from([(0, (0, 0))]);
    for set in 1..1_usize << loads.len() {
        // The wave of the set's first load is chosen; what is left has been looked at before.
        let first = set & set.wrapping_neg();
        let waves = alone.iter().filter(|it| it.0 & first != 0 && it.0 & set == *it.0);
        let found = waves
            .filter_map(|(wave, length)| Some((best.get(&(set ^ wave))?.0 + length, *wave)))
            .min();
        if let Some(found) = found {
            best.insert(set, found);
        }
    }
    let mut left = (1_usize << loads.len()) - 1;
    let mut found = Vec::new();
    while let Some((_, wave)) = best.get(&left).filter(|_| left != 0) {
        let length_mm = alone.get(wave).copied().unwrap_or_default();
        found.push(Wave { loads: members(*wave), length_mm });
        left ^= wave;
    }
    Ok(found)
}

/// Joins the two waves whose sharing saves most, as long as one does.
fn by_savings(loads: &[Load], cart: &Cart) -> Result<Vec<Wave>, RouteError> {
    let mut waves: Vec<Wave> = Vec::new();
    for at in 0..loads.len() {
        waves.push(Wave { loads: vec![at], length_mm: together(loads, &[at])? });
    }
    let mut known: BTreeMap<Vec<usize>, i64> = BTreeMap::new();
    loop {
        let mut best: Option<(i64, usize, usize, Wave)> = None;
        for (a, one) in waves.iter().enumerate() {
            for (b, other) in waves.iter().enumerate().skip(a + 1) {
                let mut of: Vec<usize> = one.loads.iter().chain(&other.loads).copied().collect();
                of.sort_unstable();
                if !fits(loads, &of, cart) {
                    continue;
                }
                let length_mm = match known.get(&of) {
                    Some(it) => *it,
                    None => {
                        let length = together(loads, &of)?;
                        known.insert(of.clone(), length);
                        length
                    }
                };
                let saved = one.length_mm + other.length_mm - length_mm;
                if best.as_ref().map_or(0, |it| it.0) < saved {
                    best = Some((saved, a, b, Wave { loads: of, length_mm }));
                }
            }
        }
        let Some((_, a, b, wave)) = best else { break };
        waves.remove(b);
        if let Some(slot) = waves.get_mut(a) {
            *slot = wave;
        }
    }
    Ok(waves)
}
