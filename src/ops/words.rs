//! Stored words back to domain values, and rows to the words and sums that people read.

use std::collections::BTreeMap;

use crate::domain::catalog::{MissingClass, Tracking};
use crate::domain::ids::VariantId;
use crate::error::Error;
use crate::store::orders::KitLineRow;
use crate::units::Quantity;

/// Returns the class of a stored letter.
pub(super) fn class(letter: &str) -> Result<MissingClass, Error> {
    letter.parse().map_err(|_| unreadable("missing-part class", letter))
}

/// Returns the tracking of a stored word.
pub(super) fn tracking(word: &str) -> Result<Tracking, Error> {
    word.parse().map_err(|_| unreadable("tracking", word))
}

/// Returns a stored number of a step, carton or slot.
pub(super) fn small(number: i64) -> Result<u32, Error> {
    u32::try_from(number).map_err(|_| unreadable("number", &number.to_string()))
}

fn unreadable(what: &str, text: &str) -> Error {
    Error::Internal(format!("the stored {what} '{text}' can't be read"))
}

/// Returns a part in words, with what tells it from its sisters behind its name.
pub(super) fn part(name: &str, variant: &str) -> String {
    if variant.is_empty() { name.to_owned() } else { format!("{name} ({variant})") }
}

/// Returns a kit line's part in words.
pub(super) fn line_part(line: &KitLineRow) -> String {
    part(&line.part, &line.variant_words)
}

/// Returns the sum of each variant's quantities.
pub(super) fn by_variant(
    quantities: impl IntoIterator<Item = (VariantId, Quantity)>,
) -> BTreeMap<VariantId, Quantity> {
    let mut sums: BTreeMap<VariantId, Quantity> = BTreeMap::new();
    for (variant, quantity) in quantities {
        let sum = sums.entry(variant).or_default();
        *sum = sum.plus(quantity);
    }
    sums
}
