use serde::Deserialize;
use serde_json::{Value, json};

use super::kinds::{Kind, whole_schema};
use super::{Fault, kinds, line};
use crate::domain::statistics::StatisticsError;
use crate::domain::weighing::{Content, LotMass, Scale, Window, count, seen, smallest_seen};

const KINDS: [Kind; 5] = [
    Kind { name: "weigh_count", schema: whole_schema::<PlainLine>, compute: plain },
    Kind { name: "learn", schema: whole_schema::<LotLine>, compute: learn },
    Kind { name: "count", schema: whole_schema::<CountLine>, compute: counted },
    Kind { name: "window", schema: whole_schema::<WindowLine>, compute: window },
    Kind { name: "seen", schema: whole_schema::<SeenLine>, compute: shows },
];

/// Computes a line by its kind.
pub(super) fn compute(value: Value) -> Result<Value, Fault> {
    kinds::compute(&KINDS, "weigh.kind", value)
}

pub(super) fn all_kinds() -> Value {
    kinds::schema(&KINDS)
}

/// A gross weight over a stated mass of a piece.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct PlainLine {
    piece_g: f64,
    gross_g: f64,
    #[serde(default)]
    tare_g: f64,
}

/// What is known of a piece of a lot: several weighed one by one, some weighed together, or a
/// stated mass.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct LotLine {
    /// Pieces weighed one by one, in mg.
    one_by_one_mg: Option<Vec<i64>>,
    /// What some weighed together, in mg.
    together_mg: Option<i64>,
    /// How many they were.
    pieces: Option<i64>,
    /// A stated mean, in mg.
    mean_mg: Option<f64>,
    /// How much pieces differ, in percent of the mean; left out, not at all.
    spread_percent: Option<f64>,
    /// How much the mean of lots differs, in percent, where this lot was not weighed.
    unlearned_percent: Option<f64>,
    /// The scale's standard deviation, in mg.
    #[serde(default)]
    scale_sd_mg: f64,
    /// The scale's step, in mg.
    #[serde(default)]
    scale_step_mg: f64,
}

/// A net weight to be counted.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct CountLine {
    net_mg: i64,
    #[schema(inline)]
    lot: LotLine,
    /// Left out, 0.99.
    confidence: Option<f64>,
    #[serde(default)]
    scale_sd_mg: f64,
    #[serde(default)]
    scale_step_mg: f64,
}

/// One line of a bag or box.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ContentLine {
    pieces: i64,
    #[schema(inline)]
    lot: LotLine,
}

/// A bag or box, and what it reads.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WindowLine {
    #[schema(inline)]
    contents: Vec<ContentLine>,
    /// Mass and standard deviation of what is not counted, in mg: bag, carton, foam.
    #[serde(default)]
    others_mg: Vec<(f64, f64)>,
    #[serde(default)]
    scale_sd_mg: f64,
    #[serde(default)]
    scale_step_mg: f64,
    /// How many standard deviations off a weight is refused; left out, 3.
    alarm: Option<f64>,
    /// What the scale reads, in mg.
    reading_mg: Option<i64>,
}

/// A loss, and the spread of the bag or box that it is lost from.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct SeenLine {
    off_mg: f64,
    sd_mg: f64,
    /// Left out, 3.
    alarm: Option<f64>,
    /// Left out, 0.99.
    chance: Option<f64>,
}

fn plain(value: Value) -> Result<Value, Fault> {
    let PlainLine { piece_g, gross_g, tare_g } = line(value)?;
    let lot = LotMass::new(piece_g, 0.0, 0.0)?;
    let raw = (gross_g - tare_g) / lot.mean_mg();
    let pieces = crate::domain::statistics::whole_down(raw + 0.5)?;
    Ok(json!({ "pieces": pieces, "raw": (raw * 1e6).round() / 1e6 }))
}

