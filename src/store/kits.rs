//! Bills of materials.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use diesel::prelude::*;

use crate::domain::codes::PartNumber;
use crate::domain::ids::{BomId, VariantId};
use crate::domain::kits::{Bom, BomLine, Guide, OptionDef, Step, revision, text};
use crate::error::Error;
use crate::units::Quantity;

use super::dialect::insert_many;
use super::schema::{bom_lines, bom_options, bom_steps, boms, variants};
use super::{Conn, guides};

/// Writes a revision of a bill of materials, or puts it in place of the one of that name.
pub fn put_bom(conn: &mut Conn, bom: &Bom, makes: Option<VariantId>) -> QueryResult<()> {
    let known: Option<i64> = boms::table
        .filter(boms::code.eq(&bom.code))
        .filter(boms::revision.eq(&bom.revision))
        .select(boms::id)
        .first(conn)
        .optional()?;
    let head = (
        boms::code.eq(&bom.code),
        boms::revision.eq(&bom.revision),
        boms::valid_from.eq(bom.valid_from),
        boms::name.eq(&bom.name),
        boms::makes_variant_id.eq(makes),
    );
    let id: i64 = match known {
        Some(id) => {
            diesel::delete(bom_options::table.filter(bom_options::bom_id.eq(id))).execute(conn)?;
            diesel::delete(bom_steps::table.filter(bom_steps::bom_id.eq(id))).execute(conn)?;
            diesel::delete(bom_lines::table.filter(bom_lines::bom_id.eq(id))).execute(conn)?;
            diesel::update(boms::table.find(id)).set(head).execute(conn)?;
            id
        }
        None => {
            diesel::insert_into(boms::table).values(head).returning(boms::id).get_result(conn)?
        }
    };
    put_options(conn, id, &bom.options)?;
    put_steps(conn, id, &bom.steps)?;
    put_lines(conn, id, &bom.lines)?;
    guides::put(conn, id, &bom.guide)
}

fn put_options(conn: &mut Conn, bom: i64, options: &[OptionDef]) -> QueryResult<()> {
    let rows: Vec<_> = (1_i64..)
        .zip(options)
        .map(|(position, it)| {
            (
                bom_options::bom_id.eq(bom),
                bom_options::position.eq(position),
                bom_options::name.eq(&it.name),
                bom_options::allowed.eq(it.values.join("|")),
            )
        })
        .collect();
    insert_many!(conn, bom_options::table, rows)
}

fn put_steps(conn: &mut Conn, bom: i64, steps: &[Step]) -> QueryResult<()> {
    let rows: Vec<_> = steps
        .iter()
        .map(|it| {
            (
                bom_steps::bom_id.eq(bom),
                bom_steps::number.eq(i64::from(it.number)),
                bom_steps::title.eq(&it.title),
                bom_steps::check_text.eq(&it.check),
                bom_steps::caution.eq(&it.caution),
            )
        })
        .collect();
    insert_many!(conn, bom_steps::table, rows)
}

fn put_lines(conn: &mut Conn, bom: i64, lines: &[BomLine]) -> QueryResult<()> {
    let rows: Vec<_> = lines
        .iter()
        .map(|it| {
            (
                bom_lines::bom_id.eq(bom),
                bom_lines::number.eq(i64::from(it.number)),
                bom_lines::step.eq(i64::from(it.step)),
                bom_lines::item.eq(it.item.to_string()),
                bom_lines::choose.eq(text::write_choices(&it.choose)),
                bom_lines::conditions.eq(text::write_conditions(&it.when)),
                bom_lines::quantity.eq(it.quantity),
                bom_lines::carton.eq(i64::from(it.carton)),
            )
        })
        .collect();
    insert_many!(conn, bom_lines::table, rows)
}

