//! What files refer to outside themselves: is there such a part, bin, supplier or kit?

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::catalog::Variant;
use crate::domain::codes::PartNumber;
use crate::domain::ids::{PlaceId, SupplierId};
use crate::domain::kits::{Bom, BomItem, reachable};
use crate::error::Error;
use crate::exchange::kits::KitRecord;
use crate::exchange::{At, Fault};
use crate::ops::kits::as_variant;
use crate::store::catalog::VariantRow;
use crate::store::{Conn, catalog};

/// What the shop knows, by the code that files use.
pub(super) struct Known {
    pub(super) suppliers: BTreeMap<String, SupplierId>,
    pub(super) bins: BTreeMap<String, PlaceId>,
    pub(super) variants: BTreeMap<String, VariantRow>,
    parts: BTreeSet<String>,
}

impl Known {
    pub(super) fn load(conn: &mut Conn) -> Result<Self, Error> {
        let rows = catalog::variants(conn)?;
        Ok(Self {
            suppliers: catalog::supplier_ids(conn)?,
            bins: catalog::bins(conn)?.into_iter().map(|it| (it.code, it.id)).collect(),
            parts: rows.iter().map(|it| it.part.clone()).collect(),
            variants: rows.into_iter().map(|it| (it.part_number.clone(), it)).collect(),
        })
    }

    pub(super) fn supplier(&self, line: u64, code: Option<&str>, faults: &mut Vec<Fault>) {
        if let Some(code) = code.filter(|it| !self.suppliers.contains_key(*it)) {
            let message = format!("there is no supplier '{code}': import suppliers first");
            faults.push(Fault { line, column: "supplier".to_owned(), message });
        }
    }

    pub(super) fn bin(&self, line: u64, code: &str, faults: &mut Vec<Fault>) {
        if !self.bins.contains_key(code) {
            let message = format!("there is no bin '{code}': import bins first");
            faults.push(Fault { line, column: "bin".to_owned(), message });
        }
    }

    /// Returns the variant of a part number, or notes that there is none.
    pub(super) fn variant(
        &self,
        line: u64,
        number: &PartNumber,
        faults: &mut Vec<Fault>,
    ) -> Option<&VariantRow> {
        let found = self.variants.get(number.as_str());
        if found.is_none() {
            let message = format!("there is no part number '{number}': import parts first");
            faults.push(Fault { line, column: "part_number".to_owned(), message });
        }
        found
    }

    /// Notes what a bill of materials refers to that is not there.
    pub(super) fn bom(&self, record: &At<KitRecord>, faults: &mut Vec<Fault>) {
        let bom = &record.value.bom;
        let mut fault = |line: u64, message: String| {
            faults.push(Fault { line, column: "part".to_owned(), message });
        };
        if let Some(number) = &bom.makes
            && !self.variants.contains_key(number.as_str())
        {
            fault(record.line, format!("there is no part number '{number}': import parts first"));
        }
        for line in &bom.lines {
            let at = record.value.lines_at.get(&line.number).copied().unwrap_or(record.line);
            match &line.item {
                BomItem::PartNumber(number) if !self.variants.contains_key(number.as_str()) => {
                    fault(at, format!("there is no part number '{number}': import parts first"));
                }
                BomItem::Part(name) if !self.parts.contains(name) => {
                    fault(at, format!("there is no part or kit of the name '{name}'"));
                }
                BomItem::PartNumber(_) | BomItem::Part(_) | BomItem::Kit(_) => {}
            }
        }
    }
}

impl Known {
    /// Notes tools and torque keys of a bill that no choice of options brings into its kit.
    pub(super) fn tools(
        &self,
        record: &At<KitRecord>,
        boms: &BTreeMap<String, Bom>,
        faults: &mut Vec<Fault>,
    ) {
        let (bom, guide) = (&record.value.bom, &record.value.bom.guide);
        let tools = guide.aids.values().flat_map(|it| &it.tools);
        let mut wanted = tools.chain(guide.keys.iter().map(|it| &it.part_number)).peekable();
        if wanted.peek().is_none() {
            return;
        }
        let variants: Vec<Variant> = self.variants.values().filter_map(as_variant).collect();
        let within = reachable(boms, &bom.code, &variants);
        let absent: BTreeSet<&PartNumber> = wanted.filter(|it| !within.contains(*it)).collect();
        for number in absent {
            let message = format!("{number} is in no bag or line of kit {}: add it", bom.code);
            faults.push(Fault { line: record.line, column: "tools".to_owned(), message });
        }
    }

    /// Returns whether a text is, or is part of, what the catalogue calls something.
    pub(super) fn calls(&self, boms: &[Bom], text: &str) -> bool {
        let of_bom = |it: &Bom| {
            it.name.contains(text)
                || it
                    .options
                    .iter()
                    .any(|it| it.name == text || it.values.iter().any(|value| value.contains(text)))
        };
        self.variants.values().any(|it| it.part.contains(text) || it.variant.contains(text))
            || boms.iter().any(of_bom)
    }
}
