use serde::Deserialize;
use serde_json::{Value, json};

use crate::units::{
    AnyUnit, Band, Dimension, ForceUnit, LengthUnit, MassUnit, MeasureError, PressureUnit, Ratio,
    Rounding, SpringRateUnit, Torque, TorqueUnit, Unit, VolumeUnit, check_printed, unit_named,
};

use super::figure::{Figure, number, rounded};
use super::{Fault, case};

/// A measure to be converted, a text to be read, or a published pair of torques to be checked.
///
/// Give `value`, `from` and `to`; or `text`, with `to` or without; or `inlbf` and `nm`.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct UnitsLine {
    /// torque, force, length, mass, pressure, spring_rate, volume or published_pair; left out, the
    /// units tell.
    kind: Option<String>,
    /// The number.
    #[schema(value_type = Option<f64>)]
    value: Option<Figure>,
    /// The unit of the number, in any usual spelling: N·m, in-lb, force_pound*inch, psi, inch**3.
    from: Option<String>,
    /// The unit that is wanted.
    to: Option<String>,
    /// A measure as people write it: 75 in-lb, 5–6 Nm, 1-1/8", max 2.5 N·m.
    text: Option<String>,
    /// What the published pair is for; it changes nothing.
    #[serde(rename = "name")]
    _name: Option<String>,
    /// The published in·lbf, low and high.
    #[schema(value_type = Option<Vec<f64>>)]
    inlbf: Option<[Figure; 2]>,
    /// The published N·m, low and high.
    #[schema(value_type = Option<Vec<f64>>)]
    nm: Option<[Figure; 2]>,
}

const KINDS: [(&str, Dimension); 7] = [
    ("torque", Dimension::Torque),
    ("force", Dimension::Force),
    ("length", Dimension::Length),
    ("mass", Dimension::Mass),
    ("pressure", Dimension::Pressure),
    ("spring_rate", Dimension::SpringRate),
    ("volume", Dimension::Volume),
];

pub(super) fn units(value: Value) -> Result<Value, Fault> {
    let it: UnitsLine = case(value)?;
    let wanted = match it.kind.as_deref() {
        None | Some("published_pair") => None,
        Some(kind) => Some(dimension_named(kind)?),
    };
    match (&it.text, it.value, &it.from, &it.inlbf, &it.nm) {
        (None, Some(value), Some(from), None, None) => {
            let to = it.to.as_deref();
            let to =
                to.ok_or_else(|| Fault::new("units.line", "give the unit that is wanted: to"))?;
            convert(value, from, to, wanted)
        }
        (Some(text), None, None, None, None) => read(text, it.to.as_deref(), wanted),
        (None, None, None, Some(inlbf), Some(nm)) => published_pair(*inlbf, *nm),
        _ => {
            let message = "give value, from and to; or text; or inlbf and nm";
            Err(Fault::new("units.line", message))
        }
    }
}

fn dimension_named(kind: &str) -> Result<Dimension, Fault> {
    let found = KINDS.iter().find(|(name, _)| *name == kind);
    found.map(|(_, dimension)| *dimension).ok_or_else(|| {
        let names: Vec<&str> = KINDS.iter().map(|(name, _)| *name).collect();
        let message = format!("'{kind}': take {} or published_pair", names.join(", "));
        Fault::new("units.kind", message)
    })
}

fn convert(value: Figure, from: &str, to: &str, wanted: Option<Dimension>) -> Result<Value, Fault> {
    let from = unit_named(from, wanted.unwrap_or(Dimension::Torque))?;
    let wanted = wanted.unwrap_or(from.dimension());
    let to = unit_named(to, wanted)?;
    for unit in [from, to] {
        if unit.dimension() != wanted {
            let (text, found) = (unit.symbol().to_owned(), unit.dimension());
            return Err(MeasureError::Dimension { text, found, wanted }.into());
        }
    }
    let size = || MeasureError::Size { text: format!("{} {}", value.0, from.symbol()) };
    let result = value.ratio().times(from.factor()).and_then(|it| it.over(to.factor()));
    Ok(told(result.ok_or_else(size)?, to.symbol()))
}

/// Answers an exact number of a unit: as a number, as a text and as a fraction.
fn told(exact: Ratio, unit: &str) -> Value {
    let text = format!("{} {unit}", exact.significant(15));
    json!({ "result": number(exact), "text": text, "exact": exact.to_string() })
}

fn read(text: &str, to: Option<&str>, wanted: Option<Dimension>) -> Result<Value, Fault> {
    let answer = read_as(text, to, wanted.unwrap_or(Dimension::Torque));
    match (answer, wanted) {
        (Err(MeasureError::Dimension { found, .. }), None) => Ok(read_as(text, to, found)?),
        (answer, _) => Ok(answer?),
    }
}

fn read_as(text: &str, to: Option<&str>, wanted: Dimension) -> Result<Value, MeasureError> {
    match wanted {
        Dimension::Torque => stated::<TorqueUnit>(text, to),
        Dimension::Force => stated::<ForceUnit>(text, to),
        Dimension::Length => stated::<LengthUnit>(text, to),
        Dimension::Mass => stated::<MassUnit>(text, to),
        Dimension::Pressure => stated::<PressureUnit>(text, to),
        Dimension::SpringRate => stated::<SpringRateUnit>(text, to),
        Dimension::Volume => stated::<VolumeUnit>(text, to),
    }
}

fn stated<U: Unit>(text: &str, to: Option<&str>) -> Result<Value, MeasureError> {
    let band: Band<U> = text.parse()?;
    let unit = match to {
        Some(name) => of_dimension::<U>(unit_named(name, U::DIMENSION)?)?,
        None => band.unit(),
    };
    let figure = |value: Option<crate::units::Value<U>>| {
        value.map(|it| told(it.in_unit(unit), unit.symbol()))
    };
    Ok(json!({
        "stated": band.to_string(),
        "shown": band.shown_in(unit, 2),
        "low": figure(band.low()),
        "target": figure(band.target()),
        "high": figure(band.high()),
    }))
}

fn of_dimension<U: Unit>(unit: AnyUnit) -> Result<U, MeasureError> {
    let (found, wanted) = (unit.dimension(), U::DIMENSION);
    let text = unit.symbol().to_owned();
    U::of(unit).ok_or(MeasureError::Dimension { text, found, wanted })
}

/// Compares the low and the high figures of a published pair, the N·m as the converted ones.
fn published_pair(inlbf: [Figure; 2], nm: [Figure; 2]) -> Result<Value, Fault> {
    let mut computed = Vec::new();
    let mut worst = Ratio::ZERO;
    let mut within = true;
    for (inlbf, nm) in inlbf.into_iter().zip(nm) {
        let original = Torque::new(inlbf.0, TorqueUnit::InchPound)?;
        let printed = Torque::new(nm.0, TorqueUnit::NewtonMetre)?;
        let zero = || Fault::new("units.pair", format!("'{printed}' can't be compared"));
        let check = check_printed(&original, &printed).ok_or_else(zero)?;
        computed.push(rounded(original.value().newton_metres(), 4));
        worst = worst.max(check.relative_difference);
        within &= check.within_printed_digits;
    }
    Ok(json!({
        "computed_nm": computed,
        "worst_relative_difference": rounded(worst, 4),
        "within_rounding_of_printed_digits": within,
        "difference_percent": format!("{} %", in_percent(worst)),
    }))
}

fn in_percent(share: Ratio) -> String {
    let percent = share.times(Ratio::whole(100));
    percent.unwrap_or(share).decimal(2, Rounding::Nearest)
}
