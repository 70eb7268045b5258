use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use kitwright::domain::catalog::{
    Attributes, BinKind, BinRecord, BoxSize, Closing, Closings, MissingClass, PartRecord,
    StatedFacts, SupplierRecord, SupplierTerms, Tracking,
};
use kitwright::domain::codes::{BinCode, PartNumber, check_char};
use kitwright::domain::kits::{Bom, BomItem, BomLine, Choice, Guide, OptionDef, Step};
use kitwright::domain::purchasing::UnitPrice;
use kitwright::domain::reorder::{PolicyKind, PolicyRecord, Scope, ServiceLevel, SizedBy};
use kitwright::exchange::orders::{Channel, OrderLine, OrderRecord};
use kitwright::exchange::purchase_orders::{PurchaseLine, PurchaseOrderRecord};
use kitwright::exchange::stock::StockRecord;
use kitwright::exchange::{
    At, Fault, bins, kits, orders, parts, policies, purchase_orders, stock, suppliers,
};
use kitwright::units::{Length, Mass, Money, Quantity};
use proptest::collection::{btree_map, btree_set, vec};
use proptest::option::of;
use proptest::prelude::*;
use proptest::sample::select;

fn values<T: std::fmt::Debug>(read: Result<Vec<At<T>>, Vec<Fault>>) -> Vec<T> {
    read.unwrap().into_iter().map(|it| it.value).collect()
}

/// Any text that a name may be: no control characters, no white space at the ends.
fn text() -> impl Strategy<Value = String> {
    vec(prop_oneof![any::<char>(), select(vec![',', ';', '"', '=', 'é', ' '])], 1..12)
        .prop_map(|it| it.into_iter().filter(|it| !it.is_control()).collect::<String>())
        .prop_map(|it| it.trim().to_owned())
        .prop_filter("a name has a letter", |it| !it.is_empty())
}

fn text_without(reserved: &'static [char]) -> impl Strategy<Value = String> {
    text()
        .prop_map(move |it| it.replace(reserved, "").trim().to_owned())
        .prop_filter("a name has a letter", |it| !it.is_empty())
}

fn part_number() -> impl Strategy<Value = PartNumber> {
    "[A-Z]{2}[0-9]{3}".prop_map(|it| format!("{it}{}", check_char(&it).unwrap()).parse().unwrap())
}

fn bin_code() -> impl Strategy<Value = BinCode> {
    (select(vec!['B', 'H', 'Q']), 0_u32..100, 0_u32..10)
        .prop_map(|(zone, bay, level)| BinCode::at(zone, bay, level).unwrap())
}

fn pieces() -> impl Strategy<Value = Quantity> {
    (1_i64..10_000).prop_map(Quantity::new)
}

fn money() -> impl Strategy<Value = Money> {
    (0_i64..1_000_000).prop_map(Money::from_cents)
}

fn mass() -> impl Strategy<Value = Mass> {
    (0_i64..10_000_000).prop_map(Mass::from_milligrams)
}

fn day() -> impl Strategy<Value = NaiveDate> {
    (2020_i32..2040, 1_u32..366).prop_map(|(year, day)| NaiveDate::from_yo_opt(year, day).unwrap())
}

fn attributes() -> impl Strategy<Value = Attributes> {
    btree_map(text_without(&['=', ';']), text_without(&[';']), 0..3).prop_map(|pairs| {
        pairs.iter().fold(Attributes::default(), |all, (name, it)| all.with(name, it).unwrap())
    })
}

fn box_size() -> impl Strategy<Value = BoxSize> {
    let length = || (1_i64..2_000_000).prop_map(Length::from_micrometres);
    (length(), length(), length()).prop_map(|(length, width, height)| BoxSize {
        length,
        width,
        height,
    })
}

prop_compose! {
    fn supplier()(
        code in text(),
        name in text(),
        email in of("[a-z]{1,8}@[a-z]{1,8}\\.example"),
        lead_days in 0_u32..400,
        lead_sd_tenths in 0_u32..400,
        address in of(text()),
        terms in terms(),
    ) -> SupplierRecord {
        let address = Some(address.unwrap_or_default());
        SupplierRecord { code, name, email, lead_days, lead_sd_tenths, address, terms: Some(terms) }
    }
}

