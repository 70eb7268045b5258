//! The spellings of units that people, tools and papers use.

use super::unit::{
    AnyUnit, ForceUnit, LengthUnit, MassUnit, PressureUnit, SpringRateUnit, TorqueUnit, VolumeUnit,
};

/// What a unit's name turned out to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Named {
    One(AnyUnit),
    /// It could be read two ways; the text says how to write what is meant.
    TwoWays(&'static str),
    Unknown,
}

const POUNDS: &[&str] = &[
    "lbf",
    "lbsf",
    "lb",
    "lbs",
    "pound",
    "pounds",
    "poundforce",
    "poundsforce",
    "forcepound",
    "forcepounds",
];
const INCHES: &[&str] = &["in", "ins", "inch", "inches"];
const FEET: &[&str] = &["ft", "foot", "feet"];
const KILOGRAMS_FORCE: &[&str] =
    &["kgf", "kg", "kp", "kilopond", "kilogramforce", "kilogramsforce", "forcekilogram"];
const METRES: &[&str] = &["m", "metre", "metres", "meter", "meters"];
const CENTIMETRES: &[&str] = &["cm", "centimetre", "centimetres", "centimeter", "centimeters"];
const MILLIMETRES: &[&str] = &["mm", "millimetre", "millimetres", "millimeter", "millimeters"];
const NEWTONS: &[&str] = &["n", "newton", "newtons"];
const SQUARE_INCHES: &[&str] = &["in2", "inch2", "sqin", "squareinch"];
const CUBED: &[&str] = &["3"];
const CUBIC: &[&str] = &["cu", "cubic"];

/// Returns the unit that a name means.
///
/// Letters may be large or small where that can't change the meaning: "IN-LB" and "Bar" are taken,
/// "mPa", "MPA", "Mg" and "nm" are not.
pub(super) fn unit_named(name: &str) -> Named {
    let name = name.trim();
    if let Some(instead) = two_ways(name) {
        return Named::TwoWays(instead);
    }
    let joined = joined(name);
    simple(&joined).or_else(|| compound(&joined)).map_or(Named::Unknown, Named::One)
}

/// Returns how to write it, where letter size decides the meaning and is not the usual one.
fn two_ways(name: &str) -> Option<&'static str> {
    match name {
        "nm" | "nM" => Some("write N·m for newton metres; nanometres are not used here"),
        "mPa" | "MPA" | "mpa" => Some("write MPa for megapascals; millipascals are not used here"),
        "Mm" => Some("write mm for millimetres"),
        "M" => Some("write m for metres"),
        "MG" | "Mg" => Some("write mg for milligrams, or the number of kg"),
        "mN" | "mn" => Some("write N for newtons, or kN for kilonewtons"),
        _ => None,
    }
}

/// Returns the name in small letters without spaces and signs of multiplication.
fn joined(name: &str) -> String {
    let small = name.to_lowercase().replace("**", "").replace("per", "/");
    let mut joined = String::with_capacity(small.len());
    for letter in small.chars() {
        match letter {
            '²' => joined.push('2'),
            '³' => joined.push('3'),
            '"' | '″' | '”' => joined.push_str("in"),
            '·' | '⋅' | '∙' | '•' | '‧' | '×' | '*' | '.' | '_' | '^' => {}
            '-' | '\u{2010}' | '\u{2011}' | '–' | '−' => {}
            other if other.is_whitespace() => {}
            other => joined.push(other),
        }
    }
    joined
}

