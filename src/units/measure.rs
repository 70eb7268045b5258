//! Measures that are a decimal number of a unit in files and on screens, and a whole number of a
//! small part of it within.

use std::fmt;

use super::{UnitError, decimal, write_decimal};

/// Defines a measure: its type, the base unit it is kept in, and the unit it is read and written in.
macro_rules! measure {
    (
        $(#[$doc:meta])* $name:ident,
        base: $base:ident, from: $from:ident, base_words: $base_words:literal,
        parse: $parse:ident, places: $places:literal, suffix: $suffix:literal,
        expected: $expected:literal
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[derive(diesel::AsExpression, diesel::FromSqlRow)]
        #[diesel(sql_type = diesel::sql_types::BigInt)]
        pub struct $name(i64);

        impl $name {
            /// Nothing.
            pub const ZERO: Self = Self(0);

            #[doc = concat!("Returns the measure of that many ", $base_words, ".")]
            pub const fn $from(value: i64) -> Self {
                Self(value)
            }

            #[doc = concat!("Returns the whole number of ", $base_words, ".")]
            pub const fn $base(self) -> i64 {
                self.0
            }

            /// Returns this and `more` together, held at the ends of the number range.
            pub const fn plus(self, more: Self) -> Self {
                Self(self.0.saturating_add(more.0))
            }

            /// Returns this without `less`, which may be below nothing; held at the ends of the
            /// number range.
            pub const fn less(self, less: Self) -> Self {
                Self(self.0.saturating_sub(less.0))
            }

            /// Returns this as often as `count` says, held at the ends of the number range.
            pub const fn times(self, count: i64) -> Self {
                Self(self.0.saturating_mul(count))
            }

            #[doc = concat!("Returns the measure of a text that is ", $expected, ".")]
            ///
            /// # Errors
            ///
            /// [`UnitError`] when the text is no plain number, or is finer than the base unit.
            pub fn $parse(text: &str) -> Result<Self, UnitError> {
                decimal(text, $places, $expected).map(Self)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write_decimal(f, self.0, $places)?;
                f.write_str($suffix)
            }
        }

        impl From<i64> for $name {
            fn from(value: i64) -> Self {
                Self(value)
            }
        }

        impl AsRef<i64> for $name {
            fn as_ref(&self) -> &i64 {
                &self.0
            }
        }
    };
}

measure! {
    /// A mass in whole milligrams; read and written in grams.
    Mass,
    base: milligrams, from: from_milligrams, base_words: "milligrams",
    parse: parse_grams, places: 3, suffix: " g",
    expected: "a number of grams, such as 3480 or 0.44"
}

measure! {
    /// A length in whole micrometres; read and written in millimetres.
    Length,
    base: micrometres, from: from_micrometres, base_words: "micrometres",
    parse: parse_millimetres, places: 3, suffix: " mm",
    expected: "a number of millimetres, such as 980 or 22.2"
}

measure! {
    /// An amount of money in whole cents; read and written in units of the shop's currency.
    Money,
    base: cents, from: from_cents, base_words: "cents",
    parse: parse_units, places: 2, suffix: "",
    expected: "an amount with at most two decimals, such as 318 or 0.17"
}

measure! {
    /// An angle in whole hundredths of a degree; read and written in degrees.
    Angle,
    base: hundredths, from: from_hundredths, base_words: "hundredths of a degree",
    parse: parse_degrees, places: 2, suffix: "°",
    expected: "a number of degrees, such as 45 or 36.5"
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, milligrams: Option<i64>) {
        let read = Mass::parse_grams(text).ok();
        assert_eq!(read.map(Mass::milligrams), milligrams, "{text}");
    }

    #[test]
    fn reads_whole_parts_of_the_base_unit_and_nothing_finer() {
        check("3480", Some(3_480_000));
        check("0.44", Some(440));
        check("7.9", Some(7_900));
        check("0.0005", None);
        check("-1", None);
        check("1,5", None);
        check("1e3", None);
        check("", None);
        check("9999999999999999999", None);
    }

    #[test]
    fn writes_what_reads_back() {
        for milligrams in [0, 1, 440, 7_900, 3_480_000] {
            let text = Mass::from_milligrams(milligrams).to_string();
            let number = text.strip_suffix(" g").expect("grams");
            assert_eq!(Mass::parse_grams(number).ok().map(Mass::milligrams), Some(milligrams));
        }
        assert_eq!(Money::from_cents(-17).to_string(), "-0.17");
        assert_eq!(Length::from_micrometres(22_200).to_string(), "22.2 mm");
    }
}
