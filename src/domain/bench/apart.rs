use crate::domain::ids::{LotId, VariantId};
use crate::units::Quantity;

use super::BenchError;

/// A part of one lot in the pieces of a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartOfRun {
    /// The variant.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// The lot, where the variant is tracked by lot.
    pub lot: Option<LotId>,
    /// The lot's code.
    pub lot_code: String,
    /// How many went into the run.
    pub used: Quantity,
    /// How many have come out again, to a bin or to scrap.
    pub back: Quantity,
}

impl PartOfRun {
    /// Returns how many of the lot the run still holds.
    pub const fn left(&self) -> Quantity {
        self.used.less(self.back)
    }
}

/// Where a part goes that comes out of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Goes {
    /// To its bin.
    Bin,
    /// To quarantine.
    Quarantine,
    /// To scrap.
    Scrap,
}

/// What a person says comes back of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Said {
    /// The variant.
    pub variant: VariantId,
    /// Its lot; `None` also where the run drew one lot only.
    pub lot: Option<LotId>,
    /// How many.
    pub quantity: Quantity,
    /// Where they go.
    pub goes: Goes,
}

/// Pieces of a part and lot that come back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Back {
    /// The variant.
    pub variant: VariantId,
    /// The lot.
    pub lot: Option<LotId>,
    /// How many.
    pub quantity: Quantity,
    /// Where they go.
    pub goes: Goes,
}

/// Returns what comes back when `pieces` of a run are taken apart, `apart` of its `made` having been
/// taken apart before.
///
/// Each part comes back as often as it went into one piece. Where the run still holds one lot of a
/// part, or no more than what comes back, the lots are known. Otherwise no one can tell them apart
/// but whoever holds the pieces, who must say it.
///
/// # Errors
///
/// [`BenchError::TooMany`], [`BenchError::WhichLot`], [`BenchError::WrongBack`] and
/// [`BenchError::LotUsedUp`].
pub fn take_apart(
    parts: &[PartOfRun],
    made: Quantity,
    apart: Quantity,
    pieces: Quantity,
    said: &[Said],
) -> Result<Vec<Back>, BenchError> {
    let left = made.less(apart);
    if left < pieces {
        return Err(BenchError::TooMany { asked: pieces, left, made });
    }
    let mut back = Vec::new();
    let mut variants: Vec<VariantId> = Vec::new();
    for part in parts.iter().filter(|it| it.used.is_some()) {
        if variants.contains(&part.variant) {
            continue;
        }
        variants.push(part.variant);
        let lots: Vec<&PartOfRun> = parts.iter().filter(|it| it.variant == part.variant).collect();
        let used: Quantity = lots.iter().map(|it| it.used).sum();
        let each = Quantity::new(used.pieces() / made.pieces().max(1));
        let said: Vec<&Said> = said.iter().filter(|it| it.variant == part.variant).collect();
        back.extend(of_part(&lots, each.times(pieces), &said)?);
    }
    Ok(back)
}

