//! The rider's own set-up on the card.

use super::facts::{CardFacts, FittedPart};
use super::model::{AirSetUp, SaddleSetUp};
use crate::domain::messages::in_manner_of;
use crate::domain::setup::{AirChart, both_units, saddle_window};

/// Returns the pressures of the kit's air springs: the chart of each is chosen by the part itself.
pub(super) fn air(facts: &CardFacts) -> Vec<AirSetUp> {
    let mut found = Vec::new();
    for part in &facts.parts {
        let is_for = |it: &&AirChart| it.is_for(&part.part_number, &part.name, &part.attributes);
        if let Some(chart) = facts.charts.iter().find(is_for) {
            found.push(spring(facts, part, chart));
        }
    }
    found
}

fn spring(facts: &CardFacts, part: &FittedPart, chart: &AirChart) -> AirSetUp {
    let say = facts.language;
    let answer = facts.rider.as_ref().map(|rider| match chart.row_for(rider) {
        Some(row) => {
            let weight = in_manner_of(say, &rider.to_string());
            say.pressure_for(&weight, &in_manner_of(say, &both_units(&row.pressure)))
        }
        None => say.weight_not_in_chart().to_owned(),
    });
    let name = facts.glossary.say(say, &part.name);
    let rows = chart.rows.iter();
    AirSetUp {
        part: format!("{name} {}", part.part_number),
        answer,
        rows: rows.map(|it| (it.riders(), in_manner_of(say, &both_units(&it.pressure)))).collect(),
        maximum: in_manner_of(say, &both_units(&chart.maximum)),
        source: chart.source.clone(),
    }
}

/// Returns how high the saddle may stand.
pub(super) fn saddle(facts: &CardFacts) -> SaddleSetUp {
    let say = facts.language;
    let window = facts.saddle.as_ref().map(|it| match saddle_window(it) {
        Some(it) => say.post_window(&it.lowest.to_string(), &it.highest.to_string()),
        None => say.saddle_no_room().to_owned(),
    });
    SaddleSetUp { rule: say.saddle_to_rest().to_owned(), window: window.unwrap_or_default() }
}
