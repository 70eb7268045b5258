//! A whole kit, bags looked into: which rules apply to its parts, and what each says.

mod frame;
mod front;
mod skis;

use super::{CapGap, FactName, Facts, Finding, PostWindow, Role, Rule, ScrewStack, Verdict};
use crate::domain::codes::PartNumber;
use crate::domain::fasteners::MetricThread;
use crate::units::{Angle, Length, Quantity};

/// A part of a kit with what is stated about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitPart {
    /// The part number.
    pub part_number: PartNumber,
    /// The part in words.
    pub name: String,
    /// How many the kit holds.
    pub quantity: Quantity,
    /// What is stated about it.
    pub facts: Facts,
    /// The document that states it; may be empty.
    pub stated_by: String,
}

/// What one rule says of a kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KitFinding {
    /// The rule's answer.
    pub finding: Finding,
    /// The part numbers that the rule looked at.
    pub parts: Vec<PartNumber>,
    /// The documents that state their measures.
    pub documents: Vec<String>,
}

/// Returns what each rule that applies says of the kit's parts, in the order of the rules.
///
/// A rule applies where a part has a role in it. A measure that nobody has stated makes its rule's
/// verdict not known, and never a misfit. `parts` are those of all levels: the kit's own, and what
/// its bags and other stocked sub-kits hold.
pub fn judge_kit(parts: &[KitPart]) -> Vec<KitFinding> {
    Rule::ALL
        .iter()
        .filter_map(|rule| {
            let kit = Kit { parts };
            let (roles, answers) = answers(*rule, &kit)?;
            let used: Vec<&KitPart> = parts
                .iter()
                .filter(|it| it.facts.role().is_some_and(|role| roles.contains(&role)))
                .collect();
            if used.is_empty() || answers.is_empty() {
                return None;
            }
            let mut documents: Vec<String> =
                used.iter().map(|it| it.stated_by.clone()).filter(|it| !it.is_empty()).collect();
            documents.sort();
            documents.dedup();
            let parts = used.iter().map(|it| it.part_number.clone()).collect();
            Some(KitFinding { finding: together(*rule, answers), parts, documents })
        })
        .collect()
}

/// Returns how far the seat post of a kit may stand out of its frame, with the chairlift in view;
/// nothing where a measure is not stated. `parts` are as for [`judge_kit`].
pub fn post_of_kit(parts: &[KitPart]) -> Option<PostWindow> {
    frame::post_on_lift(&Kit { parts }).ok()
}

/// Returns what the steerer of a kit carries and what stays free under its cap; nothing where a
/// measure is not stated. `parts` are as for [`judge_kit`].
pub fn gap_of_kit(parts: &[KitPart]) -> Option<CapGap> {
    front::gap(&Kit { parts }).ok()
}

/// Returns what the ski bolts of a kit go through, each way in which they may be put together once,
/// the deepest first; nothing where a measure is not stated. `parts` are as for [`judge_kit`].
pub fn ski_screws_of_kit(parts: &[KitPart]) -> Vec<ScrewStack> {
    let found: Result<Vec<ScrewStack>, String> = skis::screws(&Kit { parts }).into_iter().collect();
    let mut screws: Vec<ScrewStack> = Vec::new();
    for it in found.unwrap_or_default() {
        if !screws.contains(&it) {
            screws.push(it);
        }
    }
    screws.sort_by_key(ScrewStack::room);
    screws
}

/// A finding, or what is missing for one.
type Answer = Result<Finding, String>;

