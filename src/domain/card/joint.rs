//! What a joint says on the card.

use super::model::{CardJoint, KeyWords};
use crate::domain::joints::{Joint, PresetKey, Settlement, Verdict, judge};
use crate::domain::messages::{Language, in_manner_of, with_marks};
use crate::units::{KeyFit, TorqueBand, TorqueUnit, key_fit};

/// Returns the joint in the card's words.
pub(super) fn words(
    say: Language,
    joint: &Joint,
    settled: &[Settlement],
    key: Option<&PresetKey>,
) -> CardJoint {
    let bolts = format!("{} {}", say.bolts(joint.bolts), joint.thread).trim().to_owned();
    let blank = || CardJoint {
        name: with_marks(say, joint.name_in(say)),
        bolts: bolts.clone(),
        newton_metres: String::new(),
        inch_pounds: String::new(),
        pattern: String::new(),
        condition: String::new(),
        wrench: String::new(),
    };
    if joint.set_by_maker {
        return CardJoint { newton_metres: say.set_by_maker().to_owned(), ..blank() };
    }
    let Verdict::Holds(held, _) = judge(joint, settled) else {
        return CardJoint { newton_metres: say.no_torque_stated().to_owned(), ..blank() };
    };
    CardJoint {
        newton_metres: shown(say, &held.torque, TorqueUnit::NewtonMetre, 1),
        inch_pounds: shown(say, &held.torque, TorqueUnit::InchPound, 0),
        pattern: joint.pattern.words(say).to_owned(),
        condition: joint.condition.words(say).to_owned(),
        wrench: key.map(|key| wrench(say, key, &held.torque)).unwrap_or_default(),
        ..blank()
    }
}

fn wrench(say: Language, key: &PresetKey, torque: &TorqueBand) -> String {
    let suits = key_fit(&key.torque, torque) == KeyFit::Fits;
    if suits { say.preset_suits().to_owned() } else { say.borrow_wrench().to_owned() }
}

/// Returns a torque in one unit: its target, then its band, rounded inwards.
fn shown(say: Language, torque: &TorqueBand, unit: TorqueUnit, places: u32) -> String {
    let text = torque.shown_in(unit, places);
    let text = match text.strip_prefix("≤ ") {
        Some(most) => say.at_most(most),
        None => text,
    };
    in_manner_of(say, &text)
}

/// Returns which joints the kit's preset key suits, in words.
pub(super) fn key_words(
    say: Language,
    key: &PresetKey,
    name: &str,
    joints: &[Joint],
    settled: &[Settlement],
) -> KeyWords {
    let suits = |joint: &&Joint| {
        !joint.set_by_maker
            && matches!(judge(joint, settled), Verdict::Holds(it, _)
                if key_fit(&key.torque, &it.torque) == KeyFit::Fits)
    };
    let covered: Vec<String> = joints
        .iter()
        .filter(suits)
        .map(|it| format!("{} ({})", with_marks(say, it.name_in(say)), say.step(it.step)))
        .collect();
    let covered = if covered.is_empty() { "–".to_owned() } else { covered.join(", ") };
    KeyWords { words: say.preset_covers(name, &key.torque.to_string(), &covered) }
}
