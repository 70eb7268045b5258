use std::collections::{BTreeMap, BTreeSet};

use crate::domain::ids::{KitId, LotId, SerialId};
use crate::domain::stock::PlaceKind;
use crate::units::Quantity;

/// A lot or serial number of one part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Traced {
    /// A lot.
    Lot(LotId),
    /// A serial number.
    Serial(SerialId),
}

/// Pieces at one place, and of which kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// What the place is for.
    pub kind: PlaceKind,
    /// The place's code; with a rider, that of the carton that took the pieces there.
    pub place: String,
    /// The kit that the pieces are for, where they are in a tote, in a carton or with the rider.
    pub kit: Option<KitId>,
    /// How many pieces; below zero with riders, where pieces came back and nobody said of which kit.
    pub pieces: Quantity,
}

/// Pieces that a run used up, and what it made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Passage {
    /// The run's number.
    pub run: String,
    /// What it made.
    pub made: Vec<Traced>,
    /// How many pieces of this part lie in one that it made.
    pub each: Quantity,
    /// How many pieces are inside, those taken out again left out.
    pub inside: Quantity,
    /// Whether each made piece holds `each` of these, because the run used no other lot of the part.
    pub sole: bool,
}

/// Where the pieces of one lot or serial number went.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Node {
    /// The places that hold some.
    pub spots: Vec<Spot>,
    /// The runs that used some up.
    pub passages: Vec<Passage>,
}

/// Pieces that were found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Where, and whose.
    pub spot: Spot,
    /// How many pieces of what is looked for; where it is not certain, how many there are at most.
    pub pieces: Quantity,
    /// Whether they are there for certain. They are not where a run mixed several lots of one part,
    /// since nobody knows which of its pieces got which.
    pub certain: bool,
    /// The runs that they went through, the first first.
    pub through: Vec<String>,
    /// What lies there: what is looked for, or what was made of it.
    pub holds: Traced,
}

/// Returns where the pieces of `start` are, those inside of what the house made included.
///
/// Pieces that went through a run which mixed lots count as certain nowhere; what of them may lie
/// where is found all the same, since a recall must reach each kit that may hold one.
///
/// ```
/// use std::collections::BTreeMap;
/// use kitwright::domain::stock::PlaceKind;
/// use kitwright::domain::trace::{Node, Passage, Spot, Traced, follow};
/// use kitwright::units::Quantity;
///
/// // 8 bolts of a lot in their bin; 4 in a bag, which lies in another bin.
/// let bolts = Traced::Lot(1.into());
/// let bag = Traced::Lot(2.into());
/// let spot = |place: &str, pieces| Spot {
///     kind: PlaceKind::Bin, place: place.into(), kit: None, pieces: Quantity::new(pieces),
/// };
/// let passage = Passage {
///     run: "RN1".into(), made: vec![bag], each: Quantity::new(4), inside: Quantity::new(4), sole: true,
/// };
/// let nodes = BTreeMap::from([
///     (bolts, Node { spots: vec![spot("A-1", 8)], passages: vec![passage] }),
///     (bag, Node { spots: vec![spot("B-1", 1)], passages: vec![] }),
/// ]);
/// let found = follow(bolts, &nodes);
/// let places: Vec<_> = found.iter().map(|it| (it.spot.place.as_str(), it.pieces.pieces())).collect();
/// assert_eq!(places, [("A-1", 8), ("B-1", 4)]);
/// ```
pub fn follow(start: Traced, nodes: &BTreeMap<Traced, Node>) -> Vec<Found> {
    let mut walk = Walk { nodes, on: BTreeSet::new(), through: Vec::new(), found: Vec::new() };
    walk.visit(start, Quantity::ONE, true);
    walk.found
}

struct Walk<'a> {
    nodes: &'a BTreeMap<Traced, Node>,
    /// What is being visited: a made piece never holds itself, and a damaged book must not hang us.
    on: BTreeSet<Traced>,
    through: Vec<String>,
    found: Vec<Found>,
}

impl Walk<'_> {
    /// Adds what is found of `item`, each piece of which holds `each` of what is looked for.
    fn visit(&mut self, item: Traced, each: Quantity, certain: bool) {
        let Some(node) = self.nodes.get(&item) else { return };
        if !self.on.insert(item) {
            return;
        }
        self.found.extend(node.spots.iter().map(|spot| Found {
            pieces: spot.pieces.times(each),
            spot: spot.clone(),
            certain,
            through: self.through.clone(),
            holds: item,
        }));
        for passage in &node.passages {
            self.through.push(passage.run.clone());
            for made in &passage.made {
                self.visit(*made, each.times(passage.each), certain && passage.sole);
            }
            self.through.pop();
        }
        self.on.remove(&item);
    }
}
