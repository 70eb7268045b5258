//! How parts are bought, and where the buyer did otherwise than was suggested.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use crate::domain::ids::{UserId, VariantId};
use crate::domain::reorder::{PolicyRecord, Scope, ServiceLevel};
use crate::error::Error;
use crate::units::{Money, Quantity};

use super::Conn;
use super::schema::{buying_policies, overrules, users, variants};

type Word = Option<String>;
type PolicyRow = (
    String,
    (Word, Option<i64>, Option<Quantity>, Option<Quantity>, Option<i64>, Option<Quantity>),
    (Word, Option<i64>, Option<Money>, Option<Money>, Word, Option<i64>),
    (Option<i64>, Option<i64>, Option<Quantity>, String, Word, String),
);

/// Loads every policy, in order of what it is for.
///
/// # Errors
///
/// [`Error::Internal`] when a stored policy no longer reads, which only a hand in the database can
/// bring about.
pub fn policies(conn: &mut Conn) -> Result<Vec<PolicyRecord>, Error> {
    let rows: Vec<PolicyRow> = buying_policies::table
        .select((
            buying_policies::scope,
            (
                buying_policies::policy,
                buying_policies::service_hundredths,
                buying_policies::minimum,
                buying_policies::maximum,
                buying_policies::review_days,
                buying_policies::container,
            ),
            (
                buying_policies::sized_by,
                buying_policies::variation_percent,
                buying_policies::left_over_cents,
                buying_policies::short_cents,
                buying_policies::season_starts,
                buying_policies::holding_percent,
            ),
            (
                buying_policies::cover_days,
                buying_policies::shelf_life_days,
                buying_policies::room,
                buying_policies::prices,
                buying_policies::discount,
                buying_policies::note,
            ),
        ))
        .order(buying_policies::scope)
        .load(conn)?;
    rows.into_iter().map(record).collect()
}

fn record((scope, first, second, third): PolicyRow) -> Result<PolicyRecord, Error> {
    let (kind, service, minimum, maximum, review_days, container) = first;
    let (sized_by, variation_percent, left_over, short, season, holding_percent) = second;
    let (cover_days, shelf_life_days, room, prices, discount, note) = third;
    let scope: Scope = scope.parse().map_err(unreadable)?;
    Ok(PolicyRecord {
        scope,
        kind: kind.map(|it| it.parse()).transpose().map_err(unreadable)?,
        service: service.and_then(ServiceLevel::of_hundredths),
        minimum,
        maximum,
        review_days,
        container,
        sized_by: sized_by.map(|it| it.parse()).transpose().map_err(unreadable)?,
        variation_percent,
        left_over,
        short,
        season_starts: season.map(|it| it.parse()).transpose().map_err(unreadable)?,
        holding_percent,
        cover_days,
        shelf_life_days,
        room,
        prices: prices.parse().map_err(unreadable)?,
        discount: discount.map(|it| it.parse()).transpose().map_err(unreadable)?,
        note,
    })
}

fn unreadable(fault: impl std::fmt::Display) -> Error {
    Error::Internal(format!("a stored policy can't be read: {fault}"))
}

/// Takes the policy for a scope away.
pub fn drop_policy(conn: &mut Conn, scope: &str) -> QueryResult<()> {
    let same = buying_policies::table.filter(buying_policies::scope.eq(scope));
    diesel::delete(same).execute(conn).map(drop)
}

/// Writes a policy, in place of the one for the same scope; `variant` is the part's, where it is
/// for one.
pub fn put_policy(
    conn: &mut Conn,
    it: &PolicyRecord,
    variant: Option<VariantId>,
) -> QueryResult<()> {
    let scope = it.scope.to_string();
    drop_policy(conn, &scope)?;
    diesel::insert_into(buying_policies::table)
        .values((
            (
                buying_policies::scope.eq(scope),
                buying_policies::variant_id.eq(variant),
                buying_policies::policy.eq(it.kind.map(|it| it.word())),
                buying_policies::service_hundredths.eq(it.service.map(ServiceLevel::hundredths)),
                buying_policies::minimum.eq(it.minimum),
                buying_policies::maximum.eq(it.maximum),
                buying_policies::review_days.eq(it.review_days),
                buying_policies::container.eq(it.container),
            ),
            (
                buying_policies::sized_by.eq(it.sized_by.map(|it| it.word())),
                buying_policies::variation_percent.eq(it.variation_percent),
                buying_policies::left_over_cents.eq(it.left_over),
                buying_policies::short_cents.eq(it.short),
                buying_policies::season_starts.eq(it.season_starts.map(|it| it.to_string())),
                buying_policies::holding_percent.eq(it.holding_percent),
            ),
            (
                buying_policies::cover_days.eq(it.cover_days),
                buying_policies::shelf_life_days.eq(it.shelf_life_days),
                buying_policies::room.eq(it.room),
                buying_policies::prices.eq(it.prices.to_string()),
                buying_policies::discount.eq(it.discount.map(|it| it.word())),
                buying_policies::note.eq(&it.note),
            ),
        ))
        .execute(conn)
        .map(drop)
}

