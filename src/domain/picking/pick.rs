use chrono::NaiveDate;

use crate::domain::catalog::Tracking;
use crate::domain::ids::{LotId, PlaceId, SerialId};
use crate::units::Quantity;

use super::{Counted, Found, FoundPart};

/// The place where the picker stands, and what is to be taken there for one kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stop {
    /// The bin.
    pub bin: PlaceId,
    /// Its code.
    pub bin_code: String,
    /// The part to take.
    pub part: FoundPart,
    /// How the part is tracked.
    pub tracking: Tracking,
    /// The lot that is held for the kit, with its code.
    pub lot: Option<(LotId, String)>,
    /// The lot's last day of use, if it has one.
    pub use_by: Option<NaiveDate>,
    /// Whether the bin holds other lots of the part too, so that its part label says too little.
    pub other_lots: bool,
    /// How many pieces are still to be taken for this kit.
    pub left: Quantity,
    /// The kit that they are for.
    pub kit: String,
}

/// What a scan at a stop means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PickAnswer {
    /// The right bin.
    BinConfirmed,
    /// The right part; its lot must be scanned too.
    ScanLot,
    /// The right part; its serial number must be scanned too.
    ScanSerial,
    /// The right tote.
    ToteConfirmed,
    /// Take that many pieces, of that serial number if there is one.
    Take {
        /// How many.
        quantity: Quantity,
        /// The serial number taken.
        serial: Option<SerialId>,
    },
    /// Something is wrong, and nothing moves.
    Refused(Refusal),
}

/// Why a scan is refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// The bin must be confirmed first.
    #[error("scan the bin first: {bin}")]
    BinFirst {
        /// The bin's code.
        bin: String,
    },
    /// Another bin.
    #[error("wrong bin: this is {scanned}, go to {wanted}")]
    WrongBin {
        /// The bin scanned.
        scanned: String,
        /// The bin wanted.
        wanted: String,
    },
    /// A look-alike: the same part in another size, length or colour.
    #[error("wrong size: this is {scanned}, take {wanted}")]
    WrongVariant {
        /// The part scanned, in words.
        scanned: String,
        /// The part wanted, in words.
        wanted: String,
    },
    /// Another part altogether.
    #[error("wrong part: this is {scanned}, take {wanted}")]
    WrongPart {
        /// The part scanned, in words.
        scanned: String,
        /// The part wanted, in words.
        wanted: String,
    },
    /// Another lot than the one held for the kit.
    #[error("wrong lot: this is {scanned}, take lot {wanted}, which is to be used first")]
    WrongLot {
        /// The lot scanned.
        scanned: String,
        /// The lot wanted.
        wanted: String,
    },
    /// The lot held for the kit is past its last day of use.
    #[error("lot {lot} was to be used by {use_by}: leave it in the bin and tell the owner")]
    PastItsDay {
        /// The lot.
        lot: String,
        /// Its last day of use.
        use_by: NaiveDate,
    },
    /// The serial number is not in the bin by the book.
    #[error("serial number {serial} is not in {bin}: by the book it is {place}")]
    SerialElsewhere {
        /// The serial number.
        serial: String,
        /// The bin wanted.
        bin: String,
        /// Where the book has it, in words.
        place: String,
    },
    /// More than the kit needs.
    #[error("too many: {asked} were entered and {left} are still to be taken for {kit}")]
    TooMany {
        /// The quantity entered.
        asked: Quantity,
        /// What is still to be taken.
        left: Quantity,
        /// The kit's number.
        kit: String,
    },
    /// No piece at all.
    #[error("enter how many were taken, 1 or more")]
    NoPieces,
    /// The tote of another kit.
    #[error("wrong tote: this is {scanned}, put them in {wanted}")]
    WrongTote {
        /// The kit scanned.
        scanned: String,
        /// The kit wanted.
        wanted: String,
    },
    /// A code that belongs to another job.
    #[error("'{scanned}' is not for here: scan the bin, then the part")]
    NotHere {
        /// The code scanned.
        scanned: String,
    },
    /// A code that nobody knows.
    #[error("'{scanned}' is not known: scan the label on the bin or the part")]
    Unknown {
        /// The text scanned.
        scanned: String,
    },
}

impl Refusal {
    /// Returns the refusal's code, which never changes.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::BinFirst { .. } => "pick.bin_first",
            Self::WrongBin { .. } => "pick.wrong_bin",
            Self::WrongVariant { .. } => "pick.wrong_size",
            Self::WrongPart { .. } => "pick.wrong_part",
            Self::WrongLot { .. } => "pick.wrong_lot",
            Self::PastItsDay { .. } => "pick.past_its_day",
            Self::SerialElsewhere { .. } => "pick.serial_elsewhere",
            Self::TooMany { .. } => "pick.too_many",
            Self::NoPieces => "pick.no_pieces",
            Self::WrongTote { .. } => "pick.wrong_tote",
            Self::NotHere { .. } => "pick.not_here",
            Self::Unknown { .. } => "pick.unknown",
        }
    }

    /// Returns the refusal of `scanned` where `wanted` was to be taken: a look-alike of the same
    /// base part is told from another part, since it is the commoner and the worse mistake.
    pub fn other_part(scanned: &FoundPart, wanted: &FoundPart) -> Self {
        let same_part = scanned.part == wanted.part;
        let (scanned, wanted) = (scanned.words(), wanted.words());
        if same_part {
            Self::WrongVariant { scanned, wanted }
        } else {
            Self::WrongPart { scanned, wanted }
        }
    }
}

