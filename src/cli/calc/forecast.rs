use serde::Deserialize;
use serde_json::{Value, json};

use super::kinds::{Kind, whole_schema};
use super::{Fault, kinds, line};
use crate::domain::forecast::{
    Score, SeasonKind, Weights, choose, classify, croston, croston_path, decompose, holt_winters,
    sba, sbj, ses, tsb,
};

const KINDS: [Kind; 5] = [
    Kind { name: "choose", schema: whole_schema::<ChooseLine>, compute: chosen },
    Kind { name: "intermittent", schema: whole_schema::<SeriesLine>, compute: intermittent },
    Kind { name: "ses", schema: whole_schema::<SesLine>, compute: smoothed },
    Kind { name: "holt_winters", schema: whole_schema::<WintersLine>, compute: winters },
    Kind { name: "seasonal_indices", schema: whole_schema::<SeasonLine>, compute: indices },
];

/// Computes a line by its kind; `name` may stand in it and is passed over, and a kind may be told
/// more closely after a hyphen ("intermittent-monthly").
pub(super) fn compute(mut value: Value) -> Result<Value, Fault> {
    if let Some(object) = value.as_object_mut() {
        object.remove("name");
        if let Some(Value::Object(input)) = object.remove("input") {
            object.extend(input);
        }
        let kind = object.get("kind").and_then(Value::as_str).and_then(|it| it.split('-').next());
        if let Some(kind) = kind.map(Value::from) {
            object.insert("kind".to_owned(), kind);
        }
    }
    kinds::compute(&KINDS, "forecast.kind", value)
}

pub(super) fn all_kinds() -> Value {
    kinds::schema(&KINDS)
}

/// A series of demand, for which the method is to be chosen.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct ChooseLine {
    /// Pieces of each period, oldest first.
    y: Vec<f64>,
    /// Periods in a season, where there may be one.
    period: Option<usize>,
    /// Periods to forecast.
    #[serde(default = "one")]
    horizon: usize,
}

const fn one() -> usize {
    1
}

fn chosen(value: Value) -> Result<Value, Fault> {
    let it: ChooseLine = line(value)?;
    let choice = choose(&it.y, it.period, it.horizon)?;
    let tried = choice.tried.iter().map(|it| {
        json!({ "method": it.method.name(), "words": it.method.to_string(), "score": scored(&it.score) })
    });
    Ok(json!({
        "method": choice.method.name(),
        "words": choice.method.to_string(),
        "forecast": choice.ahead,
        "sd": choice.sd,
        "class": choice.shape.map(|it| it.class.name()),
        "score": choice.score.as_ref().map(scored),
        "tried": tried.collect::<Vec<_>>(),
    }))
}

fn scored(it: &Score) -> Value {
    json!({
        "periods": it.periods,
        "mae": it.mean_absolute,
        "rmse": it.root_mean_square,
        "bias": it.bias,
        "mase": it.mase,
        "rmsse": it.rmsse,
    })
}

/// A series of intermittent demand.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct SeriesLine {
    /// Pieces of each period, oldest first.
    y: Vec<f64>,
    /// The weight of sizes and intervals.
    #[serde(default = "tenth")]
    alpha: f64,
    /// The weight of the chance of demand.
    #[serde(default = "tenth")]
    beta: f64,
}

const fn tenth() -> f64 {
    0.1
}

fn intermittent(value: Value) -> Result<Value, Fault> {
    let SeriesLine { y, alpha, beta } = line(value)?;
    let rate = |alpha| croston(&y, alpha).map(|it| it.map(|it| it.rate()));
    let chance = |alpha, beta| tsb(&y, alpha, beta).map(|it| it.rate());
    let path: Vec<Option<f64>> =
        croston_path(&y, 0.1)?.into_iter().map(|it| it.map(|it| it.rate())).collect();
    let shape = classify(&y)?;
    Ok(json!({
        "croston": rate(alpha)?,
        "sba": sba(&y, alpha)?,
        "sbj": sbj(&y, alpha)?,
        "tsb": chance(alpha, beta)?,
        "croston_a01": rate(0.1)?,
        "croston_a02": rate(0.2)?,
        "sba_a01": sba(&y, 0.1)?,
        "sbj_a01": sbj(&y, 0.1)?,
        "tsb_d01_p01": chance(0.1, 0.1)?,
        "tsb_d02_p005": chance(0.2, 0.05)?,
        "tsb_d03_p01": chance(0.3, 0.1)?,
        "croston_a01_path": path,
        "mean": shape.map_or(0.0, |it| it.mean),
        "adi": shape.map(|it| it.interval),
        "cv2_population": shape.map(|it| it.cv2),
        "cv2_sample": shape.and_then(|it| it.cv2_sample),
        "sbc_class": shape.map(|it| it.class.name()),
    }))
}

/// A series to be smoothed.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct SesLine {
    /// Pieces of each period, oldest first.
    y: Vec<f64>,
    /// Above 0 and at most 1.
    alpha: f64,
}

fn smoothed(value: Value) -> Result<Value, Fault> {
    let SesLine { y, alpha } = line(value)?;
    let it = ses(&y, alpha)?;
    Ok(json!({ "forecast": [it.next], "next_": it.next, "SSE": it.squared_errors }))
}

/// How a season joins the level.
#[derive(Debug, Clone, Copy, Deserialize, utoipa::ToSchema)]
#[serde(rename_all = "snake_case")]
enum SeasonName {
    /// So many pieces more or less.
    Additive,
    /// So many times the level.
    Multiplicative,
}

impl From<SeasonName> for SeasonKind {
    fn from(it: SeasonName) -> Self {
        match it {
            SeasonName::Additive => Self::Additive,
            SeasonName::Multiplicative => Self::Multiplicative,
        }
    }
}

/// A series with trend and season.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct WintersLine {
    /// Pieces of each period, oldest first: two seasons at least.
    y: Vec<f64>,
    /// Periods in a season.
    period: usize,
    /// How the season joins the level.
    #[schema(inline)]
    seasonal: SeasonName,
    /// The weight of the level.
    alpha: f64,
    /// The weight of the trend.
    beta: f64,
    /// The weight of the season.
    gamma: f64,
    /// Periods to forecast; left out, a season, or two where it has fewer than 12.
    horizon: Option<usize>,
}

fn winters(value: Value) -> Result<Value, Fault> {
    let it: WintersLine = line(value)?;
    let weights = Weights { alpha: it.alpha, beta: it.beta, gamma: it.gamma };
    let smoothed = holt_winters(&it.y, it.period, it.seasonal.into(), weights)?;
    let usual = if it.period < 12 { 2 * it.period } else { it.period };
    let horizon = it.horizon.unwrap_or(usual).min(1_000);
    Ok(json!({
        "forecast": smoothed.forecast(horizon),
        "SSE": smoothed.squared_errors,
        "level": smoothed.level,
        "trend": smoothed.trend,
        "season": smoothed.season,
    }))
}

/// A series to be taken apart.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct SeasonLine {
    /// Pieces of each period, oldest first: two seasons at least.
    y: Vec<f64>,
    /// Periods in a season.
    period: usize,
    /// How the season joins the level.
    #[serde(rename = "type")]
    #[schema(inline)]
    kind: SeasonName,
}

fn indices(value: Value) -> Result<Value, Fault> {
    let it: SeasonLine = line(value)?;
    let season = decompose(&it.y, it.period, it.kind.into())?;
    Ok(json!({ "figure": season.indices, "trend": season.trend }))
}
