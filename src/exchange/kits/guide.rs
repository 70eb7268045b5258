use std::collections::{BTreeMap, BTreeSet};

use super::draft::positive;
use super::{Faults, Fields};
use crate::domain::joints::{Joint, PresetKey, Statement};
use crate::domain::kits::{Guide, StepAids, StepWords};
use crate::domain::messages::Language;

/// A row that is for the assembly card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum GuideRecord {
    Words,
    Joint,
    JointWords,
    Torque,
    Key,
}

impl GuideRecord {
    /// Returns the record that a word means.
    pub(super) fn of(text: &str) -> Option<Self> {
        match text {
            "words" => Some(Self::Words),
            "joint" => Some(Self::Joint),
            "joint-words" => Some(Self::JointWords),
            "torque" => Some(Self::Torque),
            "key" => Some(Self::Key),
            _ => None,
        }
    }

    /// Returns the columns that such a row uses, besides record and kit.
    pub(super) const fn columns(self) -> &'static [&'static str] {
        match self {
            Self::Words => &["number", "revision", "language", "name", "check", "caution"],
            Self::Joint => &[
                "number",
                "revision",
                "name",
                "step",
                "bolts",
                "thread",
                "pattern",
                "condition",
                "set_by_maker",
            ],
            Self::JointWords => &["number", "revision", "language", "name"],
            Self::Torque => &["number", "revision", "torque", "source"],
            Self::Key => &["part", "revision", "torque", "source"],
        }
    }
}

/// What a bill's card says, while the rows are read. Rows may stand in any order.
#[derive(Default)]
pub(super) struct GuideDraft {
    aids: BTreeMap<u32, StepAids>,
    words: BTreeMap<(u32, Language), (u64, StepWords)>,
    joints: BTreeMap<u32, (u64, Joint)>,
    names: BTreeMap<(u32, Language), (u64, String)>,
    torques: Vec<(u64, u32, Statement)>,
    keys: Vec<PresetKey>,
}

/// Reads the tools and drawings of a step.
pub(super) fn aids(fields: &mut Fields<'_>) -> Option<StepAids> {
    let tools = fields.optional_with("tools", barred);
    let drawings = fields.optional_with("drawings", barred);
    let (tools, drawings) = (tools?.unwrap_or_default(), drawings?.unwrap_or_default());
    Some(StepAids { tools, drawings })
}

/// Reads a list whose entries are parted by bars.
fn barred<T: std::str::FromStr<Err: std::fmt::Display>>(text: &str) -> Result<Vec<T>, String> {
    text.split('|').map(|it| it.trim().parse().map_err(|fault: T::Err| fault.to_string())).collect()
}

impl GuideDraft {
    pub(super) fn add_aids(&mut self, step: u32, aids: StepAids) {
        if aids != StepAids::default() {
            self.aids.insert(step, aids);
        }
    }

    /// Takes one row; none comes back where it is at fault.
    pub(super) fn take(&mut self, record: GuideRecord, fields: &mut Fields<'_>) -> Option<()> {
        let line = fields.line();
        for column in record.columns().iter().filter(|it| **it != "revision") {
            if !fields.has(column) {
                fields.fault(column, "such a row needs this column: add it to the first line");
                return None;
            }
        }
        match record {
            GuideRecord::Words => {
                let key = translated(fields)?;
                let it = (line, words(fields)?);
                put(&mut self.words, key, it, fields)
            }
            GuideRecord::Joint => {
                let joint = joint(fields)?;
                put(&mut self.joints, joint.number, (line, joint), fields)
            }
            GuideRecord::JointWords => {
                let key = translated(fields)?;
                let it = (line, fields.text("name")?);
                put(&mut self.names, key, it, fields)
            }
            GuideRecord::Torque => {
                let number = fields.with("number", positive);
                let statement = statement(fields);
                self.torques.push((line, number?, statement?));
                Some(())
            }
            GuideRecord::Key => {
                let part_number = fields.parse("part");
                let Statement { torque, source } = statement(fields)?;
                if torque.low().is_none() || torque.high().is_none() {
                    fields.fault("torque", "the key's tolerance is not stated: write it behind the torque, such as 5.5 N·m ± 6 %");
                    return None;
                }
                self.keys.push(PresetKey { part_number: part_number?, torque, source });
                Some(())
            }
        }
    }

