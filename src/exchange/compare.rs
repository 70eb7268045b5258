use std::collections::BTreeMap;

use super::csv::unguarded;
use super::{Kind, air_charts, demand_history, glossary, kits, plan, substitutions};

/// One record's rows: the text of each column, by the row's name and the column's heading. A record
/// of one row has the empty name for it.
type Rows = BTreeMap<String, Vec<(String, String)>>;

/// The records of a file that the shop itself has written, by their key.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Records(BTreeMap<String, Rows>);

/// A field that differs between two states of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldChange {
    /// The column's heading; before it the row, where a record has several: "line 40 quantity".
    /// A row that is there only before or only after is one field.
    pub field: String,
    /// The text before; empty where there was none.
    pub from: String,
    /// The text after; empty where there is none.
    pub to: String,
}

impl Records {
    /// Returns the records of a file of that kind, whose text [`super`]'s own writers made.
    pub fn of(kind: Kind, text: &str) -> Self {
        let mut records: BTreeMap<String, Rows> = BTreeMap::new();
        let mut reader = ::csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes());
        let heading = reader.headers().cloned().unwrap_or_default();
        for row in reader.records().filter_map(Result::ok) {
            let cell = |column: &str| {
                let place = heading.iter().position(|it| it == column);
                place.and_then(|it| row.get(it)).unwrap_or_default()
            };
            let (key, name) = match kind {
                Kind::Kits => {
                    let statement = if cell("record") == "torque" { cell("source") } else { "" };
                    let name =
                        format!("{} {statement}", kits::row_name(cell)).trim_end().to_owned();
                    (revision_key(cell("kit"), cell("revision")), name)
                }
                Kind::Substitutions => {
                    (substitutions::key(cell("from"), cell("to")), String::new())
                }
                Kind::Plan => (plan::key_of(unguarded(cell("kit")), cell("month")), String::new()),
                Kind::DemandHistory => {
                    (demand_history::key_of(cell("part_number"), cell("month")), String::new())
                }
                Kind::Glossary => (unguarded(cell("text")).to_owned(), cell("language").to_owned()),
                _ => (unguarded(row.get(0).unwrap_or_default()).to_owned(), String::new()),
            };
            let cells = heading.iter().zip(&row);
            let mut cells: Vec<(String, String)> = cells
                .map(|(column, text)| (column.to_owned(), unguarded(text).to_owned()))
                .collect();
            let rows = records.entry(key).or_default();
            let name = match head_of(kind) {
                [] => name,
                head => {
                    let shared = cells.iter().filter(|it| head.contains(&it.0.as_str())).cloned();
                    rows.insert(String::new(), shared.collect());
                    cells.retain(|it| !head.contains(&it.0.as_str()));
                    if name.is_empty() { format!("row {}", rows.len()) } else { name }
                }
            };
            let same =
                rows.keys().filter(|it| **it == name || it.starts_with(&format!("{name} #")));
            let name = match same.count() {
                0 => name,
                earlier => format!("{name} #{}", earlier.saturating_add(1)),
            };
            rows.insert(name, cells);
        }
        Self(records)
    }

    /// Returns the keys of the records, in order.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.0.keys().map(String::as_str)
    }

    /// Returns whether there is a record of that key.
    pub fn has(&self, key: &str) -> bool {
        self.0.contains_key(key)
    }

    /// Returns the rows of a record of several, in order, each with its name; what all of them share
    /// is left out.
    pub fn rows(&self, key: &str) -> Vec<(&str, &[(String, String)])> {
        let all = self.0.get(key).into_iter().flatten();
        let mut rows: Vec<_> =
            all.filter(|it| !it.0.is_empty()).map(|it| (it.0.as_str(), it.1.as_slice())).collect();
        rows.sort_by_key(|it| in_order(it.0));
        rows
    }

    /// Returns the text of a column in the only row of a record, or in what its rows share.
    pub fn text(&self, key: &str, column: &str) -> Option<&str> {
        let cells = self.0.get(key)?.values().next()?;
        cells.iter().find(|it| it.0 == column).map(|it| it.1.as_str())
    }
}

/// Returns the columns that the rows of a record of that kind share, which are a row of their own
/// without a name; none where a record has one row, or where each row says all of itself.
const fn head_of(kind: Kind) -> &'static [&'static str] {
    match kind {
        Kind::AirCharts => &air_charts::HEAD,
        Kind::Glossary => &glossary::HEAD,
        _ => &[],
    }
}

