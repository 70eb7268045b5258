use std::collections::BTreeMap;

use chrono::NaiveDate;
use proptest::prelude::*;

use super::*;
use crate::domain::statistics::{Normal, Poisson};
use crate::units::{Money, Quantity};

mod lower_prices;

fn near(found: f64, expected: f64, relative: f64) {
    let apart = (found - expected).abs();
    assert!(apart <= relative * expected.abs().max(1e-12), "{found} is not {expected}");
}

fn economy(fixed_cost: f64, holding_cost: f64, demand_rate: f64) -> Economy {
    Economy { fixed_cost, holding_cost, demand_rate }
}

fn list(steps: &[(f64, f64)], discount: Discount, costs: (f64, f64, f64)) -> PriceList {
    let steps = steps.iter().map(|(from, unit_cost)| Step { from: *from, unit_cost: *unit_cost });
    PriceList::new(steps.collect(), discount, costs).unwrap()
}

#[test]
fn economic_quantities_agree_with_the_textbook() {
    // Snyder & Shen, 2nd ed., example 3.8 and problem 3.22.
    let (lot, waits) = economy(8.0, 0.225, 1300.0).lot_with_backorders(5.0).unwrap();
    near(lot.quantity, 310.8126, 1e-6);
    near(lot.cost, 66.92136, 1e-6);
    near(waits, 0.0430622, 1e-6);
    let run = economy(4.0, 0.08, 80.0).run(110.0).unwrap();
    near(run.quantity, 171.2698, 1e-6);
    near(run.cost, 3.736795, 1e-6);
    assert_eq!(economy(8.0, 0.225, 1300.0).whole_lot().unwrap().0, 304);
    assert!(economy(4.0, 0.08, 80.0).run(80.0).is_err());
}

#[test]
fn price_breaks_agree_with_the_textbook_and_the_whole_best_with_a_search() {
    let steps = [(0.0, 0.75), (400.0, 0.72), (800.0, 0.68)];
    let costs = (8.0, 0.3, 1300.0);
    // Snyder & Shen, 2nd ed., example 3.5 and its data with an incremental discount.
    let incremental = list(&steps, Discount::Incremental, costs);
    let lot = incremental.lot().unwrap();
    near(lot.quantity, 304.04678, 1e-6);
    near(lot.cost, 1043.410526, 1e-6);
    for discount in [Discount::AllUnits, Discount::Incremental] {
        let list = list(&steps, discount, costs);
        let (whole, cost) = list.whole_lot().unwrap();
        let best = (1..5000_i32).map(|it| list.cost(f64::from(it))).fold(f64::INFINITY, f64::min);
        near(cost, best, 1e-12);
        near(cost, list.cost(crate::domain::statistics::real(whole)), 1e-12);
    }
}

#[test]
fn joint_orders_agree_with_the_textbook() {
    // Silver, Pyke & Peterson, 3rd ed., p. 428.
    let members = [86_000.0, 12_500.0, 1_400.0, 3_000.0].map(|it| economy(15.0, 0.24, it));
    let joint = joint_order(40.0, &members).unwrap();
    assert_eq!(joint.multiples, [1, 1, 4, 3]);
    near(joint.interval, 0.07617340, 1e-6);
    near(joint.cost, 2067.650841, 1e-6);
    assert!(joint_order(40.0, &[]).is_err());
}

#[test]
fn season_buys_agree_with_the_textbook_and_the_shop() {
    // Snyder & Shen, 2nd ed., problems 4.3(b), 4.8(a), 4.7(b).
    let trade = Trade { revenue: 7.0, purchase_cost: 2.5, salvage_value: 1.5 };
    let (stock, profit) = newsvendor_profit(trade, Normal::new(50.0, 10.0).unwrap()).unwrap();
    near(stock, 59.08457869, 1e-6);
    near(profit, 210.4768083, 1e-6);
    let stakes = Stakes { over: 200.0, under: 270.0 };
    let (stock, cost) = newsvendor_poisson(stakes, Poisson::new(18.0).unwrap()).unwrap();
    assert_eq!(stock, 19);
    near(cost, 786.0884, 1e-6);
    let chances = [0.25, 0.05, 0.1, 0.2, 0.15, 0.1, 0.1, 0.05];
    let chances: BTreeMap<i64, f64> = (1..).zip(chances).collect();
    let stakes = Stakes { over: 0.5, under: 1.0 };
    let (stock, cost) = newsvendor_discrete(stakes, &chances).unwrap();
    assert_eq!(stock, 5);
    near(cost, 1.225, 1e-9);
    // Green frames of size M: 171 ± 38, 364 lost by one short and 91 by one left over.
    let stakes = Stakes { over: 91.0, under: 364.0 };
    let frames = newsvendor_normal(stakes, Normal::new(171.0, 38.0).unwrap()).unwrap();
    assert_eq!(frames.stock.round(), 203.0);
}

