//! What a bill of materials says on the assembly card beyond steps and parts.

use std::collections::BTreeMap;

use diesel::prelude::*;

use crate::domain::joints::{Joint, PresetKey, Statement};
use crate::domain::kits::{Guide, StepAids, StepWords};
use crate::error::Error;

use super::Conn;
use super::dialect::insert_many;
use super::schema::{bom_keys, bom_step_aids, bom_step_words, joint_torques, joint_words, joints};

/// Writes the guide of a bill in place of the one before.
pub(super) fn put(conn: &mut Conn, bom: i64, guide: &Guide) -> QueryResult<()> {
    clear(conn, bom)?;
    let aids: Vec<_> = guide
        .aids
        .iter()
        .map(|(step, it)| {
            (
                bom_step_aids::bom_id.eq(bom),
                bom_step_aids::step.eq(i64::from(*step)),
                bom_step_aids::tools.eq(barred(&it.tools)),
                bom_step_aids::drawings.eq(barred(&it.drawings)),
            )
        })
        .collect();
    insert_many!(conn, bom_step_aids::table, aids)?;
    let words: Vec<_> = guide
        .words
        .iter()
        .map(|((step, language), it)| {
            (
                bom_step_words::bom_id.eq(bom),
                bom_step_words::step.eq(i64::from(*step)),
                bom_step_words::language.eq(language.tag()),
                bom_step_words::title.eq(&it.title),
                bom_step_words::check_text.eq(&it.check),
                bom_step_words::caution.eq(&it.caution),
            )
        })
        .collect();
    insert_many!(conn, bom_step_words::table, words)?;
    let keys: Vec<_> = guide
        .keys
        .iter()
        .map(|it| {
            (
                bom_keys::bom_id.eq(bom),
                bom_keys::part_number.eq(it.part_number.as_str()),
                bom_keys::stated.eq(it.torque.to_string()),
                bom_keys::source.eq(&it.source),
            )
        })
        .collect();
    insert_many!(conn, bom_keys::table, keys)?;
    put_joints(conn, bom, &guide.joints)
}

fn barred(all: &[impl ToString]) -> String {
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join("|")
}

fn clear(conn: &mut Conn, bom: i64) -> QueryResult<()> {
    let old: Vec<i64> =
        joints::table.filter(joints::bom_id.eq(bom)).select(joints::id).load(conn)?;
    diesel::delete(joint_torques::table.filter(joint_torques::joint_id.eq_any(&old)))
        .execute(conn)?;
    diesel::delete(joint_words::table.filter(joint_words::joint_id.eq_any(&old))).execute(conn)?;
    diesel::delete(joints::table.filter(joints::bom_id.eq(bom))).execute(conn)?;
    diesel::delete(bom_keys::table.filter(bom_keys::bom_id.eq(bom))).execute(conn)?;
    diesel::delete(bom_step_words::table.filter(bom_step_words::bom_id.eq(bom))).execute(conn)?;
    diesel::delete(bom_step_aids::table.filter(bom_step_aids::bom_id.eq(bom))).execute(conn)?;
    Ok(())
}

fn put_joints(conn: &mut Conn, bom: i64, all: &[Joint]) -> QueryResult<()> {
    let rows: Vec<_> = all
        .iter()
        .map(|it| {
            (
                joints::bom_id.eq(bom),
                joints::number.eq(i64::from(it.number)),
                joints::step.eq(i64::from(it.step)),
                joints::name.eq(&it.name),
                joints::bolts.eq(i64::from(it.bolts)),
                joints::thread.eq(&it.thread),
                joints::pattern.eq(it.pattern.as_str()),
                joints::condition.eq(it.condition.as_str()),
                joints::set_by_maker.eq(it.set_by_maker),
            )
        })
        .collect();
    insert_many!(conn, joints::table, rows)?;
    let ids: Vec<(i64, i64)> = joints::table
        .filter(joints::bom_id.eq(bom))
        .select((joints::number, joints::id))
        .load(conn)?;
    let ids: BTreeMap<i64, i64> = ids.into_iter().collect();
    let with_id = |it: &Joint| ids.get(&i64::from(it.number)).copied();
    let names: Vec<_> = all
        .iter()
        .filter_map(|it| Some((with_id(it)?, it)))
        .flat_map(|(id, it)| {
            it.names.iter().map(move |(language, name)| {
                (
                    joint_words::joint_id.eq(id),
                    joint_words::language.eq(language.tag()),
                    joint_words::name.eq(name),
                )
            })
        })
        .collect();
    insert_many!(conn, joint_words::table, names)?;
    let torques: Vec<_> = all
        .iter()
        .filter_map(|it| Some((with_id(it)?, it)))
        .flat_map(|(id, it)| {
            (1_i64..).zip(&it.statements).map(move |(position, it)| {
                (
                    joint_torques::joint_id.eq(id),
                    joint_torques::position.eq(position),
                    joint_torques::stated.eq(it.torque.to_string()),
                    joint_torques::source.eq(&it.source),
                )
            })
        })
        .collect();
    insert_many!(conn, joint_torques::table, torques)
}

