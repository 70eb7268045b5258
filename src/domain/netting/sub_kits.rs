use std::collections::BTreeMap;

use crate::domain::codes::PartNumber;
use crate::domain::kits::{Bom, contents};
use crate::units::Quantity;

/// Returns what must go into the sub-kits that the house has yet to make, by part number.
///
/// Of a sub-kit that the house makes, what `needed` asks for beyond what is `on_hand` must be made,
/// and each of those takes what its bill holds. A part that is itself made is netted against its
/// own stock in the same way. What is on the shelf already asks for no more parts.
pub fn inside_what_is_made(
    boms: &BTreeMap<String, Bom>,
    needed: &BTreeMap<PartNumber, Quantity>,
    on_hand: &BTreeMap<PartNumber, Quantity>,
) -> BTreeMap<PartNumber, Quantity> {
    let made: Vec<&PartNumber> = boms.values().filter_map(|it| it.makes.as_ref()).collect();
    let of = |sums: &BTreeMap<PartNumber, Quantity>, part: &PartNumber| {
        sums.get(part).copied().unwrap_or_default()
    };
    let mut inside: BTreeMap<PartNumber, Quantity> = BTreeMap::new();
    // Each pass settles one level more; sub-kits nest no deeper than there are sub-kits.
    for _ in 0..=made.len() {
        let mut next: BTreeMap<PartNumber, Quantity> = BTreeMap::new();
        for part in &made {
            let to_make = of(needed, part).plus(of(&inside, part)).less(of(on_hand, part));
            if !to_make.is_some() {
                continue;
            }
            for (part, each) in contents(boms, part) {
                let sum = next.entry(part).or_default();
                *sum = sum.plus(each.times(to_make));
            }
        }
        if next == inside {
            break;
        }
        inside = next;
    }
    inside
}

/// Returns what lies inside sub-kits on the shelf that nothing asks for yet, by part number, all
/// levels down: it serves the kits to come.
///
/// `needed` holds what open kits ask for of each sub-kit, by itself or inside others yet to be made.
pub fn inside_what_is_free(
    boms: &BTreeMap<String, Bom>,
    needed: &BTreeMap<PartNumber, Quantity>,
    on_hand: &BTreeMap<PartNumber, Quantity>,
) -> BTreeMap<PartNumber, Quantity> {
    let mut inside = BTreeMap::new();
    for part in boms.values().filter_map(|it| it.makes.as_ref()) {
        let there = on_hand.get(part).copied().unwrap_or_default();
        let free = there.less(needed.get(part).copied().unwrap_or_default().at_least_zero());
        if free.is_some() {
            unpack(boms, part, free, 0, &mut inside);
        }
    }
    inside
}

/// Sub-kits nest no deeper than this; a ring of bills is refused when it is released.
const MOST_LEVELS: usize = 12;

fn unpack(
    boms: &BTreeMap<String, Bom>,
    part: &PartNumber,
    times: Quantity,
    level: usize,
    inside: &mut BTreeMap<PartNumber, Quantity>,
) {
    if level == MOST_LEVELS {
        return;
    }
    for (held, each) in contents(boms, part) {
        let pieces = each.times(times);
        let sum = inside.entry(held.clone()).or_default();
        *sum = sum.plus(pieces);
        unpack(boms, &held, pieces, level + 1, inside);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::kits::{BomItem, BomLine};

    fn bom(makes: &str, lines: &[(&str, i64)]) -> (String, Bom) {
        let lines = lines.iter().map(|(part, quantity)| BomLine {
            number: 1,
            step: 0,
            item: BomItem::PartNumber(part.parse().unwrap()),
            choose: Vec::new(),
            when: Vec::new(),
            quantity: Quantity::new(*quantity),
            carton: 0,
        });
        let bom = Bom {
            code: makes.to_owned(),
            revision: "A".to_owned(),
            valid_from: None,
            name: makes.to_owned(),
            makes: Some(makes.parse().unwrap()),
            options: Vec::new(),
            steps: Vec::new(),
            lines: lines.collect(),
            guide: Default::default(),
        };
        (makes.to_owned(), bom)
    }

    fn sums(all: &[(&str, i64)]) -> BTreeMap<PartNumber, Quantity> {
        all.iter().map(|(part, it)| (part.parse().unwrap(), Quantity::new(*it))).collect()
    }

    #[test]
    fn explodes_what_the_shelf_does_not_cover_level_by_level() {
        // HB106L holds bolts; HB105N holds one HB106L and more bolts.
        let boms: BTreeMap<String, Bom> =
            [bom("HB106L", &[("SK1074", 8)]), bom("HB105N", &[("HB106L", 1), ("SK1074", 2)])]
                .into();
        let check = |needed: &[(&str, i64)], on_hand: &[(&str, i64)], expected: &[(&str, i64)]| {
            assert_eq!(inside_what_is_made(&boms, &sums(needed), &sums(on_hand)), sums(expected));
        };
        check(&[("HB106L", 5)], &[("HB106L", 5)], &[]);
        check(&[("HB106L", 5)], &[("HB106L", 2)], &[("SK1074", 24)]);
        check(&[("HB105N", 4)], &[], &[("HB106L", 4), ("SK1074", 8 + 32)]);
        check(&[("HB105N", 4)], &[("HB106L", 3)], &[("HB106L", 4), ("SK1074", 8 + 8)]);
        check(&[("SK1074", 4)], &[], &[]);
        let free = |needed: &[(&str, i64)], on_hand: &[(&str, i64)], expected: &[(&str, i64)]| {
            assert_eq!(inside_what_is_free(&boms, &sums(needed), &sums(on_hand)), sums(expected));
        };
        free(&[("HB106L", 5)], &[("HB106L", 5)], &[]);
        free(&[("HB106L", 3)], &[("HB106L", 5)], &[("SK1074", 16)]);
        free(&[], &[("HB105N", 1)], &[("HB106L", 1), ("SK1074", 10)]);
    }
}
