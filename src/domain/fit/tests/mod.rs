mod spacers;

use super::*;
use crate::units::{Angle, Length};

fn mm(text: &str) -> Length {
    match text.strip_prefix('-') {
        Some(text) => Length::ZERO.less(mm(text)),
        None => Length::parse_millimetres(text).expect("millimetres"),
    }
}

fn mm_words(length: Length) -> String {
    length.to_string().trim_end_matches(" mm").to_owned()
}

fn degrees(whole: i64) -> Angle {
    Angle::from_hundredths(whole * 100)
}

/// Headset identification scheme (SHIS), as published in 2011.
#[test]
fn reads_headset_codes_as_people_type_them() {
    let check = |text: &str, wanted: &str| {
        let read = text.parse::<HeadsetCode>();
        let words = read.map_or_else(|it| it.to_string(), |it| it.to_string());
        assert!(words.starts_with(wanted), "{text}: {words}");
    };
    check("EC34/28.6 | EC34/30", "EC34/28.6 | EC34/30");
    check("IS42/28.6 | IS52/40", "IS42/28.6 | IS52/40");
    check(" zs 44 / 28,6|Zs56 /40 ", "ZS44/28.6 | ZS56/40");
    check("XX44/28.6|ZS44/30", "unknown type 'XX'");
    check("44/28.6|ZS44/30", "unknown type ''");
    check("ZS44/28.6|ZS44/30|EC34/30", "three halves");
    check("ZS44/28.6", "one half only");
    check("ZS44/28.6|", "one half only");
    check("", "no half");
    check("ZS44|ZS44", "inner diameters missing");
    check("ZS44/28.6|ZS44/", "inner diameters missing");
    check("ZS-44/28.6|ZS44/30", "negative bore");
    check("ZS44/28.6|ZS44/-30", "negative crown seat");
    check("ZS44/abc|ZS44/30", "not a number: 'abc' stands for the steerer");
    check("ZS/28.6|ZS44/30", "not a number: '' stands for the bore");
    check("ZS0/28.6|ZS44/30", "not a number: '0' stands for the bore");
    check("ZS44/28.6/30|ZS44/30", "not a number: '28.6/30'");
    check("ZS44/28.6 ZS44/30", "one half only");
    check("ZS44/2 8.6|ZS44/30", "not a number");
    check("EC34/38.1|EC34/30", "a steerer of 38.1 mm does not pass through a bore of 34 mm");
}

/// Head-tube specification guide, rev. B, 2009.
#[test]
fn a_bore_is_held_against_the_limits_of_its_code() {
    let check = |code: &str, measured: &str, verdict: Verdict| {
        let found = bore_check(code, mm(measured)).expect("a code");
        assert_eq!(found.verdict, verdict, "{code} {measured}: {}", found.reason);
    };
    for (code, low, high) in [
        ("EC30", "30.05", "30.1"),
        ("EC34", "33.9", "33.95"),
        ("EC37", "36.9", "36.95"),
        ("EC49", "49.57", "49.61"),
        ("ZS41", "41.35", "41.4"),
        ("ZS44", "43.95", "44"),
        ("ZS56", "55.9", "55.95"),
    ] {
        let one = Length::from_micrometres(1);
        assert_eq!(bore_limits(code), Ok(Some((mm(low), mm(high)))), "{code}");
        check(code, low, Verdict::Fits);
        check(code, high, Verdict::Fits);
        for outside in [mm(low).less(one), mm(high).plus(one)] {
            let found = bore_check(code, outside).expect("a code");
            assert_eq!(found.verdict, Verdict::DoesNotFit, "{code}: {}", found.reason);
        }
    }
    check("ZS44", "43.975", Verdict::Fits);
    check("ZS44/28.6", "43.93", Verdict::DoesNotFit);
    check("IS42", "42", Verdict::NotKnown);
    assert!(bore_check("QQ44", mm("44")).is_err());
}

/// Headset identification guide, rev. F+, 2010, title drawing: cup 34.10 +0.10/-0.
#[test]
fn a_cup_is_larger_than_its_bore() {
    let (range, found) =
        cup_interference((mm("34.1"), mm("34.2")), (mm("33.9"), mm("33.95"))).expect("ranges");
    assert_eq!(range, (mm("0.15"), mm("0.3")));
    assert_eq!(found.verdict, Verdict::Fits);
    let loose = cup_interference((mm("33.9"), mm("34.2")), (mm("33.9"), mm("33.95")));
    assert_eq!(loose.expect("ranges").1.verdict, Verdict::DoesNotFit);
    assert!(cup_interference((mm("2"), mm("1")), (mm("1"), mm("1"))).is_err());
}

