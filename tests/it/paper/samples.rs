//! What the tests of paper print: labels and lists of the invented shop.
#![expect(clippy::expect_used, reason = "a sample that cannot be made fails its test")]

use chrono::NaiveDate;
use kitwright::domain::codes::{BinCode, CartonNumber, KitNumber, PartNumber, check_char};
use kitwright::domain::labels::{Facts, LabelKind, Layout};
use kitwright::paper::{
    PackingLine, PackingList, PackingStep, PickKit, PickList, PickStop, PickTake, Short,
};
use kitwright::units::{Mass, Quantity};

pub fn part(body: &str) -> PartNumber {
    let check = check_char(body).expect("capitals and digits");
    format!("{body}{check}").parse().expect("a part number")
}

pub fn layout(kind: LabelKind) -> Layout {
    kind.layout().expect("the layouts of the program are sound")
}

pub fn facts<const N: usize>(facts: [(&'static str, &str); N]) -> Facts<'static> {
    facts.into_iter().map(|(name, value)| (name, value.to_owned())).collect()
}

pub fn bolt() -> Facts<'static> {
    facts([
        ("part_number", part("FS102").as_str()),
        ("variant", "M6×14"),
        ("name", "Pinch bolt, stem, zinc-nickel, patch"),
        ("bin", "B-03-2U"),
    ])
}

pub fn carton() -> Facts<'static> {
    facts([
        ("shop", "Skarnholt Works"),
        ("order", "SO-10023"),
        ("rider", "Łucja Østergård-Żółkiewska"),
        ("carton_index", "1"),
        ("carton_count", "2"),
        ("kit_number", "KT004127C"),
        ("carton_number", "CN0041271C"),
        ("kit_name", "Ski bike, size L, air shock"),
        ("contents", "Frame, fork, bars, seat, bags 1 to 7, tools and papers"),
        ("link", "https://skarnholt.example/b/KT004127C/9f3ka7q2"),
    ])
}

pub fn line(body: &str, name: &str, variant: &str, quantity: i64) -> PackingLine {
    PackingLine {
        part_number: part(body),
        name: name.to_owned(),
        variant: variant.to_owned(),
        quantity: Quantity::new(quantity),
        identity: Vec::new(),
        is_bag: false,
        in_bag: None,
        short: None,
        other_carton: false,
    }
}

pub fn step(
    number: u32,
    title: &str,
    caution: Option<&str>,
    lines: Vec<PackingLine>,
) -> PackingStep {
    let (title, caution) = (title.to_owned(), caution.map(str::to_owned));
    PackingStep { number, title, caution, lines }
}

pub fn ski_bike(customer: &str) -> PackingList {
    let frame = PackingLine {
        identity: vec!["serial SK26-L-00418".to_owned()],
        ..line("FR101", "Frame, aluminium, with rear swingarm, pivots greased", "L, matte black", 1)
    };
    let bag = PackingLine {
        identity: vec!["lot 26-117, seal 004417".to_owned(), "lot 26-121, seal 004418".to_owned()],
        is_bag: true,
        ..line("BG203", "Bag 3, front end", "", 1)
    };
    let bolt = PackingLine {
        short: Some(Short {
            quantity: Quantity::new(2),
            class_words: "stops the build".to_owned(),
            reason: "supplier's pack held 80 instead of 100; follows by letter on 2026-12-01"
                .to_owned(),
        }),
        ..line("FS102", "Pinch bolt, stem, zinc-nickel, with patch", "M6×14", 4)
    };
    let skis = PackingLine {
        other_carton: true,
        identity: vec!["pair 26-0090".to_owned()],
        ..line("SK301", "Ski, sidecut, with edges, drilled for the mount", "980 mm", 2)
    };
    let pegs = PackingLine { other_carton: true, ..line("PG110", "Peg, folding", "left", 1) };
    let caution = "An air shock is under pressure: never open it, and set it with the maker's manual at hand.";
    let torque = "Tighten steering bolts with a torque wrench to the maker's value, crosswise.";
    PackingList {
        shop: "Skarnholt Works".to_owned(),
        order: "SO-10023".to_owned(),
        customer: customer.to_owned(),
        kit_number: "KT004127C".parse().expect("a kit number"),
        kit_name: "Ski bike, adult, air shock, sidecut skis".to_owned(),
        options: vec![
            ("Frame".to_owned(), "L, matte black".to_owned()),
            ("Skis".to_owned(), "980 mm".to_owned()),
            ("Bars".to_owned(), "760 mm wide, 20 mm rise".to_owned()),
            ("Leash".to_owned(), "wrist".to_owned()),
        ],
        carton_number: CartonNumber::nth(41271).expect("a carton number"),
        carton_index: 1,
        carton_count: 2,
        printed_on: NaiveDate::from_ymd_opt(2026, 11, 25).expect("a day"),
        expected_mass: Mass::from_milligrams(13_104_600),
        link: Some("https://skarnholt.example/b/KT004127C/9f3ka7q2".to_owned()),
        steps: vec![
            step(
                1,
                "Papers and tools",
                None,
                vec![
                    line("DC101", "Build guide", "English", 1),
                    line("TL104", "Hex key", "5 mm", 1),
                    line("TL105", "Hex key", "6 mm", 1),
                ],
            ),
            step(2, "Frame on the stand", None, vec![frame]),
            step(
                3,
                "Shock",
                Some(caution),
                vec![
                    line("SH120", "Air shock, 190 long, 45 stroke", "190×45", 1),
                    line("FS140", "Shock bolt", "M8×30", 2),
                ],
            ),
            step(
                4,
                "Headset and fork",
                None,
                vec![
                    line("HS108", "Headset, lower and upper", "EC34/28.6", 1),
                    line(
                        "FK110",
                        "Fork, air, 120 mm, tapered steerer cut to length",
                        "steerer 214 mm",
                        1,
                    ),
                ],
            ),
            step(
                5,
                "Stem and bars",
                Some(torque),
                vec![line("MT108", "Stem", "50 mm, 31.8", 1), bolt, bag],
            ),
            step(
                6,
                "Seat post and saddle",
                None,
                vec![line("SP130", "Seat post", "30.9×350", 1), line("SD100", "Saddle", "", 1)],
            ),
            step(7, "Pegs", None, vec![pegs]),
            step(
                8,
                "Ski mounts",
                None,
                vec![
                    line("SM210", "Ski mount, front", "12 mm axle", 1),
                    line("SM211", "Ski mount, rear", "12 mm axle", 1),
                    line("BG205", "Bag 5, ski mounts", "", 1),
                ],
            ),
            step(9, "Skis", None, vec![skis]),
            step(10, "Leash and lamp", None, vec![line("LS100", "Leash, wrist", "", 1)]),
            step(
                0,
                "Packing material",
                None,
                vec![
                    line("PK112", "Fork axle spacer, plastic", "100 mm", 1),
                    line("PK120", "Foam block", "", 6),
                ],
            ),
        ],
    }
}

pub fn walk() -> PickList {
    let stop = |bin: (char, u32, u32), body: &str, name: &str, variant: &str, takes: &[i64]| {
        let slots = ["A", "B", "C", "D", "E", "F", "G", "H"];
        let take = |(slot, pieces): (&&str, &i64)| PickTake {
            slot: (*slot).to_owned(),
            quantity: Quantity::new(*pieces),
        };
        PickStop {
            bin: BinCode::at(bin.0, bin.1, bin.2).expect("a bin"),
            zone: "Small parts".to_owned(),
            part_number: part(body),
            name: name.to_owned(),
            variant: variant.to_owned(),
            lot: None,
            serial_tracked: false,
            takes: slots.iter().zip(takes).map(take).collect(),
            total: Quantity::new(takes.iter().sum()),
        }
    };
    let kit = |count, slot: &str, description: &str| PickKit {
        kit_number: KitNumber::nth(count).expect("a kit number"),
        description: description.to_owned(),
        slot: slot.to_owned(),
    };
    let fork = PickStop {
        lot: Some("26-117".to_owned()),
        serial_tracked: true,
        zone: "Large parts, rack by the dock door".to_owned(),
        ..stop(
            ('D', 12, 1),
            "FK110",
            "Fork, air, 120 mm, tapered steerer cut to length",
            "steerer 214 mm, matte black, left brake mount",
            &[1, 1],
        )
    };
    PickList {
        number: "PL-000318".to_owned(),
        printed_on: NaiveDate::from_ymd_opt(2026, 11, 25).expect("a day"),
        kits: vec![
            kit(4127, "A", "Ski bike L, air shock, for Łucja Østergård-Żółkiewska"),
            kit(4128, "B", "Ski bike M, coil shock, for the ski club of the upper valley"),
        ],
        stops: vec![
            stop(
                ('A', 1, 1),
                "FS102",
                "Pinch bolt, stem, zinc-nickel, with patch",
                "M6×14",
                &[4, 4],
            ),
            stop(('A', 1, 2), "FS103", "Pinch bolt, stem, zinc-nickel, with patch", "M6×16", &[2]),
            stop(('A', 2, 4), "BG203", "Bag 3, front end", "", &[1, 1]),
            stop(('B', 3, 2), "MT108", "Stem", "50 mm, 31.8", &[1, 1]),
            stop(('B', 4, 1), "FS140", "Shock bolt", "M8×30", &[12, 8, 8, 8, 8, 120, 8, 8]),
            fork,
            stop(
                ('D', 14, 1),
                "FR101",
                "Frame, aluminium, with rear swingarm",
                "L, matte black",
                &[1],
            ),
            stop(
                ('D', 14, 2),
                "FR101",
                "Frame, aluminium, with rear swingarm",
                "M, matte black",
                &[1],
            ),
            stop(('E', 1, 1), "DC101", "Build guide", "English", &[1, 1]),
        ],
    }
}