prop_compose! {
    fn terms()(
        (minimum_value, order_cost, budget) in (money(), money(), of(money())),
        (container_litres, container_kg) in (of(0_u32..40_000), of(0_u32..40_000)),
        closed in btree_set(day(), 0..4),
    ) -> SupplierTerms {
        let closed = closed.into_iter().map(|from| Closing { from, until: from }).collect();
        let closed = Closings::of(closed);
        SupplierTerms { minimum_value, order_cost, budget, container_litres, container_kg, closed }
    }
}

prop_compose! {
    fn policy()(
        scope in select(vec!["A", "CX", "MT108R"]),
        kind in select(PolicyKind::ALL.to_vec()),
        (service, percent, days) in (of(1_i64..10_000), of(0_i64..300), of(1_i64..3000)),
        (least, more, room) in (pieces(), 1_i64..900, of(pieces())),
        (cost, note) in (1_i64..100_000, of(text())),
        prices in of((1_i64..500, 1_i64..3_000_000, 1_i64..500, 1_i64..3_000_000)),
    ) -> PolicyRecord {
        let scope: Scope = scope.parse().unwrap();
        let price = |from, cents| format!("{from} {}.{:05}", cents / 100_000, cents % 100_000);
        let prices = prices.filter(|_| matches!(scope, Scope::Part(_))).map(|(from, cents, more, other)| {
            format!("{}; {}", price(from, cents), price(from + more, other)).parse().unwrap()
        });
        PolicyRecord {
            kind: Some(kind),
            service: service.and_then(ServiceLevel::of_hundredths),
            minimum: Some(least),
            maximum: Some(least.plus(Quantity::new(more))),
            review_days: days,
            container: Some(Quantity::new(more)),
            sized_by: percent.map(|it| if it % 2 == 0 { SizedBy::Ahead } else { SizedBy::Peak }),
            variation_percent: percent,
            left_over: Some(Money::from_cents(cost)),
            short: Some(Money::from_cents(cost)),
            season_starts: Some("10-01".parse().unwrap()),
            cover_days: days,
            room,
            prices: prices.unwrap_or_default(),
            note: note.unwrap_or_default(),
            ..PolicyRecord::open(scope)
        }
    }
}

prop_compose! {
    fn bin()(
        code in bin_code(),
        kind in select(vec![BinKind::Bin, BinKind::Quarantine, BinKind::Returns]),
        walk_order in 0_u32..9999,
        zone in text(),
    ) -> BinRecord {
        BinRecord { code, kind, walk_order, zone }
    }
}

/// Some facts of each kind that there is.
fn facts() -> impl Strategy<Value = StatedFacts> {
    let pieces = vec![
        "role=lower bearing",
        "model=Ä, \"T 12\"",
        "side=left",
        "steerer=28.6",
        "thickness=0",
        "cup_angle=36.25",
        "inserts=4",
        "thread=M10x1",
        "headset=ec34/28,6|EC34/30",
        "upper_type=ZS",
    ];
    (btree_set(select(pieces), 0..6), of(text())).prop_map(|(pieces, source)| StatedFacts {
        facts: pieces.into_iter().collect::<Vec<_>>().join("; ").parse().unwrap(),
        source: source.unwrap_or_default(),
    })
}

prop_compose! {
    fn part()(
        (part_number, part, variant) in (part_number(), text(), of(text())),
        (specification, attributes) in (of(text()), attributes()),
        (mass, mass_sd, box_size) in (mass(), mass(), of(box_size())),
        tracking in select(vec![Tracking::None, Tracking::Lot, Tracking::Serial]),
        class in select(MissingClass::ALL.to_vec()),
        (supplier, supplier_item, unit_cost) in (of(text()), of(text()), money()),
        (pack, minimum_order, reorder_point, order_quantity) in
            (pieces(), pieces(), pieces(), pieces()),
        (bin, facts) in (of(bin_code()), facts()),
    ) -> PartRecord {
        let (variant, specification) =
            (variant.unwrap_or_default(), specification.unwrap_or_default());
        PartRecord {
            part_number, part, variant, specification, attributes, mass, mass_sd, box_size,
            tracking, class, supplier, supplier_item, unit_cost, pack, minimum_order,
            reorder_point, order_quantity, bin, facts: Some(facts),
        }
    }
}