#[test]
fn reorder_points_and_quantities_agree_with_the_textbook() {
    // Snyder & Shen, 2nd ed., example 5.1: 1,300 ± 150 a year, a month of lead time.
    let demand = Normal::new(1300.0, 150.0).unwrap().over(1.0 / 12.0).unwrap();
    let candy = Watched::new(economy(8.0, 0.225, 1300.0), 7.5, demand).unwrap();
    let check = |by, point: f64, quantity: f64| {
        let rule = candy.rule(by).unwrap();
        near(rule.reorder_point, point, 1e-5);
        near(rule.quantity, quantity, 1e-5);
        candy.cost(rule).unwrap()
    };
    check(Approximation::LossFunction, 126.867, 328.449);
    check(Approximation::ExpectedLevel, 213.970, 318.590);
    near(check(Approximation::WithBackorders, 128.638, 308.574), 78.20243, 1e-6);
    // Snyder & Shen, problem 5.2.
    let best =
        |costs, short, mean| best_rule_poisson(costs, short, Poisson::new(mean).unwrap()).unwrap();
    let (point, quantity, cost) = best(economy(4.0, 4.0, 12.0), 28.0, 6.0);
    assert_eq!((point, quantity), (6, 7));
    near(cost, 28.24131284, 1e-8);
}

#[test]
fn reviewed_stocks_agree_with_the_textbook() {
    // Snyder & Shen, 2nd ed., problem 4.32.
    let stakes = Stakes { over: 2.0, under: 36.0 };
    let demand = Normal::new(190.0, 48.0).unwrap();
    let rule = power_approximation(60.0, stakes, demand).unwrap();
    near(rule.reorder_point, 226.6137928, 1e-8);
    near(rule.up_to, 324.3797868, 1e-8);
    let tiny = best_up_to_poisson(1.0, stakes, Poisson::new(1e-9).unwrap());
    assert!(tiny.is_ok_and(|(rule, _)| rule.reorder_point < rule.up_to));
    assert!(best_up_to_poisson(1e12, stakes, Poisson::new(5.0).unwrap()).is_err());
}

fn periods(demand: &[i64], fixed_cost: f64, holding_cost: f64) -> Vec<Period> {
    let of =
        |demand: &i64| Period { demand: *demand, fixed_cost, holding_cost, purchase_cost: 0.0 };
    demand.iter().map(of).collect()
}

#[test]
fn lot_sizes_agree_with_the_textbook() {
    // Silver, Pyke & Peterson, 3rd ed., the twelve months of chapter 6: 501.20 by both ways.
    let months = [10, 62, 12, 130, 154, 129, 88, 52, 124, 160, 238, 41];
    let months = periods(&months, 54.0, 0.4);
    near(wagner_whitin(&months).unwrap().cost, 501.2, 1e-12);
    let plan = silver_meal(&months).unwrap();
    near(plan.cost, 501.2, 1e-12);
    assert_eq!(plan.quantities, [84, 0, 0, 130, 283, 0, 140, 0, 124, 160, 279, 0]);
    // Snyder & Shen, 2nd ed., problems 3.27 and 3.29.
    near(wagner_whitin(&periods(&[150, 100, 80, 200], 120.0, 0.8)).unwrap().cost, 424.0, 1e-12);
    let plan = wagner_whitin(&periods(&[730, 580, 445, 650, 880], 100.0, 0.1)).unwrap();
    assert_eq!(plan.quantities, [1310, 0, 1095, 0, 880]);
    let nothing = silver_meal(&periods(&[0, 0, 5, 0], 9.0, 1.0)).unwrap();
    assert_eq!(nothing.quantities, [0, 0, 5, 0]);
}

