use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use crate::domain::bench::{BenchError, Lack, Need, Plan};
use crate::domain::catalog::Tracking;
use crate::domain::codes::PartNumber;
use crate::domain::ids::{BomId, LotId, PlaceId, VariantId};
use crate::domain::kits::{Bom, contents, explode_to_parts};
use crate::domain::orders::{Free, Incoming, Shortage, cover_after};
use crate::error::Error;
use crate::ops::{shortages, words};
use crate::store::catalog::{BinRow, VariantRow};
use crate::store::{Conn, catalog, kits, purchasing, stock};
use crate::units::Quantity;

use super::plan::LackView;

/// All that plans are made of, loaded once.
pub(super) struct Shop {
    /// The bills in force today: what is made, is made by them.
    boms: BTreeMap<String, Bom>,
    bom_ids: BTreeMap<(String, String), BomId>,
    pub(super) variants: BTreeMap<VariantId, VariantRow>,
    bins: Vec<BinRow>,
    /// What bins hold and no kit has reserved.
    pub(super) free: Vec<Free>,
    short: Vec<Shortage>,
    incoming: Vec<Incoming>,
}

/// A part that the house makes, with its bill laid out.
pub(super) struct Job<'a> {
    pub(super) variant: &'a VariantRow,
    pub(super) tracking: Tracking,
    pub(super) bom: BomId,
    pub(super) bill: &'a Bom,
    pub(super) needs: Vec<Need>,
    /// The part whose serial number the made piece takes over.
    pub(super) carried: Option<Need>,
}

impl Shop {
    /// Loads the shop as far as what it makes and what goes into that, and the part that is asked for.
    pub(super) fn load(conn: &mut Conn, today: NaiveDate, asked: &str) -> Result<Self, Error> {
        let boms = kits::boms_on(conn, today)?;
        let making: Vec<&Bom> = boms.values().filter(|it| it.makes.is_some()).collect();
        let mut numbers: BTreeSet<String> =
            making.iter().filter_map(|it| Some(it.makes.as_ref()?.to_string())).collect();
        numbers.extend(making.iter().flat_map(|it| &it.lines).map(|it| it.item.to_string()));
        numbers.insert(asked.trim().to_owned());
        let rows = catalog::variants_numbered(conn, numbers.iter().map(String::as_str))?;
        let free = free(conn, &rows.iter().map(|it| it.id).collect())?;
        Ok(Self {
            boms,
            bom_ids: kits::bom_ids(conn)?,
            variants: rows.into_iter().map(|it| (it.id, it)).collect(),
            bins: catalog::bins(conn)?,
            free,
            short: shortages::shortages(conn)?,
            incoming: purchasing::incoming(conn)?,
        })
    }

    /// Returns whether some bill makes the part.
    pub(super) fn makes(&self, row: &VariantRow) -> bool {
        let made = self.boms.values().filter_map(|it| it.makes.as_ref());
        made.map(PartNumber::as_str).any(|it| it == row.part_number)
    }