fn of_part(lots: &[&PartOfRun], wanted: Quantity, said: &[&Said]) -> Result<Vec<Back>, BenchError> {
    let held: Vec<&PartOfRun> = lots.iter().filter(|it| it.left().is_some()).copied().collect();
    let part_number = || lots.first().map(|it| it.part_number.clone()).unwrap_or_default();
    let all: Quantity = held.iter().map(|it| it.left()).sum();
    let known = |part: &PartOfRun, quantity: Quantity, goes: Goes| Back {
        variant: part.variant,
        lot: part.lot,
        quantity,
        goes,
    };
    match (held.as_slice(), said) {
        ([only], []) => return Ok(vec![known(only, wanted, Goes::Bin)]),
        (all_lots, []) if all == wanted => {
            return Ok(all_lots.iter().map(|it| known(it, it.left(), Goes::Bin)).collect());
        }
        (all_lots, []) => {
            let lots: Vec<String> = all_lots
                .iter()
                .map(|it| format!("{} at most of {}", it.left(), it.lot_code))
                .collect();
            return Err(BenchError::WhichLot { part_number: part_number(), lots: lots.join(", ") });
        }
        _ => {}
    }
    let sum: Quantity = said.iter().map(|it| it.quantity).sum();
    if sum != wanted {
        return Err(BenchError::WrongBack { part_number: part_number(), wanted, said: sum });
    }
    let mut back = Vec::new();
    for it in said.iter().filter(|it| it.quantity.is_some()) {
        let lot = match held.as_slice() {
            [only] if it.lot.is_none() => only.lot,
            _ => it.lot,
        };
        back.push(Back { variant: it.variant, lot, quantity: it.quantity, goes: it.goes });
    }
    for lot in back.iter().map(|it| it.lot) {
        let said = back.iter().filter(|it| it.lot == lot).map(|it| it.quantity).sum();
        let part = lots.iter().find(|it| it.lot == lot);
        let left = part.map(|it| it.left()).unwrap_or_default();
        if left < said {
            let code = part.map(|it| it.lot_code.clone()).unwrap_or_default();
            let (part_number, lot) = (part_number(), code);
            return Err(BenchError::LotUsedUp { part_number, lot, said, left });
        }
    }
    Ok(back)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(variant: i64, lot: i64, used: i64, back: i64) -> PartOfRun {
        PartOfRun {
            variant: variant.into(),
            part_number: format!("P{variant}"),
            lot: Some(lot.into()),
            lot_code: format!("L{lot}"),
            used: Quantity::new(used),
            back: Quantity::new(back),
        }
    }

    fn said(variant: i64, lot: Option<i64>, quantity: i64, goes: Goes) -> Said {
        let lot = lot.map(LotId::from);
        Said { variant: variant.into(), lot, quantity: Quantity::new(quantity), goes }
    }

    fn check(apart: i64, pieces: i64, words: &[Said], expected: Result<&[(i64, i64)], &str>) {
        // Ten pieces: part 1 from two lots, 8 in each piece, and part 2 from one, 2 in each.
        let back = (8 * apart, 2 * apart);
        let parts = [part(1, 1, 60, 0), part(1, 2, 20, back.0), part(2, 3, 20, back.1)];
        let [made, apart, pieces] = [10, apart, pieces].map(Quantity::new);
        let answer = take_apart(&parts, made, apart, pieces, words);
        let answer = answer.map(|all| {
            let pair = |it: &Back| (i64::from(it.lot.unwrap()), it.quantity.pieces());
            all.iter().map(pair).collect::<Vec<_>>()
        });
        match (answer, expected) {
            (Ok(found), Ok(wanted)) => assert_eq!(found, wanted),
            (Err(fault), Err(code)) => assert_eq!(fault.code(), code, "{fault}"),
            (found, wanted) => panic!("{found:?}, not {wanted:?}"),
        }
    }

    #[test]
    fn knows_the_lots_or_asks() {
        check(0, 2, &[], Err("bench.which_lot"));
        check(0, 2, &[said(1, Some(1), 16, Goes::Bin)], Ok(&[(1, 16), (3, 4)]));
        let split = [said(1, Some(1), 10, Goes::Bin), said(1, Some(2), 6, Goes::Scrap)];
        check(0, 2, &split, Ok(&[(1, 10), (2, 6), (3, 4)]));
        check(0, 10, &[], Ok(&[(1, 60), (2, 20), (3, 20)]));
    }

    #[test]
    fn refuses_what_can_not_be() {
        check(0, 11, &[], Err("bench.too_many"));
        check(2, 9, &[], Err("bench.too_many"));
        check(0, 2, &[said(1, Some(1), 15, Goes::Bin)], Err("bench.wrong_back"));
        check(0, 3, &[said(1, Some(2), 24, Goes::Bin)], Err("bench.lot_used_up"));
        let scrap = [said(1, Some(1), 16, Goes::Bin), said(2, None, 4, Goes::Scrap)];
        check(0, 2, &scrap, Ok(&[(1, 16), (3, 4)]));
    }
}