#[test]
fn service_levels_agree_with_published_figures() {
    // scipy 1.17.1: brentq on sd * G(z) = (1 - fill) * Q.
    let supply = Supply { demand: 100.0, demand_sd: 30.0, lead_time: 4.0, lead_time_sd: 0.5 };
    let point = supply.by_fill_rate(0.95, 400.0).unwrap();
    near(point.lead_demand.sd, 78.10249676, 1e-9);
    near(point.z, 0.3283717933, 1e-9);
    near(point.reorder_point, 425.6466569, 1e-9);
    let (point, reached) = poisson_reorder_point(Poisson::new(1.6).unwrap(), 0.9).unwrap();
    assert_eq!(point, 3);
    near(reached, 0.9211865128, 1e-9);
    let stock = base_stock(Poisson::new(6.0).unwrap(), 9).unwrap();
    near(stock.fill_rate, 0.847237494, 1e-8);
    near(stock.backorders, 0.1612588831, 1e-8);
    near(stock.on_hand, 3.161258883, 1e-8);
}

#[test]
fn parts_are_ranked_by_both_rules() {
    let ranked = rank_by_spend(&[10.0, 80.0, 5.0, 5.0], (0.8, 0.95)).unwrap();
    let classes: Vec<_> = ranked
        .iter()
        .map(|it| (it.at, it.by_share_before.name(), it.by_share_after.name()))
        .collect();
    assert_eq!(classes, [(1, "A", "A"), (0, "B", "B"), (2, "B", "B"), (3, "C", "C")]);
    assert_eq!(rank_by_spend(&[96.0, 4.0], (0.8, 0.95)).unwrap()[0].by_share_after, Abc::C);
    assert!(rank_by_spend(&[0.0], (0.8, 0.95)).is_err());
    let class = |mean, sd| steadiness(mean, sd, XYZ_CUTS).unwrap().name();
    assert_eq!(
        [class(10.0, 5.0), class(10.0, 5.1), class(10.0, 10.1), class(0.0, 0.0)],
        ["X", "Y", "Z", "Z"]
    );
}

#[test]
fn frames_for_october_are_ordered_in_june() {
    let day = |month, day| NaiveDate::from_ymd_opt(2026, month, day).unwrap();
    let frames = LeadTime { days: 98.0, sd: 14.0 };
    assert_eq!(frames.last_day_to_order(day(10, 1), 0.95, &[]), Ok(day(6, 2)));
    let late = frames.chance_of_being_late(day(6, 14), day(10, 1), &[]).unwrap();
    assert_eq!((100.0 * late).round(), 22.0);
    let closed = [Closing { from: day(9, 1), until: day(9, 7) }];
    assert_eq!(frames.last_day_to_order(day(10, 1), 0.95, &closed), Ok(day(5, 26)));
    let forever = [Closing { from: NaiveDate::MIN, until: NaiveDate::MAX }];
    assert!(arrival(day(1, 1), 1, &forever).is_err());
}

fn price(from: i64, cents: i64) -> Price {
    Price { from: Quantity::new(from), per_thousand: Money::from_cents(cents) }
}

/// The pinch bolt at the peak of the season.
fn pinch_bolt() -> PartToOrder {
    PartToOrder {
        on_hand: Quantity::new(1476),
        needed: Quantity::new(40),
        on_order: Quantity::ZERO,
        supply: Supply { demand: 35.4, demand_sd: 15.93, lead_time: 21.0, lead_time_sd: 6.0 },
        per_year: 4991.0,
        policy: Policy::ReorderPoint(Service::Cycle(0.999)),
        terms: Terms {
            minimum_order: Quantity::new(1000),
            pack: Quantity::new(200),
            prices: vec![price(1000, 17_000), price(5000, 12_000), price(10_000, 10_500)],
            discount: Discount::AllUnits,
            order_cost: Money::from_cents(2400),
            holding_per_mille: 200,
        },
        limits: Limits::default(),
    }
}

fn check(part: &PartToOrder, quantity: i64, binding: Binding, because: &str) {
    let advice = suggestion(part).unwrap();
    assert_eq!(advice.because, because);
    assert_eq!((advice.quantity.pieces(), advice.binding), (quantity, binding));
}

const START: &str = "1476 on hand − 40 needed + 0 on order = 1436, at or below the reorder point 1438 \
                     (743.4 expected in 21 ± 6 days and 694.6 for safety, for 99.9 % of waits without \
                     a stock-out); ";