/// Takes a draft of a bill away; a revision that was released is left as it is.
pub fn drop_draft(conn: &mut Conn, bom: &Bom) -> QueryResult<()> {
    if bom.valid_from.is_some() {
        return Ok(());
    }
    // Named field by field, so that whatever a bill comes to hold is emptied here too.
    let empty = Bom {
        code: bom.code.clone(),
        revision: bom.revision.clone(),
        valid_from: None,
        name: bom.name.clone(),
        makes: None,
        options: Vec::new(),
        steps: Vec::new(),
        lines: Vec::new(),
        guide: Guide::default(),
    };
    put_bom(conn, &empty, None)?;
    let id = boms::table
        .filter(boms::code.eq(&bom.code))
        .filter(boms::revision.eq(&bom.revision))
        .select(boms::id)
        .first::<BomId>(conn)?;
    // What was settled about its torques was said of no other bill.
    super::card::drop_settlements(conn, id)?;
    diesel::delete(boms::table.filter(boms::id.eq(id))).execute(conn).map(drop)
}

/// Loads the ids of bills of materials by code and revision.
pub fn bom_ids(conn: &mut Conn) -> QueryResult<BTreeMap<(String, String), BomId>> {
    let rows: Vec<(String, String, BomId)> =
        boms::table.select((boms::code, boms::revision, boms::id)).load(conn)?;
    Ok(rows.into_iter().map(|(code, revision, id)| ((code, revision), id)).collect())
}

/// Loads what the lines of all bills name: part numbers, base parts and other bills.
pub fn items(conn: &mut Conn) -> QueryResult<BTreeSet<String>> {
    let items: Vec<String> = bom_lines::table.select(bom_lines::item).distinct().load(conn)?;
    Ok(items.into_iter().collect())
}

/// Loads the heads of all revisions of bills, each as a bill with nothing in it.
pub fn bom_heads(conn: &mut Conn) -> QueryResult<Vec<(BomId, Bom)>> {
    let rows: Vec<(BomId, String, String, Option<NaiveDate>)> =
        boms::table.select((boms::id, boms::code, boms::revision, boms::valid_from)).load(conn)?;
    let head = |(id, code, revision, valid_from)| {
        let (name, makes) = (String::new(), None);
        let (options, steps, lines) = (Vec::new(), Vec::new(), Vec::new());
        let guide = Guide::default();
        (id, Bom { code, revision, valid_from, name, makes, options, steps, lines, guide })
    };
    Ok(rows.into_iter().map(head).collect())
}

/// Sets the day from which a revision holds.
pub fn set_valid_from(
    conn: &mut Conn,
    code: &str,
    revision: &str,
    from: NaiveDate,
) -> QueryResult<()> {
    diesel::update(boms::table.filter(boms::code.eq(code)).filter(boms::revision.eq(revision)))
        .set(boms::valid_from.eq(from))
        .execute(conn)
        .map(drop)
}

/// Loads the variants that the house makes from others.
pub fn made_variants(conn: &mut Conn) -> QueryResult<Vec<VariantId>> {
    let made: Vec<Option<VariantId>> = boms::table
        .filter(boms::makes_variant_id.is_not_null())
        .select(boms::makes_variant_id)
        .load(conn)?;
    Ok(made.into_iter().flatten().collect())
}

/// Loads the assembly steps of a bill of materials.
pub fn steps(conn: &mut Conn, bom: BomId) -> QueryResult<Vec<Step>> {
    let rows: Vec<(i64, String, String, String)> = bom_steps::table
        .filter(bom_steps::bom_id.eq(bom))
        .select((bom_steps::number, bom_steps::title, bom_steps::check_text, bom_steps::caution))
        .order(bom_steps::number)
        .load(conn)?;
    Ok(rows.into_iter().map(step).collect())
}

fn step((number, title, check, caution): (i64, String, String, String)) -> Step {
    Step { number: small(number), title, check, caution }
}

/// Returns a stored number that is known to be small; the tables' checks keep it from 0 up.
fn small(number: i64) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Loads the bills of materials in force on a day, by code.
///
/// # Errors
///
/// As for [`all_boms`].
pub fn boms_on(conn: &mut Conn, day: NaiveDate) -> Result<BTreeMap<String, Bom>, Error> {
    Ok(revision::on_day(&all_boms(conn)?, day))
}

type HeadRow = (i64, String, String, Option<NaiveDate>, String, Option<String>);

