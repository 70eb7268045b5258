use serde::Deserialize;
use serde_json::{Value, json};

use crate::domain::fasteners::{
    FastenerError, MetricThread, PropertyClass, preload_of, share_of_proof, torque_of,
};
use crate::units::{
    ForceUnit, Length, Pressure, PressureUnit, Ratio, Torque, TorqueUnit, Value as Exact,
};

use super::figure::{Figure, number, rounded};
use super::fit::{EngagementLine, engaged};
use super::{Fault, case};

/// A question about a metric screw, told apart by its kind.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum ScrewLine {
    /// What a designation says.
    Thread(#[schema(inline)] ThreadLine),
    /// The area of the thread that carries the load.
    StressArea(#[schema(inline)] ThreadLine),
    /// The loads of a thread in a property class.
    PropertyClass(#[schema(inline)] ClassLine),
    /// What the designation of a property class says.
    ClassDesignation(#[schema(inline)] DesignationLine),
    /// Preload and torque from a share of the proof load.
    TorqueComputed(#[schema(inline)] TightenLine),
    /// The same, with the answer's names of a worked example.
    TorqueWorkedExample(#[schema(inline)] TightenLine),
    /// Preload and stress from a torque.
    TorqueInverseExample(#[schema(inline)] TorqueOnLine),
    /// How deep a screw reaches into its insert.
    Engagement(#[schema(inline)] EngagementLine),
}

/// A thread.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ThreadLine {
    /// M6, M8×1, M5×0.8×18.
    thread: String,
    /// The pitch in mm, where the designation does not name it; left out, the coarse one.
    #[schema(value_type = Option<f64>)]
    pitch: Option<Figure>,
}

/// A thread in a property class.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ClassLine {
    /// M6, M8×1, M5×0.8×18.
    thread: String,
    /// The pitch in mm, where the designation does not name it; left out, the coarse one.
    #[schema(value_type = Option<f64>)]
    pitch: Option<Figure>,
    /// 4.6 to 12.9, A2-70, A4-70 or A4-80.
    prop_class: String,
}

/// A property class.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct DesignationLine {
    /// 4.6 to 12.9, A2-70, A4-70 or A4-80.
    prop_class: String,
}

/// A screw to be tightened to a share of its proof load.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct TightenLine {
    /// M6, M8×1, M5×0.8×18.
    thread: String,
    /// The pitch in mm, where the designation does not name it; left out, the coarse one.
    #[schema(value_type = Option<f64>)]
    pitch: Option<Figure>,
    /// 4.6 to 12.9, A2-70, A4-70 or A4-80.
    prop_class: String,
    /// The nut factor, such as 0.2 for dry threads.
    #[serde(rename = "K")]
    #[schema(value_type = f64)]
    nut_factor: Figure,
    /// The share of the proof load, such as 0.75.
    #[schema(value_type = f64)]
    proof_fraction: Figure,
    /// The proof stress in MPa; left out, that of the class.
    #[schema(value_type = Option<f64>)]
    proof_stress: Option<Figure>,
}

/// A screw that a torque is put on.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct TorqueOnLine {
    /// M6, M8×1, M5×0.8×18.
    thread: String,
    /// The pitch in mm, where the designation does not name it; left out, the coarse one.
    #[schema(value_type = Option<f64>)]
    pitch: Option<Figure>,
    /// The nut factor, such as 0.2 for dry threads.
    #[serde(rename = "K")]
    #[schema(value_type = f64)]
    nut_factor: Figure,
    /// The torque in N·m.
    #[serde(rename = "torque_Nm")]
    #[schema(value_type = f64)]
    torque: Figure,
}

impl From<FastenerError> for Fault {
    fn from(fault: FastenerError) -> Self {
        Self::new(fault.code(), fault)
    }
}

pub(super) fn screw(value: Value) -> Result<Value, Fault> {
    match case(value)? {
        ScrewLine::Thread(it) => thread(&it),
        ScrewLine::StressArea(it) => stress_area(&it),
        ScrewLine::PropertyClass(it) => property_class(&it),
        ScrewLine::ClassDesignation(it) => class_designation(&it),
        ScrewLine::TorqueComputed(it) => tighten(&it, ["preload_N", "torque_Nm", "torque_inlbf"]),
        ScrewLine::TorqueWorkedExample(it) => {
            let names = ["computed_preload_N", "computed_torque_Nm", "computed_torque_inlbf"];
            tighten(&it, names)
        }
        ScrewLine::TorqueInverseExample(it) => torque_on(&it),
        ScrewLine::Engagement(it) => Ok(engaged(&it)),
    }
}

/// Returns the thread that a designation and a pitch beside it name.
fn thread_of(designation: &str, pitch: Option<Figure>) -> Result<MetricThread, Fault> {
    let thread = match designation.parse::<MetricThread>() {
        Err(FastenerError::NoCoarsePitch { .. }) if let Some(pitch) = pitch => {
            format!("{}x{}", designation.trim(), pitch.0).parse()?
        }
        read => read?,
    };
    let Some(pitch) = pitch else { return Ok(thread) };
    let stated = Length::parse_millimetres(&pitch.0.to_string());
    let stated = stated.map_err(|fault| Fault::new("screw.pitch", fault))?;
    if thread.pitch() != stated && !thread.is_coarse() {
        let message = format!("{thread} names its pitch, and {stated} is another");
        return Err(Fault::new("screw.pitch", message));
    }
    Ok(MetricThread::new(thread.diameter(), Some(stated), thread.length())?)
}

fn millimetres(length: Length) -> Value {
    number(Ratio::new(length.micrometres().into(), 1000).unwrap_or(Ratio::ZERO))
}

fn thread(it: &ThreadLine) -> Result<Value, Fault> {
    let thread = thread_of(&it.thread, it.pitch)?;
    Ok(json!({
        "thread": thread.to_string(),
        "diameter_mm": millimetres(thread.diameter()),
        "pitch_mm": millimetres(thread.pitch()),
        "coarse": thread.is_coarse(),
        "length_mm": thread.length().map(millimetres),
    }))
}

fn stress_area(it: &ThreadLine) -> Result<Value, Fault> {
    let area = thread_of(&it.thread, it.pitch)?.stress_area();
    Ok(json!({
        "formula_area": rounded(area.square_millimetres(), 4),
        "table_area": number(area.nominal().square_millimetres()),
    }))
}

fn megapascals(stress: Exact<PressureUnit>) -> Value {
    number(stress.in_unit(PressureUnit::Megapascal))
}

fn property_class(it: &ClassLine) -> Result<Value, Fault> {
    let thread = thread_of(&it.thread, it.pitch)?;
    let class: PropertyClass = it.prop_class.parse()?;
    let (tensile, proof) = (class.tensile(&thread)?, class.proof_stress(&thread)?);
    let load = |stress| {
        let force = thread.stress_area().nominal().force_at(stress);
        force.map(|it| it.in_unit(ForceUnit::Newton)).ok_or(FastenerError::Numbers)
    };
    let (ultimate, proof_load) = (load(tensile)?, load(proof)?);
    Ok(json!({
        "tensile_MPa": megapascals(tensile),
        "proof_stress_MPa": megapascals(proof),
        "ultimate_load_N": number(three_digits(ultimate)),
        "proof_load_N": number(three_digits(proof_load)),
        "computed_ultimate": number(ultimate),
        "computed_proof": number(proof_load),
    }))
}

/// Returns a load to three significant digits, as tables print it.
fn three_digits(load: Ratio) -> Ratio {
    let text = load.significant(3);
    let whole = text.split('.').next().map_or(0, str::len);
    let step = 10_i64.pow(u32::try_from(whole.saturating_sub(3)).unwrap_or(0));
    let steps = load.over(Ratio::whole(step));
    let steps = steps.and_then(|it| it.parts(0, crate::units::Rounding::Nearest));
    steps.and_then(|it| Ratio::new(it * i128::from(step), 1)).unwrap_or(load)
}

fn class_designation(it: &DesignationLine) -> Result<Value, Fault> {
    let class: PropertyClass = it.prop_class.parse()?;
    Ok(json!({
        "nominal_tensile": megapascals(class.nominal_tensile()),
        "nominal_yield": megapascals(class.nominal_yield()),
    }))
}

fn tighten(it: &TightenLine, names: [&str; 3]) -> Result<Value, Fault> {
    let thread = thread_of(&it.thread, it.pitch)?;
    let class: PropertyClass = it.prop_class.parse()?;
    let proof = match it.proof_stress {
        Some(stress) => Pressure::new(stress.0, PressureUnit::Megapascal)?.value(),
        None => class.proof_stress(&thread)?,
    };
    let preload = share_of_proof(&thread, proof, it.proof_fraction.ratio())?;
    let torque = torque_of(&thread, it.nut_factor.ratio(), preload)?;
    let [preload_name, torque_name, inch_pounds_name] = names;
    Ok(json!({
        preload_name: number(preload.in_unit(ForceUnit::Newton)),
        torque_name: number(torque.newton_metres()),
        inch_pounds_name: rounded(torque.inch_pounds(), 4),
        "proof_stress_MPa": megapascals(proof),
        "caution": CAUTION,
    }))
}

/// Said with every computed torque.
const CAUTION: &str =
    "computed for one state of thread and head; the component maker's own torque stands above it";

fn torque_on(it: &TorqueOnLine) -> Result<Value, Fault> {
    let thread = thread_of(&it.thread, it.pitch)?;
    let torque = Torque::new(it.torque.0, TorqueUnit::NewtonMetre)?.value();
    let preload = preload_of(&thread, it.nut_factor.ratio(), torque)?;
    let stress = thread.stress_area().nominal().stress_at(preload).ok_or(FastenerError::Numbers)?;
    Ok(json!({
        "preload_N": rounded(preload.in_unit(ForceUnit::Newton), 4),
        "stress_MPa": rounded(stress.in_unit(PressureUnit::Megapascal), 4),
        "caution": CAUTION,
    }))
}
