use crate::domain::catalog::Tracking;
use crate::domain::ids::{KitLineId, LotId, SerialId};
use crate::domain::picking::{Counted, Found, FoundPart};
use crate::units::Quantity;

/// One line of a kit, as the packer meets it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackLine {
    /// The kit line.
    pub line: KitLineId,
    /// The carton that it belongs in.
    pub carton: u32,
    /// The part.
    pub part: FoundPart,
    /// How the part is tracked.
    pub tracking: Tracking,
    /// Pieces picked so far.
    pub picked: Quantity,
    /// Pieces in the carton.
    pub packed: Quantity,
}

/// What the kit's tote holds of one part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InTote {
    /// The kit line that it was picked for.
    pub line: KitLineId,
    /// The lot, with its code.
    pub lot: Option<(LotId, String)>,
    /// The serial number.
    pub serial: Option<SerialId>,
    /// How many.
    pub quantity: Quantity,
}

/// What a scan at the bench means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PackAnswer {
    /// Go on with this carton.
    CartonChosen(u32),
    /// The right part; its lot must be scanned too.
    ScanLot,
    /// The right part; its serial number must be scanned too.
    ScanSerial,
    /// Put these pieces into the carton.
    Put {
        /// The line that they belong to.
        line: KitLineId,
        /// Their lot.
        lot: Option<LotId>,
        /// Their serial number.
        serial: Option<SerialId>,
        /// How many.
        quantity: Quantity,
    },
    /// Something is wrong, and nothing moves.
    Refused(PackRefusal),
}

/// Why a scan at the bench is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PackRefusal {
    /// The kit has no such part.
    #[error("wrong part: {scanned} is not in this kit")]
    NotInKit {
        /// The part scanned, in words.
        scanned: String,
    },
    /// The kit has its look-alike.
    #[error("wrong size: this is {scanned}, and the kit takes {wanted}")]
    WrongVariant {
        /// The part scanned, in words.
        scanned: String,
        /// The part that the kit takes, in words.
        wanted: String,
    },
    /// It goes into the other carton.
    #[error("wrong carton: {scanned} goes into carton {carton}")]
    OtherCarton {
        /// The part scanned, in words.
        scanned: String,
        /// The carton that it belongs in.
        carton: u32,
    },
    /// All of it is in the carton already.
    #[error("{scanned} is packed already: nothing was added")]
    PackedAlready {
        /// The part scanned, in words.
        scanned: String,
    },
    /// It has not been picked for this kit.
    #[error("{scanned} is not in the tote of this kit: pick it first")]
    NotPicked {
        /// The part, lot or serial number scanned, in words.
        scanned: String,
    },
    /// More than the tote holds for this carton.
    #[error("too many: {asked} were entered and the tote holds {left}")]
    TooMany {
        /// The quantity entered.
        asked: Quantity,
        /// What the tote holds.
        left: Quantity,
    },
    /// No piece at all.
    #[error("enter how many go into the carton, 1 or more")]
    NoPieces,
    /// A carton of another kit.
    #[error("carton {scanned} belongs to another kit")]
    OtherKitsCarton {
        /// The carton scanned.
        scanned: String,
    },
    /// The carton is closed.
    #[error("carton {carton} is sealed: nothing goes in any more")]
    Sealed {
        /// The carton's place in the kit.
        carton: u32,
    },
    /// A code that belongs to another job, or that nobody knows.
    #[error("'{scanned}' is not known here: scan the part, its lot or its serial number")]
    Unknown {
        /// The text scanned.
        scanned: String,
    },
}

impl PackRefusal {
    /// Returns the refusal's code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NotInKit { .. } => "pack.not_in_kit",
            Self::WrongVariant { .. } => "pack.wrong_size",
            Self::OtherCarton { .. } => "pack.other_carton",
            Self::PackedAlready { .. } => "pack.packed_already",
            Self::NotPicked { .. } => "pack.not_picked",
            Self::TooMany { .. } => "pack.too_many",
            Self::NoPieces => "pack.no_pieces",
            Self::OtherKitsCarton { .. } => "pack.other_kits_carton",
            Self::Sealed { .. } => "pack.sealed",
            Self::Unknown { .. } => "pack.unknown",
        }
    }
}

