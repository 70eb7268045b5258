use super::headset::{diameter, kind_and_bore};
use super::{Finding, FitError, HeadsetType, Rule};
use crate::units::Length;

/// The limits of a finished head-tube bore in µm, by the nominal number of the code.
///
/// # Source
///
/// Head-tube specification guide, rev. B, 2009: 30.10, 33.95, 36.95, 41.40, 44.00, 55.95 +0/-0.05;
/// 49.61 +0/-0.04. The guide prints 30, 34, 37 and 49 for cups outside, 41, 44 and 56 for cups
/// inside; a tube does not change with the cup that is pressed into it.
const LIMITS: [(i64, i64, i64); 7] = [
    (30_000, 30_050, 30_100),
    (34_000, 33_900, 33_950),
    (37_000, 36_900, 36_950),
    (41_000, 41_350, 41_400),
    (44_000, 43_950, 44_000),
    (49_000, 49_570, 49_610),
    (56_000, 55_900, 55_950),
];

/// Returns the least and the most that the bore of a code such as "ZS44" may measure; nothing where
/// no published limits are known, as for a bearing that lies in the tube itself.
///
/// # Errors
///
/// [`FitError::HeadsetType`] and the errors of a number where the text is no such code.
pub fn bore_limits(code: &str) -> Result<Option<(Length, Length)>, FitError> {
    // A whole half, "ZS44/28.6", names its bore as well.
    let outer = code.split('/').next().unwrap_or_default().trim();
    let (kind, bore) = kind_and_bore(code, outer)?;
    let bore = diameter(code, bore, "bore")?;
    if kind == HeadsetType::Integrated {
        return Ok(None);
    }
    let found = LIMITS.iter().find(|it| it.0 == bore.micrometres());
    Ok(found.map(|it| (Length::from_micrometres(it.1), Length::from_micrometres(it.2))))
}

/// Returns whether a measured bore lies within the limits of its code.
///
/// # Errors
///
/// Those of [`bore_limits`].
pub fn bore_check(code: &str, measured: Length) -> Result<Finding, FitError> {
    let Some((low, high)) = bore_limits(code)? else {
        let missing = format!("no published limits are known for the bore of {code}");
        return Ok(Finding::not_known(Rule::Bore, missing));
    };
    let limits = format!("{low} to {high} for {code}");
    let reason = if measured < low {
        let by = low.less(measured);
        format!("the bore measures {measured}, {by} below {limits}: ream it before pressing")
    } else if high < measured {
        let by = measured.less(high);
        format!("the bore measures {measured}, {by} above {limits}: a cup would sit loose")
    } else {
        format!("the bore measures {measured}, within {limits}")
    };
    Ok(Finding::of(Rule::Bore, low <= measured && measured <= high, reason))
}

/// Returns the least and the most by which a cup is larger than its bore, and whether it is pressed
/// fast in every case.
///
/// Either pair runs from the least to the most that the part may measure.
///
/// # Errors
///
/// [`FitError::Reversed`] when a pair's least is above its most.
pub fn cup_interference(
    cup: (Length, Length),
    bore: (Length, Length),
) -> Result<((Length, Length), Finding), FitError> {
    for (what, (low, high)) in [("cup", cup), ("bore", bore)] {
        if high < low {
            return Err(FitError::Reversed { what, low, high });
        }
    }
    let (least, most) = (cup.0.less(bore.1), cup.1.less(bore.0));
    let fits = Length::ZERO < least;
    let reason = match fits {
        true => format!("the cup is {least} to {most} larger than the bore"),
        false => format!(
            "the cup may be no larger than the bore ({least} to {most}): it would sit loose"
        ),
    };
    Ok(((least, most), Finding::of(Rule::CupInterference, fits, reason)))
}