/// Loads every revision of every bill of materials: by code, then by the day from which it holds,
/// drafts last.
///
/// # Errors
///
/// [`Error::Internal`] when a stored line no longer reads, which only a hand in the database can
/// bring about.
pub fn all_boms(conn: &mut Conn) -> Result<Vec<Bom>, Error> {
    let heads: Vec<HeadRow> = boms::table
        .left_join(variants::table.on(boms::makes_variant_id.eq(variants::id.nullable())))
        .select((
            boms::id,
            boms::code,
            boms::revision,
            boms::valid_from,
            boms::name,
            variants::part_number.nullable(),
        ))
        .load(conn)?;
    let codes: BTreeSet<String> = heads.iter().map(|it| it.1.clone()).collect();
    let mut options = options_by_bom(conn)?;
    let mut steps = steps_by_bom(conn)?;
    let mut lines = lines_by_bom(conn, &codes)?;
    let mut guides = guides::by_bom(conn)?;
    let mut all: Vec<Bom> = heads
        .into_iter()
        .map(|(id, code, revision, valid_from, name, makes)| {
            let makes = makes.map(|it| it.parse::<PartNumber>()).transpose().map_err(unreadable)?;
            Ok(Bom {
                code,
                revision,
                valid_from,
                name,
                makes,
                options: options.remove(&id).unwrap_or_default(),
                steps: steps.remove(&id).unwrap_or_default(),
                lines: lines.remove(&id).unwrap_or_default(),
                guide: guides.remove(&id).unwrap_or_default(),
            })
        })
        .collect::<Result<_, Error>>()?;
    all.sort_by(|a, b| order(a).cmp(&order(b)));
    Ok(all)
}

fn order(bom: &Bom) -> (&str, bool, Option<NaiveDate>, &str) {
    (&bom.code, bom.valid_from.is_none(), bom.valid_from, &bom.revision)
}

fn unreadable(fault: impl std::fmt::Display) -> Error {
    Error::Internal(format!("a stored bill of materials can't be read: {fault}"))
}

fn options_by_bom(conn: &mut Conn) -> Result<BTreeMap<i64, Vec<OptionDef>>, Error> {
    let rows: Vec<(i64, String, String)> = bom_options::table
        .select((bom_options::bom_id, bom_options::name, bom_options::allowed))
        .order((bom_options::bom_id, bom_options::position))
        .load(conn)?;
    let mut by_bom: BTreeMap<i64, Vec<OptionDef>> = BTreeMap::new();
    for (bom, name, allowed) in rows {
        let values = text::values(&allowed).map_err(unreadable)?;
        by_bom.entry(bom).or_default().push(OptionDef { name, values });
    }
    Ok(by_bom)
}

fn steps_by_bom(conn: &mut Conn) -> QueryResult<BTreeMap<i64, Vec<Step>>> {
    let rows: Vec<(i64, (i64, String, String, String))> = bom_steps::table
        .select((
            bom_steps::bom_id,
            (bom_steps::number, bom_steps::title, bom_steps::check_text, bom_steps::caution),
        ))
        .order((bom_steps::bom_id, bom_steps::number))
        .load(conn)?;
    let mut by_bom: BTreeMap<i64, Vec<Step>> = BTreeMap::new();
    for (bom, row) in rows {
        by_bom.entry(bom).or_default().push(step(row));
    }
    Ok(by_bom)
}

type LineRow = (i64, i64, i64, String, String, String, Quantity, i64);

fn lines_by_bom(
    conn: &mut Conn,
    codes: &BTreeSet<String>,
) -> Result<BTreeMap<i64, Vec<BomLine>>, Error> {
    let rows: Vec<LineRow> = bom_lines::table
        .select((
            bom_lines::bom_id,
            bom_lines::number,
            bom_lines::step,
            bom_lines::item,
            bom_lines::choose,
            bom_lines::conditions,
            bom_lines::quantity,
            bom_lines::carton,
        ))
        .order((bom_lines::bom_id, bom_lines::number))
        .load(conn)?;
    let mut by_bom: BTreeMap<i64, Vec<BomLine>> = BTreeMap::new();
    for (bom, number, step, item, choose, when, quantity, carton) in rows {
        by_bom.entry(bom).or_default().push(BomLine {
            number: small(number),
            step: small(step),
            item: text::item(&item, codes).map_err(unreadable)?,
            choose: text::choices(&choose).map_err(unreadable)?,
            when: text::conditions(&when).map_err(unreadable)?,
            quantity,
            carton: small(carton),
        });
    }
    Ok(by_bom)
}
