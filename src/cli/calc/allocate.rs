mod choice;
mod shop;

use serde_json::Value;

use super::kinds::{Kind, whole_schema};
use super::{Fault, kinds};
use crate::domain::optimum::ProblemError;

const KINDS: [Kind; 8] = [
    Kind {
        name: "kit_allocation",
        schema: whole_schema::<choice::KitsLine>,
        compute: choice::kit_allocation,
    },
    Kind {
        name: "mknap1_petersen",
        schema: whole_schema::<choice::ChoiceLine>,
        compute: choice::knapsack,
    },
    Kind {
        name: "mknapcb_5x100",
        schema: whole_schema::<choice::ChoiceLine>,
        compute: choice::knapsack,
    },
    Kind {
        name: "mknapcb_10x100",
        schema: whole_schema::<choice::ChoiceLine>,
        compute: choice::knapsack,
    },
    Kind {
        name: "strict_sequence",
        schema: whole_schema::<choice::StrictLine>,
        compute: choice::strict_sequence,
    },
    Kind {
        name: "kits_buildable",
        schema: whole_schema::<choice::BillLine>,
        compute: choice::kits_buildable,
    },
    Kind { name: "orders", schema: whole_schema::<shop::ShopLine>, compute: shop::orders },
    Kind { name: "promise", schema: whole_schema::<shop::PromiseLine>, compute: shop::promise },
];

/// Computes a line by its kind.
pub(super) fn compute(value: Value) -> Result<Value, Fault> {
    kinds::compute(&KINDS, "allocate.kind", value)
}

pub(super) fn all_kinds() -> Value {
    kinds::schema(&KINDS)
}

impl From<ProblemError> for Fault {
    fn from(fault: ProblemError) -> Self {
        Self::new(fault.code(), fault)
    }
}
