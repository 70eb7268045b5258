use std::collections::{BTreeMap, BTreeSet};

use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::kits::{Bom, BomItem};
use crate::domain::messages::{Glossary, Language};

/// What the glossary lacks words for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingText {
    /// The text as the glossary would hold it.
    pub text: String,
    /// Where it is said: part, variant, bill, option, or value of an option.
    pub said_as: &'static str,
    /// The languages that have no words for it.
    pub languages: Vec<Language>,
}

/// Which row of a bill lacks words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RowOf {
    /// A step's title, check or caution.
    Step,
    /// A joint's name.
    Joint,
}

/// A step or joint of a bill that a language has no words for, or not all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingRow {
    /// Which row it is.
    pub of: RowOf,
    /// The number of the step or joint.
    pub number: u32,
    /// What it is called in the bill.
    pub title: String,
    /// The language.
    pub language: Language,
    /// What of it is missing: title, check, caution or name.
    pub lacks: Vec<&'static str>,
}

/// Returns the languages that the catalogue itself is not in.
fn others() -> impl Iterator<Item = Language> {
    Language::ALL.into_iter().filter(|it| *it != Language::default())
}

/// Returns whether riders order the bill itself.
fn is_sold(bom: &Bom) -> bool {
    bom.makes.is_none() && !bom.steps.is_empty()
}

/// Returns the part numbers that the assembly cards of these bills name.
///
/// Packing material and what the house has put together already, both of step 0, are on no card; in a
/// phantom assembly step 0 is that of the line which calls for it.
pub fn named_parts<'a>(
    bills: impl IntoIterator<Item = &'a Bom>,
    variants: &[Variant],
) -> BTreeSet<PartNumber> {
    let mut found = BTreeSet::new();
    for bom in bills {
        let is_phantom = bom.makes.is_none() && bom.steps.is_empty();
        found.extend(bom.makes.clone().filter(|_| bom.lines.iter().any(|it| it.step != 0)));
        for line in bom.lines.iter().filter(|it| is_phantom || it.step != 0) {
            match &line.item {
                BomItem::PartNumber(number) => drop(found.insert(number.clone())),
                BomItem::Part(name) => {
                    let same = variants.iter().filter(|it| it.part == *name);
                    found.extend(same.map(|it| it.part_number.clone()));
                }
                BomItem::Kit(_) => {}
            }
        }
    }
    found
}

