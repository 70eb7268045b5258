//! The earliest day for which a new order can be promised.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use super::Looks;
use super::floor::Floor;
use crate::domain::codes::PartNumber;
use crate::domain::ids::VariantId;
use crate::domain::kits::{Bom, BomItem, OptionDef, resolve};
use crate::domain::netting::inside_what_is_made;
use crate::domain::orders::{Claim, Plan, Pool, Promise, PromisePart, Source, earliest, standing};
use crate::error::Error;
use crate::ops::kits::as_variant;
use crate::ops::words::by_variant;
use crate::store::{Conn, kits};
use crate::units::Quantity;

/// What a kit's order must choose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct OptionView {
    /// The option's name.
    pub name: String,
    /// The values allowed.
    pub values: Vec<String>,
}

/// Loads the rider's kits that can be ordered, each with its name and what an order must choose.
///
/// # Errors
///
/// [`Error::Database`].
pub fn kits_on_offer(
    conn: &mut Conn,
    today: NaiveDate,
) -> Result<Vec<(String, String, Vec<OptionView>)>, Error> {
    let boms = kits::boms_on(conn, today)?;
    let sold = boms.into_values().filter(|it| it.makes.is_none() && !it.steps.is_empty());
    let options = |it: Bom| {
        let view = |it: OptionDef| OptionView { name: it.name, values: it.values };
        (it.code, it.name, it.options.into_iter().map(view).collect())
    };
    Ok(sold.map(options).collect())
}

/// A new order that somebody asks about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PromiseAsk {
    /// The kit's code.
    pub kit: String,
    /// How many.
    pub quantity: Quantity,
    /// What was chosen, by option.
    pub options: BTreeMap<String, String>,
}

/// When one part is there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PromisePartView {
    /// The part number.
    pub part_number: String,
    /// The part in words.
    pub part: String,
    /// How many pieces are needed.
    pub quantity: Quantity,
    /// The day; none where nothing is on its way and no lead time is known.
    pub on: Option<NaiveDate>,
    /// What brings the last piece, in words.
    pub because: String,
}

/// The earliest promise.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct PromiseView {
    /// The day; none where a part has none.
    pub on: Option<NaiveDate>,
    /// The parts that are not free today, the latest first.
    pub parts: Vec<PromisePartView>,
}

/// The most kits that one question may ask about.
const MOST_KITS: Quantity = Quantity::new(500);

/// Loads the earliest day on which a new order could leave without breaking a promise.
///
/// # Errors
///
/// [`Error::Invalid`] when the kit or an option is not to be had.
pub fn promise(conn: &mut Conn, ask: &PromiseAsk, today: NaiveDate) -> Result<PromiseView, Error> {
    if !(Quantity::ONE..=MOST_KITS).contains(&ask.quantity) {
        let message = format!("quantity: ask about 1 to {MOST_KITS} kits");
        return Err(Error::invalid("leaving.quantity", message));
    }
    let floor = Floor::load(conn, today, Looks::WaitedFor)?;
    let boms = kits::boms_on(conn, today)?;
    let variants: Vec<_> = floor.variants.values().filter_map(as_variant).collect();
    let lines = resolve(&boms, &ask.kit, &ask.options, &variants).map_err(|faults| {
        let words: Vec<String> = faults.iter().map(ToString::to_string).collect();
        Error::invalid("leaving.options", words.join("; "))
    })?;
    let open: Vec<_> = floor.waiting.iter().map(|it| it.open.clone()).collect();
    let claims = standing(&open, &Plan::none(open.len()));
    let ahead = Ahead::of(&floor, &boms, &floor.free, claims);
    let needs = by_variant(
        lines
            .iter()
            .filter_map(|it| Some((ahead.id(&it.part_number)?, it.quantity.times(ask.quantity)))),
    );
    Ok(view(&floor, ahead.promise(&needs), today))
}

/// What lies ahead of a new promise: what is free, what is claimed, and what the house can make.
pub(super) struct Ahead<'a> {
    floor: &'a Floor,
    boms: &'a BTreeMap<String, Bom>,
    free: &'a Pool,
    claims: Vec<Claim>,
    ids: BTreeMap<&'a str, VariantId>,
}

