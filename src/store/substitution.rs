//! Rules about parts that stand in for others, and which kits got which.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use crate::domain::ids::{KitId, UserId, VariantId};
use crate::domain::substitution::{Consent, Rule, Until};
use crate::error::Error;
use crate::units::Quantity;

use super::dialect::insert_many;
use super::schema::{kit_line_changes, kit_lines, substitutions, users, variants};
use super::{CHUNK, Conn};

type RuleRow =
    (String, String, String, bool, String, NaiveDate, Option<NaiveDate>, bool, (String, String));

/// Loads every rule by its two part numbers.
///
/// # Errors
///
/// [`Error::Internal`] when a stored rule no longer reads, which only a hand in the database can
/// bring about.
pub fn rules(conn: &mut Conn) -> Result<Vec<Rule>, Error> {
    let (old, new) = diesel::alias!(variants as old, variants as new);
    let rows: Vec<RuleRow> = substitutions::table
        .inner_join(old.on(old.field(variants::id).eq(substitutions::from_variant_id)))
        .inner_join(new.on(new.field(variants::id).eq(substitutions::to_variant_id)))
        .select((
            old.field(variants::part_number),
            new.field(variants::part_number),
            substitutions::kind,
            substitutions::both_ways,
            substitutions::consent,
            substitutions::valid_from,
            substitutions::valid_until,
            substitutions::until_used_up,
            (substitutions::reason, substitutions::source),
        ))
        .order((old.field(variants::part_number), new.field(variants::part_number)))
        .load(conn)?;
    rows.into_iter().map(rule).collect()
}

fn rule(row: RuleRow) -> Result<Rule, Error> {
    let (from, to, kind, both_ways, consent, valid_from, last, used_up, (reason, source)) = row;
    Ok(Rule {
        from: from.parse().map_err(unreadable)?,
        to: to.parse().map_err(unreadable)?,
        kind: kind.parse().map_err(unreadable)?,
        both_ways,
        consent: consent.parse().map_err(unreadable)?,
        valid_from,
        until: match last {
            Some(last) => Until::Day(last),
            None if used_up => Until::UsedUp,
            None => Until::Open,
        },
        reason,
        source,
    })
}

fn unreadable(fault: impl std::fmt::Display) -> Error {
    Error::Internal(format!("a stored substitution can't be read: {fault}"))
}

/// Takes the rule about two parts away.
pub fn drop_rule(conn: &mut Conn, from: VariantId, to: VariantId) -> QueryResult<()> {
    let same = substitutions::table
        .filter(substitutions::from_variant_id.eq(from))
        .filter(substitutions::to_variant_id.eq(to));
    diesel::delete(same).execute(conn).map(drop)
}

/// Writes a rule, in place of the one about the same two parts.
pub fn put_rule(conn: &mut Conn, it: &Rule, from: VariantId, to: VariantId) -> QueryResult<()> {
    drop_rule(conn, from, to)?;
    let last = match it.until {
        Until::Day(last) => Some(last),
        Until::Open | Until::UsedUp => None,
    };
    diesel::insert_into(substitutions::table)
        .values((
            substitutions::from_variant_id.eq(from),
            substitutions::to_variant_id.eq(to),
            substitutions::kind.eq(it.kind.words()),
            substitutions::both_ways.eq(it.both_ways),
            substitutions::consent.eq(it.consent.words()),
            substitutions::valid_from.eq(it.valid_from),
            substitutions::valid_until.eq(last),
            substitutions::until_used_up.eq(it.until == Until::UsedUp),
            substitutions::reason.eq(&it.reason),
            substitutions::source.eq(&it.source),
        ))
        .execute(conn)
        .map(drop)
}

/// That a line of a kit gets another part, to be written.
#[derive(Debug, Clone)]
pub struct NewChange {
    /// The kit.
    pub kit: KitId,
    /// The line's number in it.
    pub line: i64,
    /// Pieces of the line.
    pub quantity: Quantity,
    /// The part that was asked for.
    pub from: VariantId,
    /// The part that it gets.
    pub to: VariantId,
    /// Why.
    pub reason: String,
    /// Whose word it took.
    pub consent: Consent,
    /// Who of the customer's side said so; empty where nobody had to.
    pub said_by: String,
    /// When they said so.
    pub said_on: Option<NaiveDate>,
}

/// Writes what lines of kits got in the place of what.
pub fn note_changes(
    conn: &mut Conn,
    changes: &[NewChange],
    user: Option<UserId>,
    at: NaiveDateTime,
) -> QueryResult<()> {
    let rows: Vec<_> = changes
        .iter()
        .map(|it| {
            (
                kit_line_changes::kit_id.eq(it.kit),
                kit_line_changes::line_number.eq(it.line),
                kit_line_changes::quantity.eq(it.quantity),
                kit_line_changes::from_variant_id.eq(it.from),
                kit_line_changes::to_variant_id.eq(it.to),
                kit_line_changes::reason.eq(&it.reason),
                kit_line_changes::consent.eq(it.consent.words()),
                kit_line_changes::said_by.eq(&it.said_by),
                kit_line_changes::said_on.eq(it.said_on),
                kit_line_changes::user_id.eq(user),
                kit_line_changes::changed_at.eq(at),
            )
        })
        .collect();
    insert_many!(conn, kit_line_changes::table, rows)
}

/// What a line of a kit got in the place of what.
#[derive(Debug, Clone, Queryable)]
pub struct ChangeRow {
    /// The kit.
    pub kit: KitId,
    /// The line's number in it.
    pub line: i64,
    /// Pieces of the line.
    pub quantity: Quantity,
    /// The part that was asked for.
    pub from: VariantId,
    /// The part that it got.
    pub to: VariantId,
    /// Why.
    pub reason: String,
    /// Whose word it took.
    pub consent: String,
    /// Who of the customer's side said so.
    pub said_by: String,
    /// When they said so.
    pub said_on: Option<NaiveDate>,
    /// Who wrote it down; none for the program itself.
    pub person: Option<String>,
    /// When.
    pub at: NaiveDateTime,
}

/// Loads what lines of these kits got in the place of what, the first first.
pub fn changes_of(conn: &mut Conn, kits: &[KitId]) -> QueryResult<Vec<ChangeRow>> {
    let mut rows = Vec::new();
    for some in kits.chunks(CHUNK) {
        let of_some = kit_line_changes::table
            .left_join(users::table.on(kit_line_changes::user_id.eq(users::id.nullable())))
            .filter(kit_line_changes::kit_id.eq_any(some))
            .select((
                kit_line_changes::kit_id,
                kit_line_changes::line_number,
                kit_line_changes::quantity,
                kit_line_changes::from_variant_id,
                kit_line_changes::to_variant_id,
                kit_line_changes::reason,
                kit_line_changes::consent,
                kit_line_changes::said_by,
                kit_line_changes::said_on,
                users::name.nullable(),
                kit_line_changes::changed_at,
            ))
            .order(kit_line_changes::id);
        rows.extend(of_some.load::<ChangeRow>(conn)?);
    }
    Ok(rows)
}

/// Sets which part all lines of a kit with another part get.
pub fn set_part(conn: &mut Conn, kit: KitId, from: VariantId, to: VariantId) -> QueryResult<()> {
    let lines =
        kit_lines::table.filter(kit_lines::kit_id.eq(kit)).filter(kit_lines::variant_id.eq(from));
    diesel::update(lines).set(kit_lines::variant_id.eq(to)).execute(conn).map(drop)
}
