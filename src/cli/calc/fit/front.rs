//! Kinds of the steering: headset, fork and what stays free under the cap.

use serde::Deserialize;
use serde_json::{Value, json};

use super::super::kinds::judged;
use super::super::mm::{Degrees, Mm, mm};
use super::super::{Fault, line};
use super::refused;
use crate::domain::fit::{
    Bearing, Clearance, HeadsetCode, HeadsetHalf, Rule, ToleranceRule, Tolerances,
    bearing_in_seats, bore_check, bore_limits, clearance, cup_interference, fork_headset,
    frame_headset, race_on_fork,
};
use crate::units::Length;

/// A headset's code as somebody typed it.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct CodeLine {
    /// Such as "EC34/28.6 | EC34/30".
    text: String,
}

pub(super) fn shis_parse(value: Value) -> Result<Value, Fault> {
    let it: CodeLine = line(value)?;
    let rule = Rule::FrameHeadset;
    let half = |it: HeadsetHalf, inner: &str| json!({ "type": it.kind.letters(), "bore": mm(it.bore), inner: mm(it.inner) });
    Ok(match it.text.parse::<HeadsetCode>() {
        Ok(code) => json!({
            "valid": true,
            "code": code.to_string(),
            "upper": half(code.upper, "steerer"),
            "lower": half(code.lower, "crown_seat"),
            "source": rule.source(),
        }),
        Err(fault) => json!({
            "valid": false,
            "fault": fault.code(),
            "reason": fault.to_string(),
            "source": rule.source(),
        }),
    })
}

/// A head-tube bore as measured, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct BoreLine {
    /// The type and bore of the headset's code, such as "ZS44".
    code: String,
    /// What was measured.
    measured: Mm,
}

pub(super) fn bore(value: Value) -> Result<Value, Fault> {
    let it: BoreLine = line(value)?;
    let found = bore_check(&it.code, it.measured.0).map_err(refused)?;
    let limits = bore_limits(&it.code).map_err(refused)?;
    let (low, high) = limits.map_or((Value::Null, Value::Null), |it| (mm(it.0), mm(it.1)));
    Ok(judged("ok", &found, json!({ "low": low, "high": high })))
}

/// A cup and the bore that it is pressed into: each from the least to the most, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct CupLine {
    /// The cup's outside diameter.
    cup_od: (Mm, Mm),
    /// The bore of the head tube.
    bore: (Mm, Mm),
    /// The upper cup's height outside the tube.
    #[serde(default)]
    upper_stack: Option<Mm>,
    /// The lower cup's height outside the tube.
    #[serde(default)]
    lower_stack: Option<Mm>,
    /// How deep a cup goes in.
    #[serde(default)]
    insertion: Option<Mm>,
}

pub(super) fn cup(value: Value) -> Result<Value, Fault> {
    let it: CupLine = line(value)?;
    let pair = |it: (Mm, Mm)| (it.0.0, it.1.0);
    let (range, found) = cup_interference(pair(it.cup_od), pair(it.bore)).map_err(refused)?;
    let maybe = |it: Option<Mm>| it.map_or(Value::Null, |it| mm(it.0));
    let further = json!({
        "interference": [mm(range.0), mm(range.1)],
        "upper_stack": maybe(it.upper_stack),
        "lower_stack": maybe(it.lower_stack),
        "insertion": maybe(it.insertion),
    });
    Ok(judged("fits", &found, further))
}

/// A bearing, and what it lies in and on; in mm and degrees.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct BearingLine {
    /// What the bearing is called.
    #[serde(default)]
    code: String,
    /// Its bore.
    inside: Mm,
    /// Its outside diameter.
    outside: Mm,
    /// Its height.
    height: Mm,
    /// The angle of its inner face.
    inner_angle: Degrees,
    /// The angle of its outer face.
    outer_angle: Degrees,
    /// The diameter that the cup or the frame takes.
    #[serde(default)]
    cup_inside: Option<Mm>,
    /// The angle of the cup or of the frame's seat.
    #[serde(default)]
    cup_angle: Option<Degrees>,
    /// The angle of the crown race or of the split ring.
    #[serde(default)]
    race_angle: Option<Degrees>,
}