/// That the buyer did otherwise than was suggested, to be written.
#[derive(Debug)]
pub struct NewOverrule<'a> {
    /// The part.
    pub variant: VariantId,
    /// When.
    pub at: NaiveDateTime,
    /// Who.
    pub user: UserId,
    /// Pieces that were suggested.
    pub suggested: Quantity,
    /// Pieces that were ordered; none where it was put off.
    pub chosen: Quantity,
    /// The day until which it was put off.
    pub put_off_until: Option<NaiveDate>,
    /// Why.
    pub reason: &'a str,
    /// The suggestion's own reason.
    pub because: &'a str,
}

/// Writes an overrule.
pub fn make_overrule(conn: &mut Conn, it: &NewOverrule<'_>) -> QueryResult<()> {
    diesel::insert_into(overrules::table)
        .values((
            overrules::variant_id.eq(it.variant),
            overrules::made_at.eq(it.at),
            overrules::user_id.eq(it.user),
            overrules::suggested.eq(it.suggested),
            overrules::chosen.eq(it.chosen),
            overrules::put_off_until.eq(it.put_off_until),
            overrules::reason.eq(it.reason),
            overrules::because.eq(it.because),
        ))
        .execute(conn)
        .map(drop)
}

/// An overrule as stored.
#[derive(Debug, Clone, Queryable)]
pub struct OverruleRow {
    /// The part.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// When.
    pub at: NaiveDateTime,
    /// Who.
    pub person: String,
    /// Pieces that were suggested.
    pub suggested: Quantity,
    /// Pieces that were ordered; none where it was put off.
    pub chosen: Quantity,
    /// The day until which it was put off.
    pub put_off_until: Option<NaiveDate>,
    /// Why.
    pub reason: String,
    /// The suggestion's own reason.
    pub because: String,
}

/// Loads the newest overrules, at most so many; of one part alone where it is named.
pub fn overrules_of(
    conn: &mut Conn,
    variant: Option<VariantId>,
    most: i64,
) -> QueryResult<Vec<OverruleRow>> {
    let (first, last) = variant.map_or((0, i64::MAX), |it| (i64::from(it), i64::from(it)));
    overrules::table
        .inner_join(variants::table.on(variants::id.eq(overrules::variant_id)))
        .inner_join(users::table.on(users::id.eq(overrules::user_id)))
        .filter(overrules::variant_id.between(first, last))
        .select((
            overrules::variant_id,
            variants::part_number,
            overrules::made_at,
            users::name,
            overrules::suggested,
            overrules::chosen,
            overrules::put_off_until,
            overrules::reason,
            overrules::because,
        ))
        .order(overrules::id.desc())
        .limit(most)
        .load(conn)
}

/// Loads for each part until which day its newest overrule puts it off, where that day is still to
/// come.
pub fn put_off(conn: &mut Conn, today: NaiveDate) -> QueryResult<Vec<(VariantId, NaiveDate)>> {
    let rows: Vec<(VariantId, Option<NaiveDate>)> = overrules::table
        .select((overrules::variant_id, overrules::put_off_until))
        .order(overrules::id)
        .load(conn)?;
    // The newest comes last and wins.
    let newest: std::collections::BTreeMap<_, _> = rows.into_iter().collect();
    let still = newest.into_iter().filter_map(|(variant, until)| Some((variant, until?)));
    Ok(still.filter(|it| today < it.1).collect())
}
