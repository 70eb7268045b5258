use crate::units::{ForceUnit, PressureUnit, Ratio, TorqueUnit, Value};

use super::{FastenerError, MetricThread};

/// Returns the torque that gives a screw a preload.
///
/// `nut_factor` is K, without a unit. It holds for one state of thread and head only: about 0.2 dry
/// and 0.15 oiled are common practice, no source. A component maker's own torque stands above it.
///
/// # Errors
///
/// [`FastenerError::Numbers`] when it can't be computed exactly.
///
/// # Source
///
/// T = K · d · F, the short form that handbooks of machine design give.
pub fn torque_of(
    thread: &MetricThread,
    nut_factor: Ratio,
    preload: Value<ForceUnit>,
) -> Result<Value<TorqueUnit>, FastenerError> {
    let lever = nut_factor.times(metres(thread));
    lever
        .and_then(|it| it.times(preload.in_unit(ForceUnit::Newton)))
        .and_then(|it| Value::new(it, TorqueUnit::NewtonMetre))
        .ok_or(FastenerError::Numbers)
}

/// Returns the preload that a torque gives a screw: [`torque_of`] turned round.
///
/// # Errors
///
/// [`FastenerError::Numbers`] when `nut_factor` is zero, or it can't be computed exactly.
pub fn preload_of(
    thread: &MetricThread,
    nut_factor: Ratio,
    torque: Value<TorqueUnit>,
) -> Result<Value<ForceUnit>, FastenerError> {
    let lever = nut_factor.times(metres(thread));
    lever
        .and_then(|it| torque.newton_metres().over(it))
        .and_then(|it| Value::new(it, ForceUnit::Newton))
        .ok_or(FastenerError::Numbers)
}

/// Returns the preload that is a share of a thread's nominal proof load.
///
/// # Errors
///
/// [`FastenerError::Numbers`] when it can't be computed exactly.
pub fn share_of_proof(
    thread: &MetricThread,
    proof_stress: Value<PressureUnit>,
    share: Ratio,
) -> Result<Value<ForceUnit>, FastenerError> {
    let load = thread.stress_area().nominal().force_at(proof_stress);
    load.and_then(|it| it.times(share)).ok_or(FastenerError::Numbers)
}

fn metres(thread: &MetricThread) -> Ratio {
    let metres = Ratio::new(thread.diameter().micrometres().into(), 1_000_000);
    metres.unwrap_or(Ratio::ZERO)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::domain::fasteners::PropertyClass;

    fn ratio(num: i128, den: i128) -> Ratio {
        Ratio::new(num, den).expect("a fraction")
    }

    #[test]
    fn torque_and_preload_agree_with_worked_examples() {
        let thread = |text: &str| text.parse::<MetricThread>().expect("a thread");
        let tightened = |size: &str, class: &str, k: Ratio, share: Ratio| {
            let (thread, class) = (thread(size), class.parse::<PropertyClass>().expect("a class"));
            let proof = class.proof_stress(&thread).expect("made");
            let preload = share_of_proof(&thread, proof, share).expect("it fits");
            let torque = torque_of(&thread, k, preload).expect("it fits");
            let newtons = preload.in_unit(ForceUnit::Newton).significant(8);
            (newtons, torque.newton_metres().significant(6), torque.inch_pounds().significant(6))
        };
        let texts = |a: &str, b: &str, c: &str| (a.to_owned(), b.to_owned(), c.to_owned());
        // A worked example on aionlinecalculator.com prints 34200 N and 82 N·m.
        let dry = ratio(2, 10);
        let m12 = tightened("M12", "8.8", dry, ratio(7, 10));
        assert_eq!(m12, texts("34225.8", "82.1419", "727.017"));
        let m5 = tightened("M5", "8.8", ratio(15, 100), ratio(3, 4));
        assert_eq!(m5, texts("6177", "4.63275", "41.0033"));
        // engitoolbox.org prints 25 kN and 431 MPa for 50 N·m on M10 at K 0.2.
        let m10 = thread("M10");
        let torque = Value::whole(50, TorqueUnit::NewtonMetre);
        let preload = preload_of(&m10, dry, torque).expect("it fits");
        assert_eq!(preload, Value::whole(25_000, ForceUnit::Newton));
        let stress = m10.stress_area().nominal().stress_at(preload).expect("it fits");
        assert_eq!(stress.in_unit(PressureUnit::Megapascal).significant(7), "431.0345");
        assert_eq!(preload_of(&m10, Ratio::ZERO, torque), Err(FastenerError::Numbers));
    }

    proptest! {
        #[test]
        fn torque_of_a_preload_gives_the_preload_back(
            size in 1_i64..60, k in 1_i128..1000, newtons in any::<u32>(),
        ) {
            let diameter = crate::units::Length::from_micrometres(size * 1000);
            let pitch = crate::units::Length::from_micrometres(250);
            let thread = MetricThread::new(diameter, Some(pitch), None).expect("a thread");
            let (k, preload) = (ratio(k, 1000), Value::whole(newtons, ForceUnit::Newton));
            let torque = torque_of(&thread, k, preload).expect("it fits");
            prop_assert_eq!(preload_of(&thread, k, torque), Ok(preload));
        }
    }
}
