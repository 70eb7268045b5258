use std::collections::{BTreeMap, BTreeSet};

use crate::domain::ids::{KitLineId, MovementId, PlaceId};
use crate::domain::stock::PlaceKind;
use crate::error::Error;
use crate::exchange::epcis::{
    Carton, Change, Fact, Item, Moved, Place, Purchase, RunPart, Story, story,
};
use crate::store::Conn;
use crate::store::bench::Role;
use crate::store::events::{self, MoveRow, PlaceRow, SealRow};

/// A place in the order of the ledger: a movement, and a seal that follows it.
type Key = (i64, i64);

/// What facts refer to, loaded once for all of them.
struct Around {
    places: BTreeMap<PlaceId, PlaceRow>,
    kits: BTreeMap<KitLineId, (String, String)>,
    purchases: BTreeMap<String, Purchase>,
    runs: BTreeMap<MovementId, (String, RunPart)>,
}

/// Returns what movements and seals say, in the order of the ledger. Movements of one run or one
/// hand-over are told together, where the first of them stands; those that began at or before
/// movement `after` have been told.
pub(super) fn facts(
    conn: &mut Conn,
    moves: Vec<MoveRow>,
    seals: Vec<SealRow>,
    after: i64,
) -> Result<Vec<Fact>, Error> {
    let reversed: Vec<MovementId> = moves.iter().filter_map(|it| it.reverses).collect();
    let reversed = events::moves_of_ids(conn, &reversed)?;
    let keys: BTreeSet<String> = moves.iter().map(|it| it.request_key.clone()).collect();
    let keys: Vec<String> = keys.into_iter().collect();
    let whole = events::moves_of_requests(conn, &keys)?;
    let around = around(conn, whole.iter().chain(&reversed), &seals)?;
    let stories = stories(conn, &moves, &seals, &around)?;

    let mut facts: Vec<(Key, Fact)> = Vec::new();
    let mut together = BTreeSet::new();
    for row in &moves {
        let key = (i64::from(row.id), 0);
        let Some(moved) = around.moved(row) else { continue };
        if let Some(of) = row.reverses {
            let first = reversed.iter().find(|it| it.id == of).and_then(|it| around.moved(it));
            facts.extend(first.map(|it| (key, Fact::Reversed(it, row.at))));
        } else if let Some(kind) = around.group(&moved) {
            if together.insert((row.request_key.clone(), kind)) {
                let all = whole.iter().filter(|it| it.request_key == row.request_key);
                let all: Vec<Moved> = all
                    .filter_map(|it| around.moved(it))
                    .filter(|it| around.group(it) == Some(kind))
                    .collect();
                let begun = all.first().is_some_and(|it| it.id <= after);
                if !begun {
                    facts.push((key, kind.fact(all)));
                }
            }
        } else {
            let out = stories.get(&row.from).and_then(|it| it.came_out.get(&moved.id)).cloned();
            facts.push((key, Fact::Moved(moved.clone())));
            facts.extend(out.map(|(item, many)| (key, Fact::CameOut(moved, item, many))));
        }
    }
    for seal in &seals {
        let shut_in = stories.get(&seal.place).and_then(|it| it.shut_in.get(&seal.id));
        let carton = around.places.get(&seal.place).and_then(|it| it.carton.as_ref());
        let (Some(items), Some(row)) = (shut_in, carton) else { continue };
        let carton = Carton { number: row.number.clone(), sscc: row.sscc.clone() };
        let kit = (row.kit.clone(), row.order.clone());
        let items = items.clone();
        let fact = Fact::Sealed { seal: seal.id, at: seal.at, carton, kit, items };
        facts.push(((seal.after, seal.id), fact));
    }
    facts.sort_by_key(|it| it.0);
    Ok(facts.into_iter().map(|it| it.1).collect())
}

/// Movements that are told together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Group {
    Run,
    HandOver,
}

impl Group {
    fn fact(self, moves: Vec<Moved>) -> Fact {
        match self {
            Self::Run => Fact::Run(moves),
            Self::HandOver => Fact::HandedOver(moves),
        }
    }
}

