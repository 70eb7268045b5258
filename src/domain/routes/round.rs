use std::collections::{BTreeMap, BTreeSet};

use super::block::{Block, RouteError, Spot};

/// The shortest round.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Round {
    /// How long it is, in mm.
    pub length_mm: i64,
    /// The spots, in the order in which the walk first comes past them, each once.
    pub order: Vec<Spot>,
    /// The walk, from corner to corner, beginning and ending at the door.
    pub path: Vec<Spot>,
}

/// How many ways lead to an end of an aisle from what has been walked so far: none, an even number,
/// or an odd one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Ends {
    None,
    Even,
    Odd,
}

impl Ends {
    fn plus(self, ways: u8) -> Self {
        match ways {
            0 => self,
            _ if (self == Self::Odd) == (ways % 2 == 1) => Self::Even,
            _ => Self::Odd,
        }
    }
}

/// What matters of the ways left of a place: how they end at front and back, and whether they hang
/// together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Part {
    front: Ends,
    back: Ends,
    /// Whether front and back hang together.
    joined: bool,
    /// Whether the walk is closed: nothing may follow.
    closed: bool,
}

const NOTHING: Part = Part { front: Ends::None, back: Ends::None, joined: false, closed: false };

/// What is walked in an aisle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Inside {
    Nothing,
    Through,
    ThroughTwice,
    /// In from the front as far as this, and in from the back as far as that; a way in of no length
    /// is none.
    Into {
        front_mm: i64,
        back_mm: i64,
    },
}

/// What is walked in one aisle and along the cross aisles to the next.
#[derive(Debug, Clone, Copy)]
struct Step {
    inside: Inside,
    front: u8,
    back: u8,
}

/// The least length to a part, with the part before and what was walked from there.
type Reached = BTreeMap<Part, (i64, Part, Step)>;

/// Returns the shortest round from the door past all spots and back.
///
/// # Errors
///
/// [`RouteError::Range`] when a spot lies outside the block.
///
/// # Source
///
/// H. D. Ratliff, A. S. Rosenthal, Order-picking in a rectangular warehouse: a solvable case of the
/// traveling salesman problem, Operations Research 31(3), 1983, pages 507-521.
pub fn round(block: &Block, spots: &[Spot]) -> Result<Round, RouteError> {
    block.check(spots)?;
    let spots: BTreeSet<Spot> = spots.iter().copied().collect();
    if spots.iter().all(|it| *it == block.start()) {
        let order = spots.into_iter().collect();
        return Ok(Round { length_mm: 0, order, path: vec![block.start()] });
    }
    let mut history: Vec<Reached> = Vec::new();
    let mut now: BTreeMap<Part, i64> = BTreeMap::from([(NOTHING, 0)]);
    for aisle in 0..block.aisles {
        let inside: Vec<i64> =
            spots.iter().filter(|it| it.aisle == aisle).map(|it| it.at_mm).collect();
        let last = aisle + 1 == block.aisles;
        let mut next = Reached::new();
        for (part, length) in &now {
            for step in steps(block.long_mm, &inside, last) {
                let door = aisle == block.door;
                let Some(to) = part.walk(step, &inside, block.long_mm, door) else { continue };
                let length = length + step.length(block);
                let slot = next.entry(to).or_insert((length, *part, step));
                if length < slot.0 {
                    *slot = (length, *part, step);
                }
            }
        }
        now = next.iter().map(|(part, it)| (*part, it.0)).collect();
        history.push(next);
    }
    let end = now.iter().filter(|it| it.0.closed).min_by_key(|it| it.1);
    let Some((part, length)) = end else { return Ok(Round::default_for(block)) };
    let ways = ways(block, &history, *part);
    let path = walk(block.start(), ways);
    Ok(Round { length_mm: *length, order: order(&path, spots), path })
}

impl Round {
    fn default_for(block: &Block) -> Self {
        Self { length_mm: 0, order: Vec::new(), path: vec![block.start()] }
    }
}

/// Returns all that can be walked in an aisle and on to the next.
fn steps(long_mm: i64, inside: &[i64], last: bool) -> Vec<Step> {
    let mut insides = vec![Inside::Through, Inside::ThroughTwice];
    if inside.is_empty() {
        insides.push(Inside::Nothing);
    }
    // Leave out one gap: before the first, between two, or after the last.
    let ends = std::iter::once(0).chain(inside.iter().copied());
    let begins = inside.iter().copied().chain([long_mm]);
    if !inside.is_empty() {
        let into = ends
            .zip(begins)
            .map(|(front_mm, begin)| Inside::Into { front_mm, back_mm: long_mm - begin });
        insides.extend(into);
    }
    const ACROSS: [(u8, u8); 5] = [(0, 0), (1, 1), (2, 0), (0, 2), (2, 2)];
    let across = if last { ACROSS.split_at(1).0 } else { &ACROSS };
    let step = |inside: Inside| {
        across.iter().map(move |(front, back)| Step { inside, front: *front, back: *back })
    };
    insides.into_iter().flat_map(step).collect()
}

impl Step {
    fn length(self, block: &Block) -> i64 {
        let inside = match self.inside {
            Inside::Nothing => 0,
            Inside::Through => block.long_mm,
            Inside::ThroughTwice => 2 * block.long_mm,
            Inside::Into { front_mm, back_mm } => 2 * (front_mm + back_mm),
        };
        inside + block.between_mm * i64::from(self.front + self.back)
    }
}

