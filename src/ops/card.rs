//! The assembly card of a kit, and the torques that it stands on.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use crate::domain::card::{Card, CardFacts, FittedPart, Replaced, blocking, compose};
use crate::domain::ids::BomId;
use crate::domain::joints::{Conflict, Joint, Settlement, Verdict, fingerprint, judge};
use crate::domain::kits::Bom;
use crate::domain::messages::{Glossary, Language};
use crate::error::Error;
use crate::paper;
use crate::store::catalog::VariantRow;
use crate::store::{Conn, Tx, card as store, catalog, orders};
use crate::units::{Quantity, StatedMass};

use super::fit;
use super::kits::{contents_of_kit, from_bag};
use super::labels::shop_name;
use super::once::{RequestKey, once};
use super::{substitution, words};

/// Which card is wanted.
#[derive(Debug, Clone)]
pub struct CardWish {
    /// The kit's number.
    pub kit: String,
    /// The language; the kit's own where it is left out.
    pub language: Option<Language>,
    /// The mass of rider, clothes and pack, where it was told.
    pub rider: Option<StatedMass>,
    /// The address that the card's code opens.
    pub link: String,
}

/// Returns a kit's assembly card.
///
/// # Errors
///
/// [`Error::NotFound`], and [`Error::Conflict`] while two documents disagree about a torque.
pub fn card(conn: &mut Conn, wish: &CardWish, today: NaiveDate) -> Result<Card, Error> {
    let facts = facts(conn, wish, today)?;
    compose(&facts).map_err(|conflicts| held_back(&facts.bom, &conflicts))
}

/// Returns a kit's assembly card as a PDF.
///
/// # Errors
///
/// As [`card`].
pub fn card_pdf(conn: &mut Conn, wish: &CardWish, today: NaiveDate) -> Result<Vec<u8>, Error> {
    let card = card(conn, wish, today)?;
    paper::assembly_card(&card)
        .map_err(|fault| Error::invalid("paper.unprintable", fault.to_string()))
}

fn held_back(bom: &Bom, conflicts: &[Conflict]) -> Error {
    let words: Vec<String> = conflicts.iter().map(ToString::to_string).collect();
    Error::conflict(
        "card.torque_conflict",
        format!(
            "the assembly card of {} {} is held back until somebody settles which torque holds: {}",
            bom.code,
            bom.revision,
            words.join("; ")
        ),
    )
}

/// Returns the language that a kit's options choose.
pub fn language_of(options: &[(String, String)]) -> Language {
    let chosen = options.iter().find(|(name, _)| name == "language");
    chosen.and_then(|(_, value)| value.parse().ok()).unwrap_or_default()
}

/// Loads what the catalogue's words are called in other languages.
///
/// # Errors
///
/// [`Error::Database`].
pub fn glossary(conn: &mut Conn) -> Result<Glossary, Error> {
    let mut glossary = Glossary::default();
    for it in store::glossary_entries(conn)? {
        glossary.add(&it.text, it.language, &it.words);
    }
    Ok(glossary)
}

fn facts(conn: &mut Conn, wish: &CardWish, today: NaiveDate) -> Result<CardFacts, Error> {
    let number = &wish.kit;
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let order = orders::order_of(conn, kit.order)?;
    let options = orders::options_of(conn, kit.id)?;
    let bom = bill(conn, kit.bom)?;
    let rows = catalog::variants(conn)?;
    let variants: Variants = rows.into_iter().map(|it| (it.part_number.clone(), it)).collect();
    let mut parts = Vec::new();
    let lines = orders::lines_of(conn, &[kit.id])?;
    let contents = contents_of_kit(conn, kit.bills_on, &lines)?;
    let measures = fit::measures_of_kit(conn, &kit, &lines)?;
    let in_place = substitution::in_place(conn, &[kit.id])?.remove(&kit.id).unwrap_or_default();
    for line in lines {
        let held = from_bag(&contents, &line.part_number);
        let bag = (line.part.clone(), line.variant_words.clone());
        let step = words::small(line.step)?;
        let asked = in_place.iter().find(|it| it.line == line.number);
        parts.push(FittedPart {
            is_bag: !held.is_empty(),
            in_place_of: asked.map(|it| replaced(&variants, &it.in_place_of)).transpose()?,
            ..fitted(&variants, &line.part_number, step, line.quantity)?
        });
        for it in held {
            let quantity = it.quantity.times(line.quantity);
            let held = fitted(&variants, &it.part_number, it.step, quantity)?;
            parts.push(FittedPart { bag: Some(bag.clone()), ..held });
        }
    }
    Ok(CardFacts {
        language: wish.language.unwrap_or_else(|| language_of(&options)),
        shop: shop_name(conn)?,
        kit: kit.number,
        order: order.number,
        options,
        link: wish.link.clone(),
        printed_on: today,
        settled: store::settlements(conn, kit.bom)?,
        bom,
        parts,
        glossary: glossary(conn)?,
        charts: store::charts(conn)?,
        rider: wish.rider,
        saddle: measures.post,
        gap: measures.gap,
        ski_screws: measures.ski_screws,
    })
}