/// Returns the key of a revision of a bill: "TARVET revision C".
pub fn revision_key(code: &str, revision: &str) -> String {
    match revision {
        "" => code.to_owned(),
        revision => format!("{code} revision {revision}"),
    }
}

/// Returns what differs between two states of the record of that key, in the order of the columns
/// and of the rows' names. For a record that is new or gone, all that it says is one field without a
/// name.
pub fn compare(before: &Records, after: &Records, key: &str) -> Vec<FieldChange> {
    let (old, new) = match (before.0.get(key), after.0.get(key)) {
        (Some(old), Some(new)) => (old, new),
        (None, None) => return Vec::new(),
        (from, to) => {
            let (from, to) = (said_in_all(from), said_in_all(to));
            return vec![FieldChange { field: String::new(), from, to }];
        }
    };
    let mut names: Vec<&String> = old.keys().chain(new.keys()).collect();
    names.sort_by_key(|name| in_order(name));
    names.dedup();
    names.into_iter().flat_map(|name| row_changes(name, old.get(name), new.get(name))).collect()
}

/// Returns a row's name with its number as a number, so that line 9 comes before line 10.
fn in_order(name: &str) -> (String, u64) {
    let (word, number) = name.rsplit_once(' ').unwrap_or((name, ""));
    (word.to_owned(), number.parse().unwrap_or_default())
}

fn row_changes(
    name: &str,
    old: Option<&Vec<(String, String)>>,
    new: Option<&Vec<(String, String)>>,
) -> Vec<FieldChange> {
    let (Some(old), Some(new)) = (old, new) else {
        let all = |row: Option<&Vec<(String, String)>>| row.map(|it| said(it)).unwrap_or_default();
        return vec![FieldChange { field: name.to_owned(), from: all(old), to: all(new) }];
    };
    let field = |column: &str| match name {
        "" => column.to_owned(),
        name => format!("{name} {column}"),
    };
    new.iter()
        .filter_map(|(column, to)| {
            let from = old.iter().find(|it| it.0 == *column).map(|it| it.1.clone());
            let from = from.unwrap_or_default();
            (from != *to).then(|| FieldChange { field: field(column), from, to: to.clone() })
        })
        .collect()
}

/// Returns all that the rows of a record say; nothing where it is not there.
fn said_in_all(rows: Option<&Rows>) -> String {
    let mut rows: Vec<_> = rows.into_iter().flatten().collect();
    rows.sort_by_key(|it| in_order(it.0));
    rows.into_iter().map(|it| said(it.1)).collect::<Vec<_>>().join("; ")
}

/// Returns all that a row says, column by column.
fn said(row: &[(String, String)]) -> String {
    let key = ["record", "kit", "revision"];
    let filled = row.iter().filter(|it| !it.1.is_empty() && !key.contains(&it.0.as_str()));
    filled.map(|(column, text)| format!("{column} {text}")).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(kind: Kind, before: &str, after: &str, expected: &[(&str, &str, &str)]) {
        let (before, after) = (Records::of(kind, before), Records::of(kind, after));
        let key = after.keys().next().unwrap();
        let changes = compare(&before, &after, key);
        let found: Vec<_> = changes
            .iter()
            .map(|it| (it.field.as_str(), it.from.as_str(), it.to.as_str()))
            .collect();
        assert_eq!(found, expected);
    }

    #[test]
    fn tells_a_new_record_a_changed_field_and_rows_that_come_and_go() {
        let bins = "bin,kind,zone\nB-1,bin,attic\n";
        check(Kind::Bins, bins, bins, &[]);
        check(
            Kind::Bins,
            bins,
            "bin,kind,zone\nB-1,bin,\"cellar, left\"\n",
            &[("zone", "attic", "cellar, left")],
        );
        check(Kind::Bins, "bin,kind,zone\n", bins, &[("", "", "bin B-1, kind bin, zone attic")]);
        let kit =
            |lines: &str| format!("record,kit,revision,number,part,quantity\nkit,K,A,,,\n{lines}");
        check(
            Kind::Kits,
            &kit("line,K,A,9,A,1\nline,K,A,10,B,2\n"),
            &kit("line,K,A,10,B,3\nline,K,A,20,C,1\n"),
            &[
                ("line 9", "number 9, part A, quantity 1", ""),
                ("line 10 quantity", "2", "3"),
                ("line 20", "", "number 20, part C, quantity 1"),
            ],
        );
        check(
            Kind::Bins,
            "bin,kind\nB-1,bin\n",
            "bin,kind,zone\nB-1,bin,attic\n",
            &[("zone", "", "attic")],
        );
    }
}