fn lot(it: LotLine) -> Result<LotMass, Fault> {
    let scale = Scale { sd_mg: it.scale_sd_mg, step_mg: it.scale_step_mg };
    let spread = it.spread_percent.unwrap_or_default() / 100.0;
    let lot = match (it.one_by_one_mg, it.together_mg, it.mean_mg) {
        (Some(masses), None, None) => LotMass::one_by_one(&masses)?,
        (None, Some(net), None) => {
            LotMass::together(net, it.pieces.unwrap_or_default(), spread, &scale)?
        }
        (None, None, Some(mean)) => LotMass::new(mean, mean * spread, 0.0)?,
        _ => {
            let message =
                "a lot has one of one_by_one_mg, together_mg with pieces, or mean_mg: state one";
            return Err(Fault::new("weigh.lot", message));
        }
    };
    let shift = it.unlearned_percent.unwrap_or_default() / 100.0;
    Ok(if shift == 0.0 { lot } else { lot.unlearned(shift)? })
}

fn learn(value: Value) -> Result<Value, Fault> {
    let lot = lot(line(value)?)?;
    Ok(json!({
        "mean_mg": lot.mean_mg(),
        "sd_mg": lot.sd_mg(),
        "mean_u_mg": lot.mean_u_mg(),
    }))
}

fn counted(value: Value) -> Result<Value, Fault> {
    let it: CountLine = line(value)?;
    let scale = Scale { sd_mg: it.scale_sd_mg, step_mg: it.scale_step_mg };
    let found = count(it.net_mg, &lot(it.lot)?, &scale, it.confidence.unwrap_or(0.99))?;
    Ok(json!({
        "pieces": found.pieces,
        "raw": found.raw,
        "sd": found.sd,
        "at_least": found.at_least,
        "at_most": found.at_most,
        "exact": found.exact,
        "by_hand_above": found.by_hand_above,
        "count_by_hand": found.by_hand_above < found.pieces,
    }))
}

fn window(value: Value) -> Result<Value, Fault> {
    let it: WindowLine = line(value)?;
    let scale = Scale { sd_mg: it.scale_sd_mg, step_mg: it.scale_step_mg };
    let contents = it
        .contents
        .into_iter()
        .map(|it| Ok(Content { pieces: it.pieces, lot: lot(it.lot)? }))
        .collect::<Result<Vec<Content>, Fault>>()?;
    let window = Window::of(&contents, &it.others_mg, &scale, it.alarm.unwrap_or(3.0))?;
    let mut answer = json!({
        "expected_mg": window.expected_mg,
        "sd_mg": window.sd_mg,
        "low_mg": window.low_mg,
        "high_mg": window.high_mg,
        "smallest_seen_mg": smallest_seen(window.sd_mg, window.alarm, 0.99)?,
        "one_piece_seen": contents
            .iter()
            .map(|it| window.sees(it.lot.mean_mg()))
            .collect::<Vec<_>>(),
    });
    if let (Some(mg), Some(object)) = (it.reading_mg, answer.as_object_mut()) {
        let suspects: Vec<Value> = window
            .suspects(mg, &contents)
            .iter()
            .map(|it| json!({ "line": it.line, "pieces": it.pieces, "left_mg": it.left_mg }))
            .collect();
        object.insert("accepted".to_owned(), json!(window.accepts(mg)));
        object.insert("z".to_owned(), json!(window.off_by(mg)));
        object.insert(
            "suspects".to_owned(),
            if window.accepts(mg) { json!([]) } else { json!(suspects) },
        );
    }
    Ok(answer)
}

fn shows(value: Value) -> Result<Value, Fault> {
    let SeenLine { off_mg, sd_mg, alarm, chance } = line(value)?;
    let alarm = alarm.unwrap_or(3.0);
    if !off_mg.is_finite() || !alarm.is_finite() {
        return Err(StatisticsError::NoNumber("the chance").into());
    }
    let smallest = smallest_seen(sd_mg, alarm, chance.unwrap_or(0.99))?;
    Ok(json!({ "seen": seen(off_mg, sd_mg, alarm), "smallest_seen_mg": smallest }))
}
