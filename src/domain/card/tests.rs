use std::collections::BTreeMap;

use insta::assert_snapshot;

use super::*;
use crate::domain::catalog::{Attributes, MissingClass};
use crate::domain::drawing::DrawingName;
use crate::domain::fit::{Facts, SaddleGeometry, post_window};
use crate::domain::joints::{Condition, Joint, Pattern, PresetKey, Statement};
use crate::domain::kits::{Bom, Guide, Step, StepAids, StepWords};
use crate::domain::messages::{Glossary, Language};
use crate::units::{Angle, Length, Quantity};

fn part(number: &str, name: &str, bag: Option<&str>, class: MissingClass) -> FittedPart {
    FittedPart {
        step: 1,
        part_number: number.to_owned(),
        name: name.to_owned(),
        variant: String::new(),
        attributes: Attributes::default(),
        quantity: Quantity::ONE,
        class,
        bag: bag.map(|it| (it.to_owned(), String::new())),
        is_bag: false,
        facts: Facts::default(),
        in_place_of: None,
    }
}

fn joint(number: u32, torque: &str) -> Joint {
    Joint {
        number,
        step: 1,
        name: "Stem".to_owned(),
        names: BTreeMap::from([(Language::De, "Vorbau".to_owned())]),
        bolts: 2,
        thread: "M5".to_owned(),
        pattern: Pattern::Alternate,
        condition: Condition::Dry,
        set_by_maker: false,
        statements: vec![Statement {
            torque: torque.parse().unwrap(),
            source: "leaflet".to_owned(),
        }],
    }
}

fn facts(language: Language) -> CardFacts {
    let tool = "TO107J".parse().unwrap();
    let words = |title: &str| StepWords {
        title: title.to_owned(),
        check: "Spalte gleich".to_owned(),
        caution: String::new(),
    };
    let aids = StepAids { tools: vec![tool], drawings: vec![DrawingName::SaddleHeight] };
    let key = PresetKey {
        part_number: "TO107J".parse().unwrap(),
        torque: "5.5 N·m ± 6 %".parse().unwrap(),
        source: "certificate".to_owned(),
    };
    let step = Step {
        number: 1,
        title: "Stem".to_owned(),
        check: "Gaps alike".to_owned(),
        caution: String::new(),
    };
    let mut glossary = Glossary::default();
    glossary.add("Clamp bolt M5x0.8", Language::De, "Klemmschraube M5x0,8");
    glossary.add("Torque key", Language::De, "Drehmomentschlüssel");
    CardFacts {
        language,
        shop: "Skarnholt Works".to_owned(),
        kit: "KT0000019".to_owned(),
        order: "SO-1".to_owned(),
        options: Vec::new(),
        link: "https://box.example/box/KT0000019".to_owned(),
        printed_on: chrono::NaiveDate::from_ymd_opt(2026, 11, 25).unwrap(),
        bom: Bom {
            code: "TARVET".to_owned(),
            revision: "C".to_owned(),
            valid_from: None,
            name: "Tarvet".to_owned(),
            makes: None,
            options: Vec::new(),
            steps: vec![step],
            lines: Vec::new(),
            guide: Guide {
                aids: BTreeMap::from([(1, aids)]),
                words: BTreeMap::from([((1, Language::De), words("Vorbau"))]),
                joints: vec![joint(1, "5.5 N·m (5–6)"), joint(2, "6 N·m (5.5–6.5)")],
                keys: vec![key],
            },
        },
        parts: vec![
            part("BS112J", "Clamp bolt M5x0.8", Some("Bag HEAD"), MissingClass::StopsBuild),
            part("BS112J", "Clamp bolt M5x0.8", Some("Bag HEAD"), MissingClass::StopsBuild),
            part("TO107J", "Torque key", Some("Bag TOOL"), MissingClass::StopsRide),
        ],
        settled: Vec::new(),
        glossary,
        charts: Vec::new(),
        rider: None,
        saddle: None,
        gap: None,
        ski_screws: Vec::new(),
    }
}

