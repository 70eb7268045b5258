//! Kinds of the frame, its clamps and its skis.

use serde::Deserialize;
use serde_json::{Value, json};

use super::super::kinds::judged;
use super::super::mm::{Degrees, Mm, mm};
use super::super::{Fault, line};
use crate::domain::fit::{
    Joint, SaddleGeometry, ScrewStack, ShockSize, bushing, clamp_match, engagement, hole_spacing,
    insertion_in_frame, pairs, post_mark, post_window, shock,
};
use crate::units::Length;

/// A tube and what clamps it, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ClampLine {
    /// What is clamped.
    part: Clamped,
    /// The tube's outside diameter.
    outside: Mm,
    /// The clamp's diameter.
    clamp: Mm,
}

#[derive(Debug, Clone, Copy, Deserialize, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
enum Clamped {
    Steerer,
    Bar,
    Post,
    SeatTube,
}

pub(super) fn clamp(value: Value) -> Result<Value, Fault> {
    let it: ClampLine = line(value)?;
    let joint = match it.part {
        Clamped::Steerer => Joint::Steerer,
        Clamped::Bar => Joint::Bar,
        Clamped::Post => Joint::Post,
        Clamped::SeatTube => Joint::SeatTube,
    };
    Ok(judged("fits", &clamp_match(joint, it.outside.0, it.clamp.0), Value::Null))
}

/// A seat post in a frame of which no more is known than where its tubes meet, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct InsertionLine {
    /// How far the lower edge of the joint with the top tube lies below the seat tube's top.
    top_tube_weld_bottom_below_top: Mm,
    /// How much of the post is in.
    inserted: Mm,
}

pub(super) fn insertion(value: Value) -> Result<Value, Fault> {
    let it: InsertionLine = line(value)?;
    let joint = it.top_tube_weld_bottom_below_top.0;
    let (least, found) = insertion_in_frame(joint, it.inserted.0);
    Ok(judged("ok", &found, json!({ "least": mm(least) })))
}

/// A seat post in a frame whose maker says how deep it may be in; in mm and degrees.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct PostLine {
    /// The post's length.
    length: Mm,
    /// The least that must be in.
    insertion_min: Mm,
    /// The most that can be in.
    insertion_max: Mm,
    /// From where the bike rests on the lift's seat to the seat tube's top, upright.
    #[serde(default)]
    rest_to_collar: Option<Mm>,
    /// From the post's head to the saddle's top.
    #[serde(default)]
    saddle: Option<Mm>,
    /// The seat tube's angle to the ground.
    #[serde(default)]
    seat_angle: Option<Degrees>,
}

pub(super) fn post(value: Value) -> Result<Value, Fault> {
    let it: PostLine = line(value)?;
    let saddle = match (it.rest_to_collar, it.saddle, it.seat_angle) {
        (Some(rest), Some(saddle), Some(angle)) => {
            Some(SaddleGeometry { rest_to_collar: rest.0, saddle: saddle.0, seat_angle: angle.0 })
        }
        _ => None,
    };
    let inside = (it.insertion_min.0, it.insertion_max.0);
    let found = post_window(it.length.0, inside, saddle.as_ref());
    let window = json!({
        "exposed": [mm(found.least), mm(found.most)],
        "lift_limit": found.lift.map(mm),
        "highest_on_lift": found.lift.map(|_| mm(found.highest())),
        "on_lift": judged("fits", &found.on_lift, Value::Null),
    });
    Ok(judged("fits", &found.insertion, window))
}

/// A seat post's mark, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct MarkLine {
    /// The post's diameter.
    diameter: Mm,
    /// How far the mark lies above the post's end.
    mark: Mm,
}

pub(super) fn mark(value: Value) -> Result<Value, Fault> {
    let it: MarkLine = line(value)?;
    let least = it.diameter.0.times(2);
    Ok(judged("ok", &post_mark(it.diameter.0, it.mark.0), json!({ "least": mm(least) })))
}

/// A shock and what the frame takes, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ShockLine {
    /// The shock from eye to eye.
    length: Mm,
    /// The shock's stroke.
    stroke: Mm,
    /// The length that the frame takes.
    frame_length: Mm,
    /// The stroke that the frame takes.
    frame_stroke: Mm,
}

