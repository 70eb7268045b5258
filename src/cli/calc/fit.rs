mod frame;
mod front;

use serde_json::Value;

pub(super) use frame::{ScrewLine as EngagementLine, engaged};

use super::kinds::{Kind, whole_schema};
use super::{Fault, kinds};
use crate::domain::fit::FitError;

const KINDS: [Kind; 17] = [
    Kind {
        name: "shis_parse",
        schema: whole_schema::<front::CodeLine>,
        compute: front::shis_parse,
    },
    Kind { name: "bore_check", schema: whole_schema::<front::BoreLine>, compute: front::bore },
    Kind { name: "cup_interference", schema: whole_schema::<front::CupLine>, compute: front::cup },
    Kind { name: "bearing", schema: whole_schema::<front::BearingLine>, compute: front::bearing },
    Kind {
        name: "crown_race",
        schema: whole_schema::<front::RaceLine>,
        compute: front::crown_race,
    },
    Kind { name: "fork_headset", schema: whole_schema::<front::ForkLine>, compute: front::fork },
    Kind { name: "frame_headset", schema: whole_schema::<front::FrameLine>, compute: front::frame },
    Kind { name: "clearance", schema: whole_schema::<front::ClearanceLine>, compute: front::free },
    Kind { name: "clamp_match", schema: whole_schema::<frame::ClampLine>, compute: frame::clamp },
    Kind {
        name: "seatpost_insertion",
        schema: whole_schema::<frame::InsertionLine>,
        compute: frame::insertion,
    },
    Kind { name: "post_window", schema: whole_schema::<frame::PostLine>, compute: frame::post },
    Kind { name: "post_mark", schema: whole_schema::<frame::MarkLine>, compute: frame::mark },
    Kind { name: "shock", schema: whole_schema::<frame::ShockLine>, compute: frame::shock_size },
    Kind {
        name: "bushing",
        schema: whole_schema::<frame::BushingLine>,
        compute: frame::bushing_size,
    },
    Kind { name: "hole_spacing", schema: whole_schema::<frame::HolesLine>, compute: frame::holes },
    Kind { name: "engagement", schema: whole_schema::<frame::ScrewLine>, compute: frame::screw },
    Kind { name: "pairs", schema: whole_schema::<frame::PairsLine>, compute: frame::matched },
];

pub(super) fn compute(value: Value) -> Result<Value, Fault> {
    kinds::compute(&KINDS, "fit.kind", value)
}

pub(super) fn all_kinds() -> Value {
    kinds::schema(&KINDS)
}

fn refused(error: FitError) -> Fault {
    Fault::new(error.code(), error)
}