#[test]
fn a_budget_is_not_passed_where_whole_packs_miss_a_lower_price() {
    let mut part = pinch_bolt();
    part.limits.budget = Some(Money::from_cents(7156));
    part.terms.minimum_order = Quantity::ZERO;
    part.terms.pack = Quantity::new(383);
    // The money buys 2000 at the lower price, of which 1915 are whole packs: too few for it. So one
    // pack is bought, which ends the lack.
    part.terms.prices = vec![price(1, 4770), price(2000, 3578)];
    let advice = suggestion(&part).unwrap();
    assert_eq!((advice.quantity.pieces(), advice.binding), (383, Binding::Budget));
}

#[test]
fn each_suggestion_says_what_binds_it() {
    let mut part = pinch_bolt();
    let said = |rest: &str| format!("{START}{rest}");
    check(
        &part,
        10_000,
        Binding::PriceBreak,
        &said(
            "10000 is 50 × 200, at 105 a thousand, which costs 641.03 a year against 985.25 in \
             orders of 1000; that is 2.0 years of demand.",
        ),
    );
    part.limits.cover_days = Some(540);
    check(
        &part,
        5000,
        Binding::Cover,
        &said(
            "5000 is 25 × 200, not 10000: an order holds 540 days of demand at most; that is 1.0 years of \
             demand.",
        ),
    );
    part.limits.budget = Some(Money::from_cents(50_000));
    check(
        &part,
        2800,
        Binding::Budget,
        &said(
            "2800 is 14 × 200, not 5000: the budget of 500 buys no more; that is 0.6 years of demand.",
        ),
    );
    part.limits.room = Some(Quantity::new(900));
    check(
        &part,
        0,
        Binding::Room,
        &said("nothing is ordered: there is room for 900, and the supplier sells 1000 at least."),
    );
    part.limits = Limits { shelf_life_days: Some(60), ..Limits::default() };
    check(
        &part,
        1000,
        Binding::ShelfLife,
        &said(
            "1000 is 5 × 200, not 10000: more would not be used within 60 days of arrival, and no \
             fewer end the lack; that is 0.2 years of demand.",
        ),
    );
}

#[test]
fn each_policy_says_when_and_up_to_what() {
    let by = |policy, on_hand| {
        let terms = Terms { prices: vec![price(1000, 17_000)], ..pinch_bolt().terms };
        let on_hand = Quantity::new(on_hand);
        let part = PartToOrder { policy, on_hand, terms, ..pinch_bolt() };
        let advice = suggestion(&part).unwrap();
        (advice.rule.reorder_point.pieces(), advice.quantity.pieces(), advice.binding)
    };
    let set = |reorder_point, order_quantity| Policy::AsSet {
        reorder_point: Quantity::new(reorder_point),
        order_quantity: Quantity::new(order_quantity),
    };
    assert_eq!(by(set(500, 1500), 600), (500, 0, Binding::Enough));
    assert_eq!(by(set(500, 1500), 540), (500, 1600, Binding::OrderQuantity));
    assert_eq!(by(set(500, 0), 540), (500, 1000, Binding::MinimumOrder));
    assert_eq!(by(set(2500, 0), 540), (2500, 2200, Binding::Need));
    assert_eq!(by(set(0, 0), 40), (0, 0, Binding::Enough));
    assert_eq!(by(set(0, 0), 39), (0, 1000, Binding::MinimumOrder));
    let policy = Policy::MinMax { minimum: Quantity::new(500), maximum: Quantity::new(3000) };
    assert_eq!(by(policy, 540), (500, 2600, Binding::Need));
    let policy = Policy::TwoBins { level: 0.999, bin: Quantity::new(1600) };
    assert_eq!(by(policy, 1640), (1600, 1600, Binding::OrderQuantity));
    let policy = Policy::Review { level: 0.98, days: 7 };
    assert_eq!(by(policy, 640), (1460, 1000, Binding::MinimumOrder));
    let stakes = Stakes { over: 91.0, under: 364.0 };
    let policy = Policy::SeasonBuy { mean: 1710.0, sd: 380.0, stakes };
    assert_eq!(by(policy, 40), (2029, 2200, Binding::Need));
    let policy = Policy::ReorderPoint(Service::Fill(0.98));
    assert_eq!(by(policy, 640).0, 822);
}

