//! Skis, mounts, pegs and the screws that hold them.

use super::{Answer, Kit, KitPart};
use crate::domain::fit::{
    FactName, Finding, Role, Rule, ScrewStack, alike, engagement, hole_spacing, pairs,
};
use crate::units::Length;

/// Each bolt is held against the thread that it goes into.
pub(super) fn threads(kit: &Kit<'_>) -> Vec<Answer> {
    let joints =
        [(Role::CapBolt, Role::StarNut), (Role::PegBolt, Role::PegNut), (Role::SkiBolt, Role::Ski)];
    let mut answers = Vec::new();
    for (bolt_role, into_role) in joints {
        if !kit.any(bolt_role) && !kit.any(into_role) {
            continue;
        }
        for role in [bolt_role, into_role] {
            if !kit.any(role) {
                answers.push(Err(format!("the kit holds no {}", role.words())));
            }
        }
        for bolt in kit.all(bolt_role) {
            for into in kit.all(into_role) {
                answers.push(thread(bolt, into, bolt_role, into_role));
            }
        }
    }
    answers
}

fn thread(bolt: &KitPart, into: &KitPart, bolt_role: Role, into_role: Role) -> Answer {
    let (bolt, into) = (bolt.thread()?, into.thread()?);
    let (one, two) = (bolt_role.words(), into_role.words());
    let reason = match bolt == into {
        true => format!("{one} and {two} {bolt}"),
        false => format!("the {one} is {bolt}, and the {two} takes {into}"),
    };
    Ok(Finding::of(Rule::Thread, bolt == into, reason))
}

/// Each axle is held against each mount.
pub(super) fn pivots(kit: &Kit<'_>) -> Vec<Answer> {
    let mounts = kit.all(Role::SkiMount);
    let judge = |mount: &KitPart| {
        let axle = kit.one(Role::PivotAxle)?.length(FactName::Pivot)?;
        let pivot = mount.length(FactName::Pivot)?;
        let reason = match axle == pivot {
            true => format!("axle and mounts {axle}"),
            false => format!("the axle is {axle}, and {} takes {pivot}", mount.name),
        };
        Ok(Finding::of(Rule::Pivot, axle == pivot, reason))
    };
    mounts.into_iter().map(judge).collect()
}

/// Each ski is held against each mount; all mounts of a bike take either ski.
pub(super) fn holes(kit: &Kit<'_>) -> Vec<Answer> {
    let at = |part: &KitPart| {
        let along = part.length(FactName::HolesAlong)?;
        Ok::<_, String>((along, part.length(FactName::HolesAcross)?))
    };
    let (mounts, skis) = (kit.all(Role::SkiMount), kit.all(Role::Ski));
    if mounts.is_empty() || skis.is_empty() {
        return vec![Err("the kit holds no ski mount or no ski".to_owned())];
    }
    let each = |ski| mounts.iter().map(move |mount| Ok(hole_spacing(at(mount)?, at(ski)?)));
    skis.into_iter().flat_map(each).collect()
}

/// Each ski bolt is held against its insert, with washer and riser as far as the kit holds them:
/// where they are fewer than the bolts, some bolt goes in without.
pub(super) fn engagements(kit: &Kit<'_>) -> Vec<Answer> {
    let each = screws(kit).into_iter().map(|it| it.map(|screw| engagement(&screw).finding));
    let mut answers = vec![enough_bolts(kit)];
    answers.extend(each);
    answers
}

/// Returns what each ski bolt goes through, for every way in which it may be put together.
pub(super) fn screws(kit: &Kit<'_>) -> Vec<Result<ScrewStack, String>> {
    let bolts = kit.count(Role::SkiBolt);
    let washers = between(kit, Role::SkiWasher, bolts);
    let risers = between(kit, Role::Riser, kit.count(Role::Ski));
    let (washers, risers) = match (washers, risers) {
        (Ok(washers), Ok(risers)) => (washers, risers),
        (Err(missing), _) | (_, Err(missing)) => return vec![Err(missing)],
    };
    let mut found = Vec::new();
    for bolt in kit.all(Role::SkiBolt) {
        for ski in kit.all(Role::Ski) {
            for mount in kit.all(Role::SkiMount) {
                for washer in &washers {
                    found.extend(risers.iter().map(|it| screw(bolt, ski, mount, *washer, *it)));
                }
            }
        }
    }
    found
}

