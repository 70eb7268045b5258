use super::breaks::Discount;
use crate::domain::statistics::{StatisticsError, at_least_zero, positive, real};
use crate::units::{Money, Quantity};

/// What a thousand pieces cost in orders of so many pieces or more.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Price {
    /// The fewest pieces for this price.
    pub from: Quantity,
    /// Of a thousand pieces, so that a bolt of 10.5 cents has a whole number too.
    pub per_thousand: Money,
}

/// What a supplier asks, and what ordering and keeping costs the shop.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Terms {
    /// The least that is sold at once.
    pub minimum_order: Quantity,
    /// Pieces in one pack; orders are whole packs.
    pub pack: Quantity,
    /// Prices from the fewest pieces to the most; the first holds for fewer pieces too. None where
    /// no price is known.
    pub prices: Vec<Price>,
    /// Which pieces of an order a lower price is for.
    pub discount: Discount,
    /// Of one order, whatever its size.
    pub order_cost: Money,
    /// Of keeping a piece for a year, in thousandths of its price.
    pub holding_per_mille: i64,
}

impl Terms {
    /// Returns the price that holds for an order of so many pieces.
    pub fn price(&self, quantity: Quantity) -> Option<Price> {
        let reached = self.prices.iter().rev().find(|it| it.from <= quantity);
        reached.or(self.prices.first()).copied()
    }

    /// Returns what an order of so many pieces costs to buy, rounded to the nearest cent.
    ///
    /// ```
    /// use kitwright::domain::reorder::{Price, Terms};
    /// use kitwright::units::{Money, Quantity};
    /// let price = Price { from: Quantity::new(1000), per_thousand: Money::from_cents(17_000) };
    /// let terms = Terms { prices: vec![price], ..Terms::default() };
    /// assert_eq!(terms.cost(Quantity::new(1500)), Some(Money::from_cents(25_500)));
    /// ```
    pub fn cost(&self, quantity: Quantity) -> Option<Money> {
        let cents = (self.mills(quantity)? + 500).div_euclid(1000);
        Some(Money::from_cents(i64::try_from(cents).unwrap_or(i64::MAX)))
    }

    /// Returns what an order of so many pieces costs to buy, in thousandths of a cent.
    fn mills(&self, quantity: Quantity) -> Option<i128> {
        let mills =
            |price: Price, pieces: i64| i128::from(price.per_thousand.cents()) * i128::from(pieces);
        match self.discount {
            Discount::AllUnits => Some(mills(self.price(quantity)?, quantity.pieces())),
            Discount::Incremental => {
                let ends = self.prices.iter().skip(1).map(|it| it.from.pieces() - 1);
                let ends = ends.chain([i64::MAX]);
                let (mut sum, mut paid) = (0, 0);
                for (price, end) in self.prices.iter().zip(ends) {
                    let up_to = quantity.pieces().min(end).max(paid);
                    sum += mills(*price, up_to - paid);
                    paid = up_to;
                }
                self.prices.first().map(|_| sum)
            }
        }
    }

    /// Returns what a year costs in orders of so many pieces, in cents: buying, ordering, keeping.
    ///
    /// # Source
    ///
    /// As [`super::PriceList::cost`]: Snyder & Shen, *Fundamentals of Supply Chain Theory*, 2nd
    /// ed., §3.4.
    pub fn yearly_cost(&self, quantity: Quantity, per_year: f64) -> Option<f64> {
        let pieces = real(quantity.pieces());
        let cents = self.mills(quantity)?;
        let cents = whole_cents(cents) / 1000.0;
        let each = cents / pieces;
        let kept = each * real(self.holding_per_mille) / 1000.0 * pieces / 2.0;
        Some(per_year * each + real(self.order_cost.cents()) * per_year / pieces + kept)
    }

    /// Returns the most whole packs up to `most` pieces that so much money buys; none where no price
    /// is known. Fewer may cost more: they may miss a lower price.
    pub(super) fn within(&self, budget: Money, most: Quantity) -> Option<Quantity> {
        let pack = self.pack.pieces().max(1);
        self.prices.first()?;
        let next = self.prices.iter().skip(1).map(|it| it.from.pieces());
        let tiers = [1].into_iter().chain(next.clone()).zip(next.chain([i64::MAX]));
        let in_tier = |(from, next): (i64, i64)| {
            let fits = |packs: i64| {
                let pieces = Quantity::new(packs.saturating_mul(pack));
                self.cost(pieces).is_none_or(|cost| cost <= budget)
            };
            let least = from.div_euclid(pack) + i64::from(from.rem_euclid(pack) != 0);
            let highest = (next - 1).min(most.pieces()).div_euclid(pack);
            // Within one price more packs cost more, so the most that fit are found by halving.
            let (mut low, mut high) = (least, highest);
            if high < low || !fits(low) {
                return None;
            }
            while low < high {
                let middle = low + (high - low + 1) / 2;
                if fits(middle) { low = middle } else { high = middle - 1 }
            }
            Some(Quantity::new(low.saturating_mul(pack)))
        };
        let found = tiers.filter_map(in_tier).max();
        Some(found.unwrap_or(Quantity::ZERO))
    }

    pub(super) fn check(&self) -> Result<(), StatisticsError> {
        at_least_zero("the minimum order", real(self.minimum_order.pieces()))?;
        positive("the pack", real(self.pack.pieces()))?;
        at_least_zero("the cost of an order", real(self.order_cost.cents()))?;
        at_least_zero("the holding cost", real(self.holding_per_mille))?;
        for price in &self.prices {
            at_least_zero("a price's quantity", real(price.from.pieces()))?;
            positive("a price", real(price.per_thousand.cents()))?;
        }
        let mut pairs = self.prices.iter().zip(self.prices.iter().skip(1));
        if pairs.any(|(low, high)| high.from <= low.from) {
            let message = "the quantities of the prices must rise";
            return Err(StatisticsError::Contradiction(message));
        }
        Ok(())
    }
}

#[expect(clippy::as_conversions, clippy::cast_precision_loss, reason = "a sum to compare by")]
const fn whole_cents(mills: i128) -> f64 {
    mills as f64
}

/// What an order must not pass.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Limits {
    /// Days after arrival within which the last piece must be used.
    pub shelf_life_days: Option<i64>,
    /// Days of demand that one order may hold.
    pub cover_days: Option<i64>,
    /// Money that the order may cost.
    pub budget: Option<Money>,
    /// Pieces that bin or container take.
    pub room: Option<Quantity>,
}

impl Limits {
    pub(super) fn check(&self) -> Result<(), StatisticsError> {
        let budget = self.budget.map(Money::cents);
        let room = self.room.map(Quantity::pieces);
        for limit in [self.shelf_life_days, self.cover_days, budget, room].into_iter().flatten() {
            at_least_zero("a limit", real(limit))?;
        }
        Ok(())
    }
}
