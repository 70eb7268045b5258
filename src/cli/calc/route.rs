use serde::Deserialize;
use serde_json::{Value, json};

use super::kinds::{Kind, whole_schema};
use super::{Fault, kinds, line};
use crate::domain::routes::{
    Block, Cart, Load, Round, RouteError, Spot, Zone, round, round_of_zones, waves,
};

const KINDS: [Kind; 3] = [
    Kind { name: "block", schema: whole_schema::<BlockLine>, compute: block },
    Kind { name: "zones", schema: whole_schema::<ZonesLine>, compute: zones },
    Kind { name: "waves", schema: whole_schema::<WavesLine>, compute: shared },
];

/// Computes a line by its kind.
pub(super) fn compute(value: Value) -> Result<Value, Fault> {
    kinds::compute(&KINDS, "route.kind", value)
}

pub(super) fn all_kinds() -> Value {
    kinds::schema(&KINDS)
}

impl From<RouteError> for Fault {
    fn from(fault: RouteError) -> Self {
        Self::new(fault.code(), fault)
    }
}

/// Parallel aisles between a front and a back cross aisle.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct BlockLine {
    /// How many aisles there are, numbered from 0.
    aisles: usize,
    /// From the middle of an aisle to the middle of the next, in mm.
    between_mm: i64,
    /// From the front cross aisle to the back one, in mm.
    long_mm: i64,
    /// The aisle at whose front the round begins and ends; left out, 0.
    #[serde(default)]
    door: usize,
    /// What is to be taken: aisle, and mm from the front.
    spots: Vec<(usize, i64)>,
}

/// A zone with aisles of its own.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ZoneLine {
    zone: String,
    /// How far its door is from the bench, in mm.
    from_bench_mm: i64,
    /// Its turn in a walk; left out, its place in the list.
    turn: Option<u32>,
    aisles: usize,
    between_mm: i64,
    long_mm: i64,
    #[serde(default)]
    door: usize,
    /// What is to be taken: aisle, and mm from the front.
    spots: Vec<(usize, i64)>,
}

/// A walk from the bench through several zones.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ZonesLine {
    #[schema(inline)]
    zones: Vec<ZoneLine>,
}

/// What is to be taken for one kit.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct LoadLine {
    #[schema(inline)]
    zones: Vec<ZoneLine>,
    /// What it weighs, in mg.
    mass_mg: i64,
}

/// Kits that may share walks.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WavesLine {
    /// How many totes the cart takes.
    slots: usize,
    /// How much it may carry, in mg.
    most_mg: i64,
    #[schema(inline)]
    kits: Vec<LoadLine>,
}

fn spots(of: &[(usize, i64)]) -> Vec<Spot> {
    of.iter().map(|it| Spot { aisle: it.0, at_mm: it.1 }).collect()
}

fn of_zones(lines: Vec<ZoneLine>) -> Vec<Zone> {
    let zone = |(turn, it): (u32, ZoneLine)| Zone {
        spots: spots(&it.spots),
        name: it.zone,
        from_bench_mm: it.from_bench_mm,
        turn: it.turn.unwrap_or(turn),
        block: Block {
            aisles: it.aisles,
            between_mm: it.between_mm,
            long_mm: it.long_mm,
            door: it.door,
        },
    };
    (0..).zip(lines).map(zone).collect()
}

fn told(round: &Round) -> Value {
    let pairs = |of: &[Spot]| of.iter().map(|it| (it.aisle, it.at_mm)).collect::<Vec<_>>();
    json!({
        "length_mm": round.length_mm,
        "order": pairs(&round.order),
        "path": pairs(&round.path),
    })
}

fn block(value: Value) -> Result<Value, Fault> {
    let BlockLine { aisles, between_mm, long_mm, door, spots: of } = line(value)?;
    Ok(told(&round(&Block { aisles, between_mm, long_mm, door }, &spots(&of))?))
}

fn zones(value: Value) -> Result<Value, Fault> {
    let ZonesLine { zones } = line(value)?;
    let zones = of_zones(zones);
    let walk = round_of_zones(&zones)?;
    let rounds: Vec<Value> = walk
        .zones
        .iter()
        .map(
            |it| json!({ "zone": zones.get(it.zone).map(|it| &it.name), "round": told(&it.round) }),
        )
        .collect();
    Ok(json!({ "length_mm": walk.length_mm, "zones": rounds }))
}

fn shared(value: Value) -> Result<Value, Fault> {
    let WavesLine { slots, most_mg, kits } = line(value)?;
    let load = |it: LoadLine| Load { zones: of_zones(it.zones), mass_mg: it.mass_mg };
    let loads: Vec<Load> = kits.into_iter().map(load).collect();
    let found = waves(&loads, &Cart { slots, most_mg })?;
    let alone = waves(&loads, &Cart { slots: slots.min(1), most_mg })?;
    let length = |of: &[crate::domain::routes::Wave]| of.iter().map(|it| it.length_mm).sum::<i64>();
    let each: Vec<Value> =
        found.iter().map(|it| json!({ "kits": it.loads, "length_mm": it.length_mm })).collect();
    Ok(json!({
        "waves": each,
        "length_mm": length(&found),
        "one_by_one_mm": length(&alone),
    }))
}
