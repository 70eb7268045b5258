use super::{Finding, Rule, nominal_seat};
use crate::units::{Angle, Length};

/// An angular contact bearing of a headset.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bearing {
    /// The bore.
    pub inside: Length,
    /// The outside diameter.
    pub outside: Length,
    /// The height.
    pub height: Length,
    /// The angle of the inner face, against the race or the ring.
    pub inner_angle: Angle,
    /// The angle of the outer face, against the cup or the frame.
    pub outer_angle: Angle,
}

/// Returns whether a bearing sits in its cup and on its race or ring; what is left out is not
/// compared.
///
/// `cup` is the cup's inner diameter with its angle. `race_angle` is the angle of the crown race or
/// of the split ring.
pub fn bearing_in_seats(
    bearing: &Bearing,
    cup: (Option<Length>, Option<Angle>),
    race_angle: Option<Angle>,
) -> Finding {
    let mut faults = Vec::new();
    if let Some(cup) = cup.0.filter(|it| *it != bearing.outside) {
        faults.push(format!("its outside is {}, and the cup takes {cup}", bearing.outside));
    }
    faults.extend(cup.1.and_then(|it| crooked("outer face", bearing.outer_angle, "cup", it)));
    faults.extend(race_angle.and_then(|it| crooked("inner face", bearing.inner_angle, "race", it)));
    let size = format!(
        "bearing {} x {} x {}, {} x {}",
        bearing.inside, bearing.outside, bearing.height, bearing.inner_angle, bearing.outer_angle
    );
    if !faults.is_empty() {
        return Finding::of(Rule::Bearing, false, format!("{size}: {}", faults.join("; ")));
    }
    match (cup, race_angle) {
        ((None, None), None) => Finding::not_known(
            Rule::Bearing,
            format!("{size}: no seat is given to compare it with"),
        ),
        _ => Finding::of(Rule::Bearing, true, format!("{size} sits flush in its seats")),
    }
}

/// Returns what is wrong between two faces that must have one angle.
fn crooked(face: &str, angle: Angle, seat: &str, wanted: Angle) -> Option<String> {
    let words = || format!("its {face} of {angle} does not sit flush in a {seat} of {wanted}");
    (angle != wanted).then(words)
}

/// Returns whether two angles that lie against each other are the same.
pub fn same_angle(face: Angle, seat: Angle) -> Finding {
    let reason = match face == seat {
        true => format!("both are {face}"),
        false => format!("a face of {face} does not sit flush in a seat of {seat}"),
    };
    Finding::of(Rule::Bearing, face == seat, reason)
}

/// Returns whether a crown race sits on a fork's crown seat; both may be given as measured or by
/// their nominal numbers.
pub fn race_on_fork(race: Length, crown_seat: Length) -> Finding {
    let (race, seat) = (nominal_seat(race), nominal_seat(crown_seat));
    let reason = if race == seat {
        format!("race {race} on crown seat {seat}")
    } else if seat < race {
        let by = race.less(seat);
        format!("the race of {race} is {by} larger than the crown seat of {seat}: it falls over it")
    } else {
        let by = seat.less(race);
        format!("the race of {race} is {by} smaller than the crown seat of {seat}")
    };
    Finding::of(Rule::CrownRace, race == seat, reason)
}
