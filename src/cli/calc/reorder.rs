mod lots;
mod position;
mod service;
mod stock;

use serde_json::Value;

use super::kinds::{Kind, whole_schema};
use super::{Fault, kinds};
use crate::domain::statistics::StatisticsError;

const KINDS: [Kind; 27] = [
    Kind {
        name: "position",
        schema: whole_schema::<position::PositionLine>,
        compute: position::position,
    },
    Kind {
        name: "suggestion",
        schema: whole_schema::<position::PartLine>,
        compute: position::suggested,
    },
    Kind { name: "eoq", schema: whole_schema::<lots::EoqLine>, compute: lots::eoq },
    Kind {
        name: "eoq_backorders",
        schema: whole_schema::<lots::BackordersLine>,
        compute: lots::eoq_backorders,
    },
    Kind { name: "epq", schema: whole_schema::<lots::EpqLine>, compute: lots::epq },
    Kind {
        name: "eoq_all_units",
        schema: whole_schema::<lots::BreaksLine>,
        compute: lots::eoq_all_units,
    },
    Kind {
        name: "eoq_incremental",
        schema: whole_schema::<lots::BreaksLine>,
        compute: lots::eoq_incremental,
    },
    Kind {
        name: "joint_replenishment",
        schema: whole_schema::<lots::JointLine>,
        compute: lots::joint_replenishment,
    },
    Kind {
        name: "wagner_whitin",
        schema: whole_schema::<lots::PlanLine>,
        compute: lots::wagner_whitin,
    },
    Kind {
        name: "silver_meal",
        schema: whole_schema::<lots::PlanLine>,
        compute: lots::silver_meal,
    },
    Kind {
        name: "newsvendor_normal",
        schema: whole_schema::<stock::NormalLine>,
        compute: stock::newsvendor_normal,
    },
    Kind {
        name: "newsvendor_profit",
        schema: whole_schema::<stock::ProfitLine>,
        compute: stock::newsvendor_profit,
    },
    Kind {
        name: "newsvendor_poisson",
        schema: whole_schema::<stock::PoissonLine>,
        compute: stock::newsvendor_poisson,
    },
    Kind {
        name: "newsvendor_discrete",
        schema: whole_schema::<stock::DiscreteLine>,
        compute: stock::newsvendor_discrete,
    },
    Kind { name: "rQ_normal", schema: whole_schema::<stock::RuleLine>, compute: stock::rule },
    Kind {
        name: "rQ_poisson",
        schema: whole_schema::<stock::PoissonRuleLine>,
        compute: stock::rule_poisson,
    },
    Kind {
        name: "sS_poisson",
        schema: whole_schema::<stock::UpToPoissonLine>,
        compute: stock::up_to_poisson,
    },
    Kind {
        name: "sS_power_approx",
        schema: whole_schema::<stock::UpToLine>,
        compute: stock::up_to_power,
    },
    Kind {
        name: "std_normal_loss",
        schema: whole_schema::<service::LossLine>,
        compute: service::normal_loss,
    },
    Kind {
        name: "poisson_loss",
        schema: whole_schema::<service::PoissonLossLine>,
        compute: service::poisson_loss,
    },
    Kind {
        name: "fill_rate_type2",
        schema: whole_schema::<service::FillLine>,
        compute: service::fill_rate,
    },
    Kind {
        name: "safety_stock_csl",
        schema: whole_schema::<service::CycleLine>,
        compute: service::cycle_service,
    },
    Kind {
        name: "reorder_poisson",
        schema: whole_schema::<service::PoissonPointLine>,
        compute: service::poisson_point,
    },
    Kind {
        name: "one_for_one_poisson",
        schema: whole_schema::<service::BaseStockLine>,
        compute: service::one_for_one,
    },
    Kind {
        name: "kanban_cards",
        schema: whole_schema::<service::KanbanLine>,
        compute: service::kanban,
    },
    Kind { name: "two_bins", schema: whole_schema::<service::BinsLine>, compute: service::bins },
    Kind { name: "abc", schema: whole_schema::<service::AbcLine>, compute: service::abc },
];

/// Computes a line by its kind. Its figures stand beside the kind, or together in `input`; a line
/// without a kind is a position.
pub(super) fn compute(mut value: Value) -> Result<Value, Fault> {
    if let Some(object) = value.as_object_mut() {
        if let Some(Value::Object(input)) = object.remove("input") {
            object.extend(input);
        }
        object.entry("kind").or_insert_with(|| Value::from("position"));
    }
    kinds::compute(&KINDS, "reorder.kind", value)
}

pub(super) fn all_kinds() -> Value {
    kinds::schema(&KINDS)
}

impl From<StatisticsError> for Fault {
    fn from(fault: StatisticsError) -> Self {
        Self::new(fault.code(), fault)
    }
}
