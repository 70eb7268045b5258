//! The way of lots and serial numbers, level by level: their movements, and what runs made of them.

use std::collections::{BTreeMap, BTreeSet};

use crate::domain::ids::KitId;
use crate::domain::stock::PlaceKind;
use crate::domain::trace::{Node, Passage, Spot, Traced};
use crate::error::Error;
use crate::store::Conn;
use crate::store::bench::{self, MoveRow as RunMove, Role};
use crate::store::trace::{self as store, MoveRow};
use crate::units::Quantity;

/// Where everything that was looked for went, and how many pieces of each came in.
pub(super) struct Graph {
    pub(super) nodes: BTreeMap<Traced, Node>,
    pub(super) came_in: BTreeMap<Traced, Quantity>,
}

/// Loads the way of `starts` and of all that was made of them.
pub(super) fn load(conn: &mut Conn, starts: &[Traced]) -> Result<Graph, Error> {
    let mut graph = Graph { nodes: BTreeMap::new(), came_in: BTreeMap::new() };
    let mut level: Vec<Traced> = starts.to_vec();
    while !level.is_empty() {
        let mut of_item: BTreeMap<Traced, Vec<MoveRow>> = BTreeMap::new();
        for row in store::movements_of(conn, &level)? {
            if let Some(item) = row.item() {
                of_item.entry(item).or_default().push(row);
            }
        }
        let mut runs = Vec::new();
        for (run, number) in store::runs_with(conn, &level)? {
            runs.push((number, bench::moves_of(conn, run)?));
        }
        let mut next = BTreeSet::new();
        for item in level {
            let moves = of_item.remove(&item).unwrap_or_default();
            let passages: Vec<Passage> =
                runs.iter().flat_map(|(number, run)| passages(item, number, run)).collect();
            next.extend(passages.iter().flat_map(|it| it.made.iter().copied()));
            let inside = passages.iter().map(|it| it.inside).sum();
            let net = Net::of(&moves)?;
            graph.came_in.insert(item, net.came_in(inside));
            graph.nodes.insert(item, Node { spots: net.spots(), passages });
        }
        level = next.into_iter().filter(|it| !graph.nodes.contains_key(it)).collect();
    }
    Ok(graph)
}

/// How many pieces more reached a place than left it, by its kind, code and kit.
struct Net {
    pieces: BTreeMap<(PlaceKind, String, Option<KitId>), Quantity>,
    /// The carton in which a kit's pieces went to the rider.
    carton: BTreeMap<KitId, String>,
}

impl Net {
    fn of(moves: &[MoveRow]) -> Result<Self, Error> {
        let mut net = Self { pieces: BTreeMap::new(), carton: BTreeMap::new() };
        for it in moves {
            let (left, reached) = (kind(&it.from.0)?, kind(&it.to.0)?);
            net.add(left, &it.from.1, it.kit, Quantity::ZERO.less(it.quantity));
            net.add(reached, &it.to.1, it.kit, it.quantity);
            if let (PlaceKind::Carton, PlaceKind::Rider, Some(kit)) = (left, reached, it.kit) {
                net.carton.insert(kit, it.from.1.clone());
            }
        }
        Ok(net)
    }

    fn add(&mut self, kind: PlaceKind, code: &str, kit: Option<KitId>, pieces: Quantity) {
        let of_kit = matches!(kind, PlaceKind::Tote | PlaceKind::Carton | PlaceKind::Rider);
        let sum = self.pieces.entry((kind, code.to_owned(), kit.filter(|_| of_kit))).or_default();
        *sum = sum.plus(pieces);
    }

    fn total(&self, of: PlaceKind) -> Quantity {
        self.pieces.iter().filter(|((kind, ..), _)| *kind == of).map(|(_, it)| *it).sum()
    }