/// Returns the bill of that id.
pub(super) fn bill(conn: &mut Conn, id: BomId) -> Result<Bom, Error> {
    let found = store::bills(conn)?.into_iter().find(|it| it.0 == id);
    found.map(|it| it.1).ok_or_else(|| Error::Internal("a kit has no bill".to_owned()))
}

/// The part numbers of the catalogue.
type Variants = BTreeMap<String, VariantRow>;

fn row<'a>(variants: &'a Variants, number: &str) -> Result<&'a VariantRow, Error> {
    variants.get(number).ok_or_else(|| Error::not_found("part number", number))
}

fn replaced(variants: &Variants, number: &str) -> Result<Replaced, Error> {
    let row = row(variants, number)?;
    let (name, variant) = (row.part.clone(), row.variant.clone());
    Ok(Replaced { part_number: row.part_number.clone(), name, variant })
}

fn fitted(
    variants: &Variants,
    number: &str,
    step: u32,
    quantity: Quantity,
) -> Result<FittedPart, Error> {
    fn read<T, E: std::fmt::Display>(found: Result<T, E>) -> Result<T, Error> {
        found.map_err(|fault| Error::Internal(format!("a stored part can't be read: {fault}")))
    }
    let row = row(variants, number)?;
    Ok(FittedPart {
        step,
        part_number: number.to_owned(),
        name: row.part.clone(),
        variant: row.variant.clone(),
        attributes: read(row.attributes.parse())?,
        facts: read(row.facts.parse())?,
        quantity,
        class: words::class(&row.class)?,
        bag: None,
        is_bag: false,
        in_place_of: None,
    })
}

/// What is stated about the torque of a joint, and which of it holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct JointView {
    /// The bill of materials.
    pub bom: String,
    /// Its revision.
    pub revision: String,
    /// The joint's number in the bill.
    pub joint: u32,
    /// The step of its final torque.
    pub step: u32,
    /// The joint's name.
    pub name: String,
    /// How many bolts it has.
    pub bolts: u32,
    /// Their thread.
    pub thread: String,
    /// Whether it was tightened before packing.
    pub set_by_maker: bool,
    /// What the documents state, in order.
    pub statements: Vec<StatementView>,
    /// Why no card can be printed; empty where one can.
    pub conflict: String,
    /// Who settled it and why; empty where nobody had to.
    pub settled: String,
}

/// What one document states about a joint's torque.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct StatementView {
    /// The torque as stated.
    pub stated: String,
    /// In N·m, rounded so that it stays inside the band.
    pub newton_metres: String,
    /// In whole in·lbf inside the band.
    pub inch_pounds: String,
    /// The document.
    pub source: String,
    /// Whether it is the one that is printed.
    pub holds: bool,
}

/// Loads the torques of every bill, conflicts first.
///
/// # Errors
///
/// [`Error::Database`].
pub fn torques(conn: &mut Conn) -> Result<Vec<JointView>, Error> {
    let settled = store::all_settlements(conn)?;
    let mut views = Vec::new();
    for (id, bom) in store::bills(conn)? {
        let settled = settled.get(&id).map(Vec::as_slice).unwrap_or_default();
        views.extend(bom.guide.joints.iter().map(|it| joint_view(&bom, it, settled)));
    }
    views.sort_by_key(|it| it.conflict.is_empty());
    Ok(views)
}

