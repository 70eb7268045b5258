//! The shop's own tables, and the formulas behind them.

use super::*;

/// A lot of which `learned` pieces were weighed together; pieces differ by `percent`.
fn lot(mean_mg: i64, percent: f64, learned: i64) -> LotMass {
    LotMass::together(mean_mg * learned, learned, percent / 100.0, &Scale::EXACT).unwrap()
}

#[test]
fn counts_are_exact_up_to_the_shops_table() {
    let table: [(f64, [i64; 4]); 3] =
        [(0.5, [117, 163, 250, 341]), (1.0, [56, 77, 114, 150]), (2.0, [26, 34, 48, 59])];
    for (percent, row) in table {
        for (learned, most) in [10, 20, 50, 100].into_iter().zip(row) {
            let found = exact_up_to(&lot(7_900, percent, learned), &Scale::EXACT, 0.99).unwrap();
            assert_eq!(found, most, "{percent} %, {learned} pieces");
        }
    }
    // A bag of 500 is right 47 times of 100 with ten pieces weighed, 82 times with fifty.
    let exact = |learned| chance_of_exact(500, &lot(5_100, 0.5, learned), &Scale::EXACT).unwrap();
    assert_eq!([exact(10), exact(50)].map(|it| (it * 100.0).round()), [47.0, 82.0]);
}

#[test]
fn a_count_says_what_it_may_be_off_by() {
    let lot = lot(5_100, 0.5, 10);
    let counted = count(408 * 5_100, &lot, &Scale { sd_mg: 50.0, step_mg: 100.0 }, 0.99).unwrap();
    assert_eq!((counted.pieces, counted.by_hand_above), (408, 117));
    assert!(counted.at_least < 408 && 408 < counted.at_most, "{counted:?}");
    let few = count(40 * 5_100 + 900, &lot, &Scale::EXACT, 0.99).unwrap();
    assert_eq!((few.pieces, few.at_least, few.at_most), (40, 40, 40));
    assert!(0.99 < few.exact && few.raw < 40.2);
    assert_eq!(count(-200, &lot, &Scale::EXACT, 0.99).unwrap().pieces, 0);
    assert!(count(1, &lot, &Scale::EXACT, 1.0).is_err());
}

#[test]
fn the_sealed_box_sees_what_the_shops_table_says() {
    let sees = |off_g: f64| (seen(off_g * 1_000.0, 69_400.0, 3.0) * 1_000.0).round() / 10.0;
    let table =
        [(7.9, 0.3), (49.2, 1.1), (118.1, 9.7), (176.0, 32.1), (140.0, 16.3), (254.0, 74.5)];
    for (off, percent) in table {
        assert_eq!(sees(off), percent, "{off} g");
    }
    assert!(0.94 < seen(318_000.0, 69_400.0, 3.0) && 0.99 < seen(370_000.0, 69_400.0, 3.0));
    // The same bolt in its bag lies 19 standard deviations off.
    assert_eq!((7.9_f64 / 0.41).floor(), 19.0);
    assert!(0.999_999 < seen(7_900.0, 410.0, 3.0));
    let grams = |sd_g: f64| smallest_seen(sd_g * 1_000.0, 3.0, 0.99).unwrap();
    assert_eq!(grams(69.4), 369_649);
    assert_eq!((grams(0.41) + 50) / 100, 22);
    assert_eq!((grams(0.13) + 50) / 100, 7);
    // A longer screw among the fasteners: seen by half; by few where the lot was never weighed.
    let mean = LotMass::new(55_080.0, 130.0, 0.0).unwrap();
    let bag = |lot| Window::of(&[Content { lot, pieces: 1 }], &[], &Scale::EXACT, 3.0).unwrap();
    let (learned, unlearned) = (bag(mean), bag(mean.unlearned(0.005).unwrap()));
    assert_eq!((unlearned.sd_mg / 10.0).round(), 30.0);
    assert_eq!((unlearned.sees(400.0) * 100.0).round(), 5.0);
    assert!((0.5..0.55).contains(&learned.sees(400.0)) && 0.999 < learned.sees(1_000.0));
    assert!((0.58..0.64).contains(&unlearned.sees(1_000.0)));
}

#[test]
fn a_bag_with_a_bolt_too_few_is_refused_and_says_which() {
    let piece = |mean: f64, sd: f64| LotMass::new(mean, sd, 0.0).unwrap();
    let contents = [
        Content { lot: piece(7_900.0, 40.0), pieces: 4 },
        Content { lot: piece(1_250.0, 12.0), pieces: 8 },
        Content { lot: piece(26_000.0, 180.0), pieces: 4 },
    ];
    let window =
        Window::of(&contents, &[(20_000.0, 90.0)], &Scale { sd_mg: 50.0, step_mg: 100.0 }, 3.0)
            .unwrap();
    assert_eq!(window.expected_mg, 165_600.0);
    assert_eq!((window.low_mg, window.high_mg), (164_444, 166_756));
    assert!(window.accepts(164_444) && !window.accepts(164_443) && !window.accepts(166_757));
    let refused = 157_700;
    assert!(!window.accepts(refused) && window.off_by(refused) < -19.0);
    let suspects = window.suspects(refused, &contents);
    assert_eq!((suspects[0].line, suspects[0].pieces, suspects[0].left_mg), (0, -1, 0.0));
    // Six of the small ones would explain it too, within the window.
    assert_eq!((suspects[1].line, suspects[1].pieces), (1, -6));
    assert_eq!(window.suspects(window.low_mg - 90_000, &contents[2..]), []);
}

#[test]
fn a_lot_is_learned_with_what_its_mean_may_be_off_by() {
    let one_by_one = LotMass::one_by_one(&[5_080, 5_100, 5_120, 5_100]).unwrap();
    assert_eq!(one_by_one.mean_mg(), 5_100.0);
    assert!((one_by_one.sd_mg() - (800.0_f64 / 3.0).sqrt()).abs() < 1e-9);
    assert!((one_by_one.mean_u_mg() - one_by_one.sd_mg() / 2.0).abs() < 1e-9);
    let scale = Scale { sd_mg: 30.0, step_mg: 60.0 };
    let together = LotMass::together(51_000, 10, 0.01, &scale).unwrap();
    let expected = (51.0_f64.powi(2) / 10.0 + (900.0 + 300.0) / 100.0).sqrt();
    assert!((together.mean_u_mg() - expected).abs() < 1e-9);
    assert!(LotMass::one_by_one(&[5_100]).is_err());
    assert!(LotMass::together(0, 10, 0.01, &scale).is_err());
}
