use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::*;
use crate::domain::demand::{Ahead, Month, Used};
use crate::domain::drawing::Shape;
use crate::domain::runway::{Arrival, ArrivalKind, Batch, Gauge, Outlook, project};
use crate::units::Quantity;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// Checks that nothing is drawn beyond the edges, and returns all words in order.
fn words(picture: &Picture) -> String {
    let mut said = Vec::new();
    for shape in &picture.shapes {
        for point in shape.points() {
            let inside = (0..=picture.width_um).contains(&point.x_um)
                && (0..=picture.height_um).contains(&point.y_um);
            assert!(inside, "{point:?} is outside of {} x {}", picture.width_um, picture.height_um);
        }
        if let Shape::Text { text, .. } = shape {
            said.push(text.clone());
        }
    }
    assert!(!picture.alt.is_empty());
    said.join(" | ")
}

fn drawn(batches: &[Batch], arrivals: &[Arrival], a_month: f64) -> Picture {
    let first: Month = "2026-11".parse().unwrap();
    let ahead = Ahead::of(first, &[a_month; 9], |_| None, Used::default());
    let outlook = Outlook {
        today: day("2026-11-25"),
        batches,
        promised: &BTreeMap::new(),
        arrivals,
        ahead: &ahead,
        day_sd: 6.0,
        lead_sd_days: 6,
    };
    let walked = project(&outlook).unwrap();
    runway(&RunwayPicture {
        part: "Pinch bolt (M6×35)",
        runway: &walked,
        arrivals,
        reorder_point: Quantity::new(400),
        busiest: Some((day("2026-12-01"), day("2026-12-31"))),
    })
}

#[test]
fn a_runway_says_its_steps_its_cliffs_its_reorder_line_and_its_zero() {
    let batch = |pieces, last_day| Batch { quantity: Quantity::new(pieces), last_day };
    let coming = |on: &str, kind| Arrival {
        document: "PO-1".into(),
        on: day(on),
        quantity: Quantity::new(300),
        kind,
    };
    let arrivals =
        [coming("2026-12-18", ArrivalKind::Confirmed), coming("2027-01-04", ArrivalKind::Draft)];
    let picture = drawn(&[batch(500, None), batch(400, Some(day("2026-12-06")))], &arrivals, 300.0);
    let said = words(&picture);
    for it in ["reorder at 400", "+300", "+300 draft", "expire", "none left:", "busiest: December"]
    {
        assert!(said.contains(it), "'{it}' is not said: {said}");
    }
    assert!(picture.alt.contains("300 confirmed on 2026-12-18"), "{}", picture.alt);
    assert!(picture.alt.contains("Runs out in the week of"), "{}", picture.alt);
    // What is never wanted and nowhere has a picture too, and so has what is wanted beyond measure.
    assert!(!words(&drawn(&[], &[], 0.0)).contains("none left"));
    assert!(words(&drawn(&[], &[], 5e6)).contains("lacking"));
}

#[test]
fn a_gauge_marks_the_half_of_the_second_bin_and_hatches_what_is_below() {
    let full = gauge(&Gauge::of(Quantity::new(1_452), Quantity::new(1_438)));
    assert_eq!(words(&full), "1 | 14 | 2 | 1438");
    let lines =
        |it: &Picture| it.shapes.iter().filter(|it| matches!(it, Shape::Line { .. })).count();
    let low = gauge(&Gauge::of(Quantity::new(700), Quantity::new(1_438)));
    assert_eq!(low.alt, "Two bins of 1438: 0 in the first, 700 in the second, below half");
    assert!(lines(&full) + 10 < lines(&low), "the hatching is more than a shade");
    words(&gauge(&Gauge::of(Quantity::new(90_000), Quantity::new(3))));
}

#[test]
fn grids_and_bars_say_in_words_what_they_shade() {
    let cell = |text: &str, tone| Cell { text: text.into(), tone };
    let all = Grid {
        alt: "Two parts".into(),
        columns: vec![("30".into(), "Nov".into()), ("7".into(), "Dec".into())],
        total: "in all".into(),
        rows: vec![GridRow {
            label: "A part with a name much longer than its column is wide".into(),
            cells: vec![cell("S", Tone::Dark), cell("", Tone::None)],
            total: "9".into(),
        }],
        totals: ("Parts short".into(), vec!["1".into(), "0".into()]),
        cell: 30,
    };
    assert_eq!(
        words(&grid(&all)),
        "30 | Nov | 7 | Dec | in all | A part with a name much longer… | S |  | 9 | Parts short | 1 | 0"
    );
    let bar = |value, hatched| Bar { label: "x".into(), value, hatched, words: "1.00".into() };
    let picture = bars(&Bars { alt: "Bars".into(), rows: vec![bar(10, 10), bar(0, 0), bar(7, 3)] });
    assert_eq!(words(&picture).matches("1.00").count(), 3);
}