pub(super) fn bearing(value: Value) -> Result<Value, Fault> {
    let it: BearingLine = line(value)?;
    let bearing = Bearing {
        inside: it.inside.0,
        outside: it.outside.0,
        height: it.height.0,
        inner_angle: it.inner_angle.0,
        outer_angle: it.outer_angle.0,
    };
    let possible = Length::ZERO < bearing.inside && bearing.inside < bearing.outside;
    if !possible {
        let message = "the bore must be above 0 and less than the outside diameter";
        return Err(Fault::new("fit.bearing", message));
    }
    let cup = (it.cup_inside.map(|it| it.0), it.cup_angle.map(|it| it.0));
    let found = bearing_in_seats(&bearing, cup, it.race_angle.map(|it| it.0));
    let further = json!({
        "code": it.code,
        "inside": mm(bearing.inside),
        "outside": mm(bearing.outside),
        "height": mm(bearing.height),
        "inner_angle": degrees(it.inner_angle),
        "outer_angle": degrees(it.outer_angle),
    });
    Ok(judged("fits", &found, further))
}

/// Returns an angle as a JSON number of degrees.
fn degrees(angle: Degrees) -> Value {
    let text = angle.0.to_string();
    let number = text.trim_end_matches('°').parse::<serde_json::Number>();
    number.map_or_else(|_| json!(text), Value::Number)
}

/// A crown race and a fork, as measured or by their nominal numbers, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct RaceLine {
    /// The crown race.
    race: Mm,
    /// The fork's crown seat.
    crown_seat: Mm,
}

pub(super) fn crown_race(value: Value) -> Result<Value, Fault> {
    let it: RaceLine = line(value)?;
    Ok(judged("fits", &race_on_fork(it.race.0, it.crown_seat.0), Value::Null))
}

/// A fork and a headset.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ForkLine {
    /// The fork.
    fork: Fork,
    /// The headset's code.
    headset: String,
}

/// A fork's steerer and crown seat, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct Fork {
    /// What the fork is called.
    #[serde(default)]
    name: String,
    /// The steerer's diameter at the top.
    steerer: Mm,
    /// The crown seat, as measured or by its nominal number.
    crown_seat: Mm,
}

pub(super) fn fork(value: Value) -> Result<Value, Fault> {
    let it: ForkLine = line(value)?;
    let headset: HeadsetCode = it.headset.parse().map_err(refused)?;
    let found = fork_headset(it.fork.steerer.0, it.fork.crown_seat.0, &headset);
    Ok(judged("fits", &found, json!({ "fork": it.fork.name, "headset": headset.to_string() })))
}

/// A frame and a headset.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct FrameLine {
    /// The nominal bores of the head tube, upper and lower, in mm.
    bores: (Mm, Mm),
    /// The headset's code.
    headset: String,
}

pub(super) fn frame(value: Value) -> Result<Value, Fault> {
    let it: FrameLine = line(value)?;
    let headset: HeadsetCode = it.headset.parse().map_err(refused)?;
    let found = frame_headset(it.bores.0.0, it.bores.1.0, &headset);
    Ok(judged("fits", &found, json!({ "headset": headset.to_string() })))
}

/// What stays free under the cap of one stack of spacers, in mm; tolerances to either side.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ClearanceLine {
    /// How far the steerer stands above all that it carries but spacers.
    exposure: Mm,
    /// The spacers, one entry for each piece.
    spacers: Vec<Mm>,
    /// The least and the most that may stay free; 2 and 5 where it is left out.
    #[serde(default)]
    clearance_allowed: Option<(Mm, Mm)>,
    /// How far the cut, the head tube and each stack may be off.
    #[serde(default)]
    tolerances: Vec<Mm>,
    /// How far the height of each spacer may be off.
    #[serde(default)]
    spacer_tolerance: Option<Mm>,
}

pub(super) fn free(value: Value) -> Result<Value, Fault> {
    let it: ClearanceLine = line(value)?;
    let limits = it.clearance_allowed.map(|it| Clearance { least: it.0.0, most: it.1.0 });
    let limits = limits.unwrap_or(Clearance::USUAL);
    let tolerances = Tolerances {
        parts: it.tolerances.iter().map(|it| it.0).collect(),
        spacer: it.spacer_tolerance.map_or(Length::ZERO, |it| it.0),
    };
    let total = it.spacers.iter().fold(Length::ZERO, |sum, it| sum.plus(it.0));
    let pieces = u32::try_from(it.spacers.len()).unwrap_or(u32::MAX);
    let by = |rule| clearance((total, pieces), it.exposure.0, limits, &tolerances, rule);
    let found = by(ToleranceRule::RootSumSquare);
    let further = json!({
        "clearance": mm(total.less(it.exposure.0)),
        "nominal": by(ToleranceRule::Nominal).verdict.words(),
        "worst_case": by(ToleranceRule::WorstCase).verdict.words(),
        "root_sum_square": found.verdict.words(),
    });
    Ok(judged("fits", &found, further))
}