#[test]
fn a_slow_part_is_ordered_one_for_one() {
    let part = PartToOrder {
        on_hand: Quantity::new(3),
        needed: Quantity::ZERO,
        supply: Supply {
            demand: 0.05,
            demand_sd: 0.05_f64.sqrt(),
            lead_time: 35.0,
            lead_time_sd: 0.0,
        },
        per_year: 18.0,
        policy: Policy::OneForOne { fill: 0.95 },
        terms: Terms { pack: Quantity::ONE, ..Terms::default() },
        ..pinch_bolt()
    };
    check(
        &part,
        2,
        Binding::Need,
        "3 on hand − 0 needed + 0 on order = 3, at or below the reorder point 4 (a base stock of 5: \
         1.8 expected in 35 ± 0 days, and 96.71 % of demand is filled at once); 2 is 2 × 1, as many as \
         are lacking; that is 0.1 years of demand.",
    );
    let policy = Policy::ReorderPoint(Service::Cycle(0.95));
    let advice = suggestion(&PartToOrder { policy, ..part }).unwrap();
    assert_eq!(advice.rule.reorder_point, Quantity::new(4), "{}", advice.because);
}

fn any_part() -> impl Strategy<Value = PartToOrder> {
    let stock = (0_i64..5000, 0_i64..2000, 0_i64..2000);
    let supply = (0.0_f64..100.0, 0.0_f64..50.0, 0.0_f64..100.0, 0.0_f64..20.0);
    let service = prop_oneof![
        (0.5_f64..0.9999).prop_map(Service::Cycle),
        (0.5_f64..0.9999).prop_map(Service::Fill)
    ];
    let policy = prop_oneof![
        service.prop_map(Policy::ReorderPoint),
        (0.5_f64..0.9999, 1_i64..60).prop_map(|(level, days)| Policy::Review { level, days }),
        (0_i64..3000, 0_i64..3000).prop_map(|(least, most)| Policy::MinMax {
            minimum: Quantity::new(least),
            maximum: Quantity::new(most)
        }),
        (0.5_f64..0.9999, 1_i64..3000)
            .prop_map(|(level, bin)| Policy::TwoBins { level, bin: Quantity::new(bin) }),
    ];
    let terms = (0_i64..2000, 1_i64..500, 1_i64..30_000, 0_i64..5000, 0_i64..500, any::<bool>());
    let limits = (
        prop::option::of(0_i64..800),
        prop::option::of(0_i64..800),
        prop::option::of(0_i64..500_000),
        prop::option::of(0_i64..9000),
    );
    let terms = terms.prop_map(|(minimum, pack, cents, order, keep, on_all)| Terms {
        discount: if on_all { Discount::AllUnits } else { Discount::Incremental },
        minimum_order: Quantity::new(minimum),
        pack: Quantity::new(pack),
        prices: vec![price(1, cents), price(2000, cents * 3 / 4 + 1), price(9000, cents / 2 + 1)],
        order_cost: Money::from_cents(order),
        holding_per_mille: keep,
    });
    let limits = limits.prop_map(|(shelf_life_days, cover_days, budget, room)| Limits {
        shelf_life_days,
        cover_days,
        budget: budget.map(Money::from_cents),
        room: room.map(Quantity::new),
    });
    (stock, supply, policy, terms, limits, 0.0_f64..9000.0).prop_map(
        |((on_hand, needed, on_order), supply, policy, terms, limits, per_year)| PartToOrder {
            on_hand: Quantity::new(on_hand),
            needed: Quantity::new(needed),
            on_order: Quantity::new(on_order),
            supply: Supply {
                demand: supply.0,
                demand_sd: supply.1,
                lead_time: supply.2,
                lead_time_sd: supply.3,
            },
            per_year,
            policy,
            terms,
            limits,
        },
    )
}

/// Returns the least cost over all plans, by trying every set of periods that have an order.
fn by_search(periods: &[Period]) -> f64 {
    let plan = |orders: u32| {
        let mut quantities = vec![0; periods.len()];
        let mut open = 0;
        for (at, period) in periods.iter().enumerate() {
            if orders >> at & 1 == 1 {
                open = at;
            }
            quantities[open] += period.demand;
        }
        plan_cost(periods, &quantities).unwrap()
    };
    (0..1_u32 << periods.len()).map(plan).fold(f64::INFINITY, f64::min)
}

