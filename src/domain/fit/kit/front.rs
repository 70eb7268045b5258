//! The steering: fork, headset, spacers, stem and bar.

use super::{Answer, Kit, KitPart};
use crate::domain::fit::{
    Bearing, CapGap, FactName, Finding, FrontEnd, HeadsetCode, HeadsetHalf, Joint, Role, Rule,
    Tolerances, bearing_in_seats, clamp_match, fork_headset, frame_headset, race_on_fork,
};
use crate::units::Length;

/// A headset that comes as a set is held against the frame.
pub(super) fn frame_and_headset(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = |part: &KitPart| {
        let frame = kit.one(Role::Frame)?;
        let code = part.facts.headset().ok_or_else(|| part.unstated(FactName::Headset))?;
        let bores = (frame.length(FactName::BoreUpper)?, frame.length(FactName::BoreLower)?);
        Ok(frame_headset(bores.0, bores.1, &code))
    };
    kit.all(Role::Headset).into_iter().map(judge).collect()
}

/// The fork is held against the headset's code: that of a set, or what frame, ring and crown race
/// come to.
pub(super) fn fork_and_headset(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = || {
        let (fork, code) = (kit.one(Role::Fork)?, code(kit)?);
        let (steerer, seat) = (fork.length(FactName::Steerer)?, fork.length(FactName::CrownSeat)?);
        Ok(fork_headset(steerer, seat, &code))
    };
    vec![judge()]
}

fn code(kit: &Kit<'_>) -> Result<HeadsetCode, String> {
    if let Some(code) = kit.all(Role::Headset).first().and_then(|it| it.facts.headset()) {
        return Ok(code);
    }
    let frame = kit.one(Role::Frame)?;
    let half = |kind, bore, inner| {
        let kind = frame.facts.headset_type(kind).ok_or_else(|| frame.unstated(kind))?;
        Ok::<_, String>(HeadsetHalf { kind, bore: frame.length(bore)?, inner })
    };
    let steerer = kit.one(Role::SplitRing)?.length(FactName::Steerer)?;
    let race = kit.one(Role::CrownRace)?.length(FactName::Race)?;
    Ok(HeadsetCode {
        upper: half(FactName::UpperType, FactName::BoreUpper, steerer)?,
        lower: half(FactName::LowerType, FactName::BoreLower, race)?,
    })
}

/// A fork that was cut here is held against the one that it is cut from, and its star nut.
pub(super) fn cut_fork(kit: &Kit<'_>) -> Vec<Answer> {
    if !kit.any(Role::UncutFork) {
        return Vec::new();
    }
    let same = |what: &str, name: FactName, other: &KitPart| {
        let other_name = &other.name;
        let (cut, other) = (kit.one(Role::Fork)?.length(name)?, other.length(name)?);
        let reason = match cut == other {
            true => format!("{what}: {cut}"),
            false => {
                format!("{what}: {cut} on the cut fork, and {other} is stated of {}", other_name)
            }
        };
        Ok(Finding::of(Rule::CutFork, cut == other, reason))
    };
    let long_enough = |uncut: &KitPart| {
        let cut = kit.one(Role::Fork)?.length(FactName::SteererLength)?;
        let from = uncut.length(FactName::SteererLength)?;
        let reason = format!("cut to {cut} from {from}");
        Ok(Finding::of(Rule::CutFork, cut <= from, reason))
    };
    let mut answers = Vec::new();
    for uncut in kit.all(Role::UncutFork) {
        answers.push(same("steerer", FactName::Steerer, uncut));
        answers.push(same("crown seat", FactName::CrownSeat, uncut));
        answers.push(long_enough(uncut));
    }
    let nuts = kit.all(Role::StarNut).into_iter();
    answers.extend(nuts.map(|it| same("steerer at the star nut", FactName::Steerer, it)));
    answers
}

/// The crown race is held against the fork's crown seat.
pub(super) fn crown_race(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = || {
        let race = kit.one(Role::CrownRace)?.length(FactName::Race)?;
        Ok(race_on_fork(race, kit.one(Role::Fork)?.length(FactName::CrownSeat)?))
    };
    vec![judge()]
}

/// Each bearing is held against its cup and against the race or ring that it lies on.
pub(super) fn bearings(kit: &Kit<'_>) -> Vec<Answer> {
    vec![
        bearing(kit, Role::UpperBearing, FactName::CupUpper, Role::SplitRing),
        bearing(kit, Role::LowerBearing, FactName::CupLower, Role::CrownRace),
        lower_on_race(kit),
    ]
}

