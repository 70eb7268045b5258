use std::collections::{BTreeMap, BTreeSet};

use kitwright::domain::catalog::{MissingClass, PartRecord, Tracking, Variant};
use kitwright::domain::codes::{BinCode, PartNumber};
use kitwright::domain::kits::{Bom, ResolvedLine, contents, explode_to_parts, resolve};
use kitwright::exchange::orders::OrderRecord;
use kitwright::exchange::stock::StockRecord;
use kitwright::exchange::{
    At, Fault, bins, kits, orders, parts, purchase_orders, stock, suppliers,
};
use kitwright::units::{Mass, Quantity};

/// Reads one of the demo shop's files, or shows what is wrong with it.
macro_rules! demo {
    ($kind:ident) => {
        whole($kind::read(include_bytes!(concat!("../../../src/demo/", stringify!($kind), ".csv"))))
    };
}

fn whole<T>(read: Result<Vec<At<T>>, Vec<Fault>>) -> Vec<T> {
    match read {
        Ok(records) => records.into_iter().map(|it| it.value).collect(),
        Err(faults) => {
            let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
            panic!("{}", faults.join("\n"))
        }
    }
}

fn catalogue() -> BTreeMap<PartNumber, PartRecord> {
    demo!(parts).into_iter().map(|part| (part.part_number.clone(), part)).collect()
}

fn boms() -> BTreeMap<String, Bom> {
    demo!(kits).into_iter().map(|kit| (kit.bom.code.clone(), kit.bom)).collect()
}

fn variants() -> Vec<Variant> {
    catalogue().values().map(PartRecord::as_variant).collect()
}

/// Returns every choice of the kit's options.
fn choices(bom: &Bom) -> Vec<BTreeMap<String, String>> {
    bom.options.iter().fold(vec![BTreeMap::new()], |choices, option| {
        let with = |choice: &BTreeMap<String, String>, value: &String| {
            let mut choice = choice.clone();
            choice.insert(option.name.clone(), value.clone());
            choice
        };
        let all =
            choices.iter().flat_map(|it| option.values.iter().map(move |value| with(it, value)));
        all.collect()
    })
}

/// Returns the steps at which a resolved kit needs something, with those of its bags' contents.
fn steps(lines: &[ResolvedLine], boms: &BTreeMap<String, Bom>) -> BTreeSet<u32> {
    let makers = |line: &ResolvedLine| {
        let number = line.part_number.clone();
        boms.values().filter(move |bom| bom.makes.as_ref() == Some(&number))
    };
    let inside = lines.iter().flat_map(makers).flat_map(|bom| bom.lines.iter().map(|it| it.step));
    lines.iter().map(|line| line.step).chain(inside).collect()
}

#[test]
fn the_shop_is_as_large_as_its_story_says() {
    assert_eq!(catalogue().len(), 161);
    assert_eq!(demo!(bins).len(), 161);
    assert_eq!(demo!(suppliers).len(), 11);
    assert_eq!(boms()["TARVET"].steps.len(), 18);
    let orders = demo!(orders);
    assert_eq!(orders.len(), 40);
    let bikes: Quantity = orders.iter().flat_map(|it| &it.lines).map(|line| line.quantity).sum();
    assert_eq!(bikes, Quantity::new(56));
    assert_eq!(demo!(purchase_orders).len(), 11);
}

#[test]
fn files_refer_only_to_what_is_there() {
    let (parts, boms) = (catalogue(), boms());
    let bins: BTreeSet<BinCode> = demo!(bins).into_iter().map(|bin| bin.code).collect();
    let suppliers: BTreeSet<String> = demo!(suppliers).into_iter().map(|it| it.code).collect();
    for part in parts.values() {
        assert!(part.bin.as_ref().is_some_and(|bin| bins.contains(bin)), "{}", part.part_number);
        assert!(part.supplier.as_ref().is_none_or(|it| suppliers.contains(it)));
        let made = boms.values().any(|bom| bom.makes.as_ref() == Some(&part.part_number));
        assert_eq!(made, part.supplier.is_none(), "{}", part.part_number);
    }
    for row in demo!(stock) {
        assert!(parts.contains_key(&row.part_number) && bins.contains(&row.bin));
    }
    for order in demo!(purchase_orders) {
        assert!(suppliers.contains(&order.supplier));
        for line in &order.lines {
            assert_eq!(parts[&line.part_number].supplier.as_ref(), Some(&order.supplier));
        }
    }
}

#[test]
fn every_choice_of_options_resolves_and_fills_steps_and_cartons() {
    let (boms, variants, parts) = (boms(), variants(), catalogue());
    let choices = choices(&boms["TARVET"]);
    assert_eq!(choices.len(), 162);
    for choice in &choices {
        let lines = resolve(&boms, "TARVET", choice, &variants).unwrap();
        assert!((35..=45).contains(&lines.len()), "{} lines", lines.len());
        assert!(lines.iter().all(|line| parts.contains_key(&line.part_number)));
        assert!(lines.iter().all(|line| (1..=2).contains(&line.carton)), "{choice:?}");
        assert!(lines.iter().any(|line| line.carton == 2));
        let steps = steps(&lines, &boms);
        assert!((1..=14).all(|step| steps.contains(&step)), "{choice:?}: {steps:?}");
    }
}