/// Returns what the glossary lacks of the names and options of bills that riders order, and of parts, given as name and
/// variant; in order of the text.
///
/// A part's name is needed as a whole. Of variants and options only those words count that can differ
/// from language to language: sizes, codes and measures are left out.
pub fn missing_texts<'a>(
    bills: impl IntoIterator<Item = &'a Bom>,
    parts: impl IntoIterator<Item = (&'a str, &'a str)>,
    glossary: &Glossary,
) -> Vec<MissingText> {
    let (parts, bills): (Vec<_>, Vec<&Bom>) =
        (parts.into_iter().collect(), bills.into_iter().filter(|it| is_sold(it)).collect());
    let mut found = Found::default();
    for language in others() {
        let lacks = |text: &str| glossary.whole(language, text).is_none();
        let differs = |text: &str| !glossary.unsaid(language, text).is_empty();
        for bom in &bills {
            found.note(&bom.name, "bill", language, lacks);
            for option in &bom.options {
                found.note(&option.name, "option", language, lacks);
                for value in option.values.iter().filter(|_| option.name != "language") {
                    found.note(value, "value of an option", language, differs);
                }
            }
        }
        for (name, _) in &parts {
            found.note(name, "part", language, lacks);
        }
        for run in parts.iter().flat_map(|it| glossary.unsaid(language, it.1)) {
            // A colour that is an option's value is named there as a whole.
            if !found.holds(&run, language) {
                found.note(&run, "variant", language, |_| true);
            }
        }
    }
    let text = |(text, (said_as, languages)): (String, (&'static str, BTreeSet<Language>))| {
        MissingText { text, said_as, languages: languages.into_iter().collect() }
    };
    found.0.into_iter().map(text).collect()
}

/// What is missing so far: by text, where it is said and the languages.
#[derive(Default)]
struct Found(BTreeMap<String, (&'static str, BTreeSet<Language>)>);

impl Found {
    /// Notes a text where it is missing.
    fn note(
        &mut self,
        text: &str,
        said_as: &'static str,
        language: Language,
        missing: impl Fn(&str) -> bool,
    ) {
        if missing(text) {
            let entry = self.0.entry(text.to_owned());
            entry.or_insert_with(|| (said_as, BTreeSet::new())).1.insert(language);
        }
    }

    /// Returns whether a missing text of several words has this run of words in it.
    fn holds(&self, run: &str, language: Language) -> bool {
        let in_words = |text: &str| format!(" {text} ").contains(&format!(" {run} "));
        self.0.iter().any(|(text, it)| it.1.contains(&language) && in_words(text))
    }
}

/// Returns the steps and joints of a bill that a language has no words for, or not all.
pub fn missing_rows(bom: &Bom) -> Vec<MissingRow> {
    let steps = bom.steps.iter().flat_map(|step| {
        others().map(move |language| {
            let words = bom.guide.words.get(&(step.number, language));
            let said = |it: &str| words.is_some() && !it.is_empty();
            let pairs = [
                ("title", &step.title, words.is_some_and(|it| said(&it.title))),
                ("check", &step.check, words.is_some_and(|it| said(&it.check))),
                ("caution", &step.caution, words.is_some_and(|it| said(&it.caution))),
            ];
            let lacks = pairs.iter().filter(|it| !it.1.is_empty() && !it.2).map(|it| it.0);
            let (number, title) = (step.number, step.title.clone());
            MissingRow { of: RowOf::Step, number, title, language, lacks: lacks.collect() }
        })
    });
    let joints = bom.guide.joints.iter().flat_map(|joint| {
        let lacking = others().filter(|it| !joint.names.contains_key(it));
        lacking.map(move |language| MissingRow {
            of: RowOf::Joint,
            number: joint.number,
            title: joint.name.clone(),
            language,
            lacks: vec!["name"],
        })
    });
    steps.chain(joints).filter(|it| !it.lacks.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::kits::{OptionDef, Step, StepWords};

    fn bill() -> Bom {
        Bom {
            code: "TARVET".to_owned(),
            revision: "C".to_owned(),
            valid_from: None,
            name: "Ski bike".to_owned(),
            makes: None,
            options: vec![OptionDef {
                name: "colour".to_owned(),
                values: vec!["soot black".to_owned(), "T12".to_owned()],
            }],
            steps: vec![
                Step {
                    number: 1,
                    title: "Open".to_owned(),
                    check: "All is there".to_owned(),
                    caution: "Mind the blade".to_owned(),
                },
                Step {
                    number: 2,
                    title: "Close".to_owned(),
                    check: String::new(),
                    caution: String::new(),
                },
            ],
            lines: Vec::new(),
            guide: Default::default(),
        }
    }

    #[test]
    fn names_are_needed_whole_and_variants_word_by_word_but_for_sizes() {
        let mut words = Glossary::default();
        for language in others() {
            words.add("Ski bike", language, "x");
            words.add("colour", language, "x");
            words.add("left", language, "x");
            words.add("Saddle", language, "x");
        }
        words.add("soot black", Language::De, "rußschwarz");
        words.add("Bolt", Language::Fr, "Boulon");
        let parts = [("Bolt", "M6×25, left"), ("Saddle", "L soft rim, left"), ("Bolt", "")];
        let bill = bill();
        let found = missing_texts([&bill], parts, &words);
        let said: Vec<String> = found
            .iter()
            .map(|it| {
                let tags: Vec<&str> = it.languages.iter().map(|it| it.tag()).collect();
                format!("{} ({}): {}", it.text, it.said_as, tags.join(" "))
            })
            .collect();
        assert_eq!(
            said,
            ["Bolt (part): de", "soft rim (variant): de fr", "soot black (value of an option): fr"]
        );
    }

    #[test]
    fn parts_that_no_card_names_need_no_words() {
        let variant = |number: &str, part: &str| Variant {
            part_number: number.parse().unwrap(),
            part: part.to_owned(),
            attributes: Default::default(),
        };
        let variants =
            [variant("MT108R", "Bolt"), variant("HS111E", "Cap"), variant("HS113A", "Cap")];
        let line = |step: u32, item: BomItem| crate::domain::kits::BomLine {
            number: step + 10,
            step,
            item,
            choose: Vec::new(),
            when: Vec::new(),
            quantity: crate::units::Quantity::ONE,
            carton: 1,
        };
        let lines = vec![
            line(0, BomItem::PartNumber("MT108R".parse().unwrap())),
            line(1, BomItem::Part("Cap".to_owned())),
        ];
        let sold = Bom { lines: lines.clone(), ..bill() };
        let phantom = Bom { steps: Vec::new(), lines, ..bill() };
        let said = |it: &Bom| named_parts([it], &variants).len();
        assert_eq!((said(&sold), said(&phantom)), (2, 3));
    }

    #[test]
    fn a_step_lacks_what_its_bill_says_and_a_language_does_not() {
        let mut bill = bill();
        let words = |caution: &str| StepWords {
            title: "Öffnen".to_owned(),
            check: "Alles da".to_owned(),
            caution: caution.to_owned(),
        };
        bill.guide.words.insert((1, Language::De), words(""));
        bill.guide.words.insert((1, Language::Fr), words("Attention"));
        let found: Vec<String> = missing_rows(&bill)
            .iter()
            .map(|it| format!("{} {}: {}", it.number, it.language, it.lacks.join(", ")))
            .collect();
        assert_eq!(found, ["1 de: caution", "2 de: title", "2 fr: title"]);
    }
}