/// Returns the roles that a rule looks at and its answers; nothing for a rule that is asked of
/// single measurements and not of kits.
fn answers(rule: Rule, kit: &Kit<'_>) -> Option<(&'static [Role], Vec<Answer>)> {
    use Role as R;
    Some(match rule {
        Rule::Bore | Rule::CupInterference | Rule::SteererLength => return None,
        Rule::FrameHeadset => (&[R::Headset], front::frame_and_headset(kit)),
        Rule::ForkHeadset => (&[R::Fork, R::SplitRing, R::CrownRace], front::fork_and_headset(kit)),
        Rule::Shock => (&[R::Frame, R::Shock], frame::shock_size(kit)),
        Rule::Bushing => (&[R::Shock, R::ShockBushing, R::ShockBolt], frame::bushings(kit)),
        Rule::SeatPost => (&[R::Frame, R::SeatPost], frame::post_diameter(kit)),
        Rule::SeatClamp => (&[R::Frame, R::SeatClamp], frame::seat_clamp(kit)),
        Rule::Insertion => (&[R::Frame, R::SeatPost], frame::insertion(kit)),
        Rule::PostMark => (&[R::SeatPost], frame::mark(kit)),
        Rule::LiftHeight => (&[R::Frame, R::SeatPost, R::Saddle], frame::lift(kit)),
        Rule::CutFork => (&[R::Fork, R::UncutFork, R::StarNut], front::cut_fork(kit)),
        Rule::CrownRace => (&[R::Fork, R::CrownRace], front::crown_race(kit)),
        Rule::Bearing => {
            (&[R::UpperBearing, R::LowerBearing, R::CrownRace, R::SplitRing], front::bearings(kit))
        }
        Rule::Steerer => (
            &[R::Fork, R::SplitRing, R::DustCover, R::Spacer, R::Stem, R::TopCap],
            front::steerer(kit),
        ),
        Rule::Clearance => (
            &[R::Frame, R::Fork, R::LowerBearing, R::DustCover, R::Spacer, R::Stem],
            front::free_under_cap(kit),
        ),
        Rule::SpacerHeight => (&[R::Fork, R::Spacer], front::spacer_height(kit)),
        Rule::Bar => (&[R::Stem, R::Handlebar], front::bar(kit)),
        Rule::Thread => (
            &[R::CapBolt, R::StarNut, R::PegBolt, R::PegNut, R::SkiBolt, R::Ski],
            skis::threads(kit),
        ),
        Rule::Pivot => (&[R::SkiMount, R::PivotAxle], skis::pivots(kit)),
        Rule::Holes => (&[R::SkiMount, R::Ski], skis::holes(kit)),
        Rule::Engagement => {
            (&[R::SkiMount, R::Ski, R::SkiBolt, R::SkiWasher, R::Riser], skis::engagements(kit))
        }
        Rule::Pairs => {
            (&[R::FootPeg, R::SkiMount, R::TorsionArm, R::Bumper, R::Ski], skis::all_pairs(kit))
        }
        Rule::Papers => (&[R::AirCard, R::ForkSheet, R::ShockSheet], frame::papers(kit)),
    })
}

/// Returns one finding for a rule's answers: a misfit if there is one, else what is not known, else
/// that all fit.
fn together(rule: Rule, answers: Vec<Answer>) -> Finding {
    let of = |verdict: Verdict| {
        let of_verdict = answers.iter().filter_map(|it| match it {
            Ok(it) if it.verdict == verdict => Some(it.reason.as_str()),
            Err(missing) if verdict == Verdict::NotKnown => Some(missing),
            _ => None,
        });
        let mut reasons: Vec<&str> = of_verdict.collect();
        reasons.dedup();
        reasons.join("; ")
    };
    for verdict in [Verdict::DoesNotFit, Verdict::NotKnown] {
        let reasons = of(verdict);
        if !reasons.is_empty() {
            return Finding::new(rule, verdict, reasons);
        }
    }
    Finding::new(rule, Verdict::Fits, of(Verdict::Fits))
}

/// The parts of a kit, looked up by role.
struct Kit<'a> {
    parts: &'a [KitPart],
}

impl<'a> Kit<'a> {
    fn all(&self, role: Role) -> Vec<&'a KitPart> {
        self.parts.iter().filter(|it| it.facts.role() == Some(role)).collect()
    }

    fn any(&self, role: Role) -> bool {
        self.parts.iter().any(|it| it.facts.role() == Some(role))
    }

    /// Returns the one part number of a role.
    fn one(&self, role: Role) -> Result<&'a KitPart, String> {
        let all = self.all(role);
        let mut numbers: Vec<&PartNumber> = all.iter().map(|it| &it.part_number).collect();
        numbers.sort();
        numbers.dedup();
        match (all.first(), numbers.as_slice()) {
            (Some(part), [_]) => Ok(part),
            (None, _) | (_, []) => Err(format!("the kit holds no {}", role.words())),
            (Some(_), many) => {
                let words: Vec<String> = many.iter().map(ToString::to_string).collect();
                Err(format!("the kit holds more than one {}: {}", role.words(), words.join(", ")))
            }
        }
    }

    /// Returns how many pieces of a role the kit holds.
    fn count(&self, role: Role) -> i64 {
        self.all(role).iter().map(|it| it.quantity.pieces()).sum()
    }
}

impl KitPart {
    fn unstated(&self, name: FactName) -> String {
        format!("{} of {} ({}) is not stated", name.meaning(), self.name, self.part_number)
    }

    fn length(&self, name: FactName) -> Result<Length, String> {
        self.facts.length(name).ok_or_else(|| self.unstated(name))
    }

    fn angle(&self, name: FactName) -> Result<Angle, String> {
        self.facts.angle(name).ok_or_else(|| self.unstated(name))
    }

    fn text(&self, name: FactName) -> Result<&str, String> {
        self.facts.text(name).ok_or_else(|| self.unstated(name))
    }

    fn thread(&self) -> Result<MetricThread, String> {
        self.facts.thread().ok_or_else(|| self.unstated(FactName::Thread))
    }
}