fn bearing(kit: &Kit<'_>, role: Role, cup: FactName, race: Role) -> Answer {
    let (part, frame) = (kit.one(role)?, kit.one(Role::Frame)?);
    let bearing = Bearing {
        inside: part.length(FactName::Inside)?,
        outside: part.length(FactName::Outside)?,
        height: part.length(FactName::Height)?,
        inner_angle: part.angle(FactName::InnerAngle)?,
        outer_angle: part.angle(FactName::OuterAngle)?,
    };
    let cup = (Some(frame.length(cup)?), Some(frame.angle(FactName::CupAngle)?));
    let race = kit.one(race)?.angle(FactName::Angle)?;
    let finding = bearing_in_seats(&bearing, cup, Some(race));
    let reason = format!("{}: {}", role.words(), finding.reason);
    Ok(Finding { reason, ..finding })
}

/// Both kinds of lower bearing drop into the cup; only one lies on the race.
fn lower_on_race(kit: &Kit<'_>) -> Answer {
    let bearing = kit.one(Role::LowerBearing)?.length(FactName::Race)?;
    let race = kit.one(Role::CrownRace)?.length(FactName::Race)?;
    let reason = match bearing == race {
        true => format!("the lower bearing is for a race of {race}"),
        false => {
            format!("the lower bearing is for a race of {bearing}, and the fork's race is {race}")
        }
    };
    Ok(Finding::of(Rule::Bearing, bearing == race, reason))
}

/// All that the steerer passes through is held against its diameter.
pub(super) fn steerer(kit: &Kit<'_>) -> Vec<Answer> {
    let roles = [Role::SplitRing, Role::DustCover, Role::Spacer, Role::Stem, Role::TopCap];
    let judge = |part: &KitPart| {
        let steerer = kit.one(Role::Fork)?.length(FactName::Steerer)?;
        let takes = part.length(FactName::Steerer)?;
        if steerer == takes {
            return Ok(clamp_match(Joint::Steerer, steerer, takes));
        }
        let reason = format!("the steerer is {steerer}, and {} takes {takes}", part.name);
        Ok(Finding::of(Rule::Steerer, false, reason))
    };
    roles.into_iter().flat_map(|it| kit.all(it)).map(judge).collect()
}

/// What stays free under the cap, with every stated tolerance by root-sum-square, and by the plain
/// sum beside it in words.
pub(super) fn free_under_cap(kit: &Kit<'_>) -> Vec<Answer> {
    vec![gap(kit).map(|it| it.finding())]
}

/// Returns what the steerer carries, each measure as the parts state it.
pub(super) fn gap(kit: &Kit<'_>) -> Result<CapGap, String> {
    let (frame, fork) = (kit.one(Role::Frame)?, kit.one(Role::Fork)?);
    let (lower, upper) = (kit.one(Role::LowerBearing)?, kit.one(Role::DustCover)?);
    let front = FrontEnd {
        head_tube: frame.length(FactName::HeadTube)?,
        lower_stack: lower.length(FactName::Stack)?,
        upper_stack: upper.length(FactName::Stack)?,
        stem: kit.one(Role::Stem)?.length(FactName::Height)?,
    };
    let steerer = fork.length(FactName::SteererLength)?;
    let stated = [
        frame.facts.length(FactName::HeadTubeTolerance),
        fork.facts.length(FactName::CutTolerance),
        lower.facts.length(FactName::StackTolerance),
        upper.facts.length(FactName::StackTolerance),
    ];
    let parts = kit.all(Role::Spacer);
    let of_spacers = parts.iter().filter_map(|it| it.facts.length(FactName::HeightTolerance));
    let tolerances = Tolerances {
        parts: stated.into_iter().flatten().collect(),
        spacer: of_spacers.max().unwrap_or_default(),
    };
    Ok(CapGap { front, steerer, spacers: spacers(&parts)?, tolerances })
}

/// Returns the height of each spacer, tallest first.
fn spacers(parts: &[&KitPart]) -> Result<Vec<Length>, String> {
    let mut heights = Vec::new();
    for part in parts {
        let pieces = usize::try_from(part.quantity.pieces()).unwrap_or(0);
        heights.extend(std::iter::repeat_n(part.length(FactName::Height)?, pieces));
    }
    heights.sort_by(|a, b| b.cmp(a));
    Ok(heights)
}

/// The spacers are held against what the fork's maker allows below the stem.
pub(super) fn spacer_height(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = || {
        let most = kit.one(Role::Fork)?.length(FactName::SpacersMax)?;
        let spacers = spacers(&kit.all(Role::Spacer))?;
        let total = spacers.into_iter().fold(Length::ZERO, Length::plus);
        let reason = format!("{total} of spacers, and the fork allows {most}");
        Ok(Finding::of(Rule::SpacerHeight, total <= most, reason))
    };
    vec![judge()]
}

/// The handlebar is held against the stem's clamp.
pub(super) fn bar(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = || {
        let bar = kit.one(Role::Handlebar)?.length(FactName::Bar)?;
        Ok(clamp_match(Joint::Bar, bar, kit.one(Role::Stem)?.length(FactName::Bar)?))
    };
    vec![judge()]
}
