//! Checks on stated measures as a whole: what people write, exact conversion, rounding inwards.

use proptest::prelude::*;

use super::*;

fn torque(text: &str) -> Result<String, MeasureError> {
    text.parse::<TorqueBand>().map(|it| it.to_string())
}

fn reads(text: &str, expected: &str) {
    assert_eq!(torque(text).as_deref(), Ok(expected), "{text}");
}

fn length(text: &str, expected: Result<&str, &str>) {
    let read = text.parse::<StatedLength>();
    let read = read.as_ref().map(ToString::to_string).map_err(MeasureError::code);
    assert_eq!(read.as_deref().map_err(|it| *it), expected, "{text}");
}

fn refused(text: &str, code: &str) {
    assert_eq!(torque(text).map_err(|it| it.code()), Err(code), "{text}");
}

fn band(text: &str) -> TorqueBand {
    text.parse().unwrap_or_else(|fault| panic!("{text}: {fault}"))
}

#[test]
fn torques_are_read_as_people_write_them() {
    for text in [
        "75 in-lb",
        "75 in·lbf",
        "75 in.lbs",
        "75 inch pounds",
        "75 in lb",
        "75 INCH-POUNDS",
        "75in-lbs",
        "75 lbf·in",
        "75 lb-in.",
        "75 inlb",
        "75 lbf*in",
        "75 force_pound*inch",
        "75 inch * pound_force",
        "  75\u{202f}in\u{2011}lb ",
        "75 pound-force inch",
    ] {
        reads(text, "75 in·lbf");
    }
    for text in [
        "5.5 Nm",
        "5,5 Nm",
        "5.5 N·m",
        "5.5N-m",
        "5.5 N*m",
        "5.5 newton metres",
        "5.5 n·m",
        "5.5 NM",
    ] {
        reads(text, "5.5 N·m");
    }
    reads("12 ft-lbs", "12 ft·lbf");
    reads("12 lbf ft", "12 ft·lbf");
    reads("86.41 kgf·cm", "86.41 kgf·cm");
    reads("86.41 kgf*centimeter", "86.41 kgf·cm");
    reads("1.2 kg-m", "1.2 kgf·m");
    reads("5.50 Nm", "5.50 N·m");
}

#[test]
fn bands_are_read_as_people_write_them() {
    for text in
        ["5–6 Nm", "5-6 N·m", "5 to 6 Nm", "5 - 6 N-m", "5 Nm - 6 Nm", "5 bis 6 Nm", "5Nm–6Nm"]
    {
        reads(text, "5–6 N·m");
    }
    for text in ["5.5 ± 0.5 Nm", "5.5+/-0.5 Nm", "5.5 Nm ± 0.5 Nm", "5,5 Nm +- 0,5"] {
        reads(text, "5.5 ± 0.5 N·m");
    }
    for text in ["5.5 Nm ± 6 %", "5.5 ± 6% Nm", "5.5 Nm +/-6%"] {
        reads(text, "5.5 N·m ± 6 %");
    }
    for text in [
        "≤ 2.5 Nm",
        "<=2.5 Nm",
        "max 2.5 Nm",
        "Max. 2.5 N·m",
        "2.5 Nm max",
        "2.5 Nm max.",
        "up to 2.5 Nm",
    ] {
        reads(text, "≤ 2.5 N·m");
    }
    reads("min. 3 Nm", "≥ 3 N·m");
    for text in ["5.5 Nm (5–6)", "5.5 (5-6) Nm", "5.5 N·m (5 to 6 N·m)"] {
        reads(text, "5.5 N·m (5–6)");
    }
}

