use serde::Deserialize;
use serde_json::{Value, json};

use crate::units::{KeyFit, TorqueBand, disagree, key_fit};

use super::figure::{Figure, number};
use super::{Fault, case};

/// A stated torque, to be told in both units and checked.
///
/// Give `text`; or `unit` with `value`, with `low` and `high`, or with all three.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct TorqueLine {
    /// The torque as people write it: 75 in-lb, 5–6 Nm, 5.5 ± 0.5 N·m, max 2.5 N·m.
    text: Option<String>,
    /// The unit of the figures below.
    unit: Option<String>,
    /// The value that is aimed at.
    #[schema(value_type = Option<f64>)]
    value: Option<Figure>,
    /// The low end of the band.
    #[schema(value_type = Option<f64>)]
    low: Option<Figure>,
    /// The high end of the band.
    #[schema(value_type = Option<f64>)]
    high: Option<Figure>,
    /// A second statement for the same joint; where both can't be true, the answer is blocked.
    other: Option<String>,
    /// A preset torque key with its tolerance: 5.5 N·m ± 6 %.
    key: Option<String>,
}

impl TorqueLine {
    /// Returns the statement as a text, which is read in one place only.
    fn stated(&self) -> Result<String, Fault> {
        let unit = self.unit.as_deref().unwrap_or("");
        let figures = (self.value, self.low, self.high);
        Ok(match (&self.text, &self.unit, figures) {
            (Some(text), None, (None, None, None)) => text.clone(),
            (None, Some(_), (Some(it), None, None)) => format!("{} {unit}", it.0),
            (None, Some(_), (None, Some(low), Some(high))) => {
                format!("{} – {} {unit}", low.0, high.0)
            }
            (None, Some(_), (Some(it), Some(low), Some(high))) => {
                format!("{} {unit} ({} – {})", it.0, low.0, high.0)
            }
            (None, Some(_), (None, None, Some(high))) => format!("≤ {} {unit}", high.0),
            (None, Some(_), (None, Some(low), None)) => format!("≥ {} {unit}", low.0),
            _ => {
                let message = "give text; or unit with value, low and high";
                return Err(Fault::new("torque.line", message));
            }
        })
    }
}

pub(super) fn torque(value: Value) -> Result<Value, Fault> {
    let it: TorqueLine = case(value)?;
    let band: TorqueBand = it.stated()?.parse()?;
    let mut answer = told(&band);
    let whole = band.whole_inch_pounds_inside();
    let whole = whole.map(|it| json!({ "low": it.low, "high": it.high }));
    insert(&mut answer, "whole_inch_pounds_inside", json!(whole));
    if let Some(other) = &it.other {
        let other: TorqueBand = other.parse()?;
        let difference = disagree(&band, &other);
        insert(&mut answer, "other", told(&other));
        insert(&mut answer, "blocked", json!(difference.is_some()));
        if let Some(it) = difference {
            insert(&mut answer, "reason", json!(format!("{it}: ask the component maker")));
            insert(&mut answer, "difference_nm", number(it.apart.newton_metres()));
            insert(&mut answer, "difference_percent", number(it.percent));
        }
    }
    if let Some(key) = &it.key {
        let key: TorqueBand = key.parse()?;
        let reason = misfit(&key, &band);
        let fit = json!({ "stated": key.to_string(), "fits": reason.is_none(), "reason": reason });
        insert(&mut answer, "key", fit);
    }
    Ok(answer)
}

fn insert(answer: &mut Value, name: &str, value: Value) {
    if let Some(object) = answer.as_object_mut() {
        object.insert(name.to_owned(), value);
    }
}

/// Answers a statement in both units, with its figures as numbers.
fn told(band: &TorqueBand) -> Value {
    let figures = |unit: fn(crate::units::Value<_>) -> crate::units::Ratio| {
        let of = |it: Option<_>| it.map(|it| number(unit(it)));
        json!({ "low": of(band.low()), "target": of(band.target()), "high": of(band.high()) })
    };
    json!({
        "stated": band.to_string(),
        "newton_metres": band.in_newton_metres(2),
        "inch_pounds": band.in_inch_pounds(),
        "nm": figures(crate::units::Value::newton_metres),
        "inlbf": figures(crate::units::Value::inch_pounds),
    })
}

/// Returns why a preset key may not be used on a joint.
fn misfit(key: &TorqueBand, joint: &TorqueBand) -> Option<String> {
    match key_fit(key, joint) {
        KeyFit::Fits => None,
        KeyFit::NoTolerance => Some("the key's tolerance is not stated: 5.5 N·m ± 6 %".to_owned()),
        KeyFit::NoBand => Some("the joint's band is not stated".to_owned()),
        KeyFit::Outside { below, above } => {
            let end = |by: Option<crate::units::Value<_>>, words: &str| {
                by.map(|it| format!("{} N·m {words}", it.newton_metres().significant(3)))
            };
            let ends = [end(below, "below the low end"), end(above, "above the high end")];
            let ends: Vec<String> = ends.into_iter().flatten().collect();
            Some(format!("with its tolerance it may stop {}", ends.join(" and ")))
        }
    }
}
