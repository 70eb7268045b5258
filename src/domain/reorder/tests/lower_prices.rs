use super::*;

#[test]
fn a_lower_price_counts_under_every_policy_but_a_maximum() {
    let by = |policy, discount| {
        let terms = Terms { discount, ..pinch_bolt().terms };
        let part = PartToOrder { policy, terms, on_hand: Quantity::new(540), ..pinch_bolt() };
        let advice = suggestion(&part).unwrap();
        (advice.quantity.pieces(), advice.binding)
    };
    let bins = Policy::TwoBins { level: 0.999, bin: Quantity::new(1600) };
    assert_eq!(by(bins, Discount::AllUnits), (10_000, Binding::PriceBreak));
    let set =
        Policy::AsSet { reorder_point: Quantity::new(1438), order_quantity: Quantity::new(1000) };
    assert_eq!(by(set, Discount::AllUnits), (10_000, Binding::PriceBreak));
    let most = Policy::MinMax { minimum: Quantity::new(600), maximum: Quantity::new(3000) };
    assert_eq!(by(most, Discount::AllUnits), (2600, Binding::Need));
    // Once, a larger order pays only where all of it costs less: 4,600 at 0.17 are 782, 5,000 at
    // 0.12 are 600.
    let once = |mean| Policy::SeasonBuy { mean, sd: 1.0, stakes: Stakes { over: 1.0, under: 1.0 } };
    assert_eq!(by(once(5000.0), Discount::AllUnits), (5000, Binding::PriceBreak));
    assert_eq!(by(once(3000.0), Discount::AllUnits), (2600, Binding::Need));
    assert_eq!(by(once(5000.0), Discount::Incremental), (4600, Binding::Need));
    // 4,999 at 0.17 and 1,001 at 0.12.
    let terms = Terms { discount: Discount::Incremental, ..pinch_bolt().terms };
    assert_eq!(terms.cost(Quantity::new(6000)), Some(Money::from_cents(96_995)));
    assert_eq!(terms.cost(Quantity::new(1500)), Some(Money::from_cents(25_500)));
}