    /// Returns how many pieces came into the house, of which `inside` were used up since.
    ///
    /// Pieces come from suppliers, from counts (the opening stock too) and from runs. What went back
    /// there counts off, and so does what a run used up, which the same outside place balances.
    fn came_in(&self, inside: Quantity) -> Quantity {
        let bought = Quantity::ZERO.less(self.total(PlaceKind::Supplier));
        let counted = Quantity::ZERO.less(self.total(PlaceKind::CountDifference)).at_least_zero();
        let made = inside.less(self.total(PlaceKind::MadeOrUsedUp));
        bought.plus(counted).plus(made)
    }

    /// Returns the places that hold pieces; a count's loss is one of them.
    fn spots(self) -> Vec<Spot> {
        // All that riders had came back: it is nobody's, whichever kit it had been in.
        let all_back = self.total(PlaceKind::Rider) == Quantity::ZERO;
        let Self { pieces, carton } = self;
        let place = |kind, code: String, kit: Option<KitId>| match (kind, kit) {
            (PlaceKind::Rider, Some(kit)) => carton.get(&kit).cloned().unwrap_or_default(),
            (PlaceKind::Rider, None) => String::new(),
            _ => code,
        };
        pieces
            .into_iter()
            .filter(|((kind, ..), pieces)| match kind {
                PlaceKind::Supplier | PlaceKind::MadeOrUsedUp => false,
                PlaceKind::Rider => !all_back && *pieces != Quantity::ZERO,
                _ => pieces.is_some(),
            })
            .map(|((kind, code, kit), pieces)| Spot {
                kind,
                place: place(kind, code, kit),
                kit,
                pieces,
            })
            .collect()
    }
}

fn kind(word: &str) -> Result<PlaceKind, Error> {
    PlaceKind::from_word(word)
        .ok_or_else(|| Error::Internal(format!("the stored kind of place '{word}' can't be read")))
}

fn item_of(it: &RunMove) -> Option<Traced> {
    it.serial.map(Traced::Serial).or(it.lot.map(Traced::Lot))
}

/// Returns how a run took up an item: piece by piece where each made piece's part is known, else all
/// of it into all that the run made.
fn passages(item: Traced, number: &str, run: &[RunMove]) -> Vec<Passage> {
    let of_item = || run.iter().filter(|it| item_of(it) == Some(item));
    let Some(variant) = of_item().find(|it| it.role == Role::Used).map(|it| it.variant) else {
        return Vec::new();
    };
    let pieces: BTreeSet<_> =
        of_item().filter(|it| it.role == Role::Used).map(|it| it.piece).collect();
    let sum = |role: Role, same: &dyn Fn(&RunMove) -> bool| -> Quantity {
        run.iter().filter(|it| it.role == role && same(it)).map(|it| it.quantity).sum()
    };
    let made = sum(Role::Made, &|_| true);
    let left = made.less(sum(Role::TakenApart, &|_| true));
    pieces
        .into_iter()
        .filter_map(|piece| {
            let same = |it: &RunMove| item_of(it) == Some(item) && it.piece == piece;
            let inside = sum(Role::Used, &same)
                .less(sum(Role::Back, &same))
                .less(sum(Role::Scrapped, &same));
            if !inside.is_some() {
                return None;
            }
            let (made, each, sole) = match piece {
                Some(serial) => (vec![Traced::Serial(serial)], inside, true),
                None => {
                    let of_part = sum(Role::Used, &|it| it.variant == variant);
                    let each = Quantity::new(of_part.pieces() / made.pieces().max(1));
                    (made_in(run), each, inside == each.times(left))
                }
            };
            Some(Passage { run: number.to_owned(), made, each, inside, sole })
        })
        .collect()
}

/// Returns what a run made, those serial numbers left out that were taken apart.
fn made_in(run: &[RunMove]) -> Vec<Traced> {
    let of = |role: Role| -> BTreeSet<Traced> {
        run.iter().filter(|it| it.role == role).filter_map(item_of).collect()
    };
    let apart = of(Role::TakenApart);
    let gone = |it: &Traced| matches!(it, Traced::Serial(_)) && apart.contains(it);
    of(Role::Made).into_iter().filter(|it| !gone(it)).collect()
}
