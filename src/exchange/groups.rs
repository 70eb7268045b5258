use std::collections::BTreeMap;

use super::At;
use super::csv::Row;

/// Records that several rows make up together, by their number, in the order of the file.
pub(super) struct Groups<'a, T> {
    places: BTreeMap<String, usize>,
    groups: Vec<Group<'a, T>>,
}

/// One record; none where its first row was at fault.
struct Group<'a, T> {
    first: &'a Row,
    value: Option<T>,
}

impl<'a, T> Groups<'a, T> {
    pub(super) fn new() -> Self {
        Self { places: BTreeMap::new(), groups: Vec::new() }
    }

    /// Returns the first row of the record with that number, if there was one.
    pub(super) fn first(&self, number: &str) -> Option<&'a Row> {
        let place = self.places.get(number)?;
        self.groups.get(*place).map(|group| group.first)
    }

    /// Returns the record with that number to add a row's line to; `head` is the record where this
    /// row is its first.
    pub(super) fn entry(&mut self, number: &str, row: &'a Row, head: Option<T>) -> Option<&mut T> {
        let next = self.groups.len();
        let place = *self.places.entry(number.to_owned()).or_insert(next);
        if place == next {
            self.groups.push(Group { first: row, value: head });
        }
        self.groups.get_mut(place).and_then(|group| group.value.as_mut())
    }

    /// Returns the records, each at the line of its first row.
    pub(super) fn finish(self) -> Vec<At<T>> {
        let whole = |group: Group<'_, T>| {
            let line = group.first.line;
            group.value.map(|value| At { line, value })
        };
        self.groups.into_iter().filter_map(whole).collect()
    }
}

/// Returns the number of the line after `lines` others.
pub(super) fn next_number(lines: usize) -> u32 {
    u32::try_from(lines).unwrap_or(u32::MAX).saturating_add(1)
}