/// Decides what a scan means while `carton` of a kit is being packed.
///
/// `cartons` are the kit's own carton numbers with their place in the kit, `tote` what has been
/// picked and not yet packed, and `counted` how many go into the carton. Without a count, entered
/// or on the label, a scan proves one piece, the one that was scanned.
pub fn judge(
    lines: &[PackLine],
    tote: &[InTote],
    cartons: &[(String, u32)],
    carton: u32,
    found: &Found,
    counted: Counted,
) -> PackAnswer {
    let answer = match found {
        Found::Carton(number) => cartons
            .iter()
            .find(|(it, _)| it == number)
            .map(|(_, carton)| PackAnswer::CartonChosen(*carton))
            .ok_or_else(|| PackRefusal::OtherKitsCarton { scanned: number.clone() }),
        Found::Part(part) => {
            line_for(lines, carton, part).and_then(|line| put_part(line, tote, counted))
        }
        Found::Lot { lot, code, part } => {
            let words = format!("lot {code} of {}", part.words());
            let of_lot = |it: &InTote| it.lot.as_ref().is_some_and(|(id, _)| id == lot);
            put_known(lines, tote, carton, part, of_lot, words, counted)
        }
        Found::Serial { serial, code, part, .. } => {
            let words = format!("serial number {code} of {}", part.words());
            let of_serial = |it: &InTote| it.serial == Some(*serial);
            put_known(lines, tote, carton, part, of_serial, words, Counted::default())
        }
        Found::Kit(scanned) | Found::Unknown(scanned) | Found::Bin { code: scanned, .. } => {
            Err(PackRefusal::Unknown { scanned: scanned.clone() })
        }
    };
    answer.unwrap_or_else(PackAnswer::Refused)
}

/// Returns the line that a scanned part belongs to: one of this carton with pieces in the tote.
fn line_for<'a>(
    lines: &'a [PackLine],
    carton: u32,
    part: &FoundPart,
) -> Result<&'a PackLine, PackRefusal> {
    let scanned = part.words();
    let of_kit: Vec<&PackLine> =
        lines.iter().filter(|it| it.part.variant == part.variant).collect();
    let Some(first) = of_kit.first() else {
        let sister = lines.iter().find(|it| it.part.part == part.part);
        return Err(match sister {
            Some(line) => PackRefusal::WrongVariant { scanned, wanted: line.part.words() },
            None => PackRefusal::NotInKit { scanned },
        });
    };
    let here: Vec<&&PackLine> = of_kit.iter().filter(|it| it.carton == carton).collect();
    if here.is_empty() {
        return Err(PackRefusal::OtherCarton { scanned, carton: first.carton });
    }
    match here.iter().find(|it| it.packed < it.picked) {
        Some(line) => Ok(line),
        None if here.iter().any(|it| it.picked.is_some()) => {
            Err(PackRefusal::PackedAlready { scanned })
        }
        None => Err(PackRefusal::NotPicked { scanned }),
    }
}

fn put_part(line: &PackLine, tote: &[InTote], counted: Counted) -> Result<PackAnswer, PackRefusal> {
    let mut held = tote.iter().filter(|it| it.line == line.line);
    let first = held.next();
    match line.tracking {
        Tracking::Serial => Ok(PackAnswer::ScanSerial),
        Tracking::Lot if held.next().is_some() => Ok(PackAnswer::ScanLot),
        Tracking::Lot | Tracking::None => put(first, line.part.words(), counted),
    }
}