fn read<T, E: std::fmt::Display>(read: Result<T, E>) -> Result<T, Error> {
    read.map_err(|fault| Error::Internal(format!("a stored assembly card can't be read: {fault}")))
}

fn small(number: i64) -> Result<u32, Error> {
    read(u32::try_from(number))
}

fn list<T: std::str::FromStr<Err: std::fmt::Display>>(text: &str) -> Result<Vec<T>, Error> {
    text.split('|').filter(|it| !it.is_empty()).map(|it| read(it.parse())).collect()
}

/// Loads the guides of all bills, by bill.
pub(super) fn by_bom(conn: &mut Conn) -> Result<BTreeMap<i64, Guide>, Error> {
    let mut guides: BTreeMap<i64, Guide> = BTreeMap::new();
    let aids: Vec<(i64, i64, String, String)> = bom_step_aids::table
        .select((
            bom_step_aids::bom_id,
            bom_step_aids::step,
            bom_step_aids::tools,
            bom_step_aids::drawings,
        ))
        .load(conn)?;
    for (bom, step, tools, drawings) in aids {
        let it = StepAids { tools: list(&tools)?, drawings: list(&drawings)? };
        guides.entry(bom).or_default().aids.insert(small(step)?, it);
    }
    let words: Vec<(i64, i64, String, String, String, String)> = bom_step_words::table
        .select((
            bom_step_words::bom_id,
            bom_step_words::step,
            bom_step_words::language,
            bom_step_words::title,
            bom_step_words::check_text,
            bom_step_words::caution,
        ))
        .load(conn)?;
    for (bom, step, language, title, check, caution) in words {
        let key = (small(step)?, read(language.parse())?);
        guides.entry(bom).or_default().words.insert(key, StepWords { title, check, caution });
    }
    let keys: Vec<(i64, String, String, String)> = bom_keys::table
        .select((bom_keys::bom_id, bom_keys::part_number, bom_keys::stated, bom_keys::source))
        .order(bom_keys::id)
        .load(conn)?;
    for (bom, part_number, stated, source) in keys {
        let (part_number, torque) = (read(part_number.parse())?, read(stated.parse())?);
        guides.entry(bom).or_default().keys.push(PresetKey { part_number, torque, source });
    }
    for (bom, joint) in all_joints(conn)? {
        guides.entry(bom).or_default().joints.push(joint);
    }
    Ok(guides)
}

type JointRow = (i64, i64, i64, i64, String, i64, String, String, String, bool);

fn all_joints(conn: &mut Conn) -> Result<Vec<(i64, Joint)>, Error> {
    let rows: Vec<JointRow> = joints::table
        .select((
            joints::id,
            joints::bom_id,
            joints::number,
            joints::step,
            joints::name,
            joints::bolts,
            joints::thread,
            joints::pattern,
            joints::condition,
            joints::set_by_maker,
        ))
        .order((joints::bom_id, joints::number))
        .load(conn)?;
    let names: Vec<(i64, String, String)> = joint_words::table
        .select((joint_words::joint_id, joint_words::language, joint_words::name))
        .load(conn)?;
    let torques: Vec<(i64, String, String)> = joint_torques::table
        .select((joint_torques::joint_id, joint_torques::stated, joint_torques::source))
        .order((joint_torques::joint_id, joint_torques::position))
        .load(conn)?;
    rows.into_iter()
        .map(|(id, bom, number, step, name, bolts, thread, pattern, condition, set_by_maker)| {
            let names = names.iter().filter(|it| it.0 == id);
            let statements = torques.iter().filter(|it| it.0 == id);
            let joint = Joint {
                number: small(number)?,
                step: small(step)?,
                name,
                names: names
                    .map(|it| Ok((read(it.1.parse())?, it.2.clone())))
                    .collect::<Result<_, Error>>()?,
                bolts: small(bolts)?,
                thread,
                pattern: read(pattern.parse())?,
                condition: read(condition.parse())?,
                set_by_maker,
                statements: statements
                    .map(|it| Ok(Statement { torque: read(it.1.parse())?, source: it.2.clone() }))
                    .collect::<Result<_, Error>>()?,
            };
            Ok((bom, joint))
        })
        .collect()
}