proptest! {
    #[test]
    fn an_order_is_whole_packs_within_its_limits_and_ends_the_lack(part in any_part()) {
        let advice = suggestion(&part).unwrap();
        let (quantity, terms, limits) = (advice.quantity, &part.terms, part.limits);
        prop_assert_eq!(quantity.in_packs_of(terms.pack), quantity);
        prop_assert!(!advice.because.contains("NaN") && !advice.because.contains("inf"));
        if quantity.is_some() {
            prop_assert!(terms.minimum_order <= quantity);
            prop_assert!(limits.room.is_none_or(|it| quantity <= it));
            prop_assert!(limits.budget.is_none_or(|it| terms.cost(quantity).unwrap() <= it));
        }
        let hard = matches!(advice.binding, Binding::Budget | Binding::Room | Binding::Enough);
        prop_assert!(hard || advice.rule.reorder_point < advice.supply.plus(quantity));
        prop_assert_eq!(advice.binding == Binding::Enough, advice.rule.reorder_point < advice.supply
            || advice.rule.reorder_point == Quantity::ZERO && Quantity::ZERO <= advice.supply);
    }

    #[test]
    fn a_reorder_point_grows_with_service_and_lead_time(
        demand in 0.0_f64..100.0, sd in 0.01_f64..50.0, lead in 0.1_f64..100.0, lead_sd in 0.0_f64..20.0,
        level in 0.5_f64..0.999, more in 0.0_f64..0.9
    ) {
        let supply = Supply { demand, demand_sd: sd, lead_time: lead, lead_time_sd: lead_sd };
        let longer = Supply { lead_time: lead * (1.0 + more), ..supply };
        let higher = level + (0.9999 - level) * more;
        let point = |supply: &Supply, level| supply.by_cycle_service(level).unwrap().reorder_point;
        prop_assert!(point(&supply, level) <= point(&supply, higher) + 1e-9);
        prop_assert!(point(&supply, level) <= point(&longer, level) + 1e-9);
        let fill = |level| supply.by_fill_rate(level, 50.0).unwrap().reorder_point;
        prop_assert!(fill(level) <= fill(higher) + 1e-9);
    }

    #[test]
    fn no_plan_is_cheaper_than_the_best(
        demand in prop::collection::vec(0_i64..60, 1..9), fixed in 0_i32..200, keep in 0_i32..40
    ) {
        let periods = periods(&demand, f64::from(fixed), f64::from(keep) / 8.0);
        let best = wagner_whitin(&periods).unwrap();
        let rule = silver_meal(&periods).unwrap();
        prop_assert!(best.cost <= rule.cost + 1e-9);
        prop_assert!((best.cost - by_search(&periods)).abs() < 1e-9);
        let total: i64 = demand.iter().sum();
        prop_assert_eq!(best.quantities.iter().sum::<i64>(), total);
        prop_assert_eq!(rule.quantities.iter().sum::<i64>(), total);
    }

    #[test]
    fn the_best_rules_are_no_worse_than_their_neighbours(
        fixed in 1.0_f64..100.0, keep in 0.1_f64..10.0, rate in 0.5_f64..200.0, short in 1.0_f64..100.0,
        lead in 0.05_f64..30.0
    ) {
        let economy = economy(fixed, keep, rate);
        let demand = Poisson::new(lead).unwrap();
        let (point, quantity, cost) = best_rule_poisson(economy, short, demand).unwrap();
        let cost_of = |point: i64, quantity: i64| {
            let levels = point + 1..=point + quantity;
            let each = |it| keep * demand.left_over(it) + short * demand.loss(it);
            let sum: f64 = levels.map(each).sum();
            (fixed * rate + sum) / crate::domain::statistics::real(quantity)
        };
        prop_assert!((cost - cost_of(point, quantity)).abs() <= 1e-9 * cost);
        for (dr, dq) in [(-1, 0), (1, 0), (0, 1), (-1, 1), (1, -1), (0, -1)] {
            if 0 < quantity + dq {
                prop_assert!(cost <= cost_of(point + dr, quantity + dq) + 1e-9 * cost);
            }
        }
    }
}