/// Puts in what is known by its lot or serial number, for whichever line of the carton it was
/// picked: two lines of one part may have been picked from two lots.
fn put_known(
    lines: &[PackLine],
    tote: &[InTote],
    carton: u32,
    part: &FoundPart,
    is_it: impl Fn(&InTote) -> bool,
    words: String,
    counted: Counted,
) -> Result<PackAnswer, PackRefusal> {
    line_for(lines, carton, part)?;
    let in_carton = |it: &InTote| {
        lines.iter().any(|line| {
            line.line == it.line && line.carton == carton && line.part.variant == part.variant
        })
    };
    put(tote.iter().find(|it| in_carton(it) && is_it(it)), words, counted)
}

fn put(
    held: Option<&InTote>,
    scanned: String,
    counted: Counted,
) -> Result<PackAnswer, PackRefusal> {
    let held = held.ok_or(PackRefusal::NotPicked { scanned })?;
    let quantity = counted.of(held.quantity).unwrap_or(Quantity::ONE);
    if !quantity.is_some() {
        return Err(PackRefusal::NoPieces);
    }
    if held.quantity < quantity {
        return Err(PackRefusal::TooMany { asked: quantity, left: held.quantity });
    }
    let lot = held.lot.as_ref().map(|(lot, _)| *lot);
    Ok(PackAnswer::Put { line: held.line, lot, serial: held.serial, quantity })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::ids::VariantId;

    fn arm() -> FoundPart {
        FoundPart {
            variant: VariantId::from(1),
            part_number: "MT1032".to_owned(),
            part: "Torsion arm".to_owned(),
            variant_words: "left".to_owned(),
        }
    }

    fn line(id: i64, picked: i64, packed: i64) -> PackLine {
        PackLine {
            line: KitLineId::from(id),
            carton: 1,
            part: arm(),
            tracking: Tracking::Lot,
            picked: Quantity::new(picked),
            packed: Quantity::new(packed),
        }
    }

    fn in_tote(line: i64, lot: i64, quantity: i64) -> InTote {
        InTote {
            line: KitLineId::from(line),
            lot: Some((LotId::from(lot), format!("L-{lot}"))),
            serial: None,
            quantity: Quantity::new(quantity),
        }
    }

    fn lot(id: i64) -> Found {
        Found::Lot { lot: LotId::from(id), code: format!("L-{id}"), part: arm() }
    }

    fn check(found: &Found, quantity: Option<i64>, expected: &str) {
        let entered = quantity.map(Quantity::new);
        check_counted(found, Counted { entered, stated: None }, expected);
    }

    fn check_counted(found: &Found, counted: Counted, expected: &str) {
        let lines = [line(10, 1, 0), line(11, 2, 0)];
        let tote = [in_tote(10, 3, 1), in_tote(11, 4, 2)];
        let answer = match judge(&lines, &tote, &[], 1, found, counted) {
            PackAnswer::Refused(refusal) => refusal.to_string(),
            PackAnswer::Put { line, quantity, .. } => format!("{quantity} for line {line}"),
            other => format!("{other:?}"),
        };
        assert_eq!(answer, expected);
    }

    #[test]
    fn a_lot_goes_to_the_line_that_it_was_picked_for() {
        check(&lot(3), None, "1 for line 10");
        check(&lot(4), None, "1 for line 11");
        check(&lot(4), Some(2), "2 for line 11");
        check(&lot(4), Some(3), "too many: 3 were entered and the tote holds 2");
        check(
            &lot(5),
            None,
            "lot L-5 of left Torsion arm (MT1032) is not in the tote of this kit: pick it first",
        );
    }

    #[test]
    fn a_count_on_the_label_moves_no_more_than_the_tote_holds() {
        let label = |pieces: i64| Counted { entered: None, stated: Some(Quantity::new(pieces)) };
        check_counted(&lot(4), label(1), "1 for line 11");
        check_counted(&lot(4), label(2), "2 for line 11");
        check_counted(&lot(4), label(100), "2 for line 11");
        let entered = Counted { entered: Some(Quantity::new(1)), ..label(2) };
        check_counted(&lot(4), entered, "1 for line 11");
    }
}