fn simple(name: &str) -> Option<AnyUnit> {
    Some(match name {
        "n" | "newton" | "newtons" => AnyUnit::Force(ForceUnit::Newton),
        "kn" | "kilonewton" | "kilonewtons" => AnyUnit::Force(ForceUnit::Kilonewton),
        "lbf" | "lbsf" | "poundforce" | "poundsforce" | "forcepound" => {
            AnyUnit::Force(ForceUnit::PoundForce)
        }
        "kgf" | "kp" | "kilopond" | "kilogramforce" | "kilogramsforce" | "forcekilogram" => {
            AnyUnit::Force(ForceUnit::KilogramForce)
        }
        "''" | "in" | "ins" | "inch" | "inches" => AnyUnit::Length(LengthUnit::Inch),
        "'" | "′" | "’" | "ft" | "foot" | "feet" => AnyUnit::Length(LengthUnit::Foot),
        "g" | "gram" | "grams" | "gramme" | "grammes" => AnyUnit::Mass(MassUnit::Gram),
        "kg" | "kgs" | "kilogram" | "kilograms" | "kilo" | "kilos" => {
            AnyUnit::Mass(MassUnit::Kilogram)
        }
        "mg" | "milligram" | "milligrams" => AnyUnit::Mass(MassUnit::Milligram),
        "lb" | "lbs" | "lbm" | "pound" | "pounds" => AnyUnit::Mass(MassUnit::Pound),
        "oz" | "ounce" | "ounces" => AnyUnit::Mass(MassUnit::Ounce),
        "bar" | "bars" => AnyUnit::Pressure(PressureUnit::Bar),
        "psi" => AnyUnit::Pressure(PressureUnit::PoundPerSquareInch),
        "kpa" | "kilopascal" | "kilopascals" => AnyUnit::Pressure(PressureUnit::Kilopascal),
        "mpa" | "megapascal" | "megapascals" | "n/mm2" => {
            AnyUnit::Pressure(PressureUnit::Megapascal)
        }
        "pa" | "pascal" | "pascals" => AnyUnit::Pressure(PressureUnit::Pascal),
        "atm" | "atmosphere" | "atmospheres" | "standardatmosphere" => {
            AnyUnit::Pressure(PressureUnit::Atmosphere)
        }
        "l" | "liter" | "liters" | "litre" | "litres" => AnyUnit::Volume(VolumeUnit::Litre),
        "cc" | "ccm" | "ml" | "milliliter" | "milliliters" | "millilitre" | "millilitres" => {
            AnyUnit::Volume(VolumeUnit::CubicCentimetre)
        }
        _ if METRES.contains(&name) => AnyUnit::Length(LengthUnit::Metre),
        _ if CENTIMETRES.contains(&name) => AnyUnit::Length(LengthUnit::Centimetre),
        _ if MILLIMETRES.contains(&name) => AnyUnit::Length(LengthUnit::Millimetre),
        _ => return None,
    })
}

fn compound(name: &str) -> Option<AnyUnit> {
    if let Some((above, below)) = name.split_once('/') {
        let pounds = POUNDS.contains(&above);
        return match below {
            _ if pounds && SQUARE_INCHES.contains(&below) => {
                Some(AnyUnit::Pressure(PressureUnit::PoundPerSquareInch))
            }
            _ if pounds && INCHES.contains(&below) => {
                Some(AnyUnit::SpringRate(SpringRateUnit::PoundForcePerInch))
            }
            _ if NEWTONS.contains(&above) && MILLIMETRES.contains(&below) => {
                Some(AnyUnit::SpringRate(SpringRateUnit::NewtonPerMillimetre))
            }
            _ => None,
        };
    }
    let either_way = |a, b| product(name, a, b) || product(name, b, a);
    if product(name, NEWTONS, METRES) {
        return Some(AnyUnit::Torque(TorqueUnit::NewtonMetre));
    }
    if either_way(POUNDS, INCHES) || name == "inlbsf" {
        return Some(AnyUnit::Torque(TorqueUnit::InchPound));
    }
    if either_way(POUNDS, FEET) {
        return Some(AnyUnit::Torque(TorqueUnit::FootPound));
    }
    if product(name, KILOGRAMS_FORCE, CENTIMETRES) || product(name, CENTIMETRES, KILOGRAMS_FORCE) {
        return Some(AnyUnit::Torque(TorqueUnit::KilogramForceCentimetre));
    }
    if product(name, KILOGRAMS_FORCE, METRES) || name == "mkp" {
        return Some(AnyUnit::Torque(TorqueUnit::KilogramForceMetre));
    }
    let cubed = |length| product(name, length, CUBED) || product(name, CUBIC, length);
    [
        (MILLIMETRES, VolumeUnit::CubicMillimetre),
        (CENTIMETRES, VolumeUnit::CubicCentimetre),
        (INCHES, VolumeUnit::CubicInch),
    ]
    .into_iter()
    .find(|(length, _)| cubed(length))
    .map(|(_, unit)| AnyUnit::Volume(unit))
}

/// Returns whether a name is one of the first words followed by one of the second.
fn product(name: &str, first: &[&str], second: &[&str]) -> bool {
    first.iter().any(|it| name.strip_prefix(it).is_some_and(|rest| second.contains(&rest)))
}
