use super::{Finding, Rule};
use crate::units::Length;

/// The size of a shock, or what a frame takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShockSize {
    /// From eye to eye.
    pub length: Length,
    /// The stroke.
    pub stroke: Length,
}

/// How far the length from eye to eye may be off.
const LENGTH_TOLERANCE: Length = Length::from_micrometres(500);

/// How much wider than its mount a bushing may be; it may not be narrower.
const WIDTH_TOLERANCE: Length = Length::from_micrometres(100);

/// Returns whether a shock has the frame's length within 0.5 mm and exactly its stroke.
pub fn shock(shock: ShockSize, frame: ShockSize) -> Finding {
    let mut faults = Vec::new();
    let off = frame.length.less(shock.length).micrometres().abs();
    if LENGTH_TOLERANCE.micrometres() < off {
        faults.push(format!(
            "it is {} from eye to eye, and the frame takes {} ± {LENGTH_TOLERANCE}",
            shock.length, frame.length
        ));
    }
    if frame.stroke < shock.stroke {
        let (stroke, wanted) = (shock.stroke, frame.stroke);
        faults.push(format!("its stroke of {stroke} is longer than {wanted}: parts would collide"));
    } else if shock.stroke < frame.stroke {
        let (stroke, wanted) = (shock.stroke, frame.stroke);
        faults.push(format!("its stroke of {stroke} is shorter than {wanted}: travel is lost"));
    }
    let fits = faults.is_empty();
    let reason = match fits {
        true => format!("{} from eye to eye and {} of stroke", shock.length, shock.stroke),
        false => faults.join("; "),
    };
    Finding::of(Rule::Shock, fits, reason)
}

/// Returns whether a bushing is as wide as its mount, within -0/+0.1 mm, and its bore is the bolt's
/// diameter.
pub fn bushing(width: Length, bore: Length, mount: Length, bolt: Length) -> Finding {
    let mut faults = Vec::new();
    if width < mount || mount.plus(WIDTH_TOLERANCE) < width {
        faults.push(format!(
            "its width of {width} is outside {mount} to {} of the mount",
            mount.plus(WIDTH_TOLERANCE)
        ));
    }
    if bore != bolt {
        faults.push(format!("its bore is {bore}, and the bolt is {bolt}"));
    }
    let fits = faults.is_empty();
    let reason = match fits {
        true => format!("width {width} in a mount of {mount}, bore {bore}"),
        false => faults.join("; "),
    };
    Finding::of(Rule::Bushing, fits, reason)
}
