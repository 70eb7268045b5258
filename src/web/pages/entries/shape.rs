//! Which fields a form has, what they are called, and how each is written.

use chrono::NaiveDate;

use super::page::{Control, FormField};
use super::rows::Rows;
use crate::domain::catalog::MissingClass;
use crate::domain::substitution::{Consent, Kind};
use crate::ops::catalog::{EntryView, Proposals};
use crate::ops::exchange::RecordKind;
use crate::web::pages::Choice;
use crate::web::pages::words::{Word, sentence};

/// A field without its value: heading of the column, label, hint, how it is entered.
type Shape = (Word, Word, Word, Control);

/// Fields under one heading, without their values.
pub(super) struct GroupShape {
    pub(super) heading: Word,
    pub(super) hint: Word,
    pub(super) rows: Rows,
    fields: &'static [Shape],
}

const fn group(heading: Word, fields: &'static [Shape]) -> GroupShape {
    GroupShape { heading, hint: "", rows: Rows::None, fields }
}

const PART: [GroupShape; 5] = [
    group(
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
    group(
        "One piece",
        &[
            ("mass_g", "Mass, g", "such as 39.5", Control::Needed),
            ("mass_sd_g", "Its standard deviation, g", "such as 0.4", Control::Needed),
            ("box_mm", "Its box, mm", "980x190x480, or nothing", Control::Text),
            ("tracking", "Tracked by", "stays as it is once a piece has moved", Control::Select),
            ("class", "If it is missing", "", Control::Select),
        ],
    ),
    group(
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
    GroupShape {
        heading: "What it fits",
        hint: "Facts for the rules of fit, as the maker's drawing or sheet states them. Measures are \
               converted exactly: 31.8, 31,8 mm, 1-1/8 in. A fact whose value is emptied is taken out.",
        rows: Rows::Facts,
        fields: &[(
            "facts_source",
            "Stated by",
            "the maker's drawing or sheet, with its revision",
            Control::Wide,
        )],
    },
    group("In the house", &[("bin", "Home bin", "", Control::Proposed)]),
];

const SUPPLIER: [GroupShape; 2] = [
    group(
        "Supplier",
        &[
            ("code", "Code", "as files name it", Control::Needed),
            ("name", "Name", "", Control::Needed),
            ("email", "Email for orders", "", Control::Text),
            ("lead_days", "Delivers in, days", "the mean", Control::Needed),
            ("lead_sd_days", "Standard deviation, days", "such as 6 or 0.5", Control::Needed),
            ("address", "Address for orders", "lines parted by semicolons", Control::Wide),
        ],
    ),
    group(
        "A whole order",
        &[
            ("minimum_value", "Worth at least", "nothing where any order is taken", Control::Text),
            (
                "order_cost",
                "Costs the shop",
                "writing, freight, counting: such as 24",
                Control::Text,
            ),
            ("budget", "May cost at most", "nothing where it may cost anything", Control::Text),
            ("container_l", "A container holds, litres", "", Control::Text),
            ("container_kg", "A container may weigh, kg", "", Control::Text),
            (
                "closed",
                "Closed",
                "spans of days, such as 2027-01-20/2027-02-16; 2027-10-04",
                Control::Wide,
            ),
        ],
    ),
];

const BIN: [GroupShape; 1] = [group(
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

const AIR_CHART: [GroupShape; 2] = [
    GroupShape {
        heading: "The maker's chart",
        hint: "Copy the maker's own sheet for this very fork or shock: a pressure that is wrong can \
               let it bottom out or burst. The component maker's manual goes before this chart.",
        rows: Rows::None,
        fields: &[
            ("chart", "Code", "such as AIR-T12", Control::Needed),
            ("part", "Is for", "a part number, or the name of a base part", Control::ProposedWide),
            (
                "choose",
                "Of the base part, only",
                "by attribute: build=T12; nothing for a part number",
                Control::Text,
            ),
            ("maximum", "Never above", "with its unit, such as 120 psi or 8.3 bar", Control::Text),
            ("source", "Stated by", "the maker's sheet, with its edition", Control::Wide),
        ],
    },
    GroupShape {
        heading: "Pressure by rider",
        hint: "The mass of rider, clothes and pack. Each row begins where the one before ends. Write \
               each figure with the unit that the sheet has: 50 kg, 110 lb, 52 psi. An emptied row is \
               taken out.",
        rows: Rows::Masses,
        fields: &[],
    },
];

const WORD: [GroupShape; 2] = [
    group(
        "In the catalogue",
        &[(
            "text",
            "Text",
            "a part, a variant, an option or one of its values, just as it is written there",
            Control::ProposedWide,
        )],
    ),
    GroupShape {
        heading: "In other languages",
        hint: "What the assembly card and the box page call it. A variant of several words is put \
               together from the entries of its words. Where a language is left empty, English stands.",
        rows: Rows::Languages,
        fields: &[],
    },
];

const RULE: [GroupShape; 3] = [
    group(
        "The two parts",
        &[
            ("from", "Asked for", "a part number", Control::Proposed),
            ("to", "Taken in its place", "a part number", Control::Proposed),
            ("kind", "The first part", "", Control::Select),
            ("direction", "Direction", "a successor goes one way", Control::Select),
        ],
    ),
    group(
        "When, and with whose word",
        &[
            (
                "consent",
                "Consent",
                "no less than the trade asks for: a weaker one is refused with the reason",
                Control::Select,
            ),
            ("valid_from", "From", "the first day", Control::Day),
            (
                "until",
                "Until",
                "nothing, a last day such as 2026-12-31, or used up",
                Control::Proposed,
            ),
        ],
    ),
    group(
        "Why",
        &[
            ("reason", "Reason", "as the order's page and the history say it", Control::Wide),
            ("source", "Stated by", "the maker's notice, or who decided and when", Control::Wide),
        ],
    ),
];

const POLICY: [GroupShape; 5] = [
    group(
        "What it is for",
        &[
            (
                "for",
                "Class or part number",
                "A, B or C, CX for its steady parts, or a part number",
                Control::Proposed,
            ),
            ("policy", "Policy", "", Control::Select),
            ("service_percent", "Service, %", "such as 99.9", Control::Text),
            ("note", "Note", "", Control::Wide),
        ],
    ),
    group(
        "Demand",
        &[
            ("sized_by", "Sized by", "", Control::Select),
            (
                "variation_percent",
                "Varies by, % of the mean",
                "the standard deviation of a day, or of a season; nothing: as the forecast erred",
                Control::Text,
            ),
        ],
    ),
    GroupShape {
        heading: "Levels",
        hint: "Each policy takes its own: least and most for min-max, days for review, pieces in a \
               container for two bins.",
        rows: Rows::None,
        fields: &[
            ("minimum", "Least kept, pieces", "", Control::Text),
            ("maximum", "Most kept, pieces", "", Control::Text),
            ("review_days", "Days between reviews", "", Control::Text),
            ("container", "Pieces in a container", "nothing: a pack", Control::Text),
        ],
    },
    group(
        "Season buy",
        &[
            ("season_starts", "The season starts", "month-day, such as 10-01", Control::Text),
            ("short_cost", "A piece short costs", "the margin that is lost", Control::Text),
            (
                "left_over_cost",
                "A piece left over costs",
                "what it loses until it is used",
                Control::Text,
            ),
        ],
    ),
    group(
        "Limits and prices",
        &[
            ("cover_days", "An order holds at most, days of demand", "", Control::Text),
            ("shelf_life_days", "To be used within, days", "counted from arrival", Control::Text),
            ("room", "The bin takes, pieces", "", Control::Text),
            (
                "holding_percent",
                "Keeping costs, % a year",
                "of the price; nothing: 20",
                Control::Text,
            ),
            (
                "prices",
                "Prices",
                "from so many pieces, for each: 1000 0.17; 5000 0.12; nothing: as the catalogue",
                Control::Wide,
            ),
            ("discount", "A lower price is for", "", Control::Select),
        ],
    ),
];

const PLANNED_MONTH: [GroupShape; 1] = [group(
    "Planned month",
    &[
        ("kit", "Kit", "its code, such as TARVET", Control::Needed),
        ("month", "Month", "such as 2026-12", Control::Needed),
        ("bikes", "Bikes", "", Control::Needed),
        (
            "mix",
            "Mix, %",
            "size: S 22, M 48, L 30; build: T12 62, T15 38; nothing: as the month before",
            Control::Wide,
        ),
    ],
)];

const fn shapes(kind: RecordKind) -> &'static [GroupShape] {
    match kind {
        RecordKind::Part => &PART,
        RecordKind::Supplier => &SUPPLIER,
        RecordKind::Bin => &BIN,
        RecordKind::AirChart => &AIR_CHART,
        RecordKind::Word => &WORD,
        RecordKind::Rule => &RULE,
        RecordKind::Policy => &POLICY,
        RecordKind::PlannedMonth => &PLANNED_MONTH,
    }
}

/// Returns the empty fields of a form, group by group.
pub(super) fn groups(
    kind: RecordKind,
    known: &Proposals,
) -> impl Iterator<Item = (&'static GroupShape, Vec<FormField>)> {
    let field = move |&(name, label, hint, control): &Shape| FormField {
        name: name.to_owned(),
        label,
        hint: hint.to_owned(),
        control,
        choices: match control {
            Control::Needed => Vec::new(),
            _ => choices(kind, name, known),
        },
        ..FormField::default()
    };
    shapes(kind).iter().map(move |it| (it, it.fields.iter().map(field).collect()))
}

fn choices(kind: RecordKind, column: &str, known: &Proposals) -> Vec<Choice> {
    let named = |(code, name): &(String, String)| Choice::new(code, format!("{code}, {name}"));
    let pair = |(code, name): &(String, String)| Choice::new(code, name);
    let bare = |it: &String| Choice::new(it, "");
    let as_it_reads = |it: Word| Choice::new(it, sentence(it));
    match (kind, column) {
        (RecordKind::AirChart, "part") => {
            known.parts.iter().map(bare).chain(known.numbers.iter().map(pair)).collect()
        }
        (_, "part") => known.parts.iter().map(bare).collect(),
        (_, "bin") => known.bins.iter().map(pair).collect(),
        (_, "text") => known.texts.iter().map(bare).collect(),
        (_, "from" | "to") => known.numbers.iter().map(pair).collect(),
        (_, "supplier") => {
            let none = Choice::new("", "none: the shop makes it");
            [none].into_iter().chain(known.suppliers.iter().map(named)).collect()
        }
        (_, "tracking") => vec![
            Choice::new("none", "count alone"),
            Choice::new("lot", "lot"),
            Choice::new("serial", "serial number"),
        ],
        (_, "class") => MissingClass::ALL
            .into_iter()
            .map(|it| Choice::new(it.letter(), format!("{}: {}", it.letter(), it.words())))
            .collect(),
        (RecordKind::Rule, "kind") => vec![
            Choice::new(Kind::StandsIn.words(), "may be stood in for"),
            Choice::new(Kind::SupersededBy.words(), "is superseded for good"),
        ],
        (_, "kind") => ["bin", "quarantine", "returns"].into_iter().map(as_it_reads).collect(),
        (_, "direction") => ["one way", "both ways"].into_iter().map(as_it_reads).collect(),
        (_, "consent") => vec![
            Choice::new(Consent::None.words(), "nobody's: they are alike"),
            Choice::new(Consent::StandingRule.words(), "the owner's, by this rule"),
            Choice::new(Consent::Customer.words(), "the customer's, each time"),
        ],
        (RecordKind::Policy, "for") => ["A", "B", "C"]
            .into_iter()
            .map(|it| Choice::new(it, "the class"))
            .chain(known.numbers.iter().map(pair))
            .collect(),
        (_, "policy") => vec![
            Choice::new("", "as the wider policy, or the catalogue"),
            Choice::new("as-set", "at the catalogue's reorder point"),
            Choice::new("reorder-point", "at a reorder point, no stock-out in so many waits"),
            Choice::new("fill-rate", "at a reorder point, so much of demand from stock"),
            Choice::new("min-max", "at a least, up to a most"),
            Choice::new("review", "at each review, up to what lasts"),
            Choice::new("two-bins", "two bins with cards"),
            Choice::new("one-for-one", "one for each that leaves"),
            Choice::new("season-buy", "once before a season"),
        ],
        (_, "sized_by") => vec![
            Choice::new("", "as the wider policy; else the peak for two bins"),
            Choice::new("ahead", "the demand until an order comes"),
            Choice::new("peak", "the busiest month of the year to come"),
        ],
        (_, "discount") => vec![
            Choice::new("", "as the wider policy; else all pieces"),
            Choice::new("all-units", "all pieces of an order"),
            Choice::new("incremental", "the pieces beyond the quantity"),
        ],
        (_, "until") => vec![Choice::new("used up", "a successor, once stock has run out")],
        _ => Vec::new(),
    }
}

/// Returns the label of a column.
pub(super) fn heading(kind: RecordKind, column: &str) -> Word {
    let fields = shapes(kind).iter().flat_map(|it| it.fields);
    fields.into_iter().find(|it| it.0 == column).map_or("", |it| it.1)
}

/// Returns the label of a column, or its heading where the form has no such field.
pub(super) fn label(kind: RecordKind, column: &str) -> String {
    match (kind, heading(kind, column)) {
        (RecordKind::Part, "") if column == "facts" => "Facts".to_owned(),
        (RecordKind::Word, "") => {
            let language = column.split(' ').next().unwrap_or_default();
            super::rows::language_name(language).unwrap_or(column).to_owned()
        }
        (_, "") => column.replace('_', " "),
        (_, label) => label.to_owned(),
    }
}

/// Returns what a form for a new record begins with.
pub(super) fn blank(kind: RecordKind, today: NaiveDate) -> EntryView {
    let day = today.to_string();
    let set: &[(&str, &str)] = match kind {
        RecordKind::Part => &[
            ("mass_sd_g", "0"),
            ("tracking", "none"),
            ("pack", "1"),
            ("minimum_order", "1"),
            ("reorder_point", "0"),
            ("order_quantity", "0"),
        ],
        RecordKind::Bin => &[("kind", "bin")],
        RecordKind::Rule => &[("valid_from", &day)],
        RecordKind::Supplier
        | RecordKind::AirChart
        | RecordKind::Word
        | RecordKind::Policy
        | RecordKind::PlannedMonth => &[],
    };
    let fields = set.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect();
    EntryView { fields, rows: Vec::new(), version: 0, changes: Vec::new() }
}