#[test]
fn lengths_hold_fractions_and_decimal_commas() {
    length("1/2 in", Ok("1/2 in"));
    length("½ in", Ok("1/2 in"));
    length("1-1/8 in", Ok("1-1/8 in"));
    length("1 1/8\"", Ok("1-1/8 in"));
    length("1-1/8\"", Ok("1-1/8 in"));
    length("1⅛″", Ok("1-1/8 in"));
    length("9/8 inches", Ok("9/8 in"));
    length("31,8 mm", Ok("31.8 mm"));
    length("1,5 m", Ok("1.5 m"));
    length("0,125 in", Ok("0.125 in"));
    length("1.234 mm", Ok("1.234 mm"));
    length(".5 in", Ok("0.5 in"));
    length("6'", Ok("6 ft"));
    length("1,234 mm", Err("measure.number"));
    length("1,234,567 mm", Err("measure.number"));
    length("1.234,5 mm", Err("measure.number"));
    length("5. mm", Err("measure.number"));
    length("1-9/8 in", Err("measure.number"));
    length("1/0 in", Err("measure.number"));
    length("1 234 mm", Err("measure.unit"));
    length("-5 mm", Err("measure.no_number"));
    length("1e3 mm", Err("measure.unit"));
    length("mm", Err("measure.no_number"));
    length("31.8", Err("measure.no_unit"));
    length("5-6 mm", Err("measure.not_one"));
    length("1234567890123456 mm", Err("measure.number"));
    length("1/2-3/4 in", Err("measure.not_one"));
}

#[test]
fn what_could_be_read_two_ways_is_refused() {
    for text in ["5 nm", "5 mPa", "5 MPA", "5 Mm", "5 Mg", "5 M"] {
        refused(text, "measure.ambiguous");
    }
    let pressure = "5 MPa".parse::<Pressure>().expect("megapascals");
    assert_eq!(pressure.unit(), PressureUnit::Megapascal);
    for text in
        ["5 Bar", "5 PSI", "5 KPA", "5 atm", "5 lbf/in²", "5 lb/in**2", "5 pounds per square inch"]
    {
        assert!(text.parse::<Pressure>().is_ok(), "{text}");
    }
}

#[test]
fn a_measure_of_another_kind_is_named_as_what_it_is() {
    let fault = torque("75 psi").expect_err("a pressure");
    assert_eq!(
        fault.to_string(),
        "'75 psi' is a pressure; a torque is wanted, such as 5.5 N·m or 75 in·lbf"
    );
    for (text, found) in [
        ("400 lb/in", Dimension::SpringRate),
        ("70 N/mm", Dimension::SpringRate),
        ("5 lb", Dimension::Mass),
        ("5 lbf", Dimension::Force),
        ("1/2 in", Dimension::Length),
        ("9 cu in", Dimension::Volume),
    ] {
        let fault = torque(text).expect_err("no torque");
        assert!(
            matches!(fault, MeasureError::Dimension { found: it, .. } if it == found),
            "{text}"
        );
    }
}

#[test]
fn a_statement_that_contradicts_itself_is_refused() {
    refused("6–5 Nm", "measure.backwards");
    refused("7 Nm (5–6)", "measure.backwards");
    refused("0.3 ± 0.5 Nm", "measure.backwards");
    refused("5.5 Nm ± 101 %", "measure.backwards");
    refused("75 in-lb (8.5 Nm)", "measure.two_units");
    refused("5 Nm – 75 in-lb", "measure.two_units");
    refused("max 5–6 Nm", "measure.not_one");
    refused("5–6–7 Nm", "measure.text");
    refused("5 Nm (5–6", "measure.text");
    refused("5 furlongs", "measure.unit");
    refused("", "measure.no_number");
}

#[test]
fn conversions_follow_the_exact_definitions() {
    // NIST SP 811 (2008), appendix B; recomputed in exact fractions with pint 0.25.3.
    let exact = |text: &str| band(text).target().expect("one figure");
    for (text, newton_metres) in [
        ("100 in·lbf", "1129848290276167/100000000000000"),
        ("265.5 in·lbf", "599949442136644677/20000000000000000"),
        ("1 ft·lbf", "3389544870828501/2500000000000000"),
        ("1 kgf·cm", "196133/2000000"),
    ] {
        assert_eq!(exact(text).newton_metres().to_string(), newton_metres, "{text}");
    }
    for (text, inch_pounds) in [
        ("40 N·m", "400000000000000000/1129848290276167"),
        ("54.2 N·m", "542000000000000000/1129848290276167"),
    ] {
        assert_eq!(exact(text).inch_pounds().to_string(), inch_pounds, "{text}");
    }
    let psi = "100 psi".parse::<Pressure>().expect("a pressure").value();
    assert_eq!(psi.in_unit(PressureUnit::Kilopascal).to_string(), "8896443230521/12903200000");
    let volume = "3000 in3".parse::<Volume>().expect("a volume").value();
    assert_eq!(volume.in_unit(VolumeUnit::CubicCentimetre).to_string(), "6145149/125");
    let rate = "1 lb/in".parse::<SpringRate>().expect("a spring rate").value();
    assert_eq!(rate.in_unit(SpringRateUnit::NewtonPerMillimetre).significant(7), "0.1751268");
    let ounce = "1 oz".parse::<StatedMass>().expect("a mass").value();
    assert_eq!(ounce.in_unit(MassUnit::Gram).to_string(), "45359237/1600000");
}

