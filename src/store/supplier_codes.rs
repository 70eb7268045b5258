//! What suppliers' own codes mean here.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{SupplierCodeId, SupplierId, UserId, VariantId};

use super::Conn;
use super::schema::{parts, supplier_codes, suppliers, users, variants};

/// A supplier's code as it is stored.
#[derive(Debug, Clone, Queryable)]
pub struct SupplierCodeRow {
    /// The code's row.
    pub id: SupplierCodeId,
    /// The supplier's code here.
    pub supplier_code: String,
    /// The supplier's name.
    pub supplier: String,
    /// gtin or item.
    pub kind: String,
    /// The code on the label.
    pub code: String,
    /// The variant that it means.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant_words: String,
    /// Who said so.
    pub learned_by: UserId,
    /// By name.
    pub learned_by_name: String,
    /// When.
    pub learned_at: NaiveDateTime,
    /// When a second person confirmed it.
    pub confirmed_at: Option<NaiveDateTime>,
}

macro_rules! code_rows {
    () => {
        supplier_codes::table
            .inner_join(suppliers::table.on(suppliers::id.eq(supplier_codes::supplier_id)))
            .inner_join(variants::table.on(variants::id.eq(supplier_codes::variant_id)))
            .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
            .inner_join(users::table.on(users::id.eq(supplier_codes::learned_by)))
            .select((
                supplier_codes::id,
                suppliers::code,
                suppliers::name,
                supplier_codes::kind,
                supplier_codes::code,
                supplier_codes::variant_id,
                variants::part_number,
                parts::name,
                variants::variant,
                supplier_codes::learned_by,
                users::name,
                supplier_codes::learned_at,
                supplier_codes::confirmed_at,
            ))
    };
}

/// Loads every code, those that wait for a second person first.
pub fn all(conn: &mut Conn) -> QueryResult<Vec<SupplierCodeRow>> {
    let rows: Vec<SupplierCodeRow> =
        code_rows!().order((suppliers::code, supplier_codes::code)).load(conn)?;
    let (known, waiting): (Vec<_>, Vec<_>) =
        rows.into_iter().partition(|it| it.confirmed_at.is_some());
    Ok(waiting.into_iter().chain(known).collect())
}

/// Loads one code by its row.
pub fn of_id(conn: &mut Conn, id: SupplierCodeId) -> QueryResult<Option<SupplierCodeRow>> {
    code_rows!().filter(supplier_codes::id.eq(i64::from(id))).first(conn).optional()
}

/// Loads what one supplier's code means, confirmed or not.
pub fn find(
    conn: &mut Conn,
    supplier: SupplierId,
    kind: &str,
    code: &str,
) -> QueryResult<Option<SupplierCodeRow>> {
    code_rows!()
        .filter(supplier_codes::supplier_id.eq(supplier))
        .filter(supplier_codes::kind.eq(kind))
        .filter(supplier_codes::code.eq(code))
        .first(conn)
        .optional()
}

/// Loads the variants that a confirmed code means, whichever supplier uses it.
pub fn confirmed(conn: &mut Conn, kind: &str, code: &str) -> QueryResult<Vec<VariantId>> {
    supplier_codes::table
        .filter(supplier_codes::kind.eq(kind))
        .filter(supplier_codes::code.eq(code))
        .filter(supplier_codes::confirmed_at.is_not_null())
        .select(supplier_codes::variant_id)
        .order(supplier_codes::id)
        .load(conn)
}

/// Loads the variants that the parts list has under a supplier's item number.
pub fn listed(conn: &mut Conn, item: &str) -> QueryResult<Vec<VariantId>> {
    variants::table
        .filter(variants::supplier_item.eq(item))
        .select(variants::id)
        .order(variants::part_number)
        .load(conn)
}

/// Writes what a code is said to mean.
pub fn learn(
    conn: &mut Conn,
    supplier: SupplierId,
    (kind, code): (&str, &str),
    variant: VariantId,
    (user, now): (UserId, NaiveDateTime),
) -> QueryResult<SupplierCodeId> {
    diesel::insert_into(supplier_codes::table)
        .values((
            supplier_codes::supplier_id.eq(supplier),
            supplier_codes::kind.eq(kind),
            supplier_codes::code.eq(code),
            supplier_codes::variant_id.eq(variant),
            supplier_codes::learned_by.eq(user),
            supplier_codes::learned_at.eq(now),
        ))
        .returning(supplier_codes::id)
        .get_result(conn)
}

/// Writes that a second person confirmed a code.
pub fn confirm(
    conn: &mut Conn,
    id: SupplierCodeId,
    user: UserId,
    now: NaiveDateTime,
) -> QueryResult<()> {
    diesel::update(supplier_codes::table.filter(supplier_codes::id.eq(i64::from(id))))
        .set((
            supplier_codes::confirmed_by.eq(Some(user)),
            supplier_codes::confirmed_at.eq(Some(now)),
        ))
        .execute(conn)
        .map(drop)
}

/// Forgets a code.
pub fn forget(conn: &mut Conn, id: SupplierCodeId) -> QueryResult<()> {
    diesel::delete(supplier_codes::table.filter(supplier_codes::id.eq(i64::from(id))))
        .execute(conn)
        .map(drop)
}
