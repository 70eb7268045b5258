use super::{Finding, Rule};
use crate::units::{Angle, Length};

/// The least that a post must be inside a frame, where no maker says more.
const LEAST_INSIDE: Length = Length::from_micrometres(90_000);
/// How far below the joint with the top tube a post must end.
const BELOW_JOINT: Length = Length::from_micrometres(25_000);
/// The highest saddle that a chairlift's seat takes, 20 in.
const LIFT_LIMIT: Length = Length::from_micrometres(508_000);

/// Returns the least insertion below the top of the seat tube, and whether a post is in that deep.
///
/// `joint` is how far the lower edge of the joint with the top tube lies below the seat tube's top.
///
/// # Source
///
/// Common practice: at least 90 mm in and 25 mm below the joint. A mark on post or frame goes first.
pub fn insertion_in_frame(joint: Length, inserted: Length) -> (Length, Finding) {
    let least = LEAST_INSIDE.max(joint.plus(BELOW_JOINT));
    let reason = match inserted < least {
        true => format!(
            "{inserted} are in, {} less than {least}: push the post down or take a longer one",
            least.less(inserted)
        ),
        false => format!("{inserted} are in, and {least} is the least"),
    };
    (least, Finding::of(Rule::Insertion, least <= inserted, reason))
}

/// Returns whether the mark on a post lies at least two diameters above its end.
///
/// # Source
///
/// 16 CFR 1512.15.
pub fn post_mark(diameter: Length, mark: Length) -> Finding {
    let least = diameter.times(2);
    let reason = match mark < least {
        true => format!("its mark is {mark} above its end, and two diameters are {least}"),
        false => format!("its mark is {mark} above its end, at least two diameters ({least})"),
    };
    Finding::of(Rule::PostMark, least <= mark, reason)
}

/// What decides how high a saddle comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SaddleGeometry {
    /// From where the bike rests on the lift's seat to the seat tube's top, upright.
    pub rest_to_collar: Length,
    /// From the post's head to the saddle's top, upright.
    pub saddle: Length,
    /// The seat tube's angle to the ground.
    pub seat_angle: Angle,
}

/// How far a post may stand out of a frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PostWindow {
    /// The least that stands out: the post has met the bottom.
    pub least: Length,
    /// The most that stands out: the post is in as little as it may be.
    pub most: Length,
    /// The most that a chairlift allows, where the geometry is known; rounded down.
    pub lift: Option<Length>,
    /// Whether the post fits at all.
    pub insertion: Finding,
    /// Whether it also comes low enough for a chairlift.
    pub on_lift: Finding,
}

impl PostWindow {
    /// Returns the most that may stand out when the bike is to go up a lift.
    pub fn highest(&self) -> Length {
        self.lift.map_or(self.most, |it| it.min(self.most))
    }
}

/// Returns how far a post of that length may stand out of a frame that takes it from `inside.0` to
/// `inside.1` deep.
///
/// # Source
///
/// The frame's and the post's makers for the insertion; 508 mm (20 in) for the lift is common
/// practice without a source. Sag and the kind of lift are not in it: the lift operator decides.
pub fn post_window(
    length: Length,
    inside: (Length, Length),
    saddle: Option<&SaddleGeometry>,
) -> PostWindow {
    let least = length.less(inside.1).max(Length::ZERO);
    let most = length.less(inside.0);
    let fits = least <= most;
    let reason = match fits {
        true => format!("a post of {length} stands out {least} to {most}"),
        false => {
            format!("a post of {length} can't be in {} at least and {} at most", inside.0, inside.1)
        }
    };
    let lift = saddle.map(lift_limit);
    PostWindow {
        least,
        most,
        lift,
        insertion: Finding::of(Rule::Insertion, fits, reason),
        on_lift: on_lift(least, most, lift),
    }
}

fn on_lift(least: Length, most: Length, lift: Option<Length>) -> Finding {
    let Some(lift) = lift else {
        let missing = "the seat's geometry is not stated";
        return Finding::not_known(Rule::LiftHeight, missing);
    };
    let tenths = in_tenths(lift);
    let limit = format!("a saddle of {LIFT_LIMIT} at most lets {tenths} of the post stand out");
    if lift < least {
        let reason =
            format!("{limit}, and it stands out {least} at the least: take a shorter post");
        return Finding::of(Rule::LiftHeight, false, reason);
    }
    let high = in_tenths(lift.min(most));
    let reason = format!("{limit}: {least} to {high}; ask the lift operator");
    Finding::of(Rule::LiftHeight, true, reason)
}

/// Returns a length rounded down to what a rule on the shop's wall can tell.
fn in_tenths(length: Length) -> Length {
    let um = length.micrometres();
    Length::from_micrometres(um - um.rem_euclid(100))
}

/// Returns the most that a post may stand out so that the saddle's top is no higher than a
/// chairlift allows; rounded down to whole µm, and never by more than 1 µm in 500 mm.
fn lift_limit(it: &SaddleGeometry) -> Length {
    let upright = LIFT_LIMIT.less(it.rest_to_collar).less(it.saddle).micrometres();
    let sine = sine_rounded_up(it.seat_angle);
    if sine <= 0 {
        return Length::ZERO;
    }
    let along = i128::from(upright) * BILLION / sine;
    Length::from_micrometres(i64::try_from(along).unwrap_or(i64::MAX))
}

const BILLION: i128 = 1_000_000_000;

/// Returns the sine of an angle from 0 to 90 degrees in billionths, between 1 and 2 billionths too
/// large: a post that is reckoned with it is never let out too far.
///
/// The series is summed in whole numbers of 10^-18; at 90 degrees its tenth term is below 10^-15.
fn sine_rounded_up(angle: Angle) -> i128 {
    const ONE: i128 = BILLION * BILLION;
    const PI: i128 = 3_141_592_653_589_793_238;
    let x = PI * i128::from(angle.hundredths().clamp(0, 9_000)) / 18_000;
    let square = x * x / ONE;
    let mut term = x;
    let mut sum = x;
    for n in 1..=10 {
        term = -(term * square / ONE) / (2 * n * (2 * n + 1));
        sum += term;
    }
    sum / BILLION + 2
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sine_is_a_little_too_large_and_never_too_small() {
        // Handbook sines to nine places.
        for (degrees, sine) in
            [(0, 0), (30, 500_000_000), (45, 707_106_781), (73, 956_304_756), (90, 1_000_000_000)]
        {
            let found = sine_rounded_up(Angle::from_hundredths(degrees * 100));
            assert!((1..=3).contains(&(found - sine)), "{degrees}: {found}");
        }
    }
}
