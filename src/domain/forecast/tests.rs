use proptest::prelude::*;

use super::*;

fn near(found: f64, expected: f64) {
    assert!((found - expected).abs() <= 1e-8 * expected.abs(), "{found} is not {expected}");
}

/// A winter's demand for bolts, month by month, three times over.
const WINTERS: [f64; 12] = [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 2.0, 5.0, 9.0, 14.0, 11.0, 6.0];

/// Deaths from lung disease in the United Kingdom, 1974 to 1976, by month: Diggle, *Time Series: A
/// Biostatistical Introduction*, 1990 (series `ldeaths` of R 4.2.2, package datasets).
const LUNG: [f64; 36] = [
    3035.0, 2552.0, 2704.0, 2554.0, 2014.0, 1655.0, 1721.0, 1524.0, 1596.0, 2074.0, 2199.0, 2512.0,
    2933.0, 2889.0, 2938.0, 2497.0, 1870.0, 1726.0, 1607.0, 1545.0, 1396.0, 1787.0, 2076.0, 2837.0,
    2787.0, 3891.0, 3179.0, 2011.0, 1636.0, 1580.0, 1489.0, 1300.0, 1356.0, 1653.0, 2013.0, 2823.0,
];

#[test]
fn intermittent_forecasts_agree_with_statsforecast() {
    // statsforecast 2.1.1: CrostonClassic, CrostonSBA (alpha 0.1), TSB.
    let series = WINTERS.repeat(3);
    near(croston(&series, 0.1).unwrap().unwrap().rate(), 2.8469942304774825);
    near(croston(&series, 0.2).unwrap().unwrap().rate(), 5.09155334275255);
    near(sba(&series, 0.1).unwrap(), 2.704644518953608);
    near(sbj(&series, 0.1).unwrap(), 2.6971524288734043);
    near(tsb(&series, 0.1, 0.1).unwrap().rate(), 4.6213930088186626);
    near(tsb(&series, 0.2, 0.05).unwrap().rate(), 4.031949502077282);
    let path = croston_path(&series, 0.1).unwrap();
    assert!(path.iter().take(6).all(Option::is_none));
    near(path[7].unwrap().rate(), 0.359375);
}

#[test]
fn one_demand_at_either_end() {
    let mut first = [0.0; 12];
    first[0] = 5.0;
    near(croston(&first, 0.1).unwrap().unwrap().rate(), 5.0);
    near(tsb(&first, 0.1, 0.1).unwrap().rate(), 5.0 * 0.9_f64.powi(11));
    let mut last = [0.0; 12];
    last[11] = 5.0;
    near(croston(&last, 0.1).unwrap().unwrap().rate(), 5.0 / 12.0);
    near(tsb(&last, 0.2, 0.05).unwrap().rate(), 0.25);
    assert_eq!(croston(&[0.0; 3], 0.1), Ok(None));
    assert_eq!(tsb(&[0.0; 3], 0.1, 0.1).map(|it| it.rate()), Ok(0.0));
}

#[test]
fn seasons_are_taken_apart_as_r_does() {
    // R 4.2.2, decompose(window(ldeaths, end = c(1975, 12)))$figure.
    let season = decompose(&LUNG[..24], 12, SeasonKind::Additive).unwrap();
    near(season.indices.iter().sum::<f64>() + 1.0, 1.0);
    assert_eq!(season.trend.len(), 12);
    let winters = WINTERS.map(|it| it + 1.0).repeat(3);
    let season = decompose(&winters, 12, SeasonKind::Multiplicative).unwrap();
    let mean = winters.iter().sum::<f64>() / 36.0;
    near(season.indices[9], 15.0 / mean);
    near(season.indices[0], 1.0 / mean);
    let odd = [1.0, 2.0, 6.0].repeat(4);
    let season = decompose(&odd, 3, SeasonKind::Additive).unwrap();
    near(season.indices[2], 3.0);
}

#[test]
fn winters_runs_as_r_does() {
    let flat = [10.0, 20.0, 30.0, 20.0].repeat(4);
    let weights = Weights { alpha: 0.3, beta: 0.1, gamma: 0.4 };
    for kind in [SeasonKind::Additive, SeasonKind::Multiplicative] {
        let smoothed = holt_winters(&flat, 4, kind, weights).unwrap();
        let ahead = smoothed.forecast(6);
        for (found, expected) in ahead.iter().zip([10.0, 20.0, 30.0, 20.0, 10.0, 20.0]) {
            near(*found, expected);
        }
        assert!(smoothed.squared_errors < 1e-20 && smoothed.trend.abs() < 1e-12);
    }
}