impl<'a> Ahead<'a> {
    /// Returns it with what the claims need inside sub-kits that the shelf does not cover.
    pub(super) fn of(
        floor: &'a Floor,
        boms: &'a BTreeMap<String, Bom>,
        free: &'a Pool,
        claims: Vec<Claim>,
    ) -> Self {
        let ids = floor.variants.values().map(|it| (it.part_number.as_str(), it.id)).collect();
        let mut ahead = Self { floor, boms, free, claims, ids };
        let sums = |of: &Pool| -> BTreeMap<PartNumber, Quantity> {
            let number = |it: &VariantId| floor.variants.get(it)?.part_number.parse().ok();
            of.iter().filter_map(|(variant, it)| Some((number(variant)?, *it))).collect()
        };
        let needed = by_variant(ahead.claims.iter().map(|it| (it.variant, it.quantity)));
        let inside = inside_what_is_made(boms, &sums(&needed), &sums(free));
        let claim = |(part, quantity): (PartNumber, Quantity)| {
            Some(Claim { variant: ahead.id(&part)?, on: floor.today, quantity })
        };
        let inside: Vec<Claim> = inside.into_iter().filter_map(claim).collect();
        ahead.claims.extend(inside);
        ahead
    }

    fn id(&self, number: &PartNumber) -> Option<VariantId> {
        self.ids.get(number.as_str()).copied()
    }

    fn bill(&self, variant: VariantId) -> Option<&'a Bom> {
        let number = &self.floor.variants.get(&variant)?.part_number;
        self.boms.values().find(|it| it.makes.as_ref().is_some_and(|it| it.as_str() == number))
    }

    /// Returns the earliest day for what is needed. For a part that the house makes and no bin has,
    /// what it is made of counts.
    pub(super) fn promise(&self, needs: &Pool) -> Promise {
        let floor = self.floor;
        let promise =
            earliest(needs, self.free, &self.claims, &floor.coming, &floor.arrives, floor.today);
        let is_made =
            |it: &PromisePart| it.source == Source::ToOrder && self.bill(it.variant).is_some();
        let (made, mut parts): (Vec<PromisePart>, Vec<PromisePart>) =
            promise.parts.into_iter().partition(is_made);
        let mut inside = Pool::new();
        for it in &made {
            for line in self.bill(it.variant).into_iter().flat_map(|it| &it.lines) {
                let number = match &line.item {
                    BomItem::PartNumber(number) => Some(number),
                    BomItem::Kit(code) => self.boms.get(code).and_then(|it| it.makes.as_ref()),
                    BomItem::Part(_) => None,
                };
                if let Some(variant) = number.and_then(|it| self.id(it)) {
                    let sum = inside.entry(variant).or_default();
                    *sum = sum.plus(line.quantity.times(it.quantity));
                }
            }
        }
        if !inside.is_empty() {
            parts.extend(self.promise(&inside).parts);
        }
        parts.sort_by_key(|it| std::cmp::Reverse((it.on.is_none(), it.on, it.variant)));
        let on = parts.iter().map(|it| it.on).collect::<Option<Vec<_>>>();
        Promise { on: on.map(|days| days.into_iter().max().unwrap_or(floor.today)), parts }
    }
}

fn view(floor: &Floor, promise: Promise, today: NaiveDate) -> PromiseView {
    let part = |it: &PromisePart| {
        let (part_number, part) = floor.named(it.variant);
        let because = match &it.source {
            Source::Stock => "in the house, and promised to nobody".to_owned(),
            Source::PurchaseOrder { number, overdue: false } => format!("comes on {number}"),
            Source::PurchaseOrder { number, overdue: true } => {
                format!("comes on {number}, which is overdue: ask the supplier for a day")
            }
            Source::ToOrder if it.on.is_some() => {
                "not on order: ordered today, it comes then".to_owned()
            }
            Source::ToOrder => "not on order, and no lead time is known".to_owned(),
        };
        PromisePartView { part_number, part, quantity: it.quantity, on: it.on, because }
    };
    let waits = promise.parts.iter().filter(|it| it.on != Some(today));
    PromiseView { on: promise.on, parts: waits.map(part).collect() }
}
