use crate::domain::ids::{LotId, PlaceId, SerialId, VariantId};

/// What the catalogue says of a scanned part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundPart {
    /// The variant.
    pub variant: VariantId,
    /// Its part number.
    pub part_number: String,
    /// The base part's name, which its look-alikes share.
    pub part: String,
    /// What tells it from its look-alikes: size, length, colour.
    pub variant_words: String,
}

impl FoundPart {
    /// Returns the part in words: variant first, since that is what gets mixed up.
    pub fn words(&self) -> String {
        if self.variant_words.is_empty() {
            format!("{} ({})", self.part, self.part_number)
        } else {
            format!("{} {} ({})", self.variant_words, self.part, self.part_number)
        }
    }
}

/// What a scan turned out to be once it was looked up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// A part, or its label.
    Part(FoundPart),
    /// A bin.
    Bin {
        /// The bin.
        place: PlaceId,
        /// Its code.
        code: String,
    },
    /// A kit or its tote.
    Kit(String),
    /// A carton.
    Carton(String),
    /// A lot.
    Lot {
        /// The lot.
        lot: LotId,
        /// Its code.
        code: String,
        /// The part that it is a lot of.
        part: FoundPart,
    },
    /// A serial number.
    Serial {
        /// The serial number.
        serial: SerialId,
        /// Its code.
        code: String,
        /// The part that carries it.
        part: FoundPart,
        /// The place that holds it, by its code; `None` outside the house.
        place: Option<(PlaceId, String)>,
    },
    /// Nothing of this shop's.
    Unknown(String),
}