fn said(card: &Card) -> String {
    let mut lines = Vec::new();
    for step in &card.steps {
        lines.push(format!("{} {} [{}]", step.number, step.title, step.check));
        for it in &step.parts {
            let class = it.class.letter();
            lines.push(format!(
                "{class} {} × {} {} {}",
                it.quantity, it.name, it.part_number, it.bag
            ));
        }
        lines.push(step.tools.join(", "));
        for it in &step.joints {
            lines.push(format!(
                "{} {}: {} | {}",
                it.name, it.bolts, it.newton_metres, it.inch_pounds
            ));
            lines.push(format!("{}; {}; {}", it.pattern, it.condition, it.wrench));
        }
    }
    lines.join("\n")
}

#[test]
fn a_step_counts_its_parts_once_and_its_tools_apart() {
    let card = compose(&facts(Language::En)).unwrap();
    assert_snapshot!(said(&card), @"
    1 Stem [Gaps alike]
    S 2 × Clamp bolt M5x0.8 BS112J from Bag HEAD
    Torque key
    Stem 2 bolts M5: 5.5 N·m (5–6) | 49 in·lbf (45–53)
    in turns, a quarter turn each, the gaps alike; threads dry; the preset key of this kit suits
    Stem 2 bolts M5: 6 N·m (5.5–6.5) | 53 in·lbf (49–57)
    in turns, a quarter turn each, the gaps alike; threads dry; use a torque wrench of this range; the preset key does not suit
    ");
    assert!(!card.has_untranslated);
}

#[test]
fn every_word_of_a_step_is_in_the_card_s_language() {
    let card = compose(&facts(Language::De)).unwrap();
    assert_snapshot!(said(&card), @"
    1 Vorbau [Spalte gleich]
    S 2 × Klemmschraube M5x0,8 BS112J aus Bag HEAD
    Drehmomentschlüssel
    Vorbau 2 Schrauben M5: 5,5 N·m (5–6) | 49 in·lbf (45–53)
    abwechselnd je eine Vierteldrehung, Spalte gleich groß; Gewinde trocken; der fest eingestellte Schlüssel dieses Bausatzes passt
    Vorbau 2 Schrauben M5: 6 N·m (5,5–6,5) | 53 in·lbf (49–57)
    abwechselnd je eine Vierteldrehung, Spalte gleich groß; Gewinde trocken; Drehmomentschlüssel für diesen Bereich nehmen; der fest eingestellte Schlüssel passt nicht
    ");
    assert!(!card.has_untranslated);
    let french = compose(&facts(Language::Fr)).unwrap();
    assert_eq!(french.steps[0].title, "Stem", "what nobody translated stands as it is");
    assert!(french.has_untranslated);
}

#[test]
fn the_preset_key_covers_what_its_whole_band_lies_inside_of() {
    let card = compose(&facts(Language::En)).unwrap();
    let key = card.key.unwrap().words;
    assert!(key.contains("suits only: Stem (Step 1)."), "{key}");
}

#[test]
fn the_saddle_s_window_is_told_where_the_parts_state_it() {
    let mm = |it: i64| Length::from_micrometres(it * 1_000);
    let mut facts = facts(Language::Fr);
    let seat = SaddleGeometry {
        rest_to_collar: mm(352),
        saddle: mm(48),
        seat_angle: Angle::parse_degrees("73").unwrap(),
    };
    let window = |post: i64| post_window(mm(post), (mm(125), mm(200)), Some(&seat));
    facts.saddle = Some(window(300));
    let card = compose(&facts).unwrap();
    let saddle = card.steps[0].saddle.as_ref().unwrap();
    assert_eq!(saddle.window, "Tige hors du cadre\u{a0}: de 100 mm à 112,9 mm.");
    facts.saddle = Some(window(350));
    let card = compose(&facts).unwrap();
    assert_eq!(card.steps[0].saddle.as_ref().unwrap().window, Language::Fr.saddle_no_room());
}

#[test]
fn a_card_with_a_conflict_is_not_composed() {
    let mut facts = facts(Language::En);
    let joint = facts.bom.guide.joints.first_mut().unwrap();
    joint
        .statements
        .push(Statement { torque: "75 in·lbf".parse().unwrap(), source: "sticker".to_owned() });
    let conflicts = compose(&facts).unwrap_err();
    assert_eq!(conflicts.len(), 1);
    assert_eq!(conflicts, blocking(&facts.bom.guide.joints, &[]));
}
