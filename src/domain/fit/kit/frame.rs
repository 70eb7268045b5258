//! The frame: shock, seat post, and the papers of fork and shock.

use super::{Answer, Kit, KitPart};
use crate::domain::fit::{
    FactName, Finding, Joint, PostWindow, Role, Rule, SaddleGeometry, ShockSize, Verdict, bushing,
    clamp_match, post_mark, post_window, shock,
};
use crate::units::Length;

/// The shock is held against the frame.
pub(super) fn shock_size(kit: &Kit<'_>) -> Vec<Answer> {
    let size = |part: &KitPart| {
        let length = part.length(FactName::EyeToEye)?;
        Ok::<_, String>(ShockSize { length, stroke: part.length(FactName::Stroke)? })
    };
    let judge = || Ok(shock(size(kit.one(Role::Shock)?)?, size(kit.one(Role::Frame)?)?));
    vec![judge()]
}

/// Each mount of the frame is held against the bushing that comes nearest to its width.
pub(super) fn bushings(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = |mount: FactName| {
        let wanted = kit.one(Role::Frame)?.length(mount)?;
        let bolt = kit.all(Role::ShockBolt);
        let bolt = bolt.first().ok_or("the kit holds no shock bolt")?.thread()?.diameter();
        let all: Vec<(Length, Length)> = kit
            .all(Role::ShockBushing)
            .into_iter()
            .map(|it| Ok((it.length(FactName::Width)?, it.length(FactName::Bore)?)))
            .collect::<Result<_, String>>()?;
        let off = |it: &&(Length, Length)| it.0.less(wanted).micrometres().abs();
        let nearest = all.iter().min_by_key(off).ok_or("the kit holds no shock bushing")?;
        let found = bushing(nearest.0, nearest.1, wanted, bolt);
        let reason = format!("{}: {}", mount.meaning(), found.reason);
        Ok(Finding { reason, ..found })
    };
    vec![judge(FactName::MountUpper), judge(FactName::MountLower)]
}

/// The post is held against the seat tube.
pub(super) fn post_diameter(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = || {
        let post = kit.one(Role::SeatPost)?.length(FactName::Diameter)?;
        Ok(clamp_match(Joint::Post, post, kit.one(Role::Frame)?.length(FactName::SeatTube)?))
    };
    vec![judge()]
}

/// The seat clamp is held against the outside of the seat tube.
pub(super) fn seat_clamp(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = || {
        let clamp = kit.one(Role::SeatClamp)?.length(FactName::Diameter)?;
        let tube = kit.one(Role::Frame)?.length(FactName::SeatTubeOutside)?;
        Ok(clamp_match(Joint::SeatTube, tube, clamp))
    };
    vec![judge()]
}

/// The post goes in as deep as frame and post both ask, and does not meet the bottom.
pub(super) fn insertion(kit: &Kit<'_>) -> Vec<Answer> {
    vec![window(kit, None).map(|it| it.insertion)]
}

/// The two diameters of the post's mark.
pub(super) fn mark(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = |post: &KitPart| {
        Ok(post_mark(post.length(FactName::Diameter)?, post.length(FactName::Mark)?))
    };
    kit.all(Role::SeatPost).into_iter().map(judge).collect()
}

/// The saddle comes low enough for a chairlift.
pub(super) fn lift(kit: &Kit<'_>) -> Vec<Answer> {
    vec![post_on_lift(kit).map(|it| it.on_lift)]
}

/// Returns how far the kit's post may stand out, with the chairlift in view.
pub(super) fn post_on_lift(kit: &Kit<'_>) -> Result<PostWindow, String> {
    let frame = kit.one(Role::Frame)?;
    let saddle = SaddleGeometry {
        rest_to_collar: frame.length(FactName::RestToCollar)?,
        saddle: kit.one(Role::Saddle)?.length(FactName::Height)?,
        seat_angle: frame.angle(FactName::SeatAngle)?,
    };
    window(kit, Some(&saddle))
}

fn window(kit: &Kit<'_>, saddle: Option<&SaddleGeometry>) -> Result<PostWindow, String> {
    let (frame, post) = (kit.one(Role::Frame)?, kit.one(Role::SeatPost)?);
    let least = frame.length(FactName::InsertionMin)?.max(post.length(FactName::Mark)?);
    let inside = (least, frame.length(FactName::InsertionMax)?);
    Ok(post_window(post.length(FactName::Length)?, inside, saddle))
}

/// Cards and sheets are held against the model that lies beside them.
pub(super) fn papers(kit: &Kit<'_>) -> Vec<Answer> {
    let judge = |paper: &KitPart, of: Role| {
        let (for_model, model) =
            (paper.text(FactName::Model)?, kit.one(of)?.text(FactName::Model)?);
        let fits = for_model == model;
        let reason = match fits {
            true => format!("{} is for {model}", paper.name),
            false => {
                format!("{} is for {for_model}, and the {} is {model}", paper.name, of.words())
            }
        };
        Ok(Finding::new(Rule::Papers, Verdict::of(fits), reason))
    };
    [(Role::AirCard, Role::Fork), (Role::ForkSheet, Role::Fork), (Role::ShockSheet, Role::Shock)]
        .into_iter()
        .flat_map(|(paper, of)| kit.all(paper).into_iter().map(move |it| judge(it, of)))
        .collect()
}