#[test]
fn the_books_take_what_is_whole_and_round_only_where_asked() {
    let inch = "1-1/8 in".parse::<StatedLength>().expect("a length");
    assert_eq!(inch.to_length(), Ok(Length::from_micrometres(28_575)));
    let third = "1/3 in".parse::<StatedLength>().expect("a length");
    assert_eq!(third.to_length().map_err(|it| it.code()), Err("measure.finer"));
    assert_eq!(third.to_nearest_length(), Ok(Length::from_micrometres(8_467)));
    let mass = "31.5 kg".parse::<StatedMass>().expect("a mass");
    assert_eq!(mass.to_mass(), Ok(Mass::from_milligrams(31_500_000)));
    let ounce = "1 oz".parse::<StatedMass>().expect("a mass");
    assert!(ounce.to_mass().is_err());
    assert_eq!(ounce.to_nearest_mass(), Ok(Mass::from_milligrams(28_350)));
}

#[test]
fn whole_inch_pounds_stay_inside_the_band() {
    // Low ends of the exact value rounded up, high ends down, by hand.
    for (text, expected) in [
        ("14–16 N·m", "124–141"),
        ("5.5–6.5 N·m", "49–57"),
        ("5–6 N·m", "45–53"),
        ("6–7 N·m", "54–61"),
        ("8–9 N·m", "71–79"),
        ("3.5–4.5 N·m", "31–39"),
        ("16–20 N·m", "142–177"),
        ("32–38 N·m", "284–336"),
        ("12.5–15.5 N·m", "111–137"),
        ("≤ 2.5 N·m", "≤ 22"),
        ("45–53 in·lbf", "45–53"),
    ] {
        let inside = band(text).whole_inch_pounds_inside().map(|it| it.to_string());
        assert_eq!(inside.as_deref(), Some(expected), "{text}");
    }
    for text in ["0.01–0.02 N·m", "5.5 N·m", "≤ 0.1 N·m", "5.55–5.6 N·m"] {
        assert_eq!(band(text).whole_inch_pounds_inside(), None, "{text}");
    }
}

#[test]
fn a_card_shows_a_statement_in_both_units() {
    let both = |text: &str| (band(text).in_newton_metres(1), band(text).in_inch_pounds());
    let texts = |a: &str, b: &str| (a.to_owned(), b.to_owned());
    assert_eq!(both("5.5 N·m (5–6)"), texts("5.5 N·m (5–6)", "49 in·lbf (45–53)"));
    assert_eq!(both("45-53 in-lb"), texts("5.1–5.9 N·m", "45–53 in·lbf"));
    assert_eq!(both("75 in-lb"), texts("8.5 N·m", "75 in·lbf"));
    assert_eq!(both("max 2.5 Nm"), texts("≤ 2.5 N·m", "≤ 22 in·lbf"));
    assert_eq!(both("0.01–0.02 N·m"), texts("0.01–0.02 N·m", "0.1–0.1 in·lbf"));
    assert_eq!(both("5-5 Nm").1, "5–5 N·m");
}

