//! What files refer to outside themselves: is there such a part, bin, supplier or kit?

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::codes::PartNumber;
use crate::domain::ids::{PlaceId, SupplierId};
use crate::domain::kits::BomItem;
use crate::error::Error;
use crate::exchange::kits::KitRecord;
use crate::exchange::{At, Fault};
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
