//! Which fields a form has, what they are called, and how each is written.

use super::{Control, FormField};
use crate::domain::catalog::MissingClass;
use crate::ops::catalog::{EntryView, Proposals};
use crate::ops::exchange::RecordKind;
use crate::web::pages::Choice;
use crate::web::pages::words::{Word, sentence};

/// A field without its value: heading of the column, label, hint, how it is entered.
type Shape = (Word, Word, Word, Control);

const PART: [(&str, &[Shape]); 5] = [
    (
        "What it is",
        &[
            (
                "part_number",
                "Part number",
                "two letters, three digits, check character",
                Control::Needed,
            ),
            ("part", "Base part", "the name that all its sizes share", Control::Proposed),
            (
                "variant",
                "Size, length or colour",
                "what tells it from its sisters, such as M6×25",
                Control::Text,
            ),
            ("specification", "Specification", "material, fit, thread, torque", Control::Wide),
            (
                "attributes",
                "Attributes",
                "what kits choose by: size=M; colour=lichen green",
                Control::Wide,
            ),
        ],
    ),
    (
        "One piece",
        &[
            ("mass_g", "Mass, g", "such as 39.5", Control::Needed),
            ("mass_sd_g", "Its standard deviation, g", "such as 0.4", Control::Needed),
            ("box_mm", "Its box, mm", "980x190x480, or nothing", Control::Text),
            ("tracking", "Tracked by", "stays as it is once a piece has moved", Control::Select),
            ("class", "If it is missing", "", Control::Select),
        ],
    ),
    (
        "Buying",
        &[
            ("supplier", "Supplier", "", Control::Select),
            ("supplier_item", "Their item", "", Control::Text),
            ("unit_cost", "Costs each", "such as 0.17", Control::Needed),
            ("pack", "Pieces in a pack", "", Control::Needed),
            ("minimum_order", "Least order, pieces", "", Control::Needed),
            ("reorder_point", "Reorder at, pieces", "", Control::Needed),
            ("order_quantity", "Usual order, pieces", "", Control::Needed),
        ],
    ),
    (
        "What it fits",
        &[
            (
                "facts",
                "Facts for the rules of fit",
                "such as role=stem; bar=31.8; steerer=28.6; height=40",
                Control::Wide,
            ),
            (
                "facts_source",
                "Stated by",
                "the maker's drawing or sheet, with its revision",
                Control::Wide,
            ),
        ],
    ),
    ("In the house", &[("bin", "Home bin", "", Control::Proposed)]),
];

const SUPPLIER: [(&str, &[Shape]); 1] = [(
    "Supplier",
    &[
        ("code", "Code", "as files name it", Control::Needed),
        ("name", "Name", "", Control::Needed),
        ("email", "Email for orders", "", Control::Text),
        ("lead_days", "Delivers in, days", "the mean", Control::Needed),
        ("lead_sd_days", "Standard deviation, days", "such as 6 or 0.5", Control::Needed),
        ("address", "Address for orders", "lines parted by semicolons", Control::Wide),
    ],
)];

const BIN: [(&str, &[Shape]); 1] = [(
    "Bin",
    &[
        (
            "bin",
            "Code",
            "zone letter, bay, level and check character, such as B-03-2U",
            Control::Needed,
        ),
        ("kind", "Kind", "", Control::Select),
        ("walk_order", "Place in the walk", "lower is earlier", Control::Needed),
        ("zone", "Zone", "", Control::Needed),
    ],
)];

const fn shapes(kind: RecordKind) -> &'static [(&'static str, &'static [Shape])] {
    match kind {
        RecordKind::Part => &PART,
        RecordKind::Supplier => &SUPPLIER,
        RecordKind::Bin => &BIN,
    }
}

/// Returns the empty fields of a form in groups.
pub(super) fn groups(kind: RecordKind, known: &Proposals) -> Vec<(String, Vec<FormField>)> {
    let field = |&(name, label, hint, control): &Shape| FormField {
        name,
        label,
        hint,
        control,
        value: String::new(),
        choices: if control == Control::Needed { Vec::new() } else { choices(name, known) },
        fault: String::new(),
        meanwhile: String::new(),
    };
    let group = |(heading, fields): &(&str, &[Shape])| {
        ((*heading).to_owned(), fields.iter().map(field).collect())
    };
    shapes(kind).iter().map(group).collect()
}

fn choices(column: &str, known: &Proposals) -> Vec<Choice> {
    let named = |(code, name): &(String, String)| Choice::new(code, format!("{code}, {name}"));
    match column {
        "part" => known.parts.iter().map(|it| Choice::new(it, "")).collect(),
        "bin" => known.bins.iter().map(|it| Choice::new(&it.0, &it.1)).collect(),
        "supplier" => {
            let none = Choice::new("", "none: the shop makes it");
            [none].into_iter().chain(known.suppliers.iter().map(named)).collect()
        }
        "tracking" => vec![
            Choice::new("none", "count alone"),
            Choice::new("lot", "lot"),
            Choice::new("serial", "serial number"),
        ],
        "class" => MissingClass::ALL
            .into_iter()
            .map(|it| Choice::new(it.letter(), format!("{}: {}", it.letter(), it.words())))
            .collect(),
        "kind" => ["bin", "quarantine", "returns"]
            .into_iter()
            .map(|it| Choice::new(it, sentence(it)))
            .collect(),
        _ => Vec::new(),
    }
}

/// Returns the label of a column.
pub(super) fn heading(kind: RecordKind, column: &str) -> Word {
    let fields = shapes(kind).iter().flat_map(|it| it.1);
    fields.into_iter().find(|it| it.0 == column).map_or("", |it| it.1)
}

/// Returns the label of a column, or its heading where the form has no such field.
pub(super) fn label(kind: RecordKind, column: &str) -> String {
    match heading(kind, column) {
        "" => column.to_owned(),
        label => label.to_owned(),
    }
}

/// Returns what a form for a new record begins with.
pub(super) fn blank(kind: RecordKind) -> EntryView {
    let set: &[(&str, &str)] = match kind {
        RecordKind::Part => &[
            ("mass_sd_g", "0"),
            ("tracking", "none"),
            ("pack", "1"),
            ("minimum_order", "1"),
            ("reorder_point", "0"),
            ("order_quantity", "0"),
        ],
        RecordKind::Supplier => &[],
        RecordKind::Bin => &[("kind", "bin")],
    };
    let fields = set.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect();
    EntryView { fields, version: 0, changes: Vec::new() }
}