#[test]
fn bearing_spacers_fork_and_papers_follow_the_build() {
    let (boms, variants) = (boms(), variants());
    for choice in choices(&boms["TARVET"]) {
        let lines = resolve(&boms, "TARVET", &choice, &variants).unwrap();
        let mut all = BTreeMap::new();
        for line in &lines {
            for (part, quantity) in explode_to_parts(&boms, &line.part_number).unwrap() {
                let sum: &mut Quantity = all.entry(part.to_string()).or_default();
                *sum = sum.plus(quantity.times(line.quantity));
            }
        }
        let (wanted, other) = match choice["build"].as_str() {
            "T12" => (["HS105A", "HS1076", "FK101P", "DO104J", "DO108B"], ["HS104C", "FK102N"]),
            _ => (["HS104C", "HS1068", "FK102N", "DO105H", "DO1099"], ["HS105A", "FK101P"]),
        };
        assert!(wanted.iter().all(|part| all[*part] == Quantity::ONE), "{choice:?}");
        assert!(other.iter().all(|part| !all.contains_key(*part)), "{choice:?}");
        assert_eq!(all["BS112J"], Quantity::new(6), "four hold the bar, two the steerer");
        assert_eq!(all["SK1074"], all["SK110E"], "each ski bolt has its washer");
        for never in ["FR111K", "FR112I", "FR113G", "SK1082", "SK109Z"] {
            assert!(!all.contains_key(never), "{never} is in a kit");
        }
    }
}

#[test]
fn bags_weigh_and_stop_what_their_contents_do() {
    let (boms, parts) = (boms(), catalogue());
    for bag in parts.values().filter(|part| part.part.starts_with("Bag ")) {
        let held = contents(&boms, &bag.part_number);
        let mass = held.iter().fold(Mass::ZERO, |sum, (part, quantity)| {
            sum.plus(parts[part].mass.times(quantity.pieces()))
        });
        assert_eq!(mass, bag.mass, "{}", bag.part_number);
        let worst = held.iter().map(|(part, _)| parts[part].class).min();
        let leaves_a_ride = matches!(worst, Some(MissingClass::StopsBuild));
        // A bag that the catalogue rates worse than its contents is safe; the reverse is not.
        assert!(worst >= Some(bag.class), "{}", bag.part_number);
        assert!(!leaves_a_ride || bag.class == MissingClass::StopsBuild);
    }
    let head: Vec<i64> = ["HB101V", "HB102T"]
        .iter()
        .map(|bag| parts[&bag.parse::<PartNumber>().unwrap()].mass.milligrams())
        .collect();
    assert_eq!(head, [118_100, 129_100]);
}

#[test]
fn stock_is_held_as_its_part_is_tracked() {
    let parts = catalogue();
    for row in demo!(stock) {
        let tracking = parts[&row.part_number].tracking;
        let place = &row.bin;
        assert_eq!(tracking == Tracking::Serial, row.serial.is_some(), "{place}");
        assert_eq!(tracking == Tracking::Lot, row.lot.is_some(), "{place}");
    }
}

/// Returns what the orders need of each part number and what lies in the bins to pick from.
fn need_and_hand(
    orders: &[OrderRecord],
    stock: &[StockRecord],
) -> BTreeMap<PartNumber, (i64, i64)> {
    let (boms, variants) = (boms(), variants());
    let mut sums: BTreeMap<PartNumber, (i64, i64)> = BTreeMap::new();
    for line in orders.iter().flat_map(|order| &order.lines) {
        for it in resolve(&boms, &line.kit, &line.options, &variants).unwrap() {
            let needed = it.quantity.times(line.quantity).pieces();
            sums.entry(it.part_number).or_default().0 += needed;
        }
    }
    for row in stock.iter().filter(|row| !row.bin.as_str().starts_with(['Q', 'R'])) {
        sums.entry(row.part_number.clone()).or_default().1 += row.quantity.pieces();
    }
    sums
}

#[test]
fn a_handful_of_parts_holds_orders_back() {
    let sums = need_and_hand(&demo!(orders), &demo!(stock));
    let short: Vec<(&str, i64)> = sums
        .iter()
        .filter(|(_, (need, hand))| hand < need)
        .map(|(part, (need, hand))| (part.as_str(), need - hand))
        .collect();
    assert_eq!(short, [("FR1098", 2), ("FR110M", 2), ("HB102T", 9), ("HB109F", 1)]);
}

#[test]
fn neighbours_on_the_fastener_wall_do_not_look_alike() {
    let parts = catalogue();
    let place = |bin: &BinCode| {
        let mut pieces = bin.as_str().split('-').skip(1);
        let mut next = || pieces.next().unwrap().chars();
        (next().as_str().parse::<i32>().unwrap(), next().next().unwrap().to_digit(10).unwrap())
    };
    let wall: Vec<_> = parts
        .values()
        .filter(|part| part.bin.as_ref().is_some_and(|bin| bin.as_str().starts_with('H')))
        .map(|part| (place(part.bin.as_ref().unwrap()), &part.part))
        .collect();
    for ((bay, level), part) in &wall {
        for ((other_bay, other_level), other) in &wall {
            let distance = bay.abs_diff(*other_bay) + level.abs_diff(*other_level);
            assert!(distance != 1 || part != other, "{part} at bay {bay}, level {level}");
        }
    }
}
