use proptest::prelude::*;

use super::*;

/// Returns the shortest round by looking at every subset.
///
/// # Source
///
/// M. Held, R. M. Karp, Journal of the SIAM 10(1), 1962, pages 196-210.
fn held_karp(block: &Block, spots: &[Spot]) -> i64 {
    let count = spots.len();
    let mut best = vec![vec![i64::MAX; count]; 1 << count];
    for at in 0..count {
        best[1 << at][at] = block.apart(block.start(), spots[at]);
    }
    for set in 1..1_usize << count {
        for at in (0..count).filter(|it| set >> it & 1 == 1) {
            for next in (0..count).filter(|it| set >> it & 1 == 0) {
                let length = best[set][at] + block.apart(spots[at], spots[next]);
                let slot = &mut best[set | 1 << next][next];
                *slot = (*slot).min(length);
            }
        }
    }
    let all = (1 << count) - 1;
    (0..count).map(|it| best[all][it] + block.apart(spots[it], block.start())).min().unwrap_or(0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_round_is_shorter(
        (aisles, long_mm) in (1..6_usize, 1..12_i64),
        between_mm in 0..9_i64,
        door in 0..6_usize,
        spots in prop::collection::vec((0..6_usize, 0..12_i64), 0..9),
    ) {
        let block = Block { aisles, between_mm, long_mm, door: door % aisles };
        let spots: Vec<Spot> = spots.into_iter()
            .map(|(aisle, at)| Spot { aisle: aisle % aisles, at_mm: at % (long_mm + 1) })
            .collect();
        let found = round(&block, &spots).unwrap();
        prop_assert_eq!(found.length_mm, held_karp(&block, &spots));
        // The path is as long as it says, closed, straight, and comes past everything.
        let mut length = 0;
        for (from, to) in found.path.iter().zip(found.path.iter().skip(1)) {
            let corner = from.at_mm == to.at_mm && (from.at_mm == 0 || from.at_mm == long_mm);
            prop_assert!(from.aisle == to.aisle || (corner && from.aisle.abs_diff(to.aisle) == 1));
            let across = if from.aisle == to.aisle { 0 } else { between_mm };
            length += across + (from.at_mm - to.at_mm).abs();
        }
        prop_assert_eq!(length, found.length_mm);
        prop_assert_eq!(found.path.first(), Some(&block.start()));
        prop_assert_eq!(found.path.last(), Some(&block.start()));
        let mut seen = found.order.clone();
        let mut wanted = spots;
        seen.sort();
        wanted.sort();
        wanted.dedup();
        prop_assert_eq!(seen, wanted);
    }
}

/// A zone of the shop: how far from the bench, its turn in the walk, and what lies where.
fn zone(name: &str, metres: i64, turn: u32, spots: &[(usize, i64)]) -> Zone {
    Zone {
        name: name.to_owned(),
        from_bench_mm: metres * 1_000,
        turn,
        block: Block { aisles: 4, between_mm: 3_000, long_mm: 8_000, door: 0 },
        spots: spots.iter().map(|it| Spot { aisle: it.0, at_mm: it.1 * 1_000 }).collect(),
    }
}

/// A kit of the shop: skis, fork, frame, shelf parts, bags; far to near.
fn kit(nth: usize) -> Load {
    let at = i64::try_from(nth).unwrap();
    Load {
        zones: vec![
            zone("S", 38, 1, &[(0, 1 + at)]),
            zone("F", 30, 2, &[(0, 2)]),
            zone("G", 22, 3, &[(nth % 4, 3)]),
            zone("B", 9, 4, &[(0, 1), (1, 5), (2, 2 + at), (3, 6)]),
            zone("K", 1, 5, &[(0, 0)]),
        ],
        mass_mg: 17_301_000,
    }
}

#[test]
fn a_walk_comes_to_each_zone_once_and_a_wave_of_four_saves_more_than_half() {
    let walk = round_of_zones(&kit(0).zones).unwrap();
    let order: Vec<usize> = walk.zones.iter().map(|it| it.zone).collect();
    assert_eq!(order, [0, 1, 2, 3, 4]);
    let inside: i64 = walk.zones.iter().map(|it| it.round.length_mm).sum();
    assert_eq!(walk.length_mm, 2 * 38_000 + inside);

    let loads: Vec<Load> = (0..4).map(kit).collect();
    let cart = |slots: usize, kg: i64| Cart { slots, most_mg: kg * 1_000_000 };
    let length = |of: &[Wave]| of.iter().map(|it| it.length_mm).sum::<i64>();
    let alone = waves(&loads, &cart(1, 80)).unwrap();
    let shared = waves(&loads, &cart(4, 80)).unwrap();
    assert_eq!((alone.len(), shared.len()), (4, 1));
    assert!(length(&shared) * 10 < length(&alone) * 5, "{shared:?} {alone:?}");
    // Three kits weigh 51.9 kg: a cart for 50 kg takes two.
    assert_eq!(waves(&loads, &cart(4, 50)).unwrap().len(), 2);
    let heavy = waves(&loads, &cart(4, 17)).unwrap_err();
    assert_eq!(heavy.code(), "routes.too_large");
    // More kits than are looked at exactly: none is lost, none taken twice, no cart overfull.
    let many: Vec<Load> = (0..11).map(|it| kit(it % 5)).collect();
    let found = waves(&many, &cart(4, 80)).unwrap();
    let mut all: Vec<usize> = found.iter().flat_map(|it| it.loads.clone()).collect();
    all.sort();
    assert_eq!(all, (0..11).collect::<Vec<_>>());
    assert!(found.iter().all(|it| it.loads.len() <= 4));
}
