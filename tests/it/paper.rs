//! Labels and lists on paper: the marks of a label, and every PDF read back by a bar code reader.
#![expect(
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a helper of a test fails the test by stopping it"
)]

#[path = "support/decode.rs"]
mod decode;

use chrono::NaiveDate;
use decode::{Seen, look};
use insta::assert_snapshot;
use kitwright::domain::codes::{BinCode, CartonNumber, KitNumber, PartNumber, check_char};
use kitwright::domain::labels::{Facts, LabelKind, Layout, LayoutError, compose};
use kitwright::paper::{
    Media, PackingLine, PackingList, PackingStep, PaperError, PickKit, PickList, PickStop,
    PickTake, Short, labels, missing_glyphs, packing_list, pick_list, text_width,
};
use kitwright::units::{Mass, Quantity};

fn part(body: &str) -> PartNumber {
    let check = check_char(body).expect("capitals and digits");
    format!("{body}{check}").parse().expect("a part number")
}

fn layout(kind: LabelKind) -> Layout {
    kind.layout().expect("the layouts of the program are sound")
}

fn facts<const N: usize>(facts: [(&'static str, &str); N]) -> Facts<'static> {
    facts.into_iter().map(|(name, value)| (name, value.to_owned())).collect()
}

fn bolt() -> Facts<'static> {
    facts([
        ("part_number", part("FS102").as_str()),
        ("variant", "M6×14"),
        ("name", "Pinch bolt, stem, zinc-nickel, patch"),
        ("bin", "B-03-2U"),
    ])
}

fn carton() -> Facts<'static> {
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

fn marks(kind: LabelKind, facts: &Facts<'_>) -> String {
    let marks = compose(&layout(kind), facts, &text_width).expect("a label that fits");
    marks.iter().map(|it| format!("{it}\n")).collect()
}

fn texts(seen: &Seen) -> Vec<Vec<&str>> {
    seen.symbols.iter().map(|page| page.iter().map(|it| it.text.as_str()).collect()).collect()
}

#[test]
fn the_size_is_the_largest_thing_on_a_part_label() {
    assert_snapshot!(marks(LabelKind::Part, &bolt()), @r"
    Bold 4600 at 3000,6272: FS1026
    Regular 4600 at 38838,6272: B-03-2U
    Box 54000x250 at 3000,7800
    Bold 11000 at 3000,18045: M6×14
    Regular 3050 at 3000,25300: Pinch bolt, stem, zinc-nickel, patch
    Code128 33750x9200 by 375 at 13125,28400: FS1026
    ");
}

#[test]
fn long_words_shrink_then_wrap_then_are_refused() {
    fn check(name: &str, wanted: &str) {
        let mut facts = bolt();
        facts.insert("name", name.to_owned());
        let said = match compose(&layout(LabelKind::Part), &facts, &text_width) {
            Ok(marks) => marks[4..marks.len() - 1].iter().map(|it| format!("{it}\n")).collect(),
            Err(error) => error.to_string(),
        };
        assert_eq!(said, wanted);
    }
    check("", "the label 'part' needs the fact 'name', and it was not given");
    check("Pinch bolt", "Regular 3400 at 3000,25403: Pinch bolt\n");
    check("Handlebar, 31.8 clamp, 760 wide, 20 rise", "");
    check("Handlebar, 31.8 clamp, 760 wide, 20 rise, butted, black", "");
    check(&"Handlebar ".repeat(12), "");
}

#[test]
fn a_bar_code_that_does_not_fit_is_refused() {
    let facts = facts([
        ("part_number", part("BR201").as_str()),
        ("name", "Brake"),
        ("lot", "LOT-2026-SEASON-A-000417-B"),
    ]);
    let error = compose(&layout(LabelKind::Lot), &facts, &text_width).expect_err("too wide");
    assert_snapshot!(error.to_string(), @"the bar code of '1TLOT-2026-SEASON-A-000417-B' does not fit the label 'lot': it needs 88 mm with modules of 0.25 mm and quiet zones, and has 58 mm");
}

#[test]
fn a_layout_that_runs_off_its_label_is_refused() {
    let text = "name = 'x'\nwidth_mm = 30.5\nheight_mm = 10\n[[field]]\nkind = 'box'\n\
                x_mm = 20\ny_mm = 1\nwidth_mm = 10.501\nheight_mm = 1\n";
    let error = text.parse::<Layout>().expect_err("too wide");
    let wanted = "on the layout 'x', field 1 reaches past the 30.5 mm by 10 mm label";
    assert_eq!(error.to_string(), wanted);
    let unknown = text.replace("y_mm", "y_cm").parse::<Layout>();
    assert!(matches!(unknown, Err(LayoutError::Text(_))));
    assert_eq!("box".parse::<LabelKind>(), Err(LayoutError::Kind("box".to_owned())));
}

#[test]
fn every_label_is_read_back() {
    fn check(kind: LabelKind, facts: &Facts<'_>, wanted: &[&str]) {
        let pdf = labels(&layout(kind), std::slice::from_ref(facts), Media::Roll).expect("a PDF");
        assert!(pdf.len() < 60_000, "{kind}: {} bytes", pdf.len());
        let seen = look(&format!("label-{kind}"), &pdf);
        assert_eq!(texts(&seen), [wanted], "{kind}");
    }
    let fork = part("FK110");
    check(LabelKind::Part, &bolt(), &[part("FS102").as_str()]);
    let bin = facts([("bin", "B-03-2U"), ("contents", "Pinch bolt, stem, M6×14")]);
    check(LabelKind::Bin, &bin, &["B-03-2U"]);
    let lot = facts([
        ("part_number", fork.as_str()),
        ("name", "Thread locker, medium strength"),
        ("lot", "A7731-26"),
        ("use_by", "2027-06-30"),
    ]);
    check(LabelKind::Lot, &lot, &["1TA7731-26"]);
    let serial = facts([
        ("part_number", fork.as_str()),
        ("name", "Fork, air, 120 mm, tapered steerer"),
        ("variant", "980 mm"),
        ("serial", "F26-004417"),
    ]);
    check(LabelKind::Serial, &serial, &["SF26-004417"]);
    let link = "https://skarnholt.example/b/KT004127C/9f3ka7q2";
    check(LabelKind::Carton, &carton(), &["CN0041271C", "KT004127C", link]);
}

#[test]
fn a_sheet_starts_at_the_first_free_label() {
    let kind = layout(LabelKind::Part);
    let bolts = vec![bolt(); 12];
    let media = Media::A4 { columns: 3, rows: 7, start: 15 };
    let seen = look("label-sheet", &labels(&kind, &bolts, media).expect("a PDF"));
    let counts: Vec<usize> = seen.symbols.iter().map(Vec::len).collect();
    assert_eq!(counts, [7, 5]);

    let wrong = |columns, rows, start| {
        let media = Media::A4 { columns, rows, start };
        labels(&kind, &bolts, media).expect_err("no such sheet").to_string()
    };
    let grid = "4 by 7 labels of this size do not fit an A4 sheet: it holds at most 3 by 7";
    assert_eq!(wrong(4, 7, 1), grid);
    assert_eq!(wrong(3, 7, 22), "the sheet has labels 1 to 21, so printing cannot start at 22");
    assert_eq!(labels(&kind, &[], Media::Roll), Err(PaperError::Nothing));
}

#[test]
fn a_character_without_a_glyph_is_named() {
    assert_eq!(missing_glyphs("Żółć, Ελλάδα, Київ, M6×14 — 3″"), []);
    assert_eq!(missing_glyphs("中 李 中 שלום"), ['ו', 'ל', 'ם', 'ש', '中', '李']);
    let mut facts = carton();
    facts.insert("rider", "李小龍 (Lǐ)".to_owned());
    let pdf = labels(&layout(LabelKind::Carton), &[facts], Media::Roll).expect("a PDF");
    let seen = look("label-missing-glyph", &pdf);
    assert_eq!(seen.symbols.len(), 2, "the label, and the note");
    assert!(seen.words.contains("not printable: U+5C0F, U+674E, U+9F8D"), "{}", seen.words);
    assert!(seen.words.contains("(Lǐ)"));
}

fn line(body: &str, name: &str, variant: &str, quantity: i64) -> PackingLine {
    PackingLine {
        part_number: part(body),
        name: name.to_owned(),
        variant: variant.to_owned(),
        quantity: Quantity::new(quantity),
        identity: Vec::new(),
        contents: Vec::new(),
        short: None,
        other_carton: false,
    }
}

fn step(number: u32, title: &str, caution: Option<&str>, lines: Vec<PackingLine>) -> PackingStep {
    let (title, caution) = (title.to_owned(), caution.map(str::to_owned));
    PackingStep { number, title, caution, lines }
}

fn ski_bike(customer: &str) -> PackingList {
    let frame = PackingLine {
        identity: vec!["serial SK26-L-00418".to_owned()],
        ..line("FR101", "Frame, aluminium, with rear swingarm, pivots greased", "L, matte black", 1)
    };
    let bag = PackingLine {
        identity: vec!["lot 26-117, seal 004417".to_owned(), "lot 26-121, seal 004418".to_owned()],
        contents: vec![
            ("Pinch bolt, stem, M6×14".to_owned(), Quantity::new(4)),
            ("Washer, M6, stainless".to_owned(), Quantity::new(4)),
        ],
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

#[test]
fn a_packing_list_is_read_back() {
    let list = ski_bike(
        "Wojciech Brzęczyszczykiewicz-Łękołodzki and Þorgerður Sigríður Ásgeirsdóttir, ski club of the upper valley",
    );
    let pdf = packing_list(&list).expect("a PDF");
    assert!(pdf.len() < 80_000, "{} bytes", pdf.len());
    let seen = look("packing-list", &pdf);
    let link = "https://skarnholt.example/b/KT004127C/9f3ka7q2";
    assert_eq!(texts(&seen)[0], ["CN0041271C", "KT004127C", link]);
    assert!(texts(&seen)[1..].iter().all(Vec::is_empty));
    for words in [
        "Shipped short",
        "Step 5: 2 × Pinch bolt, stem, zinc-nickel, with patch M6×14",
        "Reason: supplier's pack held 80 instead of 100",
        "Step 5 lacks: 2 × Pinch bolt",
        "in another carton of this kit",
        "lift operator's decision",
        "13.10 kg",
        "page 1 of 2",
        "page 2 of 2",
    ] {
        assert!(seen.words.contains(words), "'{words}' is not on the list:\n{}", seen.words);
    }
}

#[test]
fn a_packing_list_of_any_length_breaks_over_pages() {
    let mut list = ski_bike("李小龍");
    let serials = (0..400).map(|it| format!("serial SK26-{it:05}")).collect();
    list.steps[1].lines[0].identity = serials;
    for number in 11..40 {
        let bolts = (0..6).map(|it| line("FS102", &format!("Bolt {it}"), "M6×14", 4)).collect();
        list.steps.push(step(number, &format!("Further step {number}"), None, bolts));
    }
    let seen = look("packing-list-long", &packing_list(&list).expect("a PDF"));
    let pages = seen.symbols.len();
    assert!(seen.words.contains(&format!("page {pages} of {pages}")));
    assert!(seen.words.contains("2  Frame on the stand (continued)"));
    assert!(seen.words.contains("not printable: U+5C0F, U+674E, U+9F8D"));
    for serial in 0..400 {
        assert!(seen.words.contains(&format!("SK26-{serial:05}")), "serial {serial} is lost");
    }
}

fn walk() -> PickList {
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

#[test]
fn a_pick_list_is_read_back() {
    let list = walk();
    let seen = look("pick-list", &pick_list(&list).expect("a PDF"));
    let mut found: Vec<&str> = texts(&seen).into_iter().flatten().collect();
    found.sort_unstable();
    let mut wanted: Vec<&str> = vec![&list.number];
    for stop in &list.stops {
        wanted.extend([stop.bin.as_str(), stop.part_number.as_str()]);
    }
    wanted.sort_unstable();
    assert_eq!(found, wanted);
    for words in ["stop 9 of 9", "Scan each serial number.", "from lot 26-117", "Pieces: 200"] {
        assert!(seen.words.contains(words), "'{words}' is not on the list:\n{}", seen.words);
    }
    let wrong = PickList { number: "№ 4".to_owned(), ..list };
    assert!(matches!(pick_list(&wrong), Err(PaperError::Code128(_))));
}