fn joint_view(bom: &Bom, joint: &Joint, settled: &[Settlement]) -> JointView {
    let verdict = judge(joint, settled);
    let (held, settlement, conflict) = match &verdict {
        Verdict::Holds(held, settlement) => (Some(*held), *settlement, String::new()),
        Verdict::Conflict(it) => (None, None, it.to_string()),
        Verdict::Unstated => (None, None, String::new()),
    };
    let statements = joint.statements.iter().map(|it| StatementView {
        stated: it.torque.to_string(),
        newton_metres: it.torque.in_newton_metres(1),
        inch_pounds: it.torque.in_inch_pounds(),
        source: it.source.clone(),
        holds: held.is_some_and(|held| std::ptr::eq(held, it)),
    });
    JointView {
        bom: bom.code.clone(),
        revision: bom.revision.clone(),
        joint: joint.number,
        step: joint.step,
        name: joint.name.clone(),
        bolts: joint.bolts,
        thread: joint.thread.clone(),
        set_by_maker: joint.set_by_maker,
        statements: statements.collect(),
        conflict,
        settled: settlement.map(|it| format!("{}: “{}”", it.by, it.reason)).unwrap_or_default(),
    }
}

/// A person's word on which statement holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SettleWish {
    /// The bill of materials.
    pub bom: String,
    /// Its revision.
    pub revision: String,
    /// The joint's number.
    pub joint: u32,
    /// Which statement holds, counted from 1.
    pub statement: usize,
    /// Why.
    pub reason: String,
}

/// Settles which of several statements holds for a joint, with a reason.
///
/// # Errors
///
/// [`Error::NotFound`] for a bill, joint or statement that is not there; [`Error::Invalid`] without
/// a reason; [`Error::Conflict`] where nothing disagrees.
pub fn settle(tx: &mut Tx<'_>, key: &RequestKey, wish: &SettleWish) -> Result<JointView, Error> {
    let (id, bom) = named(tx.conn, &wish.bom, &wish.revision)?;
    once(tx, key, "card.settle", wish, |tx| write(tx, key, id, &bom, wish))?;
    let settled = store::settlements(tx.conn, id)?;
    Ok(joint_view(&bom, joint_of(&bom, wish.joint)?, &settled))
}

fn named(conn: &mut Conn, code: &str, revision: &str) -> Result<(BomId, Bom), Error> {
    let wanted = |it: &(BomId, Bom)| it.1.code == code && it.1.revision == revision;
    let found = store::bills(conn)?.into_iter().find(wanted);
    found.ok_or_else(|| Error::not_found("bill of materials", format!("{code} {revision}")))
}

fn joint_of(bom: &Bom, number: u32) -> Result<&Joint, Error> {
    let found = bom.guide.joints.iter().find(|it| it.number == number);
    found.ok_or_else(|| Error::not_found("joint", number.to_string()))
}

fn write(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    id: BomId,
    bom: &Bom,
    wish: &SettleWish,
) -> Result<(), Error> {
    let user = tx.who.user().ok_or(Error::SignedOut)?;
    let joint = joint_of(bom, wish.joint)?;
    let reason = wish.reason.trim();
    if reason.is_empty() || 1000 < reason.chars().count() {
        return Err(Error::invalid(
            "card.no_reason",
            "reason: write in up to 1000 characters why this statement holds, such as whom at the maker you asked",
        ));
    }
    let chosen = wish.statement.checked_sub(1).and_then(|at| joint.statements.get(at));
    let held = chosen.ok_or_else(|| Error::not_found("statement", wish.statement.to_string()))?;
    if blocking(std::slice::from_ref(joint), &[]).is_empty() {
        return Err(Error::conflict(
            "card.nothing_to_settle",
            format!("the statements of joint {} agree: there is nothing to settle", joint.number),
        ));
    }
    let it = Settlement {
        joint: joint.number,
        statements: fingerprint(joint),
        held: held.torque.to_string(),
        held_source: held.source.clone(),
        reason: reason.to_owned(),
        by: String::new(),
    };
    Ok(store::make_settlement(tx.conn, id, &it, user, tx.now, key.as_str())?)
}

/// Returns the conflicts that hold back the card of a kit, each in words.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn holding_back(conn: &mut Conn, number: &str) -> Result<Vec<String>, Error> {
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let settled = store::settlements(conn, kit.bom)?;
    let joints = bill(conn, kit.bom)?.guide.joints;
    Ok(blocking(&joints, &settled).iter().map(ToString::to_string).collect())
}

/// Returns the shop's name and the language that a kit's options choose.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn shop_and_language(conn: &mut Conn, number: &str) -> Result<(String, Language), Error> {
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let options = orders::options_of(conn, kit.id)?;
    Ok((shop_name(conn)?, language_of(&options)))
}