fn enough_bolts(kit: &Kit<'_>) -> Answer {
    let bolts = kit.count(Role::SkiBolt);
    let mut inserts = 0;
    for ski in kit.all(Role::Ski) {
        let each = ski.facts.pieces(FactName::Inserts);
        inserts += each.ok_or_else(|| ski.unstated(FactName::Inserts))? * ski.quantity.pieces();
    }
    let reason = format!("{bolts} bolts for {inserts} inserts");
    Ok(Finding::of(Rule::Engagement, bolts == inserts, reason))
}

/// Returns what lies under the bolts: a thickness, nothing, or both where there are some, but too
/// few.
fn between(kit: &Kit<'_>, role: Role, wanted: i64) -> Result<Vec<Length>, String> {
    let mut found = Vec::new();
    for part in kit.all(role) {
        found.push(part.length(FactName::Thickness)?);
    }
    if found.is_empty() || kit.count(role) < wanted {
        found.push(Length::ZERO);
    }
    found.sort();
    found.dedup();
    Ok(found)
}

fn screw(
    bolt: &KitPart,
    ski: &KitPart,
    mount: &KitPart,
    washer: Length,
    riser: Length,
) -> Result<ScrewStack, String> {
    Ok(ScrewStack {
        length: bolt.length(FactName::Length)?,
        plate: mount.length(FactName::Thickness)?,
        washer,
        riser,
        // One diameter of the screw: the inserts are of steel.
        least: bolt.thread()?.diameter(),
        depth: ski.length(FactName::Depth)?,
    })
}

/// Pegs, mounts, arms, bumpers and skis: complete and matched.
pub(super) fn all_pairs(kit: &Kit<'_>) -> Vec<Answer> {
    let mounts = kit.count(Role::SkiMount);
    let of_mounts = (0 < mounts).then_some(mounts);
    let mut answers = vec![
        sided(kit, Role::FootPeg, FactName::Side, ["left", "right"], None),
        sided(kit, Role::SkiMount, FactName::Position, ["front", "rear"], None),
        sided(kit, Role::TorsionArm, FactName::Side, ["left", "right"], of_mounts),
        sided(kit, Role::Ski, FactName::Position, ["front", "rear"], None),
    ];
    if kit.any(Role::Ski) {
        let length = |it: &KitPart| it.length(FactName::Length).map(|it| it.to_string());
        answers.push(kinds(kit, Role::Ski, length).map(|it| alike("skis", &it)));
    }
    if kit.any(Role::Bumper) {
        let hardness = |it: &KitPart| it.text(FactName::Hardness).map(str::to_owned);
        answers.push(kinds(kit, Role::Bumper, hardness).map(|it| alike("bumpers", &it)));
    }
    answers
}

fn sided(
    kit: &Kit<'_>,
    role: Role,
    name: FactName,
    sides: [&str; 2],
    wanted: Option<i64>,
) -> Answer {
    let mut counts = sides.map(|side| (side, 0));
    for part in kit.all(role) {
        let side = part.text(name)?;
        for count in counts.iter_mut().filter(|it| it.0 == side) {
            count.1 += part.quantity.pieces();
        }
    }
    if !kit.any(role) {
        return Err(format!("the kit holds no {}", role.words()));
    }
    Ok(pairs(role.words(), counts, wanted))
}

/// Returns how many pieces of a role there are of each kind.
fn kinds(
    kit: &Kit<'_>,
    role: Role,
    kind: impl Fn(&KitPart) -> Result<String, String>,
) -> Result<Vec<(String, i64)>, String> {
    let mut kinds: Vec<(String, i64)> = Vec::new();
    for part in kit.all(role) {
        let kind = kind(part)?;
        match kinds.iter_mut().find(|it| it.0 == kind) {
            Some(known) => known.1 += part.quantity.pieces(),
            None => kinds.push((kind, part.quantity.pieces())),
        }
    }
    Ok(kinds)
}