prop_compose! {
    fn stock_row()(
        part_number in part_number(),
        bin in bin_code(),
        many in pieces(),
        lot in of((text(), of(day()))),
        serial in of(text()),
    ) -> StockRecord {
        let quantity = if serial.is_some() { Quantity::ONE } else { many };
        let use_by = lot.as_ref().and_then(|(_, use_by)| *use_by);
        StockRecord { part_number, bin, quantity, lot: lot.map(|(lot, _)| lot), use_by, serial }
    }
}

fn order() -> impl Strategy<Value = OrderRecord> {
    let options = btree_map(text().prop_map(|it| format!("o{it}")), text(), 0..3);
    let line = (text(), pieces(), options);
    let head = (day(), 0_i64..90, text(), any::<bool>(), of("[a-z]{1,8}@[a-z]{1,8}\\.example"));
    (head, text(), "[A-Z]{2}", vec(line, 1..4)).prop_map(|(head, address, country, lines)| {
        let (placed_on, days, customer, dealer, email) = head;
        let promised_on = placed_on + chrono::Duration::days(days);
        let channel = if dealer { Channel::Dealer } else { Channel::Rider };
        let lines = lines.into_iter().zip(1..).map(|((kit, quantity, options), line_no)| {
            OrderLine { line_no, kit, quantity, options, at: 0 }
        });
        let (number, lines) = (String::new(), lines.collect());
        OrderRecord {
            number,
            placed_on,
            promised_on,
            customer,
            channel,
            email,
            address,
            country,
            lines,
        }
    })
}

fn purchase_order() -> impl Strategy<Value = PurchaseOrderRecord> {
    let line = (part_number(), pieces(), (money(), pieces()), of("[A-Z]{3}"), of(day()));
    let head = (text(), day(), 0_i64..200, of(text()));
    (head, vec(line, 1..4)).prop_map(|((supplier, ordered_on, days, note), lines)| {
        let due_on = ordered_on + chrono::Duration::days(days);
        let lines = lines.into_iter().zip(1..).map(|(line, line_no)| {
            let (part_number, quantity, (amount, per), currency, wanted_on) = line;
            let price = UnitPrice::new(amount, per);
            let currency = currency.unwrap_or_default();
            PurchaseLine { line_no, part_number, quantity, price, currency, wanted_on, at: 0 }
        });
        let (number, lines) = (String::new(), lines.collect());
        let note = note.unwrap_or_default();
        PurchaseOrderRecord { number, supplier, ordered_on, due_on, note, lines }
    })
}

/// A bill whose lines speak only of its own options and steps, as the reader demands.
fn bom(code: String) -> impl Strategy<Value = Bom> {
    let name = || text_without(&['=', ';', '{', '}']);
    let value = || text_without(&['|', ';', '{', '}']);
    let options = btree_map(name(), btree_set(value(), 1..4), 0..3);
    let steps = btree_map(1_u32..90, (text(), of(text()), of(text())), 1..4);
    let lines = btree_map(1_u32..900, (part_number(), text(), any::<u32>(), pieces()), 0..5);
    let head = (text(), text(), of(day()));
    (head, options, steps, lines, name()).prop_map(
        move |((name, revision, valid_from), options, steps, lines, attribute)| {
            let options: Vec<OptionDef> = options
                .into_iter()
                .map(|(name, values)| OptionDef { name, values: values.into_iter().collect() })
                .collect();
            let numbers: Vec<u32> = steps.keys().copied().collect();
            let lines = lines
                .into_iter()
                .map(|(number, (part, base, dice, quantity))| {
                    let open = dice % 2 == 0;
                    let item = if open {
                        BomItem::Part(format!("part {base}"))
                    } else {
                        BomItem::PartNumber(part)
                    };
                    let option = options.first().filter(|_| open);
                    let choice = match option {
                        Some(option) => Choice::Option(option.name.clone()),
                        None => Choice::Fixed("fixed".to_owned()),
                    };
                    let choose = if open { vec![(attribute.clone(), choice)] } else { Vec::new() };
                    let when = option.map(|it| (it.name.clone(), it.values.clone()));
                    let step = numbers[usize::try_from(dice).unwrap() % numbers.len()];
                    let when = when.into_iter().collect();
                    BomLine { number, step, item, choose, when, quantity, carton: dice % 3 }
                })
                .collect();
            let steps = steps.into_iter().map(|(number, (title, check, caution))| {
                let (check, caution) = (check.unwrap_or_default(), caution.unwrap_or_default());
                Step { number, title, check, caution }
            });
            let (code, steps) = (code.clone(), steps.collect());
            Bom {
                code,
                revision,
                valid_from,
                name,
                makes: None,
                options,
                steps,
                lines,
                guide: Guide::default(),
            }
        },
    )
}

