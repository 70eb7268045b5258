use std::collections::BTreeMap;

use super::event::Method;
use crate::domain::ids::MovementId;

/// Pieces that came in together, and what is left of their cost.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Layer {
    /// Pieces left.
    pub(super) pieces: i64,
    /// Cents that they cost together; none under the average, where the cost lies in one pool.
    pub(super) cents: i64,
}

/// What the house holds of one variant: its layers in the order of coming in, and their cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Stock {
    method: Method,
    layers: BTreeMap<MovementId, Layer>,
    pieces: i64,
    cents: i64,
}

/// What was taken, layer by layer, so that it can be put back just there.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Taken {
    pub(super) cents: i64,
    slices: Vec<(MovementId, Layer)>,
}

/// Returns the part of an amount that so many of all pieces bear, to the nearest cent.
pub(super) fn part(cents: i64, pieces: i64, of: i64) -> i64 {
    if of <= pieces {
        return cents;
    }
    let (cents, pieces, of) = (i128::from(cents), i128::from(pieces), i128::from(of));
    i64::try_from((2 * cents * pieces + of).div_euclid(2 * of)).unwrap_or(0)
}

impl Stock {
    pub(super) const fn new(method: Method) -> Self {
        Self { method, layers: BTreeMap::new(), pieces: 0, cents: 0 }
    }

    pub(super) const fn pieces(&self) -> i64 {
        self.pieces
    }

    pub(super) const fn cents(&self) -> i64 {
        self.cents
    }

    /// Returns how many pieces are left of those that came in by a movement.
    pub(super) fn left_of(&self, movement: MovementId) -> i64 {
        self.layers.get(&movement).map_or(0, |it| it.pieces)
    }

    pub(super) fn put(&mut self, movement: MovementId, pieces: i64, cents: i64) {
        let layer = self.layers.entry(movement).or_default();
        layer.pieces += pieces;
        if self.method == Method::Fifo {
            layer.cents += cents;
        }
        self.pieces += pieces;
        self.cents += cents;
    }

    /// Puts back what was taken, where it was taken from.
    pub(super) fn put_back(&mut self, taken: &Taken) {
        for (movement, slice) in &taken.slices {
            let layer = self.layers.entry(*movement).or_default();
            layer.pieces += slice.pieces;
            layer.cents += slice.cents;
            self.pieces += slice.pieces;
        }
        self.cents += taken.cents;
    }

    /// Takes pieces out, those that came first before the others; those of `first` before all.
    pub(super) fn take(&mut self, pieces: i64, first: Option<MovementId>) -> Taken {
        let average = part(self.cents, pieces, self.pieces);
        let mut taken = Taken::default();
        let mut left = pieces;
        let own = first.filter(|it| self.layers.contains_key(it));
        while 0 < left {
            let next = own.filter(|it| self.layers.contains_key(it));
            let Some(at) = next.or_else(|| self.layers.keys().next().copied()) else { break };
            let Some(layer) = self.layers.get_mut(&at) else { break };
            let some = left.min(layer.pieces);
            let cents = part(layer.cents, some, layer.pieces);
            layer.pieces -= some;
            layer.cents -= cents;
            if layer.pieces == 0 {
                self.layers.remove(&at);
            }
            taken.slices.push((at, Layer { pieces: some, cents }));
            taken.cents += cents;
            left -= some;
        }
        if self.method == Method::Average {
            taken.cents = average;
        }
        self.pieces -= pieces - left;
        self.cents -= taken.cents;
        taken
    }

    /// Adds a charge to what is left of the pieces of a movement, of which `of` came in; returns the
    /// cents that they bear. No layer falls below nothing.
    pub(super) fn charge(&mut self, movement: MovementId, cents: i64, of: i64) -> i64 {
        let left = self.left_of(movement);
        if left <= 0 {
            return 0;
        }
        let held = match (self.method, self.layers.get(&movement)) {
            (Method::Fifo, Some(layer)) => layer.cents,
            _ => self.cents,
        };
        let borne = part(cents, left, of).max(-held);
        if let (Method::Fifo, Some(layer)) = (self.method, self.layers.get_mut(&movement)) {
            layer.cents += borne;
        }
        self.cents += borne;
        borne
    }

    /// Takes cents away with no piece, as far as there are any; returns how many.
    pub(super) fn lower(&mut self, cents: i64) -> i64 {
        let lowered = if self.pieces == 0 { self.cents } else { cents.min(self.cents) };
        self.cents -= lowered;
        lowered
    }
}