#[test]
fn a_fork_and_a_frame_are_held_against_the_code() {
    let check = |bores: (&str, &str), fork: (&str, &str), code: &str, wanted: [bool; 2]| {
        let code: HeadsetCode = code.parse().expect("a code");
        let frame = frame_headset(mm(bores.0), mm(bores.1), &code);
        let fork = fork_headset(mm(fork.0), mm(fork.1), &code);
        assert_eq!([frame.verdict, fork.verdict], wanted.map(Verdict::of), "{code}");
    };
    let (t15, t12) = (("28.6", "40"), ("28.6", "30"));
    check(("44", "56"), t15, "ZS44/28.6 | ZS56/40", [true, true]);
    check(("44", "56"), t12, "ZS44/28.6 | ZS56/30", [true, true]);
    check(("44", "56"), t12, "ZS44/28.6 | ZS56/40", [true, false]);
    check(("44", "56"), t15, "EC34/28.6 | EC34/30", [false, false]);
    check(("49", "49"), ("38.1", "39.8"), "EC49/38.1|EC49/40", [true, true]);
    check(("34", "34"), ("25.4", "26.4"), "EC30/25.4|EC30/26", [false, true]);
    check(("30", "30"), ("25.4", "27"), "EC30/25.4|EC30/27", [true, true]);
    let code = "ZS44/28.6|ZS56/40".parse().expect("a code");
    assert_eq!(
        fork_headset(mm("28.6"), mm("30"), &code).reason,
        "the crown seat is 30 mm, and the race of ZS56/40 is 40 mm: it falls over the seat"
    );
    let legacy = "EC34/28.6|EC34/30".parse().expect("a code");
    assert_eq!(
        frame_headset(mm("44"), mm("56"), &legacy).reason,
        "the upper bore is 44 mm, and EC34/28.6 goes into 34 mm; \
         the lower bore is 56 mm, and EC34/30 goes into 34 mm"
    );
}

#[test]
fn angles_and_diameters_of_a_bearing_are_those_of_its_seats() {
    let lower = Bearing {
        inside: mm("40"),
        outside: mm("52"),
        height: mm("7"),
        inner_angle: degrees(45),
        outer_angle: degrees(45),
    };
    let steep = Bearing { inner_angle: degrees(36), ..lower };
    let cup = (Some(mm("52")), Some(degrees(45)));
    let verdict = |it: &Bearing, cup, race| bearing_in_seats(it, cup, race).verdict;
    assert_eq!(verdict(&lower, cup, Some(degrees(45))), Verdict::Fits);
    assert_eq!(verdict(&steep, cup, Some(degrees(45))), Verdict::DoesNotFit);
    assert_eq!(verdict(&lower, (Some(mm("49")), None), None), Verdict::DoesNotFit);
    assert_eq!(verdict(&lower, (None, None), None), Verdict::NotKnown);
    assert_eq!(
        bearing_in_seats(&steep, cup, Some(degrees(45))).reason,
        "bearing 40 mm x 52 mm x 7 mm, 36° x 45°: its inner face of 36° does not sit flush in a \
         race of 45°"
    );
    assert_eq!(same_angle(degrees(36), degrees(45)).verdict, Verdict::DoesNotFit);
    assert_eq!(race_on_fork(mm("40"), mm("39.8")).verdict, Verdict::Fits);
    assert_eq!(
        race_on_fork(mm("40"), mm("30")).reason,
        "the race of 40 mm is 10 mm larger than the crown seat of 30 mm: it falls over it"
    );
}

/// A maker's rule as worked in a public build report of 2008: 202.9, less 3 mm.
#[test]
fn a_steerer_is_the_sum_of_what_it_carries() {
    let front = FrontEnd {
        head_tube: mm("110.2"),
        lower_stack: mm("10.9"),
        upper_stack: mm("16.5"),
        stem: mm("40"),
    };
    assert_eq!(front.steerer_length(mm("25.3"), mm("3")), (mm("202.9"), mm("199.9")));
    assert_eq!(front.exposure(mm("199.9")), mm("22.3"));
    assert_eq!(stem_swap(mm("45"), mm("36")), mm("9"));
}

#[test]
fn a_clamp_takes_its_own_diameter_and_no_shim() {
    let check = |joint, outside: &str, clamp: &str, fits| {
        let found = clamp_match(joint, mm(outside), mm(clamp));
        assert_eq!(found.verdict, Verdict::of(fits), "{}", found.reason);
    };
    check(Joint::Steerer, "28.6", "28.6", true);
    check(Joint::Steerer, "31.8", "28.6", false);
    check(Joint::Bar, "31.8", "31.8", true);
    check(Joint::Bar, "25.4", "31.8", false);
    check(Joint::Bar, "31.8", "35", false);
    check(Joint::Post, "27.2", "30.9", false);
    check(Joint::Post, "31.6", "31.6", true);
    check(Joint::SeatTube, "34.9", "34.9", true);
}

