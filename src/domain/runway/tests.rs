use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};
use proptest::prelude::*;

use super::*;
use crate::domain::demand::{Ahead, Month, Used};
use crate::units::Quantity;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn later(from: NaiveDate, days: u64) -> NaiveDate {
    from.checked_add_days(Days::new(days)).unwrap()
}

/// Returns so many pieces a day in each of ten months.
fn steady(first: &str, a_day: f64) -> Ahead {
    let first: Month = first.parse().unwrap();
    let months = std::iter::successors(Some(first), |it| Some(it.next())).take(10);
    let pieces: Vec<f64> =
        months.map(|it| a_day * crate::domain::statistics::real(it.days())).collect();
    Ahead::of(first, &pieces, |_| None, Used::default())
}

fn batch(quantity: i64, last_day: Option<&str>) -> Batch {
    Batch { quantity: Quantity::new(quantity), last_day: last_day.map(day) }
}

fn walked(today: &str, batches: &[Batch], ahead: &Ahead, arrivals: &[Arrival]) -> Runway {
    let promised = BTreeMap::new();
    let outlook = Outlook {
        today: day(today),
        batches,
        promised: &promised,
        arrivals,
        ahead,
        day_sd: 0.0,
        lead_sd_days: 6,
    };
    project(&outlook).unwrap()
}

fn arrival(on: &str, quantity: i64) -> Arrival {
    let quantity = Quantity::new(quantity);
    Arrival { document: "PO-1".into(), on: day(on), quantity, kind: ArrivalKind::Confirmed }
}

#[test]
fn the_pinch_bolt_runs_out_when_the_invented_shop_says() {
    // The shop: 35.4 a day at the peak, 1,452 in hand on 23 October: 41.02 days.
    let peak = steady("2026-10", 35.4);
    let alone = walked("2026-10-23", &[batch(1_452, None)], &peak, &[]);
    let out = alone.runs_out.expected.unwrap();
    assert_eq!(out, day("2026-12-02"), "the 42nd day's use is not there");
    assert_eq!(alone.runs_out.earliest, Some(out), "nothing varies, and nothing is on its way");
    // Ordered that day, 5,000 come on 13 November ± 6 days, in time at the worst as well.
    let ordered =
        walked("2026-10-23", &[batch(1_452, None)], &peak, &[arrival("2026-11-13", 5_000)]);
    assert_eq!(
        ordered.runs_out.words(),
        "Lasts through the half year, even at the worst of the band"
    );
    assert_eq!(ordered.weeks.last().unwrap().level, 6_452 - 6_301, "178 days of 35.4 are used");
    let week = ordered.weeks.iter().find(|it| it.monday == day("2026-11-09")).unwrap();
    assert_eq!((week.arrived, week.short), (Quantity::new(5_000), Quantity::ZERO));
    // Two bins of 1,438 with 21 days to wait: half of the second is 719, and the use until an order
    // comes passes it on the very day.
    let half = half_empty(&alone, Quantity::new(1_438), 21).unwrap();
    assert_eq!((half.on, half.tell_on), (day("2026-11-12"), day("2026-10-22")));
    assert_eq!(half_empty(&ordered, Quantity::new(1_438), 21).unwrap().on, half.on);
    let soon = walked("2026-10-23", &[batch(1_452, None)], &peak, &[arrival("2026-11-12", 5_000)]);
    assert!(day("2027-03-01") < half_empty(&soon, Quantity::new(1_438), 21).unwrap().on);
}

#[test]
fn what_expires_falls_off_on_its_last_day_and_what_expires_first_is_used_first() {
    // The shop: capsules with 31 January as their last day, 5.6 a day. 60 are used up before it; of
    // 200, 83 would expire after the 21 days from 11 January on: 200 less 117.6.
    let use_up = steady("2027-01", 5.6);
    let fine = walked("2027-01-11", &[batch(60, Some("2027-01-31"))], &use_up, &[]);
    assert!(fine.expiries.is_empty(), "{:?}", fine.expiries);
    let lots = [batch(500, None), batch(200, Some("2027-01-31"))];
    let much = walked("2027-01-11", &lots, &use_up, &[]);
    let lost: Vec<(NaiveDate, i64)> =
        much.expiries.iter().map(|it| (it.on, it.quantity.pieces())).collect();
    assert_eq!(lost, [(day("2027-01-31"), 82)], "117.6 used in whole pieces are 118");
    assert_eq!(much.level_on(day("2027-01-31")), Some(500));
    let gone = walked("2027-02-01", &[batch(200, Some("2027-01-31"))], &use_up, &[]);
    assert_eq!((gone.days[0].morning, gone.short_on()), (0, Some(day("2027-02-01"))));
}

