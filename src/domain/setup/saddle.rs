use crate::units::Length;

/// The measures that bound how far a seat post may stand out of its frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SaddleFacts {
    /// From the point where the bike rests on a lift up to the seat tube's collar.
    pub rest_to_collar: Length,
    /// The saddle's height over the post's top.
    pub saddle: Length,
    /// The post's length.
    pub post: Length,
    /// How deep the post must reach into the frame.
    pub insertion_min: Length,
    /// How deep it may reach.
    pub insertion_max: Length,
}

/// How far the post may stand out, in tenths of a millimetre rounded inwards.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SaddleWindow {
    /// At least so far.
    pub lowest: Length,
    /// At most so far.
    pub highest: Length,
}

/// From the rest to the top of the saddle: 20 in.
///
/// # Source
///
/// Common practice, no source; the lift operator decides.
const LIFT_LIMIT_UM: i64 = 508_000;

/// The sine of the seat tube's 73 degrees, in parts of 10^9, rounded up so that the limit is kept.
const SINE: i64 = 956_304_756;

/// Returns how far the post may stand out, or none where no height keeps all limits.
///
/// Lengths are along the post; the lift's limit is upright, so it is divided by the sine of the
/// seat angle.
pub fn saddle_window(it: &SaddleFacts) -> Option<SaddleWindow> {
    let room = LIFT_LIMIT_UM - it.rest_to_collar.micrometres() - it.saddle.micrometres();
    let lift = room * 1_000_000_000 / SINE;
    let (post, tenth) = (it.post.micrometres(), 100);
    let highest = lift.min(post - it.insertion_min.micrometres()).div_euclid(tenth) * tenth;
    let lowest = (post - it.insertion_max.micrometres()).max(0);
    let lowest = (lowest + tenth - 1).div_euclid(tenth) * tenth;
    let length = Length::from_micrometres;
    (lowest <= highest).then(|| SaddleWindow { lowest: length(lowest), highest: length(highest) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(rest: i64, post: i64, insertion: (i64, i64), expected: Option<(&str, &str)>) {
        let mm = |it: i64| Length::from_micrometres(it * 1_000);
        let facts = SaddleFacts {
            rest_to_collar: mm(rest),
            saddle: mm(48),
            post: mm(post),
            insertion_min: mm(insertion.0),
            insertion_max: mm(insertion.1),
        };
        let found = saddle_window(&facts);
        let words = found.map(|it| (it.lowest.to_string(), it.highest.to_string()));
        let expected = expected.map(|(low, high)| (low.to_owned(), high.to_owned()));
        assert_eq!(words, expected);
    }

    #[test]
    fn the_chairlift_binds_before_the_insertion_mark() {
        check(318, 300, (105, 180), Some(("120 mm", "148.4 mm")));
        check(336, 300, (115, 190), Some(("110 mm", "129.6 mm")));
        check(352, 300, (125, 200), Some(("100 mm", "112.9 mm")));
        check(352, 270, (125, 200), Some(("70 mm", "112.9 mm")));
        check(352, 350, (125, 200), None);
    }

    #[test]
    fn the_insertion_mark_binds_on_a_short_post() {
        check(318, 200, (105, 180), Some(("20 mm", "95 mm")));
    }
}