/// The invented shop's geometry: rest to collar, insertion of the frame, and what comes of it.
#[test]
fn the_lift_binds_before_the_insertion_mark() {
    let frames = [
        ("318", ("105", "180"), "148.488", ["90", "120"]),
        ("336", ("115", "190"), "129.665", ["80", "110"]),
        ("352", ("125", "200"), "112.934", ["70", "100"]),
    ];
    for (rest, inside, limit, least) in frames {
        let saddle =
            SaddleGeometry { rest_to_collar: mm(rest), saddle: mm("48"), seat_angle: degrees(73) };
        let inside = (mm(inside.0), mm(inside.1));
        for (post, least) in ["270", "300"].into_iter().zip(least) {
            let found = post_window(mm(post), inside, Some(&saddle));
            assert_eq!(found.insertion.verdict, Verdict::Fits);
            assert_eq!(found.on_lift.verdict, Verdict::Fits);
            assert_eq!((found.least, found.highest()), (mm(least), mm(limit)));
        }
        let long = post_window(mm("350"), inside, Some(&saddle));
        assert_eq!(long.insertion.verdict, Verdict::Fits);
        assert_eq!(long.on_lift.verdict, Verdict::DoesNotFit);
    }
    let said = "a saddle of 508 mm at most lets 112.9 mm of the post stand out: 100 mm to 112.9 mm";
    let saddle =
        SaddleGeometry { rest_to_collar: mm("352"), saddle: mm("48"), seat_angle: degrees(73) };
    let found = post_window(mm("300"), (mm("125"), mm("200")), Some(&saddle));
    assert!(found.on_lift.reason.starts_with(said), "{}", found.on_lift.reason);
    let unknown = post_window(mm("300"), (mm("105"), mm("180")), None);
    assert_eq!(unknown.on_lift.verdict, Verdict::NotKnown);
    assert_eq!(post_window(mm("80"), (mm("105"), mm("100")), None).insertion.verdict, {
        Verdict::DoesNotFit
    });
}

/// Common practice for the insertion; 16 CFR 1512.15 for the mark.
#[test]
fn a_post_is_in_deep_enough_and_its_mark_is_where_it_belongs() {
    let check = |joint: &str, inserted: &str, fits| {
        let found = insertion_in_frame(mm(joint), mm(inserted)).1;
        assert_eq!(found.verdict, Verdict::of(fits), "{}", found.reason);
    };
    check("120", "144", false);
    check("120", "145", true);
    check("50", "75", false);
    check("50", "89.999", false);
    check("50", "90", true);
    check("80", "90", false);
    check("50", "150", true);
    assert_eq!(post_mark(mm("30.9"), mm("75")).verdict, Verdict::Fits);
    assert_eq!(post_mark(mm("30.9"), mm("61.8")).verdict, Verdict::Fits);
    assert_eq!(post_mark(mm("30.9"), mm("61.799")).verdict, Verdict::DoesNotFit);
}

#[test]
fn a_shock_is_of_the_frames_size_and_a_bushing_of_its_mount() {
    let frame = ShockSize { length: mm("190"), stroke: mm("45") };
    let check = |length: &str, stroke: &str, fits| {
        let found = shock(ShockSize { length: mm(length), stroke: mm(stroke) }, frame);
        assert_eq!(found.verdict, Verdict::of(fits), "{}", found.reason);
    };
    check("190", "45", true);
    check("190.5", "45", true);
    check("189.5", "45", true);
    check("190.501", "45", false);
    check("189.499", "45", false);
    check("190", "45.001", false);
    check("190", "44.999", false);
    let check = |width: &str, bore: &str, mount: &str, fits| {
        let found = bushing(mm(width), mm(bore), mm(mount), mm("8"));
        assert_eq!(found.verdict, Verdict::of(fits), "{}", found.reason);
    };
    check("22.2", "8", "22.2", true);
    check("22.3", "8", "22.2", true);
    check("22.301", "8", "22.2", false);
    check("22.199", "8", "22.2", false);
    check("28", "8", "22.2", false);
    check("22.2", "10", "22.2", false);
}

