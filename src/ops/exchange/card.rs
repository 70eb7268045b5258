//! What the assembly card takes from the shop: words in other languages, and air charts.

use crate::domain::setup::AirChart;
use crate::error::Error;
use crate::exchange::glossary::GlossaryRecord;
use crate::exchange::{Fault, Read};
use crate::store::{Tx, card, kits};

use super::reference::Known;
use super::refuse;

/// Takes what the catalogue's words are called in other languages; returns the words.
pub(super) fn glossary(
    tx: &mut Tx<'_>,
    (records, mut faults): Read<GlossaryRecord>,
) -> Result<Vec<String>, Error> {
    let known = Known::load(tx.conn)?;
    let boms = kits::all_boms(tx.conn)?;
    for it in &records {
        let text = &it.value.text;
        if !known.calls(&boms, text) {
            let message =
                format!("nothing in the catalogue is called '{text}': check its spelling");
            faults.push(Fault { line: it.line, column: "text".to_owned(), message });
        }
    }
    refuse(faults)?;
    let entries: Vec<_> = records.iter().map(|it| &it.value).collect();
    card::put_glossary(tx.conn, &entries)?;
    Ok(records.into_iter().map(|it| it.value.text).collect())
}

/// Takes air charts, and returns their codes; each variant may answer to one chart only.
pub(super) fn air_charts(
    tx: &mut Tx<'_>,
    (records, mut faults): Read<AirChart>,
) -> Result<Vec<String>, Error> {
    let known = Known::load(tx.conn)?;
    let coming = |code: &str| records.iter().any(|it| it.value.code == code);
    let mut others = card::charts(tx.conn)?;
    others.retain(|it| !coming(&it.code));
    for it in &records {
        let chart = &it.value;
        let mut answers = 0;
        for row in known.variants.values() {
            let Ok(attributes) = row.attributes.parse() else { continue };
            if !chart.is_for(&row.part_number, &row.part, &attributes) {
                continue;
            }
            answers += 1;
            let same =
                others.iter().find(|other| other.is_for(&row.part_number, &row.part, &attributes));
            if let Some(same) = same {
                let number = &row.part_number;
                let message =
                    format!("{number} answers to chart {} already: a part has one", same.code);
                faults.push(Fault { line: it.line, column: "part".to_owned(), message });
            }
        }
        if answers == 0 {
            let message =
                format!("no part of the catalogue is '{}' with these attributes", chart.item);
            faults.push(Fault { line: it.line, column: "part".to_owned(), message });
        }
        others.push(chart.clone());
    }
    refuse(faults)?;
    for it in &records {
        card::put_chart(tx.conn, &it.value)?;
    }
    Ok(records.into_iter().map(|it| it.value.code).collect())
}
