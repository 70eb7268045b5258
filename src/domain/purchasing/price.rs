use std::fmt;

use crate::units::{Money, Quantity};

/// What a supplier asks: whole cents for so many pieces, since a bolt may cost 10.5 cents.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UnitPrice {
    amount: Money,
    per: Quantity,
}

impl UnitPrice {
    /// Returns the price of `amount` for `per` pieces; for one piece where `per` is none.
    pub fn new(amount: Money, per: Quantity) -> Self {
        Self { amount, per: if per.is_some() { per } else { Quantity::ONE } }
    }

    /// Returns the price of one piece.
    pub fn each(amount: Money) -> Self {
        Self { amount, per: Quantity::ONE }
    }

    /// Returns the price of a thousand pieces, said for as few pieces as whole cents allow: one, ten,
    /// a hundred or a thousand.
    ///
    /// ```
    /// use kitwright::domain::purchasing::UnitPrice;
    /// use kitwright::units::{Money, Quantity};
    /// let price = UnitPrice::per_thousand(Money::from_cents(10_500));
    /// assert_eq!(price.to_string(), "1.05 for 10");
    /// assert_eq!(price.cost(Quantity::new(10_000)), Some(Money::from_cents(105_000)));
    /// ```
    pub fn per_thousand(amount: Money) -> Self {
        let cents = amount.cents();
        let fits = |per: &&i64| cents % (1000 / **per) == 0;
        let per = [1, 10, 100].iter().find(fits).copied().unwrap_or(1000);
        Self { amount: Money::from_cents(cents / (1000 / per)), per: Quantity::new(per) }
    }

    /// Returns the cents.
    pub const fn amount(self) -> Money {
        self.amount
    }

    /// Returns the pieces that the cents are for.
    pub const fn per(self) -> Quantity {
        self.per
    }

    /// Returns what so many pieces cost, to the nearest cent and half a cent up; `None` where no
    /// books could hold it.
    pub fn cost(self, quantity: Quantity) -> Option<Money> {
        let per = i128::from(self.per.pieces());
        let all = i128::from(self.amount.cents()) * i128::from(quantity.pieces());
        let cents = (2 * all + per).div_euclid(2 * per);
        i64::try_from(cents).ok().map(Money::from_cents)
    }
}

impl fmt::Display for UnitPrice {
    /// Writes "0.17" or "1.05 for 10".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let cents = self.amount.cents();
        let sign = if cents < 0 { "-" } else { "" };
        let cents = cents.unsigned_abs();
        write!(f, "{sign}{}.{:02}", cents / 100, cents % 100)?;
        if self.per == Quantity::ONE { Ok(()) } else { write!(f, " for {}", self.per) }
    }
}