#[test]
fn a_ski_bolt_reaches_far_enough_and_not_to_the_bottom() {
    let check = |plate: &str, washer: &str, riser: &str, wanted: [(&str, &str); 3]| {
        for (length, (reach, verdict)) in ["12", "14", "16"].into_iter().zip(wanted) {
            let found = engagement(&ScrewStack {
                length: mm(length),
                plate: mm(plate),
                washer: mm(washer),
                riser: mm(riser),
                least: mm("6"),
                depth: mm("7.5"),
            });
            assert_eq!(mm_words(found.reach), reach);
            let words = found.finding.reason.split(':').next().unwrap_or_default();
            let fits = found.finding.verdict == Verdict::Fits;
            assert_eq!(if fits { "fits" } else { words }, verdict, "{}", found.finding.reason);
        }
    };
    let bottoms = "bottoms out";
    check("5", "1.6", "0", [("5.4", "too short"), ("7.4", "fits"), ("9.4", bottoms)]);
    check("5", "0", "0", [("7", "fits"), ("9", bottoms), ("11", bottoms)]);
    check("5", "1.6", "2", [("3.4", "too short"), ("5.4", "too short"), ("7.4", "fits")]);
    check("3", "1.6", "0", [("7.4", "fits"), ("9.4", bottoms), ("11.4", bottoms)]);
    let at = |it: &str| (mm(it), mm("40"));
    assert_eq!(hole_spacing(at("40"), at("40")).verdict, Verdict::Fits);
    assert_eq!(hole_spacing(at("40"), at("42")).verdict, Verdict::DoesNotFit);
}

#[test]
fn facts_are_read_by_their_names_and_what_is_no_fact_is_told() {
    let facts: Facts = "thread=M6x1.0; role=ski bolt ; length = 14 mm".parse().expect("facts");
    assert_eq!(facts.to_string(), "role=ski bolt; length=14; thread=M6");
    assert_eq!(facts.role(), Some(Role::SkiBolt));
    assert_eq!(facts.length(FactName::Length), Some(mm("14")));
    assert_eq!(facts.length(FactName::Thread), None);
    let fault = |text: &str| text.parse::<Facts>().expect_err(text);
    assert_eq!(fault("length"), FitError::Fact { text: "length".to_owned() });
    assert_eq!(
        fault("length=14 kg").to_string(),
        "'14 kg' is not what length states: write mm, such as 28.6, or with its unit, such as 1-1/8 in"
    );
    assert_eq!(
        fault("side=upper").to_string(),
        "'upper' is not what side states: write left or right"
    );
    assert_eq!(fault("angle=45.001").code(), "fit.fact_value");
    assert_eq!(fault("thread=M6x14").code(), "fit.fact_value");
    assert_eq!(fault("inserts=0").code(), "fit.fact_value");
    assert_eq!(fault("role=wheel").code(), "fit.fact_value");
    assert_eq!(fault("length=14; length=16").code(), "fit.fact_twice");
    let unknown = fault("colour=red").to_string();
    assert!(unknown.starts_with("'colour' is not the name of a fact: write one of role, model"));
}

#[test]
fn facts_take_measures_as_people_write_them_and_keep_them_exactly() {
    let check = |text: &str, expected: Option<&str>| {
        let found = text.parse::<Facts>().ok().map(|it| it.to_string());
        assert_eq!(found.as_deref(), expected, "{text}");
    };
    check("steerer=1-1/8 in", Some("steerer=28.575"));
    check("steerer=1 1/8\"", Some("steerer=28.575"));
    check("bar=31,8 mm", Some("bar=31.8"));
    check("bar=31,8", Some("bar=31.8"));
    check("length=14 in", Some("length=355.6"));
    check("length=2.5 cm", Some("length=25"));
    check("length=1/3 mm", None);
    check("length=-3", None);
    check("length=14 N", None);
    check("angle=36,5°; cup_angle=45 deg", Some("cup_angle=45; angle=36.5"));
    check("angle=0.5 rad", None);
}

#[test]
fn each_row_of_facts_is_judged_by_itself() {
    let row = |name: &str, value: &str| (name.to_owned(), value.to_owned());
    let rows = [
        row("role", "stem"),
        row("bar", "wide"),
        row("role", "fork"),
        row("", "28.6"),
        row("model", "A; role=fork"),
        row("height", "40 mm"),
    ];
    let (facts, faults) = Facts::from_rows(&rows);
    assert_eq!(facts.to_string(), "role=stem; height=40");
    let codes: Vec<_> = faults.iter().map(|it| (it.0, it.1.code())).collect();
    assert_eq!(
        codes,
        [
            (1, "fit.fact_value"),
            (2, "fit.fact_twice"),
            (3, "fit.unknown_fact"),
            (4, "fit.fact_value")
        ]
    );
}
