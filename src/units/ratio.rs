use std::cmp::Ordering;
use std::fmt;

/// An exact fraction of two whole numbers, in lowest terms.
///
/// Every operation is checked: what would not fit answers `None`, and nothing is ever rounded but
/// where [`Rounding`] is named.
///
/// ```
/// use kitwright::units::{Ratio, Rounding};
/// let inch = Ratio::new(127, 5).expect("254/10");
/// assert_eq!(inch.decimal(1, Rounding::Nearest), "25.4");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Ratio {
    num: i128,
    den: i128,
}

/// Which neighbour a number is rounded to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// The nearer one; halves go away from zero.
    Nearest,
    /// The next one below.
    Down,
    /// The next one above.
    Up,
}

/// Beyond this, digits could no longer be written one by one within 128 bits.
const MOST: i128 = 10_i128.pow(37);

/// The most decimals that a number is written with.
const MOST_PLACES: u32 = 18;

impl Ratio {
    /// Nothing.
    pub const ZERO: Self = Self { num: 0, den: 1 };
    /// One.
    pub const ONE: Self = Self { num: 1, den: 1 };

    /// Returns `num / den`, or `None` where `den` is zero or either has more than 37 digits in
    /// lowest terms.
    pub const fn new(num: i128, den: i128) -> Option<Self> {
        let (Some(up), Some(down)) = (num.checked_abs(), den.checked_abs()) else { return None };
        if down == 0 {
            return None;
        }
        let common = gcd(up, down);
        let (up, down) = (up / common, down / common);
        if MOST < up || MOST < down {
            return None;
        }
        let num = if (num < 0) == (den < 0) { up } else { -up };
        Some(Self { num, den: down })
    }

    /// Returns a fraction that is written in the source; a wrong one does not build.
    pub(crate) const fn constant(num: i128, den: i128) -> Self {
        match Self::new(num, den) {
            Some(it) => it,
            None => panic!("a constant is a fraction of at most 37 digits"),
        }
    }

    /// Returns a whole number.
    pub fn whole(number: i64) -> Self {
        Self { num: i128::from(number), den: 1 }
    }

    /// Returns the number above the line; the sign is here.
    pub const fn numerator(self) -> i128 {
        self.num
    }

    /// Returns the number below the line, never below one.
    pub const fn denominator(self) -> i128 {
        self.den
    }

    /// Returns the sum.
    pub fn plus(self, other: Self) -> Option<Self> {
        let common = gcd(self.den, other.den);
        let left = self.num.checked_mul(other.den / common)?;
        let right = other.num.checked_mul(self.den / common)?;
        Self::new(left.checked_add(right)?, self.den.checked_mul(other.den / common)?)
    }

    /// Returns what is left of this after `other` is taken.
    pub fn less(self, other: Self) -> Option<Self> {
        self.plus(Self { num: -other.num, den: other.den })
    }

    /// Returns the product.
    pub const fn times(self, other: Self) -> Option<Self> {
        let left = gcd(self.num.abs(), other.den);
        let right = gcd(other.num.abs(), self.den);
        let Some(num) = (self.num / left).checked_mul(other.num / right) else { return None };
        let Some(den) = (self.den / right).checked_mul(other.den / left) else { return None };
        Self::new(num, den)
    }

    /// Returns the quotient; `None` for a division by zero.
    pub const fn over(self, other: Self) -> Option<Self> {
        match Self::new(other.den, other.num) {
            Some(turned) => self.times(turned),
            None => None,
        }
    }

    /// Returns the number without its sign.
    pub const fn magnitude(self) -> Self {
        Self { num: self.num.abs(), den: self.den }
    }

    /// Returns the nearest whole number of `10^-places` parts on the side that `rounding` names.
    pub fn parts(self, places: u32, rounding: Rounding) -> Option<i128> {
        let (mut parts, mut rest) = (self.num.div_euclid(self.den), self.num.rem_euclid(self.den));
        for _ in 0..places {
            rest = rest.checked_mul(10)?;
            parts = parts.checked_mul(10)?.checked_add(rest / self.den)?;
            rest %= self.den;
        }
        let up = match rounding {
            Rounding::Down => false,
            Rounding::Up => 0 < rest,
            Rounding::Nearest if self.num < 0 => self.den < rest * 2,
            Rounding::Nearest => self.den <= rest * 2,
        };
        parts.checked_add(i128::from(up))
    }

    /// Returns the decimal text with exactly `places` decimals, at most 18 of them.
    ///
    /// A number too large for that is written as a fraction, so that nothing wrong is ever shown.
    pub fn decimal(self, places: u32, rounding: Rounding) -> String {
        let places = places.min(MOST_PLACES);
        match self.parts(places, rounding) {
            Some(parts) => decimal_text(parts, places),
            None => self.to_string(),
        }
    }