/// Decides what a scan means at `stop`.
///
/// `bin_confirmed` says whether the bin has been scanned at this stop, and `counted` how many
/// pieces are in hand. A lot past its last day of use on `today` is not taken, whenever it was held.
pub fn judge(
    stop: &Stop,
    bin_confirmed: bool,
    found: &Found,
    counted: Counted,
    today: NaiveDate,
) -> PickAnswer {
    let answer = match found {
        Found::Bin { place, code } => right_bin(stop, *place, code),
        Found::Kit(kit) => right_tote(stop, kit),
        _ if !bin_confirmed => Err(Refusal::BinFirst { bin: stop.bin_code.clone() }),
        Found::Part(part) => right_part(stop, part, counted),
        Found::Lot { lot, code, part } => right_lot(stop, *lot, code, part, counted),
        Found::Serial { serial, code, part, place } => {
            right_serial(stop, code, part, place.as_ref())
                .map(|()| PickAnswer::Take { quantity: Quantity::ONE, serial: Some(*serial) })
        }
        Found::Carton(scanned) => Err(Refusal::NotHere { scanned: scanned.clone() }),
        Found::Unknown(scanned) => Err(Refusal::Unknown { scanned: scanned.clone() }),
    };
    match answer {
        Ok(PickAnswer::Take { .. }) if stop.use_by.is_some_and(|last| last < today) => {
            let lot = stop.lot.as_ref().map(|it| it.1.clone()).unwrap_or_default();
            let use_by = stop.use_by.unwrap_or(today);
            PickAnswer::Refused(Refusal::PastItsDay { lot, use_by })
        }
        answer => answer.unwrap_or_else(PickAnswer::Refused),
    }
}

fn right_bin(stop: &Stop, place: PlaceId, code: &str) -> Result<PickAnswer, Refusal> {
    if place == stop.bin {
        return Ok(PickAnswer::BinConfirmed);
    }
    Err(Refusal::WrongBin { scanned: code.to_owned(), wanted: stop.bin_code.clone() })
}

fn right_tote(stop: &Stop, kit: &str) -> Result<PickAnswer, Refusal> {
    if kit == stop.kit {
        return Ok(PickAnswer::ToteConfirmed);
    }
    Err(Refusal::WrongTote { scanned: kit.to_owned(), wanted: stop.kit.clone() })
}

fn same_part(stop: &Stop, part: &FoundPart) -> Result<(), Refusal> {
    if part.variant == stop.part.variant {
        return Ok(());
    }
    Err(Refusal::other_part(part, &stop.part))
}

fn right_part(stop: &Stop, part: &FoundPart, counted: Counted) -> Result<PickAnswer, Refusal> {
    same_part(stop, part)?;
    match stop.tracking {
        Tracking::Serial => Ok(PickAnswer::ScanSerial),
        Tracking::Lot if stop.other_lots => Ok(PickAnswer::ScanLot),
        Tracking::Lot | Tracking::None => take(stop, counted),
    }
}

fn right_lot(
    stop: &Stop,
    lot: LotId,
    code: &str,
    part: &FoundPart,
    counted: Counted,
) -> Result<PickAnswer, Refusal> {
    same_part(stop, part)?;
    match &stop.lot {
        Some((wanted, _)) if *wanted == lot => take(stop, counted),
        Some((_, wanted)) => {
            Err(Refusal::WrongLot { scanned: code.to_owned(), wanted: wanted.clone() })
        }
        None => Err(Refusal::NotHere { scanned: code.to_owned() }),
    }
}

fn right_serial(
    stop: &Stop,
    code: &str,
    part: &FoundPart,
    place: Option<&(PlaceId, String)>,
) -> Result<(), Refusal> {
    same_part(stop, part)?;
    if place.is_some_and(|(place, _)| *place == stop.bin) {
        return Ok(());
    }
    Err(Refusal::SerialElsewhere {
        serial: code.to_owned(),
        bin: stop.bin_code.clone(),
        place: place
            .map_or_else(|| "no longer in the house".to_owned(), |it| format!("in {}", it.1)),
    })
}