impl Part {
    /// Returns what a step makes of a part, or `None` where it can't become one round.
    fn walk(self, step: Step, inside: &[i64], long_mm: i64, door: bool) -> Option<Self> {
        let (into_front, into_back, through) = match step.inside {
            Inside::Nothing => (0, 0, false),
            Inside::Through => (1, 1, true),
            Inside::ThroughTwice => (2, 2, true),
            Inside::Into { front_mm, back_mm } => {
                (if 0 < front_mm { 2 } else { 0 }, if 0 < back_mm { 2 } else { 0 }, false)
            }
        };
        let ways = into_front + into_back + step.front + step.back;
        if self.closed {
            // A closed walk bears nothing more.
            return (ways == 0 && inside.is_empty() && !door).then_some(self);
        }
        let (front, back) = (self.front.plus(into_front), self.back.plus(into_back));
        let (all_front, all_back) = (front.plus(step.front), back.plus(step.back));
        let odd = all_front == Ends::Odd || all_back == Ends::Odd;
        let touches_front = all_front != Ends::None;
        let touches_back = all_back != Ends::None;
        // Something at the very front or back of an aisle needs a way to that end of it.
        let to_front = touches_front
            || matches!(step.inside, Inside::Into { back_mm, .. } if back_mm == long_mm);
        let to_back = touches_back
            || matches!(step.inside, Inside::Into { front_mm, .. } if front_mm == long_mm);
        let missed =
            inside.first() == Some(&0) && !to_front || inside.last() == Some(&long_mm) && !to_back;
        if odd || missed || (door && !touches_front) {
            return None;
        }
        let joined = self.joined || through;
        let ends = |ways: u8| if ways == 0 { Ends::None } else { Ends::None.plus(ways) };
        let next = Self { front: ends(step.front), back: ends(step.back), joined, closed: false };
        let parts = [touches_front && !touches_back, touches_back && !touches_front];
        let one = joined || parts.contains(&true);
        match (step.front, step.back) {
            // Two loose ends never meet again.
            (0, 0) if touches_front || touches_back => {
                one.then_some(Self { closed: true, ..NOTHING })
            }
            (0, 0) => Some(NOTHING),
            (_, 0) if touches_back && !joined => None,
            (0, _) if touches_front && !joined => None,
            (_, 0) | (0, _) => Some(Self { joined: false, ..next }),
            _ => Some(next),
        }
    }
}

/// A straight way between two corners or spots.
type Way = (Spot, Spot);

/// Returns all ways of the best round, read back from its end.
fn ways(block: &Block, history: &[Reached], end: Part) -> Vec<Way> {
    let mut part = end;
    let mut ways = Vec::new();
    for (aisle, reached) in history.iter().enumerate().rev() {
        let Some((_, before, step)) = reached.get(&part) else { break };
        let at = |at_mm: i64| Spot { aisle, at_mm };
        let next = |at_mm: i64| Spot { aisle: aisle + 1, at_mm };
        let (front, back) = (at(0), at(block.long_mm));
        let mut add = |way: Way, times: u8| (0..times).for_each(|_| ways.push(way));
        match step.inside {
            Inside::Nothing => {}
            Inside::Through => add((front, back), 1),
            Inside::ThroughTwice => add((front, back), 2),
            Inside::Into { front_mm, back_mm } => {
                add((front, at(front_mm)), if 0 < front_mm { 2 } else { 0 });
                add((back, at(block.long_mm - back_mm)), if 0 < back_mm { 2 } else { 0 });
            }
        }
        add((front, next(0)), step.front);
        add((back, next(block.long_mm)), step.back);
        part = *before;
    }
    ways
}

/// Returns one walk over all ways, each once.
///
/// # Source
///
/// C. Hierholzer, Mathematische Annalen 6, 1873, pages 30-32.
fn walk(start: Spot, ways: Vec<Way>) -> Vec<Spot> {
    let mut from: BTreeMap<Spot, Vec<Spot>> = BTreeMap::new();
    for (a, b) in ways.into_iter().filter(|it| it.0 != it.1) {
        from.entry(a).or_default().push(b);
        from.entry(b).or_default().push(a);
    }
    for it in from.values_mut() {
        it.sort_by(|a, b| b.cmp(a));
    }
    let (mut open, mut path) = (vec![start], Vec::new());
    while let Some(at) = open.last().copied() {
        let next = from.get_mut(&at).and_then(Vec::pop);
        let Some(to) = next else {
            path.push(at);
            open.pop();
            continue;
        };
        if let Some(back) = from.get_mut(&to)
            && let Some(place) = back.iter().rposition(|it| *it == at)
        {
            back.remove(place);
        }
        open.push(to);
    }
    path.reverse();
    path
}

/// Returns the spots in the order in which a walk comes past them.
fn order(path: &[Spot], mut spots: BTreeSet<Spot>) -> Vec<Spot> {
    let mut order = Vec::new();
    for (from, to) in path.iter().zip(path.iter().skip(1)) {
        if from.aisle != to.aisle {
            order.extend([from, to].into_iter().filter(|it| spots.remove(*it)));
            continue;
        }
        let (low, high) = (from.at_mm.min(to.at_mm), from.at_mm.max(to.at_mm));
        let on_the_way = |it: &&Spot| it.aisle == from.aisle && (low..=high).contains(&it.at_mm);
        let mut passed: Vec<Spot> = spots.iter().filter(on_the_way).copied().collect();
        if to.at_mm < from.at_mm {
            passed.reverse();
        }
        for it in passed {
            spots.remove(&it);
            order.push(it);
        }
    }
    order
}