/// Leaves out records whose key an earlier one has, since a file may hold each key once.
fn once<T, K: Ord>(records: Vec<T>, key: impl Fn(&T) -> K) -> Vec<T> {
    let mut seen = BTreeSet::new();
    records.into_iter().filter(|it| seen.insert(key(it))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn policies_come_back(record in policy()) {
        let text = policies::write([&record]);
        prop_assert_eq!(values(policies::read(text.as_bytes())), vec![record]);
    }

    #[test]
    fn suppliers_come_back(records in vec(supplier(), 0..5)) {
        let records = once(records, |it| it.code.clone());
        let text = suppliers::write(&records);
        prop_assert_eq!(values(suppliers::read(text.as_bytes())), records);
    }

    #[test]
    fn bins_come_back(records in vec(bin(), 0..5)) {
        let records = once(records, |it| it.code.clone());
        let text = bins::write(&records);
        prop_assert_eq!(values(bins::read(text.as_bytes())), records);
    }

    #[test]
    fn parts_come_back(records in vec(part(), 0..5)) {
        let records = once(records, |it| it.part_number.clone());
        let text = parts::write(&records);
        prop_assert_eq!(values(parts::read(text.as_bytes())), records);
    }

    #[test]
    fn stock_comes_back(records in vec(stock_row(), 0..5)) {
        let records = once(records, |it| it.part_number.clone());
        let text = stock::write(&records);
        prop_assert_eq!(values(stock::read(text.as_bytes())), records);
    }

    #[test]
    fn kits_come_back(records in (bom("FIRST".to_owned()), bom("zweiter Satz".to_owned()))) {
        let records = [records.0, records.1];
        let text = kits::write(&records);
        let read: Vec<Bom> =
            values(kits::read(text.as_bytes())).into_iter().map(|it| it.bom).collect();
        prop_assert_eq!(read, records);
    }

    #[test]
    fn orders_come_back(records in btree_map(text(), order(), 0..4)) {
        let mut at = 1;
        let mut records = numbered(records, |order, number| order.number = number);
        for line in records.iter_mut().flat_map(|it| &mut it.lines) {
            at += 1;
            line.at = at;
        }
        let text = orders::write(&records);
        prop_assert_eq!(values(orders::read(text.as_bytes())), records);
    }

    #[test]
    fn purchase_orders_come_back(records in btree_map(text(), purchase_order(), 0..4)) {
        let mut at = 1;
        let mut records = numbered(records, |order, number| order.number = number);
        for line in records.iter_mut().flat_map(|it| &mut it.lines) {
            at += 1;
            line.at = at;
        }
        let text = purchase_orders::write(&records);
        prop_assert_eq!(values(purchase_orders::read(text.as_bytes())), records);
    }

    #[test]
    fn no_file_makes_a_reader_panic(bytes in vec(any::<u8>(), 0..200), shop in any::<String>()) {
        for bytes in [bytes.as_slice(), shop.as_bytes()] {
            let mut file = b"record,kit,number,name,part,revision,values\nkit,K,".to_vec();
            file.extend(bytes);
            prop_assert!(kits::read(&file).is_err());
            prop_assert!(parts::read(bytes).is_err());
            prop_assert!(orders::read(bytes).is_err());
        }
    }
}

fn numbered<T>(records: BTreeMap<String, T>, name: impl Fn(&mut T, String)) -> Vec<T> {
    let records = records.into_iter().map(|(number, mut it)| {
        name(&mut it, number);
        it
    });
    records.collect()
}
