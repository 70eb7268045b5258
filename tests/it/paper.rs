//! Labels and lists on paper: the marks of a label, and every PDF read back by a bar code reader.

mod purchasing;
mod samples;

use crate::support::decode::{Seen, look};
use insta::assert_snapshot;
use kitwright::domain::labels::{
    Counting, Facts, Field, LabelKind, LabelKindError, Layout, Mark, Sheet, compose, warnings,
};
use kitwright::paper::{
    Media, PaperError, PickList, labels, missing_glyphs, packing_list, pick_list, text_width,
};
use proptest::prelude::*;
use samples::{bolt, carton, facts, layout, line, part, ski_bike, step, walk};

fn marks(kind: LabelKind, facts: &Facts<'_>) -> String {
    let marks = compose(&layout(kind), facts, &text_width).expect("a label that fits");
    marks.iter().map(|it| format!("{it}\n")).collect()
}

fn texts(seen: &Seen) -> Vec<Vec<&str>> {
    seen.symbols.iter().map(|page| page.iter().map(|it| it.text.as_str()).collect()).collect()
}

#[test]
fn the_size_is_the_largest_thing_on_a_part_label() {
    assert_snapshot!(marks(LabelKind::Part, &bolt()), @"
    Mono 4600 at 3000,6272: FS1026
    Regular 4600 at 38377,6272: B-03-2U
    Box 54000x250 at 3000,7800
    Bold 11000 at 3000,18045: M6×14
    Regular 3050 at 3000,25300: Pinch bolt, stem, zinc-nickel, patch
    Code128 33750x7680 by 375 at 13125,28000: FS1026
    Regular 2600 at 25118,38202: FS1026
    ");
}

#[test]
fn long_words_shrink_then_wrap_then_are_refused() {
    fn check(name: &str, wanted: &str) {
        let mut facts = bolt();
        facts.insert("name", name.to_owned());
        let said = match compose(&layout(LabelKind::Part), &facts, &text_width) {
            Ok(marks) => marks[4..marks.len() - 2].iter().map(|it| format!("{it}\n")).collect(),
            Err(error) => error.to_string(),
        };
        assert_eq!(said, wanted);
    }
    check("", "the label 'part' needs the fact 'name', and it was not given");
    check("Pinch bolt", "Regular 3400 at 3000,25403: Pinch bolt\n");
    check(
        "Handlebar, 31.8 clamp, 760 wide, 20 rise",
        "Regular 2600 at 3000,25167: Handlebar, 31.8 clamp, 760 wide, 20 rise\n",
    );
    check(
        "Handlebar, 31.8 clamp, 760 wide, 20 rise, butted, black",
        "Regular 2850 at 3000,23559: Handlebar, 31.8 clamp, 760 wide, 20\nRegular 2850 at 3000,26922: rise, butted, black\n",
    );
    check(
        &"Handlebar ".repeat(9),
        "'Handlebar Handlebar Handlebar Handlebar Handlebar Handlebar Handlebar Handlebar Handlebar' does not fit field 5 of the label 'part': at the least size of 2.5 mm it is 123.022 mm long and takes more than 2 line(s) of 54 mm: shorten it by 15.022 mm, or widen the field",
    );
}

#[test]
fn a_bar_code_that_does_not_fit_is_refused() {
    let facts = facts([
        ("part_number", part("BR201").as_str()),
        ("name", "Brake"),
        ("lot", "LOT-2026-SEASON-A-000417-B"),
    ]);
    let error = compose(&layout(LabelKind::Lot), &facts, &text_width).expect_err("too wide");
    assert_snapshot!(error.to_string(), @"the bar code of '1TLOT-2026-SEASON-A-000417-B' does not fit field 7 of the label 'lot': it needs 88 mm with modules of 0.25 mm and quiet zones, and has 58 mm: widen the field by 30 mm");
}

#[test]
fn a_layout_that_runs_off_its_label_is_refused() {
    let text = "name = 'x'\nwidth_mm = 30.5\nheight_mm = 10\n[[field]]\nkind = 'box'\n\
                x_mm = 20\ny_mm = 1\nwidth_mm = 10.501\nheight_mm = 1\n";
    let error = text.parse::<Layout>().expect_err("too wide");
    let wanted = "it cannot be read: line 4: field 1: it reaches 0.001 mm past the right edge of the 30.5 mm by 10 mm label";
    assert_eq!(error.to_string(), wanted);
    let unknown = text.replace("y_mm", "y_cm").parse::<Layout>().expect_err("no such key");
    assert_snapshot!(unknown.to_string(), @"it cannot be read: line 4: field 1: unknown field `y_cm`, expected one of `x_mm`, `y_mm`, `width_mm`, `height_mm`, `line_mm`");
    assert_eq!("box".parse::<LabelKind>(), Err(LabelKindError("box".to_owned())));
}

#[test]
fn every_label_is_read_back() {
    fn check(kind: LabelKind, facts: &Facts<'_>, wanted: &[&str]) {
        let pdf = labels(&layout(kind), std::slice::from_ref(facts), &Media::Roll).expect("a PDF");
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
    check(LabelKind::Carton, &carton(), &["CN0041271C", link]);
}

#[test]
fn every_built_in_layout_is_read_back_with_its_sample() {
    for (kind, wanted) in [
        (LabelKind::Part, vec!["FS1026"]),
        (LabelKind::Bin, vec!["B-03-2U"]),
        (LabelKind::TwoBin, vec!["FS1026"]),
        (LabelKind::Lot, vec!["1TA7731-26", "1TA7731-26+Z2"]),
        (LabelKind::Serial, vec!["SF26-004417", "SF26-004417+Z2"]),
        (LabelKind::Quarantine, vec!["FS1026"]),
        (LabelKind::Bag, vec!["1T26-117", "1T26-117+Z2"]),
        (LabelKind::Kit, vec!["KT004127C", "KT004127C+Z2"]),
        (
            LabelKind::Carton,
            vec![
                "(00)095212340000041276",
                "CN0041271C",
                "https://skarnholt.example/b/KT004127C/9f3ka7q2",
            ],
        ),
    ] {
        let (layout, facts) = (layout(kind), kind.sample());
        let pdf = labels(&layout, std::slice::from_ref(&facts), &Media::Roll).expect("a PDF");
        let seen = look(&format!("sample-{kind}"), &pdf);
        assert_eq!(texts(&seen), [wanted], "{kind}");
        let counted = kind.counting() != Counting::None;
        assert_eq!(seen.words.contains("copy 2"), counted, "{kind}: {}", seen.words);
        let short = warnings(&layout, &facts, &text_width).expect("it prints");
        assert_eq!(short, [], "{kind}");
        for (symbology, it) in layout.fields.iter().filter_map(Field::bars) {
            assert!(it.hri_um.is_some(), "{kind}: no words below the {symbology:?}");
        }
    }
}

#[test]
fn words_below_bars_say_what_is_encoded() {
    fn check(kind: LabelKind, wanted: &str) {
        let marks = compose(&layout(kind), &kind.sample(), &text_width).expect("a label that fits");
        let says = |it: &Mark| matches!(it, Mark::Text { text, .. } if text == wanted);
        assert!(marks.iter().any(says), "{kind}: '{wanted}' is not below its bars");
    }
    check(LabelKind::Part, "FS1026");
    check(LabelKind::Lot, "1TA7731-26");
    check(LabelKind::Serial, "SF26-004417");
    check(LabelKind::Bag, "1T26-117");
    check(LabelKind::Kit, "KT004127C");
    check(LabelKind::Carton, "(00)095212340000041276");
}

#[test]
fn a_look_warns_of_what_a_scanner_or_an_eye_may_fail_at() {
    fn check(kind: LabelKind, changes: &[(&str, &str)], wanted: &[&str]) {
        let mut text = kind.built_in().to_owned();
        for (old, new) in changes {
            assert!(text.contains(old), "{kind} has no {old}");
            text = text.replacen(old, new, 1);
        }
        let layout: Layout = text.parse().expect("it fits");
        let said = warnings(&layout, &kind.sample(), &text_width).expect("it prints");
        let said: Vec<String> = said.iter().map(ToString::to_string).collect();
        assert_eq!(said, wanted, "{kind}: {changes:?}");
    }
    let part = LabelKind::Part;
    check(part, &[], &[]);
    // The part number above stands for the words below.
    check(part, &[("hri_size_mm = 2.6\n", "")], &[]);
    check(
        LabelKind::Lot,
        &[("hri_size_mm = 2.8\n", "")],
        &["field 7: no words say what the bars hold, should they not be read: give it hri_size_mm"],
    );
    check(
        part,
        &[("hri_size_mm = 2.6", "hri_size_mm = 2")],
        &[
            "field 6: letters of 1.458 mm are 0.042 mm lower than the 1.5 mm asked: shorten the words, or give them room",
        ],
    );
    check(
        part,
        &[("height_mm = 10.8", "height_mm = 7.5")],
        &["field 6: bars of 4.38 mm are 0.682 mm too low: make them 5.062 mm high at least"],
    );
    check(
        part,
        &[(
            "text = \"{bin}\"\nx_mm = 34\ny_mm = 2.5\nwidth_mm = 23",
            "text = \"{bin}\"\nx_mm = 0.2\ny_mm = 30\nwidth_mm = 12.2",
        )],
        &["field 6: the quiet zone on the left has 1 modules: leave 10 at least"],
    );
    check(
        LabelKind::Carton,
        &[("size_mm = 9.65\nmin_size_mm = 6", "size_mm = 7\nmin_size_mm = 6")],
        &[
            "field 18: letters of 5.103 mm are 1.897 mm lower than the 7 mm asked: shorten the words, or give them room",
        ],
    );
    check(
        LabelKind::Serial,
        &[(
            "side_mm = 10\nmax_module_mm = 0.5\n",
            "side_mm = 10\nmax_module_mm = 0.5\nuse = \"GS1128_general\"\n",
        )],
        &[
            "field 9, GS1128_general: modules of 0.5 mm are 0.242 mm too narrow: make them 0.742 mm at least",
        ],
    );
}

#[test]
fn a_label_that_is_small_for_its_content_says_which_dimension() {
    let text = LabelKind::Carton.built_in();
    let small = text
        .replace("width_mm = 105\nheight_mm = 148", "width_mm = 101.6\nheight_mm = 152.4")
        .replace("height_mm = 36.8", "height_mm = 30")
        .replace("width_mm = 95\n", "width_mm = 91\n");
    let layout: Layout = small.replace("side_mm = 26", "side_mm = 24").parse().expect("it fits");
    let said = warnings(&layout, &LabelKind::Carton.sample(), &text_width).expect("it prints");
    let said: Vec<String> = said.iter().map(ToString::to_string).collect();
    assert_snapshot!(said.join("\n"), @"
    field 19, GS1128_logistic: bars of 24.96 mm are 6.79 mm too low: make them 31.75 mm high at least
    the label 'carton': a label of 101.6 mm by 152.4 mm is smaller than A6: add 3.4 mm and 0 mm, to 105 mm by 148 mm
    ");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 30, ..ProptestConfig::default() })]

    /// Arbitrary words are set inside the label, or refused: they never run off.
    #[test]
    fn no_mark_lies_outside_its_label(words in "\\PC{0,80}", long in "[\\p{L}\\p{M} ]{0,200}") {
        for kind in LabelKind::ALL {
            let layout = layout(kind);
            let mut facts = kind.sample();
            let kept = ["carton_number", "kit_number", "sscc", "link", "part_number", "bin"];
            for (name, value) in &mut facts {
                if !kept.contains(name) {
                    *value = if name.len() % 2 == 0 { words.clone() } else { long.clone() };
                }
            }
            let Ok(marks) = compose(&layout, &facts, &text_width) else { continue };
            for mark in &marks {
                let [x, y, width, height] = mark.frame(&text_width);
                let inside = 0 <= x && 0 <= y && x + width <= layout.width_um && y + height <= layout.height_um;
                prop_assert!(inside, "{kind}: {mark}");
            }
        }
    }
}

#[test]
fn a_sheet_starts_at_the_first_free_label() {
    let kind = layout(LabelKind::Part);
    let bolts = vec![bolt(); 12];
    let media = Media::Sheet { sheet: Sheet::a4(3, 7), start: 15 };
    let seen = look("label-sheet", &labels(&kind, &bolts, &media).expect("a PDF"));
    let counts: Vec<usize> = seen.symbols.iter().map(Vec::len).collect();
    assert_eq!(counts, [7, 5]);

    let wrong = |columns, rows, start| {
        let media = Media::Sheet { sheet: Sheet::a4(columns, rows), start };
        labels(&kind, &bolts, &media).expect_err("no such sheet").to_string()
    };
    let grid = "4 by 7 labels of this size do not fit the sheet 'A4': it holds at most 3 by 7";
    assert_eq!(wrong(4, 7, 1), grid);
    assert_eq!(wrong(3, 7, 22), "the sheet has labels 1 to 21, so printing cannot start at 22");
    assert_eq!(labels(&kind, &[], &Media::Roll), Err(PaperError::Nothing));
}

#[test]
fn a_character_without_a_glyph_is_named() {
    assert_eq!(missing_glyphs("Żółć, Ελλάδα, Київ, M6×14 — 3″"), Vec::<char>::new());
    assert_eq!(missing_glyphs("中 李 中 שלום"), ['ו', 'ל', 'ם', 'ש', '中', '李']);
    let mut facts = carton();
    facts.insert("rider", "李小龍 (Lǐ)".to_owned());
    let pdf = labels(&layout(LabelKind::Carton), &[facts], &Media::Roll).expect("a PDF");
    let seen = look("label-missing-glyph", &pdf);
    assert_eq!(seen.symbols.len(), 2, "the label, and the note");
    assert!(seen.words.contains("not printable: U+5C0F, U+674E, U+9F8D"), "{}", seen.words);
    assert!(seen.words.contains("(Lǐ)"));
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
        "none in this carton",
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
    for step in 2..8 {
        list.steps[step].lines[0].short = list.steps[4].lines[1].short.clone();
    }
    for number in 11..25 {
        let bolts = (0..6).map(|it| line("FS102", &format!("Bolt {it}"), "M6×14", 4)).collect();
        list.steps.push(step(number, &format!("Further step {number}"), None, bolts));
    }
    let seen = look("packing-list-long", &packing_list(&list).expect("a PDF"));
    let pages = seen.symbols.len();
    assert!(seen.words.contains(&format!("page {pages} of {pages}")));
    assert!(seen.words.contains("Step 2: Frame on the stand (continued)"));
    assert!(seen.words.contains("not printable: U+5C0F, U+674E, U+9F8D"));
    for serial in 0..400 {
        assert!(seen.words.contains(&format!("SK26-{serial:05}")), "serial {serial} is lost");
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
    let unusual = PickList { number: "№ 4".to_owned(), ..list };
    let seen = look("pick-list-matrix", &pick_list(&unusual).expect("a PDF"));
    assert!(texts(&seen)[0].contains(&"№ 4"), "{:?}", texts(&seen));
}