#[test]
fn what_is_promised_counts_where_it_is_more_than_the_forecast() {
    let promised = BTreeMap::from([
        (day("2026-11-20"), Quantity::new(3)),
        (day("2026-12-03"), Quantity::new(40)),
    ]);
    let ahead = steady("2026-11", 1.0);
    let outlook = Outlook {
        today: day("2026-11-25"),
        batches: &[batch(20, None)],
        promised: &promised,
        arrivals: &[arrival("2026-12-10", 100)],
        ahead: &ahead,
        day_sd: 0.5,
        lead_sd_days: 7,
    };
    let runway = project(&outlook).unwrap();
    let wanted: Vec<i64> = runway.weeks.iter().take(4).map(|it| it.wanted.pieces()).collect();
    assert_eq!(wanted, [5, 40, 7, 7], "5 days of this week, and what is overdue is among them");
    assert_eq!(runway.weeks[1].short, Quantity::new(25));
    assert_eq!(runway.short_on(), Some(day("2026-12-02")), "before the day that is promised");
    assert_eq!(
        runway.level_on(day("2026-12-10")),
        Some(100 - 25 - 4),
        "those that waited took theirs"
    );
    let out = runway.runs_out;
    assert_eq!(out.expected, Some(day("2026-12-02")), "with 15 left and 6 a day");
    assert!(out.earliest < out.expected, "{out:?}");
    assert_eq!(out.latest, out.expected, "what is promised is taken at the best as well");
    assert_eq!(out.words(), "Runs out in the week of 30 Nov 2026 (2 Dec 2026, −1 +0 days)");
}

proptest! {
    #[test]
    fn no_piece_is_lost_and_the_band_holds_what_is_expected(
        lots in prop::collection::vec((0i64..400, prop::option::of(0u64..200)), 0..5),
        coming in prop::collection::vec((0u64..220, 1i64..500), 0..5),
        promises in prop::collection::vec((0u64..220, 1i64..60), 0..5),
        a_day in 0.0f64..9.0,
        day_sd in 0.0f64..9.0,
        lead_sd_days in 0u64..20,
    ) {
        let today = day("2026-11-25");
        let batches: Vec<Batch> = lots.iter().map(|(pieces, days)| Batch {
            quantity: Quantity::new(*pieces),
            last_day: days.map(|it| later(today, it)),
        }).collect();
        let arrivals: Vec<Arrival> = coming.iter().map(|(days, pieces)| Arrival {
            document: String::new(),
            on: later(today, *days),
            quantity: Quantity::new(*pieces),
            kind: ArrivalKind::Expected,
        }).collect();
        let promised: BTreeMap<NaiveDate, Quantity> =
            promises.iter().map(|(days, pieces)| (later(today, *days), Quantity::new(*pieces))).collect();
        let ahead = steady("2026-11", a_day);
        let outlook = Outlook {
            today, batches: &batches, promised: &promised, arrivals: &arrivals, ahead: &ahead,
            day_sd, lead_sd_days,
        };
        let runway = project(&outlook).unwrap();
        let sum = |of: fn(&Week) -> Quantity| runway.weeks.iter().map(|it| of(it).pieces()).sum::<i64>();
        let start: i64 = lots.iter().map(|it| it.0).sum();
        let end = runway.weeks.last().unwrap().level;
        prop_assert_eq!(
            start + sum(|it| it.arrived) - sum(|it| it.wanted) - sum(|it| it.expired), end
        );
        let expired: i64 = runway.expiries.iter().map(|it| it.quantity.pieces()).sum();
        prop_assert_eq!(expired, sum(|it| it.expired));
        for it in &runway.days {
            prop_assert!(it.low <= it.night && it.night <= it.high, "{:?}", it);
            prop_assert!(it.night <= it.evening && it.evening <= it.morning);
        }
        let out = runway.runs_out;
        if let Some(expected) = out.expected {
            prop_assert!(out.earliest.is_some_and(|it| it <= expected));
            prop_assert!(out.latest.is_none_or(|it| expected <= it));
        }
    }
}