    /// Returns the part of that number as something to be made.
    pub(super) fn job(&self, part_number: &str) -> Result<Job<'_>, Error> {
        let number = part_number.trim();
        let variant = self
            .variants
            .values()
            .find(|it| it.part_number == number)
            .ok_or_else(|| Error::not_found("part number", number))?;
        let not_made = || BenchError::NotMadeHere { part_number: number.to_owned() };
        let parsed: PartNumber = number.parse().map_err(|_| not_made())?;
        let makes = |bom: &&Bom| bom.makes.as_ref() == Some(&parsed);
        let bill = self.boms.values().find(makes).ok_or_else(not_made)?;
        let bom = self
            .bom_ids
            .get(&(bill.code.clone(), bill.revision.clone()))
            .copied()
            .ok_or_else(not_made)?;
        explode_to_parts(&self.boms, &parsed)
            .map_err(|fault| Error::invalid(fault.code(), fault.to_string()))?;
        let needs: Vec<Need> = contents(&self.boms, &parsed)
            .into_iter()
            .map(|(part, each)| self.need(part.as_str(), each))
            .collect::<Result<_, Error>>()?;
        if needs.is_empty() {
            return Err(BenchError::EmptyBill { bill: bill.code.clone() }.into());
        }
        let tracking = words::tracking(&variant.tracking)?;
        let carried = self.carried(&bill.code, tracking, &needs)?;
        Ok(Job { variant, tracking, bom, bill, needs, carried })
    }

    fn need(&self, part_number: &str, each: Quantity) -> Result<Need, Error> {
        let row = self.variants.values().find(|it| it.part_number == part_number);
        let row = row.ok_or_else(|| Error::not_found("part number", part_number))?;
        Ok(Need { variant: row.id, part_number: row.part_number.clone(), each })
    }

    fn carried(
        &self,
        bill: &str,
        tracking: Tracking,
        needs: &[Need],
    ) -> Result<Option<Need>, BenchError> {
        let serial = |it: &&Need| self.row(it.variant).is_some_and(|it| it.tracking == "serial");
        let with_serial: Vec<&Need> = needs.iter().filter(serial).collect();
        let bill = bill.to_owned();
        match (tracking, with_serial.as_slice()) {
            (Tracking::Serial, [one]) if one.each == Quantity::ONE => Ok(Some((*one).clone())),
            (Tracking::Serial, _) => Err(BenchError::NoSerialToCarry { bill }),
            (_, [first, ..]) => {
                Err(BenchError::SerialInLot { bill, part_number: first.part_number.clone() })
            }
            (_, []) => Ok(None),
        }
    }

    pub(super) fn row(&self, variant: VariantId) -> Option<&VariantRow> {
        self.variants.get(&variant)
    }

    pub(super) fn part_words(&self, variant: VariantId) -> String {
        self.row(variant).map(|it| words::part(&it.part, &it.variant)).unwrap_or_default()
    }

    pub(super) fn bin(&self, place: PlaceId) -> Option<&BinRow> {
        self.bins.iter().find(|it| it.id == place)
    }

    /// Returns the bin of that code with its id.
    pub(super) fn bin_of_code(&self, code: &str) -> Result<PlaceId, Error> {
        let bin = self.bins.iter().find(|it| it.code == code);
        bin.map(|it| it.id).ok_or_else(|| Error::not_found("bin", code))
    }

    fn lack_view(&self, lack: &Lack) -> LackView {
        let row = self.row(lack.variant);
        let number = row.map(|it| it.part_number.clone()).unwrap_or_default();
        let part = self.part_words(lack.variant);
        let missing = lack.missing();
        let delivery = cover_after(&self.short, &self.incoming, lack.variant, missing);
        LackView {
            words: format!("{part} ({number}) is {missing} short"),
            part_number: number,
            part,
            needed: lack.needed,
            free: lack.free,
            missing,
            covered_by: delivery.as_ref().map(|it| it.purchase_order.clone()),
            due_on: delivery.map(|it| it.due_on),
        }
    }

    pub(super) fn lack_views(&self, plan: &Plan) -> Vec<LackView> {
        plan.lacks.iter().map(|it| self.lack_view(it)).collect()
    }

    /// Returns how many pieces of a part open kits need and no bin holds for them.
    pub(super) fn short_of(&self, variant: VariantId) -> Quantity {
        self.short.iter().filter(|it| it.variant == variant).map(|it| it.quantity).sum()
    }
}

/// Loads what bins hold and no kit has reserved.
fn free(conn: &mut Conn, variants: &BTreeSet<VariantId>) -> Result<Vec<Free>, Error> {
    let mut free = stock::in_bins(conn, variants)?;
    let mut held: BTreeMap<(VariantId, PlaceId, Option<LotId>), Quantity> = BTreeMap::new();
    for it in stock::reservations(conn)? {
        let sum = held.entry((it.variant, it.place, it.lot)).or_default();
        *sum = sum.plus(it.quantity);
    }
    for it in &mut free {
        let held = held.get(&(it.variant, it.place, it.lot)).copied().unwrap_or_default();
        it.quantity = it.quantity.less(held).at_least_zero();
    }
    Ok(free)
}
