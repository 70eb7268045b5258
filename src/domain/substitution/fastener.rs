use crate::domain::fasteners::{MetricThread, PropertyClass};

use super::{Consent, Stated};

/// What the catalogue states of a screw or nut.
pub(super) struct Fastener {
    thread: MetricThread,
    length: Option<String>,
    head: Option<String>,
    class: Option<String>,
    finish: Option<String>,
    patch: bool,
}

impl Fastener {
    /// Returns a part as a screw or nut, if its name holds a metric thread.
    pub(super) fn of(part: &Stated) -> Option<Self> {
        let thread: MetricThread =
            part.part.split_whitespace().filter(|it| it.starts_with('M')).find_map(|it| {
                let digits = it.chars().nth(1).is_some_and(|it| it.is_ascii_digit());
                if digits { it.parse().ok() } else { None }
            })?;
        let spec: Vec<&str> = part.specification.split([',', ';']).map(str::trim).collect();
        let length = thread.length().map(|it| it.to_string());
        let stated = part.attributes.get("length").map(|it| format!("{it} mm"));
        let class = |it: &&str| it.starts_with("A2-") || it.starts_with("A4-");
        Some(Self {
            thread,
            length: length.or(stated),
            head: spec.iter().find_map(|it| it.strip_suffix(" head")).map(str::to_owned),
            class: spec
                .iter()
                .find_map(|it| it.strip_prefix("class ")?.split(' ').next())
                .or_else(|| spec.iter().find(|it| class(it)).copied())
                .map(str::to_owned),
            finish: spec.iter().find(|it| it.starts_with("zinc")).map(|it| (*it).to_owned()),
            patch: spec.contains(&"patch"),
        })
    }

    /// Returns whose word it takes to use `to` in this one's place.
    ///
    /// # Errors
    ///
    /// Why it is never to be done.
    ///
    /// # Source
    ///
    /// Strengths: ISO 898-1 (carbon and alloy steel) and ISO 3506-1 (stainless). That class 12.9 is
    /// kept out of zinc coatings outdoors, and that a stronger screw is tightened as the weaker one
    /// was: common practice, no source.
    pub(super) fn give_way(&self, to: &Self) -> Result<(Consent, Vec<String>), String> {
        same("thread", &designation(&self.thread), &designation(&to.thread))?;
        same("length", words(&self.length), words(&to.length))?;
        same("head", words(&self.head), words(&to.head))?;
        if self.patch != to.patch {
            return Err("one has a locking patch and the other has none: that is the joint's \
                        own matter, never a substitution"
                .to_owned());
        }
        let strength = self.strength(to)?;
        if self.finish.is_some() != to.finish.is_some() {
            return Err(differ("finish", words(&self.finish), words(&to.finish)));
        }
        Ok(strength)
    }

    fn strength(&self, to: &Self) -> Result<(Consent, Vec<String>), String> {
        let (Some(old), Some(new)) = (&self.class, &to.class) else {
            return match (&self.class, &to.class) {
                (None, None) => Ok((Consent::None, Vec::new())),
                _ => Err("the property class of one of the two is not stated".to_owned()),
            };
        };
        if old == new {
            return Ok((Consent::None, Vec::new()));
        }
        match (rank(old), rank(new)) {
            (Some(_), None) => {
                Err(format!("steel of class {old} never gives way to {new}: stainless is weaker"))
            }
            (None, Some(_)) => {
                Err(format!("{new} for {old}: steel rusts where stainless is asked"))
            }
            (None, None) => Err(differ("grade", old, new)),
            (Some(weak), Some(strong)) if strong < weak => {
                Err(format!("class {new} is weaker than class {old}: a class goes up, never down"))
            }
            (Some(_), Some(_))
                if new == "12.9" && (self.finish.is_some() || to.finish.is_some()) =>
            {
                Err("class 12.9 under a zinc coating may break without warning outdoors \
                     (hydrogen)"
                    .to_owned())
            }
            (Some(_), Some(_)) => Ok((
                Consent::StandingRule,
                vec![format!("class {new} for {old}: tighten it as the weaker one")],
            )),
        }
    }
}

/// Returns where a class of steel stands among the others: "10.9" after "8.8"; none for stainless.
fn rank(class: &str) -> Option<u32> {
    let known: PropertyClass = class.parse().ok()?;
    let digits: String = known.name().chars().filter(|it| *it != '.').collect();
    digits.parse().ok()
}

fn designation(thread: &MetricThread) -> String {
    format!("M{} × {}", thread.diameter(), thread.pitch())
}

fn words(text: &Option<String>) -> &str {
    text.as_deref().unwrap_or("not stated")
}

fn same(what: &str, a: &str, b: &str) -> Result<(), String> {
    if a == b { Ok(()) } else { Err(differ(what, a, b)) }
}

fn differ(what: &str, a: &str, b: &str) -> String {
    format!("they differ in {what}: {a} and {b}")
}