    /// Returns the guide, with a fault for each row that speaks of a step or joint that is not there.
    pub(super) fn finish(
        self,
        kit: &str,
        steps: &BTreeSet<u32>,
        is_whole: bool,
        faults: &mut Faults,
    ) -> Guide {
        let mut fault = |line: u64, column: &str, message: String| {
            if is_whole {
                faults.add(line, column, message);
            }
        };
        for ((step, _), (line, _)) in &self.words {
            if !steps.contains(step) {
                fault(*line, "number", format!("kit {kit} has no step {step}"));
            }
        }
        for (line, joint) in self.joints.values() {
            if !steps.contains(&joint.step) {
                fault(*line, "step", format!("kit {kit} has no step {}", joint.step));
            }
        }
        let mut joints: BTreeMap<u32, Joint> =
            self.joints.into_iter().map(|(number, (_, it))| (number, it)).collect();
        for ((number, language), (line, name)) in self.names {
            match joints.get_mut(&number) {
                Some(joint) => drop(joint.names.insert(language, name)),
                None => fault(line, "number", format!("kit {kit} has no joint {number}")),
            }
        }
        for (line, number, statement) in self.torques {
            match joints.get_mut(&number) {
                Some(joint) if joint.statements.contains(&statement) => {
                    fault(line, "torque", "this is stated on an earlier line already".to_owned());
                }
                Some(joint) => joint.statements.push(statement),
                None => fault(line, "number", format!("kit {kit} has no joint {number}")),
            }
        }
        Guide {
            aids: self.aids,
            words: self.words.into_iter().map(|(key, (_, it))| (key, it)).collect(),
            joints: joints.into_values().collect(),
            keys: self.keys,
        }
    }
}

fn put<K: Ord, T>(
    rows: &mut BTreeMap<K, (u64, T)>,
    key: K,
    row: (u64, T),
    fields: &mut Fields<'_>,
) -> Option<()> {
    if let Some((earlier, _)) = rows.get(&key) {
        let message = format!("line {earlier} of the file says this already: keep one of the two");
        fields.fault("number", message);
        return None;
    }
    rows.insert(key, row);
    Some(())
}

/// Reads the number of what is translated, and the language; the shop's own needs no translation.
fn translated(fields: &mut Fields<'_>) -> Option<(u32, Language)> {
    let number = fields.with("number", positive);
    let language: Option<Language> = fields.parse("language");
    if language == Some(Language::default()) {
        fields.fault("language", "the rows of the kit itself are in en: write de or fr");
        return None;
    }
    Some((number?, language?))
}

fn words(fields: &mut Fields<'_>) -> Option<StepWords> {
    let title = fields.text("name");
    let check = fields.any("check");
    let caution = fields.any("caution");
    Some(StepWords { title: title?, check: check?, caution: caution? })
}

fn joint(fields: &mut Fields<'_>) -> Option<Joint> {
    let number = fields.with("number", positive);
    let name = fields.text("name");
    let step = fields.with("step", positive);
    let bolts = fields.with("bolts", positive);
    let thread = fields.any("thread");
    let pattern = fields.parse("pattern");
    let condition = fields.parse("condition");
    let set_by_maker = fields.optional_with("set_by_maker", |text| match text {
        "yes" => Ok(true),
        "no" => Ok(false),
        other => Err(format!("'{other}' is neither yes nor no")),
    });
    Some(Joint {
        number: number?,
        step: step?,
        name: name?,
        names: BTreeMap::new(),
        bolts: bolts?,
        thread: thread?,
        pattern: pattern?,
        condition: condition?,
        set_by_maker: set_by_maker?.unwrap_or(false),
        statements: Vec::new(),
    })
}

fn statement(fields: &mut Fields<'_>) -> Option<Statement> {
    let torque = fields.parse("torque");
    let source = fields.text("source");
    Some(Statement { torque: torque?, source: source? })
}