pub(super) fn shock_size(value: Value) -> Result<Value, Fault> {
    let it: ShockLine = line(value)?;
    let of = |length: Mm, stroke: Mm| ShockSize { length: length.0, stroke: stroke.0 };
    let found = shock(of(it.length, it.stroke), of(it.frame_length, it.frame_stroke));
    Ok(judged("fits", &found, Value::Null))
}

/// A shock bushing in its mount, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct BushingLine {
    /// The bushing's width.
    width: Mm,
    /// The bushing's bore.
    bore: Mm,
    /// The width of the frame's mount.
    mount: Mm,
    /// The bolt's diameter.
    bolt: Mm,
}

pub(super) fn bushing_size(value: Value) -> Result<Value, Fault> {
    let it: BushingLine = line(value)?;
    let found = bushing(it.width.0, it.bore.0, it.mount.0, it.bolt.0);
    Ok(judged("fits", &found, Value::Null))
}

/// The hole patterns of a ski mount and a ski, along and across, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct HolesLine {
    /// The mount's holes.
    mount: (Mm, Mm),
    /// The ski's inserts.
    ski: (Mm, Mm),
}

pub(super) fn holes(value: Value) -> Result<Value, Fault> {
    let it: HolesLine = line(value)?;
    let pair = |it: (Mm, Mm)| (it.0.0, it.1.0);
    Ok(judged("fits", &hole_spacing(pair(it.mount), pair(it.ski)), Value::Null))
}

/// A screw through a plate into an insert, in mm.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct ScrewLine {
    /// The screw's length under its head.
    #[schema(value_type = f64)]
    length: Mm,
    /// The plate's thickness.
    #[schema(value_type = f64)]
    plate: Mm,
    /// The washer's thickness; 0 without one.
    #[serde(default = "none")]
    #[schema(value_type = f64)]
    washer: Mm,
    /// The riser's thickness; 0 without one.
    #[serde(default = "none")]
    #[schema(value_type = f64)]
    riser: Mm,
    /// The least that must be in the insert: one diameter of the screw in steel.
    #[schema(value_type = f64)]
    least: Mm,
    /// The depth of the insert that can be used.
    #[schema(value_type = f64)]
    depth: Mm,
}

const fn none() -> Mm {
    Mm(Length::ZERO)
}

pub(super) fn screw(value: Value) -> Result<Value, Fault> {
    Ok(engaged(&line(value)?))
}

/// Answers how deep a screw reaches into its insert, and whether that is right.
pub(in crate::cli::calc) fn engaged(it: &ScrewLine) -> Value {
    let found = engagement(&ScrewStack {
        length: it.length.0,
        plate: it.plate.0,
        washer: it.washer.0,
        riser: it.riser.0,
        least: it.least.0,
        depth: it.depth.0,
    });
    judged("fits", &found.finding, json!({ "engagement": mm(found.reach) }))
}

/// How many there are of what comes in pairs.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct PairsLine {
    /// What it is, such as "torsion arm".
    what: String,
    /// The side or end of each piece, such as "left" and "right".
    pieces: Vec<String>,
    /// The two sides that there should be.
    sides: (String, String),
    /// How many pairs there should be; any where it is left out.
    #[serde(default)]
    wanted: Option<i64>,
}

pub(super) fn matched(value: Value) -> Result<Value, Fault> {
    let it: PairsLine = line(value)?;
    let count = |side: &String| {
        i64::try_from(it.pieces.iter().filter(|it| *it == side).count()).unwrap_or(i64::MAX)
    };
    let other = it.pieces.iter().find(|one| **one != it.sides.0 && **one != it.sides.1);
    if let Some(other) = other {
        let (one, two) = &it.sides;
        return Err(Fault::new("fit.side", format!("'{other}': take {one} or {two}")));
    }
    let (one, two) = (count(&it.sides.0), count(&it.sides.1));
    let sides = [(it.sides.0.as_str(), one), (it.sides.1.as_str(), two)];
    Ok(judged("fits", &pairs(&it.what, sides, it.wanted), Value::Null))
}