#[test]
fn two_statements_that_cannot_both_be_true_are_told_apart() {
    let agree = |a: &str, b: &str| {
        assert_eq!(disagree(&band(a), &band(b)), None, "{a} {b}");
        assert_eq!(disagree(&band(b), &band(a)), None, "{b} {a}");
    };
    let differ = |a: &str, b: &str| {
        assert!(disagree(&band(a), &band(b)).is_some(), "{a} {b}");
        assert!(disagree(&band(b), &band(a)).is_some(), "{b} {a}");
    };
    differ("75 in-lb", "6.2 Nm");
    differ("350 in·lbf", "40.2 N·m");
    differ("5–6 N·m", "45–62 in·lbf");
    differ("5–6 N·m", "5.5–6.5 N·m");
    differ("7 N·m", "5–6 N·m");
    differ("5–6 N·m", "≤ 5 N·m");
    differ("≥ 6 N·m", "≤ 5 N·m");
    differ("≥ 6.5 N·m", "5–6 N·m");
    differ("75 in·lbf", "9 N·m");
    differ("5 N·m", "5.1 N·m");
    differ("5 N·m", "40 in·lbf");
    agree("5 N·m", "45 in·lbf");
    agree("75 in-lb", "8.5 Nm");
    agree("75 in-lb", "8–9 N·m");
    agree("45–55 in·lbf", "5–6.2 N·m");
    agree("5–6 N·m", "44–53 in·lbf");
    agree("5–6 N·m", "≤ 8 N·m");
    agree("≥ 3 N·m", "5–6 N·m");
    agree("5.5 ± 0.5 N·m", "5–6 N·m");
    agree("600 in·lbf", "67.5 N·m");
    agree("0.00000000001 in·lbf ± 0.0000001 %", "0.00000000001 in·lbf ± 0.0000001 %");
    agree("100 N·m", "99 N·m");
    differ("100 N·m", "98.9 N·m");
    let told = disagree(&band("75 in-lb"), &band("6.2 Nm")).expect("they differ");
    assert_eq!(
        told.to_string(),
        "'75 in·lbf' is 8.474 N·m, and '6.2 N·m' is 54.87 in·lbf: they differ by 2.274 N·m \
         (20.13 in·lbf), 26.8 %"
    );
}

#[test]
fn a_preset_key_fits_where_its_own_tolerance_does() {
    let fit = |key: &str, joint: &str| key_fit(&band(key), &band(joint));
    assert_eq!(fit("5.5 Nm ± 6 %", "5–6 N·m"), KeyFit::Fits);
    assert!(matches!(
        fit("5.5 Nm ± 6 %", "5.5–6.5 N·m"),
        KeyFit::Outside { below: Some(it), above: None } if it.newton_metres().significant(3) == "0.33"
    ));
    assert!(matches!(
        fit("8.9 Nm ± 4 %", "8–9 N·m"),
        KeyFit::Outside { below: None, above: Some(_) }
    ));
    assert_eq!(fit("5.5 Nm", "5–6 N·m"), KeyFit::NoTolerance);
    assert_eq!(fit("5.5 Nm ± 6 %", "5.5 N·m"), KeyFit::NoBand);
}

#[test]
fn published_pairs_are_judged_by_the_digits_that_were_printed() {
    // Torque tables on public shop and manual pages; recomputed with pint 0.25.3.
    for (original, printed, relative, within) in [
        ("350 in·lbf", "40.2 N·m", "0.0163", false),
        ("45 in·lbf", "5 N·m", "0.0169", true),
        ("50 in·lbf", "5.7 N·m", "0.0089", false),
        ("25 in·lbf", "2.8 N·m", "0.0088", true),
        ("600 in·lbf", "67.5 N·m", "0.0043", false),
        ("435 in·lbf", "49.2 N·m", "0.0010", false),
    ] {
        let (original, printed) =
            (original.parse().expect("torque"), printed.parse().expect("torque"));
        let check = check_printed(&original, &printed).expect("it can be computed");
        assert_eq!(check.relative_difference.decimal(4, Rounding::Nearest), relative, "{original}");
        assert_eq!(check.within_printed_digits, within, "{original} {printed}");
    }
}

/// Amounts as people write them.
fn amounts() -> impl Strategy<Value = String> {
    prop_oneof![
        "[0-9]{1,6}(\\.[0-9]{1,4})?",
        "[1-9][0-9]{0,2}-1/(2|3|8|64)",
        "[0-9]{1,3}/[1-9][0-9]{0,2}",
        "[0-9]{1,15}",
        "0,[0-9]{1,14}",
    ]
}

