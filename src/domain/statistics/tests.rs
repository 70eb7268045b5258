use proptest::prelude::*;

use super::*;

fn near(found: f64, expected: f64, relative: f64) {
    let apart = (found - expected).abs();
    assert!(apart <= relative * expected.abs(), "{found} is not {expected}");
}

#[test]
fn normal_losses_agree_with_published_figures() {
    // scipy 1.17.1: norm.pdf(z) - z * norm.sf(z), norm.cdf(z).
    for (z, loss, below) in [
        (-3.0, 3.000382154317, 0.001349898032),
        (-0.5, 0.697796557402, 0.308537538726),
        (0.0, 0.398942280401, 0.5),
        (0.75, 0.131166917925, 0.773372647623),
        (1.645, 0.020885641480, 0.950015094460),
        (4.0, 7.145258431656e-06, 0.999968328758),
    ] {
        near(standard::loss(z), loss, 1e-9);
        near(standard::below(z), below, 1e-9);
    }
    // Silver, Pyke & Thomas, appendix II, table II.1: k 1.00 has G 0.0833 and 1 - F 0.1587.
    near(standard::loss(1.0), 0.0833, 5e-4);
    near(standard::above(1.0), 0.1587, 5e-4);
}

#[test]
fn quantiles_agree_with_published_figures() {
    // Tables of the normal distribution, to the digits that scipy 1.17.1 gives.
    for (level, z) in [
        (0.5, 0.0),
        (0.9, 1.281551565545),
        (0.95, 1.644853626951),
        (0.98, 2.053748910632),
        (0.999, 3.090232306168),
        (1e-12, -7.034483825302),
    ] {
        assert!((standard::quantile(level) - z).abs() < 2e-12);
    }
    assert!(standard::quantile(1e-300) < -37.0);
}

#[test]
fn poisson_agrees_with_published_figures() {
    // scipy 1.17.1: poisson.pmf, poisson.cdf; losses summed from them.
    let check = |mean: f64, stock: i64, loss: f64, left: f64| {
        let demand = Poisson::new(mean).unwrap();
        near(demand.loss(stock), loss, 1e-9);
        near(demand.left_over(stock), left, 1e-9);
    };
    check(0.5, 0, 0.5, 0.0);
    check(2.0, 5, 0.0224879922779, 3.0224879922779);
    check(6.0, 12, 0.01462197901737, 6.01462197901737);
    check(20.0, 1, 19.0 + 2.061153622438e-09, 2.061153622438e-09);
    check(20.0, 40, 4.698777288e-05, 20.00004698777);
    let level = |mean: f64, level: f64| Poisson::new(mean).unwrap().quantile(level).unwrap();
    assert_eq!(level(0.6, 0.95), 2);
    assert_eq!(level(9.0, 0.99), 17);
    assert_eq!(level(1e6, 0.5), 1_000_000);
    near(Poisson::new(6.0).unwrap().at_most(12), 0.9911725165, 1e-9);
}

#[test]
fn what_is_no_figure_is_refused_in_words() {
    let said = |it: Result<f64, StatisticsError>| it.unwrap_err().to_string();
    assert_eq!(
        said(positive("the fixed cost", -1.0)),
        "the fixed cost is -1: it must be above zero"
    );
    assert!(positive("it", f64::NAN).is_err() && positive("it", f64::INFINITY).is_err());
    assert!(share("it", 1.0).is_err() && share("it", 0.0).is_err());
    assert!(Poisson::new(0.0).is_err() && Poisson::new(1e7).is_err());
    assert!(whole_up(1e300).is_err() && whole_up(f64::NAN).is_err());
}

proptest! {
    #[test]
    fn a_quantile_is_undone_by_its_distribution(z in -8.0_f64..8.0) {
        let p = standard::below(z);
        // Above, the distribution is so flat that its last digit moves z.
        let coarse = f64::EPSILON / standard::density(z);
        prop_assert!((standard::quantile(p) - z).abs() < 1e-13 * (1.0 + z.abs()) + 4.0 * coarse);
    }

    #[test]
    fn what_exceeds_and_what_is_left_over_part_at_the_mean(mean in 0.1_f64..2000.0, stock in 0_i64..4000) {
        let poisson = Poisson::new(mean).unwrap();
        let apart = poisson.loss(stock) - poisson.left_over(stock) - (mean - real(stock));
        prop_assert!(apart.abs() < 1e-9 * (1.0 + mean));
        prop_assert!((poisson.at_most(stock) + poisson.more_than(stock) - 1.0).abs() < 1e-12);
        let normal = Normal::new(mean, mean.sqrt()).unwrap();
        let apart = normal.loss(real(stock)) - normal.left_over(real(stock)) - (mean - real(stock));
        prop_assert!(apart.abs() < 1e-9 * (1.0 + mean));
    }

    #[test]
    fn a_poisson_quantile_is_the_least_that_covers(mean in 0.01_f64..500.0, level in 0.01_f64..0.9999) {
        let poisson = Poisson::new(mean).unwrap();
        let stock = poisson.quantile(level).unwrap();
        prop_assert!(level <= poisson.at_most(stock) && poisson.at_most(stock - 1) < level);
    }
}
