//! Suppliers, bins, parts and their variants.

use std::collections::{BTreeMap, BTreeSet};

use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::Bool;

use crate::domain::catalog::{BinRecord, Closing, PartRecord, SupplierRecord};
use crate::domain::ids::{PlaceId, SupplierId, VariantId};
use crate::domain::picking::FoundPart;
use crate::units::{Mass, Money, Quantity};

use super::schema::{movements, parts, places, supplier_closings, suppliers, variants};
use super::{CHUNK, Conn};

/// Loads the ids of suppliers by code.
pub fn supplier_ids(conn: &mut Conn) -> QueryResult<BTreeMap<String, SupplierId>> {
    let rows: Vec<(String, SupplierId)> =
        suppliers::table.select((suppliers::code, suppliers::id)).load(conn)?;
    Ok(rows.into_iter().collect())
}

/// Writes a supplier, or changes the one of that code.
pub fn put_supplier(conn: &mut Conn, it: &SupplierRecord) -> QueryResult<()> {
    let values = (
        suppliers::name.eq(&it.name),
        suppliers::email.eq(&it.email),
        suppliers::lead_days.eq(i64::from(it.lead_days)),
        suppliers::lead_sd_tenths.eq(i64::from(it.lead_sd_tenths)),
        it.address.as_ref().map(|it| suppliers::address.eq(it)),
    );
    let changed = diesel::update(suppliers::table.filter(suppliers::code.eq(&it.code)))
        .set(values)
        .execute(conn)?;
    if changed == 0 {
        diesel::insert_into(suppliers::table)
            .values((
                suppliers::code.eq(&it.code),
                suppliers::name.eq(&it.name),
                suppliers::email.eq(&it.email),
                suppliers::lead_days.eq(i64::from(it.lead_days)),
                suppliers::lead_sd_tenths.eq(i64::from(it.lead_sd_tenths)),
                suppliers::address.eq(it.address.as_deref().unwrap_or_default()),
            ))
            .execute(conn)?;
    }
    if let Some(terms) = &it.terms {
        diesel::update(suppliers::table.filter(suppliers::code.eq(&it.code)))
            .set((
                suppliers::minimum_order_cents.eq(terms.minimum_value),
                suppliers::order_cost_cents.eq(terms.order_cost),
                suppliers::budget_cents.eq(terms.budget),
                suppliers::container_litres.eq(terms.container_litres.map(i64::from)),
                suppliers::container_kg.eq(terms.container_kg.map(i64::from)),
            ))
            .execute(conn)?;
        put_closings(conn, &it.code, terms.closed.all())?;
    }
    Ok(())
}