    /// Returns the decimal text to `digits` significant digits, without trailing zeros.
    pub fn significant(self, digits: u32) -> String {
        let mut size = self.magnitude();
        let mut places = digits;
        while Self::ONE <= size && 0 < places {
            places -= 1;
            size = size.times(Self::constant(1, 10)).unwrap_or(Self::ZERO);
        }
        let tenth = Self::constant(1, 10);
        while Self::ZERO < size && size < tenth && places < MOST_PLACES {
            places += 1;
            size = size.times(Self::constant(10, 1)).unwrap_or(Self::ONE);
        }
        without_trailing_zeros(&self.decimal(places, Rounding::Nearest))
    }
}

/// Returns a decimal text without the zeros that say nothing.
fn without_trailing_zeros(text: &str) -> String {
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => text.to_owned(),
    }
}

fn decimal_text(parts: i128, places: u32) -> String {
    let sign = if parts < 0 { "-" } else { "" };
    let scale = 10_u128.pow(places);
    let size = parts.unsigned_abs();
    if places == 0 {
        return format!("{sign}{size}");
    }
    let width = usize::try_from(places).unwrap_or(0);
    format!("{sign}{}.{:0width$}", size / scale, size % scale)
}

const fn gcd(mut a: i128, mut b: i128) -> i128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    if a == 0 { 1 } else { a }
}

impl Ord for Ratio {
    /// Compares whole parts, then the turned-over rests, so that nothing is multiplied.
    fn cmp(&self, other: &Self) -> Ordering {
        let (mut a, mut b) = (*self, *other);
        loop {
            let wholes = a.num.div_euclid(a.den).cmp(&b.num.div_euclid(b.den));
            let (left, right) = (a.num.rem_euclid(a.den), b.num.rem_euclid(b.den));
            match (wholes, left, right) {
                (Ordering::Equal, 0, 0) => return Ordering::Equal,
                (Ordering::Equal, 0, _) => return Ordering::Less,
                (Ordering::Equal, _, 0) => return Ordering::Greater,
                (Ordering::Equal, _, _) => {
                    (a, b) = (Self { num: b.den, den: right }, Self { num: a.den, den: left });
                }
                (unequal, _, _) => return unequal,
            }
        }
    }
}

impl PartialOrd for Ratio {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Ratio {
    /// Writes the fraction: "3/2", or "5" for a whole number.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.den {
            1 => write!(f, "{}", self.num),
            _ => write!(f, "{}/{}", self.num, self.den),
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn ratio(num: i128, den: i128) -> Ratio {
        Ratio::new(num, den).expect("a fraction")
    }

    #[test]
    fn rounds_to_the_side_that_is_named() {
        for (num, den, down, nearest, up) in [
            (44_254, 1000, "44", "44", "45"),
            (5, 2, "2", "3", "3"),
            (-5, 2, "-3", "-3", "-2"),
            (7, 1, "7", "7", "7"),
            (-1, 3, "-1", "0", "0"),
        ] {
            let it = ratio(num, den);
            assert_eq!(it.decimal(0, Rounding::Down), down, "{it}");
            assert_eq!(it.decimal(0, Rounding::Nearest), nearest, "{it}");
            assert_eq!(it.decimal(0, Rounding::Up), up, "{it}");
        }
        assert_eq!(ratio(1, 3).decimal(3, Rounding::Up), "0.334");
        assert_eq!(ratio(5, 127).significant(15), "0.0393700787401575");
        assert_eq!(ratio(7500, 127).significant(15), "59.0551181102362");
        assert_eq!(ratio(3, 2).significant(15), "1.5");
        assert_eq!(ratio(1200, 1).significant(15), "1200");
    }

    #[test]
    fn what_does_not_fit_is_none() {
        assert_eq!(Ratio::new(1, 0), None);
        assert_eq!(Ratio::ONE.over(Ratio::ZERO), None);
        let huge = ratio(MOST, 1);
        assert_eq!(huge.plus(huge), None);
        assert_eq!(huge.times(huge), None);
        assert_eq!(Ratio::new(i128::MIN, 1), None);
    }

    proptest! {
        #[test]
        fn order_and_sums_agree_with_cross_multiplication(
            a in -1_000_000_i128..1_000_000, b in 1_i128..1_000_000,
            c in -1_000_000_i128..1_000_000, d in 1_i128..1_000_000,
        ) {
            let (left, right) = (ratio(a, b), ratio(c, d));
            prop_assert_eq!(left.cmp(&right), (a * d).cmp(&(c * b)));
            prop_assert_eq!(left.plus(right), Ratio::new(a * d + c * b, b * d));
            prop_assert_eq!(left.times(right), Ratio::new(a * c, b * d));
            prop_assert_eq!(left.plus(right).and_then(|it| it.less(right)), Some(left));
        }

        #[test]
        fn down_and_up_enclose_the_number(a in any::<i64>(), b in 1_i64.., places in 0_u32..6) {
            let it = ratio(a.into(), b.into());
            let scale = 10_i128.pow(places);
            let down = ratio(it.parts(places, Rounding::Down).expect("it fits"), scale);
            let up = ratio(it.parts(places, Rounding::Up).expect("it fits"), scale);
            prop_assert!(down <= it && it <= up);
            prop_assert!(up.less(down).expect("it fits") <= ratio(1, scale));
        }
    }
}