fn there_and_back<U: Unit>(amount: &str) -> Result<(), TestCaseError> {
    for unit in U::ALL {
        let stated: Stated<U> = format!("{amount} {}", unit.symbol()).parse().expect("a measure");
        for other in U::ALL {
            let number = stated.value().in_unit(*other);
            prop_assert_eq!(
                Value::new(number, *other),
                Some(stated.value()),
                "{} {:?}",
                stated,
                other
            );
        }
    }
    Ok(())
}

proptest! {
    #[test]
    fn every_conversion_goes_there_and_back_exactly(amount in amounts()) {
        there_and_back::<TorqueUnit>(&amount)?;
        there_and_back::<ForceUnit>(&amount)?;
        there_and_back::<LengthUnit>(&amount)?;
        there_and_back::<MassUnit>(&amount)?;
        there_and_back::<PressureUnit>(&amount)?;
        there_and_back::<SpringRateUnit>(&amount)?;
        there_and_back::<VolumeUnit>(&amount)?;
    }

    #[test]
    fn what_is_written_reads_back_as_the_same_statement(
        a in amounts(), b in amounts(), c in amounts(), unit in 0..TorqueUnit::ALL.len(), form in 0..7,
    ) {
        let unit = TorqueUnit::ALL[unit].symbol();
        let text = match form {
            0 => format!("{a} {unit}"),
            1 => format!("{a} {unit} to {b} {unit}"),
            2 => format!("{a} ± {b} {unit}"),
            3 => format!("{a} {unit} ± {b} %"),
            4 => format!("max {a} {unit}"),
            5 => format!("{a} {unit} min"),
            _ => format!("{a} ({b} – {c}) {unit}"),
        };
        if let Ok(read) = text.parse::<TorqueBand>() {
            prop_assert_eq!(read.to_string().parse::<TorqueBand>(), Ok(read), "{}", text);
            prop_assert_eq!(disagree(&read, &read), None);
        }
    }

    #[test]
    fn inward_rounding_never_leaves_the_band(
        low in 1_u32..40_000, width in 0_u32..3_000, places in 0_u32..4, unit in 0..TorqueUnit::ALL.len(),
    ) {
        let text = format!("{}–{} N·m", f(low), f(low + width));
        let (stated, unit) = (band(&text), TorqueUnit::ALL[unit]);
        let value = |it: i64| {
            Value::new(Ratio::new(it.into(), 10_i128.pow(places)).expect("small"), unit).expect("small")
        };
        if let Some(inside) = stated.inside(unit, places) {
            let (low, high) = inside.low.zip(inside.high).expect("both ends");
            prop_assert!(stated.low() <= Some(value(low)) && Some(value(high)) <= stated.high());
            prop_assert!(Some(value(low - 1)) < stated.low() && stated.high() < Some(value(high + 1)));
        }
        let shown = band(&stated.shown_in(unit, places));
        prop_assert!(stated.low() <= shown.low() && shown.high() <= stated.high(), "{} {}", text, shown);
    }

    #[test]
    fn whatever_is_typed_is_read_or_refused(text in any::<String>()) {
        let _ = text.parse::<TorqueBand>();
        let _ = format!("5{text} Nm").parse::<TorqueBand>();
    }

    #[test]
    fn what_looks_like_a_statement_and_is_read_is_written_so_that_it_reads_back(
        parts in prop::collection::vec(prop::sample::select(PARTS), 1..9),
    ) {
        let text = parts.concat();
        if let Ok(read) = text.parse::<TorqueBand>() {
            prop_assert_eq!(read.to_string().parse::<TorqueBand>(), Ok(read), "{}", text);
        }
        if let Ok(read) = text.parse::<StatedLength>() {
            prop_assert_eq!(read.to_string().parse::<StatedLength>(), Ok(read), "{}", text);
        }
    }
}

/// What statements are made of.
const PARTS: &[&str] = &[
    "5", "6", "12", "0.5", "1,5", "1/2", "½", "-", "–", " ", " to ", "±", "+/-", "%", "(", ")",
    "≤", "max ", " min", "Nm", "N·m", "in-lb", "in", "\"", "mm", "ft·lbf", ".", ",", "/",
];

/// Writes hundredths.
fn f(hundredths: u32) -> String {
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}