/// Writes when a supplier is closed, in place of what was known of it.
fn put_closings(conn: &mut Conn, code: &str, closings: &[Closing]) -> QueryResult<()> {
    let supplier: SupplierId =
        suppliers::table.filter(suppliers::code.eq(code)).select(suppliers::id).first(conn)?;
    let known = supplier_closings::table.filter(supplier_closings::supplier_id.eq(supplier));
    diesel::delete(known).execute(conn)?;
    for it in closings {
        diesel::insert_into(supplier_closings::table)
            .values((
                supplier_closings::supplier_id.eq(supplier),
                supplier_closings::first_day.eq(it.from),
                supplier_closings::last_day.eq(it.until),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// Writes a bin, or changes the one of that code.
pub fn put_bin(conn: &mut Conn, it: &BinRecord) -> QueryResult<()> {
    let code = it.code.as_str();
    let walk_order = i64::from(it.walk_order);
    let changed = diesel::update(places::table.filter(places::code.eq(code)))
        .set((
            places::kind.eq(it.kind.as_str()),
            places::zone.eq(&it.zone),
            places::walk_order.eq(walk_order),
        ))
        .execute(conn)?;
    if changed == 0 {
        diesel::insert_into(places::table)
            .values((
                places::code.eq(code),
                places::kind.eq(it.kind.as_str()),
                places::zone.eq(&it.zone),
                places::walk_order.eq(walk_order),
                places::outside.eq(false),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// A bin as it is stored.
#[derive(Debug, Clone, Queryable)]
pub struct BinRow {
    /// The place.
    pub id: PlaceId,
    /// Its code.
    pub code: String,
    /// Its kind, in its word.
    pub kind: String,
    /// Its zone.
    pub zone: String,
    /// Its place in the walk.
    pub walk_order: i64,
}

/// Loads the house's bins in walking order: those to pick from, quarantine and returns.
pub fn bins(conn: &mut Conn) -> QueryResult<Vec<BinRow>> {
    places::table
        .filter(places::kind.eq_any(["bin", "quarantine", "returns"]))
        .select((places::id, places::code, places::kind, places::zone, places::walk_order))
        .order((places::walk_order, places::code))
        .load(conn)
}

/// Loads the names of base parts with their ids.
fn part_id(conn: &mut Conn, name: &str) -> QueryResult<i64> {
    let found: Option<i64> =
        parts::table.filter(parts::name.eq(name)).select(parts::id).first(conn).optional()?;
    match found {
        Some(id) => Ok(id),
        None => diesel::insert_into(parts::table)
            .values(parts::name.eq(name))
            .returning(parts::id)
            .get_result(conn),
    }
}

/// Writes a variant, or changes the one of that part number.
pub fn put_part(
    conn: &mut Conn,
    it: &PartRecord,
    supplier: Option<SupplierId>,
    bin: Option<PlaceId>,
) -> QueryResult<()> {
    let part_id = part_id(conn, &it.part)?;
    let box_text = it.box_size.as_ref().map(ToString::to_string).unwrap_or_default();
    let values = (
        variants::part_id.eq(part_id),
        variants::variant.eq(&it.variant),
        variants::specification.eq(&it.specification),
        variants::attributes.eq(it.attributes.to_string()),
        variants::mass_mg.eq(it.mass),
        variants::mass_sd_mg.eq(it.mass_sd),
        variants::box_.eq(box_text),
        variants::tracking.eq(it.tracking.as_str()),
        variants::class.eq(it.class.letter()),
        variants::supplier_id.eq(supplier),
        variants::supplier_item.eq(&it.supplier_item),
        variants::unit_cost_cents.eq(it.unit_cost),
        variants::pack.eq(it.pack),
        variants::minimum_order.eq(it.minimum_order),
        variants::reorder_point.eq(it.reorder_point),
        variants::order_quantity.eq(it.order_quantity),
        variants::bin_id.eq(bin),
    );
    let number = it.part_number.as_str();
    let known = variants::table.filter(variants::part_number.eq(number));
    let changed = diesel::update(known).set(values.clone()).execute(conn)?;
    if changed == 0 {
        diesel::insert_into(variants::table)
            .values((variants::part_number.eq(number), values))
            .execute(conn)?;
    }
    if let Some(stated) = &it.facts {
        diesel::update(known)
            .set((
                variants::facts.eq(stated.facts.to_string()),
                variants::facts_source.eq(&stated.source),
            ))
            .execute(conn)?;
    }
    Ok(())
}

/// A variant as it is stored.
#[derive(Debug, Clone, Queryable)]
pub struct VariantRow {
    /// The variant.
    pub id: VariantId,
    /// Its part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its sisters.
    pub variant: String,
    /// Its specification.
    pub specification: String,
    /// Its attributes, in their text form.
    pub attributes: String,
    /// The mean mass of one piece.
    pub mass: Mass,
    /// The standard deviation of one piece's mass.
    pub mass_sd: Mass,
    /// The box around one piece, in its text form.
    pub box_size: String,
    /// How it is tracked, in its word.
    pub tracking: String,
    /// What its absence does, in its letter.
    pub class: String,
    /// Its supplier.
    pub supplier: Option<SupplierId>,
    /// The supplier's code.
    pub supplier_code: Option<String>,
    /// The supplier's name.
    pub supplier_name: Option<String>,
    /// The supplier's own number for it.
    pub supplier_item: Option<String>,
    /// What one piece costs.
    pub unit_cost: Money,
    /// Pieces in one pack.
    pub pack: Quantity,
    /// The least that the supplier sells at once.
    pub minimum_order: Quantity,
    /// Order at or below this.
    pub reorder_point: Quantity,
    /// The usual order.
    pub order_quantity: Quantity,
    /// Its home bin.
    pub bin: Option<PlaceId>,
    /// The home bin's code.
    pub bin_code: Option<String>,
    /// What the rules of fit compare, in its text form.
    pub facts: String,
    /// The document that states it.
    pub facts_source: String,
}

impl VariantRow {
    /// Returns the part as a scan would find it.
    pub fn found(&self) -> FoundPart {
        FoundPart {
            variant: self.id,
            part_number: self.part_number.clone(),
            part: self.part.clone(),
            variant_words: self.variant.clone(),
        }
    }
}

macro_rules! variant_rows {
    () => {
        variants::table
            .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
            .left_join(suppliers::table.on(variants::supplier_id.eq(suppliers::id.nullable())))
            .left_join(places::table.on(variants::bin_id.eq(places::id.nullable())))
            .select((
                variants::id,
                variants::part_number,
                parts::name,
                variants::variant,
                variants::specification,
                variants::attributes,
                variants::mass_mg,
                variants::mass_sd_mg,
                variants::box_,
                variants::tracking,
                variants::class,
                variants::supplier_id,
                suppliers::code.nullable(),
                suppliers::name.nullable(),
                variants::supplier_item,
                variants::unit_cost_cents,
                variants::pack,
                variants::minimum_order,
                variants::reorder_point,
                variants::order_quantity,
                variants::bin_id,
                places::code.nullable(),
                variants::facts,
                variants::facts_source,
            ))
    };
}

/// Loads every variant in order of part number.
pub fn variants(conn: &mut Conn) -> QueryResult<Vec<VariantRow>> {
    variant_rows!().order(variants::part_number).load(conn)
}

/// Loads variants by id, in no order.
pub fn variants_of(conn: &mut Conn, ids: &BTreeSet<VariantId>) -> QueryResult<Vec<VariantRow>> {
    let ids: Vec<VariantId> = ids.iter().copied().collect();
    let mut rows = Vec::new();
    for some in ids.chunks(CHUNK) {
        rows.extend(variant_rows!().filter(variants::id.eq_any(some)).load::<VariantRow>(conn)?);
    }
    Ok(rows)
}

/// Loads the variants of those part numbers, in no order.
pub fn variants_numbered<'a>(
    conn: &mut Conn,
    numbers: impl IntoIterator<Item = &'a str>,
) -> QueryResult<Vec<VariantRow>> {
    let numbers: Vec<&str> = numbers.into_iter().collect();
    let mut rows = Vec::new();
    for some in numbers.chunks(CHUNK) {
        let of_some = variant_rows!().filter(variants::part_number.eq_any(some));
        rows.extend(of_some.load::<VariantRow>(conn)?);
    }
    Ok(rows)
}

/// Loads the variants of parts with those names, and those with those part numbers, in no order.
pub fn variants_named(conn: &mut Conn, names: &BTreeSet<String>) -> QueryResult<Vec<VariantRow>> {
    let mut rows = variants_numbered(conn, names.iter().map(String::as_str))?;
    let names: Vec<&String> = names.iter().collect();
    for some in names.chunks(CHUNK) {
        let of_some = variant_rows!().filter(parts::name.eq_any(some.iter().copied()));
        rows.extend(of_some.load::<VariantRow>(conn)?);
    }
    Ok(rows)
}

/// Loads the variants of which something is stated for the rules of fit. The condition is that of
/// the index `variants_stated`, which a bound value would not find.
pub fn variants_stated(conn: &mut Conn) -> QueryResult<Vec<VariantRow>> {
    variant_rows!().filter(sql::<Bool>("variants.facts <> ''")).load(conn)
}

/// Loads the numbers of parts with that at which to order again.
pub fn reorder_points(conn: &mut Conn) -> QueryResult<Vec<(VariantId, Quantity)>> {
    variants::table.select((variants::id, variants::reorder_point)).load(conn)
}

/// What a part is looked for by: id, part number, name, variant and specification.
pub type SearchRow = (VariantId, String, String, String, String);

/// Loads what parts are looked for by, in order of part number: those after one number, and no more
/// than `most` where one is given.
pub fn search_rows(conn: &mut Conn, after: &str, most: Option<i64>) -> QueryResult<Vec<SearchRow>> {
    variants::table
        .inner_join(parts::table.on(parts::id.eq(variants::part_id)))
        .filter(variants::part_number.gt(after))
        .select((
            variants::id,
            variants::part_number,
            parts::name,
            variants::variant,
            variants::specification,
        ))
        .order(variants::part_number)
        .limit(most.unwrap_or(i64::MAX))
        .load(conn)
}

/// Loads the variant of that part number.
pub fn variant(conn: &mut Conn, part_number: &str) -> QueryResult<Option<VariantRow>> {
    variant_rows!().filter(variants::part_number.eq(part_number)).first(conn).optional()
}

/// Loads the variant of that id.
pub fn variant_of(conn: &mut Conn, id: VariantId) -> QueryResult<Option<VariantRow>> {
    variant_rows!().filter(variants::id.eq(id)).first(conn).optional()
}

/// Loads the part numbers of variants whose stock has ever moved.
pub fn moved_variants(conn: &mut Conn) -> QueryResult<Vec<String>> {
    variants::table
        .filter(variants::id.eq_any(movements::table.select(movements::variant_id).distinct()))
        .select(variants::part_number)
        .load(conn)
}

/// A supplier as stored.
#[derive(Debug, Clone, Queryable)]
pub struct SupplierRow {
    /// The supplier.
    pub id: SupplierId,
    /// Its code.
    pub code: String,
    /// Its name.
    pub name: String,
    /// Where orders are sent.
    pub email: Option<String>,
    /// The mean lead time, in days.
    pub lead_days: i64,
    /// The lead time's standard deviation, in tenths of a day.
    pub lead_sd_tenths: i64,
    /// The postal address, its lines parted by semicolons; empty where it is not known.
    pub address: String,
    /// The least that an order must be worth.
    pub minimum_value: Money,
    /// What an order costs whatever its size.
    pub order_cost: Money,
    /// The most that one order may cost.
    pub budget: Option<Money>,
    /// The litres of a container.
    pub container_litres: Option<i64>,
    /// The kilograms of a container.
    pub container_kg: Option<i64>,
}

/// Loads every supplier in order of code.
pub fn suppliers(conn: &mut Conn) -> QueryResult<Vec<SupplierRow>> {
    suppliers::table
        .select((
            suppliers::id,
            suppliers::code,
            suppliers::name,
            suppliers::email,
            suppliers::lead_days,
            suppliers::lead_sd_tenths,
            suppliers::address,
            suppliers::minimum_order_cents,
            suppliers::order_cost_cents,
            suppliers::budget_cents,
            suppliers::container_litres,
            suppliers::container_kg,
        ))
        .order(suppliers::code)
        .load(conn)
}