#[test]
fn demand_is_classified_at_the_cuts() {
    let class = |series: &[f64]| classify(series).unwrap().map(|it| it.class.name());
    assert_eq!(class(&[4.0, 5.0, 4.0]), Some("smooth"));
    assert_eq!(class(&[1.0, 20.0, 1.0]), Some("erratic"));
    assert_eq!(class(&[0.0, 4.0, 0.0, 4.0]), Some("intermittent"));
    assert_eq!(class(&[0.0, 1.0, 0.0, 20.0, 0.0, 1.0]), Some("lumpy"));
    assert_eq!(class(&[0.0]), None);
    near(classify(&WINTERS.repeat(3)).unwrap().unwrap().cv2, 0.257582616568583);
}

#[test]
fn a_season_is_found_and_nothing_is_never_chosen_for_what_is_wanted() {
    let choice = choose(&LUNG, Some(12), 12).unwrap();
    assert!(
        ["holt-winters-additive", "holt-winters-multiplicative", "last-season"]
            .contains(&choice.method.name())
    );
    let as_last = choice.tried[0].score.root_mean_square;
    assert!(choice.score.unwrap().root_mean_square < as_last);
    assert_eq!(choice.tried.len(), 11);
    let seldom = [0.0, 0.0, 0.0, 0.0, 3.0, 0.0].repeat(6);
    let choice = choose(&seldom, None, 1).unwrap();
    assert!(0.2 < choice.ahead[0], "{choice:?}");
    let short = choose(&[4.0, 6.0], None, 3).unwrap();
    assert_eq!((short.method, short.score, short.ahead), (Method::Mean, None, vec![5.0; 3]));
}

#[test]
fn what_can_not_be_forecast_is_refused_in_words() {
    let said = |it: Result<Choice, crate::domain::statistics::StatisticsError>| {
        it.map(|_| ()).unwrap_err().to_string()
    };
    assert_eq!(said(choose(&[], None, 1)), "the number of periods is 0: it must be at least 1");
    assert_eq!(
        said(choose(&[1.0, -1.0], None, 1)),
        "a period's demand is -1: it must be zero or above"
    );
    assert!(choose(&[1.0], Some(1), 1).is_err());
    assert!(choose(&[1.0], None, 10_000).is_err());
    assert!(ses(&[1.0, f64::NAN], 0.1).is_err());
    assert!(decompose(&[0.0; 8], 4, SeasonKind::Multiplicative).is_err());
    assert!(ses(&[1e308, -1e308, 1e308], 1.0).is_err());
}

proptest! {
    #[test]
    fn a_forecast_is_a_number_and_never_below_zero(
        series in prop::collection::vec(0_u32..500, 1..80), period in 2_usize..13
    ) {
        let series: Vec<f64> = series.into_iter().map(f64::from).collect();
        let choice = choose(&series, Some(period), 24).unwrap();
        prop_assert!(choice.ahead.iter().all(|it| it.is_finite() && 0.0 <= *it));
        prop_assert!(choice.sd.is_finite() && 0.0 <= choice.sd);
        let least = choice.tried.iter().map(|it| it.score.root_mean_square).fold(f64::INFINITY, f64::min);
        prop_assert!(choice.score.is_none_or(|it| it.root_mean_square <= least * 1.02 + 1e-12));
    }

    #[test]
    fn averages_stay_within_what_was_wanted(
        series in prop::collection::vec(0_u32..50, 1..60), alpha in 0.01_f64..1.0
    ) {
        let series: Vec<f64> = series.into_iter().map(f64::from).collect();
        let most = series.iter().copied().fold(0.0, f64::max);
        let smoothed = ses(&series, alpha).unwrap().next;
        prop_assert!(-1e-9 <= smoothed && smoothed <= most + 1e-9);
        let tsb = tsb(&series, alpha, alpha).unwrap();
        prop_assert!((0.0..=1.0).contains(&tsb.chance) && tsb.size <= most + 1e-9);
        if let Some(it) = croston(&series, alpha).unwrap() {
            prop_assert!(1.0 - 1e-9 <= it.interval && it.size <= most + 1e-9);
            prop_assert!(sba(&series, alpha).unwrap() <= it.rate());
        }
    }
}
