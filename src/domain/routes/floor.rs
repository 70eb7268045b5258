use super::block::{Block, RouteError, Spot, between};
use super::round::{Round, round};

/// A part of the house with a block of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Zone {
    /// Its name.
    pub name: String,
    /// How far its door is from the bench, in mm.
    pub from_bench_mm: i64,
    /// Its turn in a walk: the lower is earlier.
    pub turn: u32,
    /// Its aisles.
    pub block: Block,
    /// What is to be taken there.
    pub spots: Vec<Spot>,
}

/// What a walk does in one zone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ZoneRound {
    /// The zone's place in the list that was given.
    pub zone: usize,
    /// The round from its door and back.
    pub round: Round,
}

/// A walk over several zones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FloorRound {
    /// How long it is from the bench and back, in mm.
    pub length_mm: i64,
    /// Each zone once, in turn.
    pub zones: Vec<ZoneRound>,
}

/// Returns the walk from the bench through each zone that holds something, in the zones' turn, and
/// back. Zones lie along one way from the bench; within each the round is the shortest.
///
/// # Errors
///
/// As [`round`].
pub fn round_of_zones(zones: &[Zone]) -> Result<FloorRound, RouteError> {
    let mut turn: Vec<(usize, &Zone)> =
        zones.iter().enumerate().filter(|it| !it.1.spots.is_empty()).collect();
    turn.sort_by_key(|(at, it)| (it.turn, *at));
    let mut walk = FloorRound { length_mm: 0, zones: Vec::new() };
    let mut here = 0;
    for (zone, it) in turn {
        between("the way from the bench in mm", it.from_bench_mm, 0, 1_000_000)?;
        let round = round(&it.block, &it.spots)?;
        walk.length_mm += (it.from_bench_mm - here).abs() + round.length_mm;
        here = it.from_bench_mm;
        walk.zones.push(ZoneRound { zone, round });
    }
    walk.length_mm += here;
    Ok(walk)
}