fn take(stop: &Stop, counted: Counted) -> Result<PickAnswer, Refusal> {
    let quantity = counted.of(stop.left).unwrap_or(stop.left);
    if !quantity.is_some() {
        return Err(Refusal::NoPieces);
    }
    if stop.left < quantity {
        let (left, kit) = (stop.left, stop.kit.clone());
        return Err(Refusal::TooMany { asked: quantity, left, kit });
    }
    Ok(PickAnswer::Take { quantity, serial: None })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::ids::VariantId;

    fn part(variant: i64, part: &str, words: &str, part_number: &str) -> FoundPart {
        FoundPart {
            variant: VariantId::from(variant),
            part_number: part_number.to_owned(),
            part: part.to_owned(),
            variant_words: words.to_owned(),
        }
    }

    fn ski_bolt() -> Stop {
        Stop {
            bin: PlaceId::from(7),
            bin_code: "H-04-2M".to_owned(),
            part: part(1, "Ski bolt M6x1.0", "x14", "SK1074"),
            tracking: Tracking::Lot,
            lot: Some((LotId::from(3), "L-old".to_owned())),
            use_by: None,
            other_lots: true,
            left: Quantity::new(8),
            kit: "KT004127C".to_owned(),
        }
    }

    fn check(stop: &Stop, found: &Found, quantity: Option<i64>, expected: &str) {
        let entered = quantity.map(Quantity::new);
        check_counted(stop, found, Counted { entered, stated: None }, expected);
    }

    fn check_counted(stop: &Stop, found: &Found, counted: Counted, expected: &str) {
        let today = NaiveDate::from_ymd_opt(2026, 11, 25).unwrap();
        let answer = match judge(stop, true, found, counted, today) {
            PickAnswer::Refused(refusal) => refusal.to_string(),
            other => format!("{other:?}"),
        };
        assert_eq!(answer, expected);
    }

    #[test]
    fn a_look_alike_is_refused_as_a_wrong_size() {
        let long = Found::Part(part(2, "Ski bolt M6x1.0", "x16", "SK109Z"));
        check(
            &ski_bolt(),
            &long,
            None,
            "wrong size: this is x16 Ski bolt M6x1.0 (SK109Z), take x14 Ski bolt M6x1.0 (SK1074)",
        );
    }

    #[test]
    fn the_lot_is_asked_for_where_the_bin_holds_two() {
        let right = Found::Part(ski_bolt().part);
        check(&ski_bolt(), &right, None, "ScanLot");
        let new = |lot: i64, code: &str| Found::Lot {
            lot: LotId::from(lot),
            code: code.to_owned(),
            part: ski_bolt().part,
        };
        check(
            &ski_bolt(),
            &new(4, "L-new"),
            None,
            "wrong lot: this is L-new, take lot L-old, which is to be used first",
        );
        check(
            &ski_bolt(),
            &new(3, "L-old"),
            Some(8),
            "Take { quantity: Quantity(8), serial: None }",
        );
        check(
            &ski_bolt(),
            &new(3, "L-old"),
            Some(9),
            "too many: 9 were entered and 8 are still to be taken for KT004127C",
        );
        for (stated, taken) in [(5, 5), (8, 8), (9, 8)] {
            let counted = Counted { entered: None, stated: Some(Quantity::new(stated)) };
            let expected = format!("Take {{ quantity: Quantity({taken}), serial: None }}");
            check_counted(&ski_bolt(), &new(3, "L-old"), counted, &expected);
        }
    }

    #[test]
    fn a_lot_past_its_day_stays_in_the_bin() {
        let on = |day: u32| Stop {
            use_by: NaiveDate::from_ymd_opt(2026, 11, day),
            other_lots: false,
            ..ski_bolt()
        };
        let right = Found::Part(ski_bolt().part);
        check(&on(25), &right, None, "Take { quantity: Quantity(8), serial: None }");
        check(
            &on(24),
            &right,
            None,
            "lot L-old was to be used by 2026-11-24: leave it in the bin and tell the owner",
        );
    }

    #[test]
    fn a_frame_is_known_by_its_serial_number() {
        let frame = part(5, "Frame", "M lichen green", "FR105G");
        let stop = Stop {
            part: frame.clone(),
            tracking: Tracking::Serial,
            lot: None,
            left: Quantity::ONE,
            ..ski_bolt()
        };
        check(&stop, &Found::Part(frame.clone()), None, "ScanSerial");
        let serial = |part: &FoundPart, place: Option<i64>| Found::Serial {
            serial: SerialId::from(9),
            code: "SW26-M-0417".to_owned(),
            part: part.clone(),
            place: place.map(|it| (PlaceId::from(it), "Q-01-1".to_owned())),
        };
        check(
            &stop,
            &serial(&frame, Some(7)),
            None,
            "Take { quantity: Quantity(1), serial: Some(SerialId(9)) }",
        );
        check(
            &stop,
            &serial(&frame, Some(8)),
            None,
            "serial number SW26-M-0417 is not in H-04-2M: by the book it is in Q-01-1",
        );
        check(
            &stop,
            &serial(&part(2, "Frame", "S lichen green", "FR102M"), Some(7)),
            None,
            "wrong size: this is S lichen green Frame (FR102M), take M lichen green Frame (FR105G)",
        );
    }
}