fn around<'a>(
    conn: &mut Conn,
    moves: impl Iterator<Item = &'a MoveRow>,
    seals: &[SealRow],
) -> Result<Around, Error> {
    let (mut places, mut lines) = (BTreeSet::new(), BTreeSet::new());
    let (mut keys, mut ids) = (BTreeSet::new(), Vec::new());
    for it in moves {
        places.extend([it.from, it.to]);
        lines.extend(it.kit_line);
        keys.insert(it.request_key.clone());
        ids.push(it.id);
    }
    places.extend(seals.iter().map(|it| it.place));
    let places: Vec<PlaceId> = places.into_iter().collect();
    let lines: Vec<KitLineId> = lines.into_iter().collect();
    let keys: Vec<String> = keys.into_iter().collect();
    let purchase = |(key, number, supplier)| (key, Purchase { number, supplier });
    let run = |(id, run, role): (MovementId, String, Role)| {
        let part = match role {
            Role::Used => RunPart::Used,
            Role::Made => RunPart::Made,
            Role::TakenApart => RunPart::TakenApart,
            Role::Back => RunPart::Back,
            Role::Scrapped | Role::Lost => RunPart::Wasted,
        };
        (id, (run, part))
    };
    Ok(Around {
        places: events::places_of(conn, &places)?.into_iter().map(|it| (it.id, it)).collect(),
        kits: events::kits_of_lines(conn, &lines)?
            .into_iter()
            .map(|(line, kit, order)| (line, (kit, order)))
            .collect(),
        purchases: events::purchases_of_requests(conn, &keys)?.into_iter().map(purchase).collect(),
        runs: events::runs_of(conn, &ids)?.into_iter().map(run).collect(),
    })
}

fn item(row: &MoveRow) -> Item {
    Item {
        part_number: row.part_number.clone(),
        lot: row.lot.clone(),
        use_by: row.use_by,
        serial: row.serial.clone(),
    }
}

impl Around {
    fn place(&self, id: PlaceId) -> Option<Place> {
        let row = self.places.get(&id)?;
        let carton = row.carton.as_ref();
        let carton = carton.map(|it| Carton { number: it.number.clone(), sscc: it.sscc.clone() });
        Some(Place { code: row.code.clone(), kind: row.kind, carton })
    }

    fn moved(&self, row: &MoveRow) -> Option<Moved> {
        let (kit, order) = row.kit_line.and_then(|it| self.kits.get(&it)).cloned().unzip();
        Some(Moved {
            id: row.id.into(),
            at: row.at,
            item: item(row),
            quantity: row.quantity,
            from: self.place(row.from)?,
            to: self.place(row.to)?,
            request: row.request_key.clone(),
            purchase: self.purchases.get(&row.request_key).cloned(),
            run: self.runs.get(&row.id).cloned(),
            order,
            kit,
        })
    }

    fn group(&self, moved: &Moved) -> Option<Group> {
        let lost = moved.from.kind != PlaceKind::MadeOrUsedUp;
        match &moved.run {
            // What was lost beside a run is thrown away by itself; what came out of a piece and
            // was thrown away is part of the run.
            Some((_, RunPart::Wasted)) if lost => None,
            Some(_) => Some(Group::Run),
            None if (moved.from.kind, moved.to.kind) == (PlaceKind::Carton, PlaceKind::Rider) => {
                Some(Group::HandOver)
            }
            None => None,
        }
    }
}

/// Returns what is to be told of each carton that was sealed or left by a movement.
fn stories(
    conn: &mut Conn,
    moves: &[MoveRow],
    seals: &[SealRow],
    around: &Around,
) -> Result<BTreeMap<PlaceId, Story>, Error> {
    let is_carton =
        |it: &PlaceId| around.places.get(it).is_some_and(|place| place.kind == PlaceKind::Carton);
    let places: BTreeSet<PlaceId> = moves
        .iter()
        .map(|it| it.from)
        .chain(seals.iter().map(|it| it.place))
        .filter(is_carton)
        .collect();
    let places: Vec<PlaceId> = places.into_iter().collect();
    let mut changes: BTreeMap<PlaceId, Vec<(Key, Change)>> = BTreeMap::new();
    for it in events::moves_at(conn, &places)? {
        let (id, place) = (i64::from(it.id), if places.contains(&it.to) { it.to } else { it.from });
        let change = if place == it.to {
            Change::In(id, item(&it), it.quantity)
        } else {
            Change::Out(id, item(&it), it.quantity)
        };
        changes.entry(place).or_default().push(((id, 0), change));
    }
    for it in events::seals_at(conn, &places)? {
        let of_place = changes.entry(it.place).or_default();
        of_place.push(((it.after, it.id), Change::Sealed(it.id)));
    }
    Ok(changes
        .into_iter()
        .map(|(place, mut changes)| {
            changes.sort_by_key(|it| it.0);
            let changes: Vec<Change> = changes.into_iter().map(|it| it.1).collect();
            (place, story(&changes))
        })
        .collect())
}
