use std::fmt;
use std::str::FromStr;

use super::{Facts, Layout, LayoutError};

/// No kind of label has that name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' is no kind of label: choose {kinds}", kinds = words().join(", "))]
pub struct LabelKindError(pub String);

fn words() -> [&'static str; 9] {
    LabelKind::ALL.map(LabelKind::word)
}

/// A kind of label that the shop prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LabelKind {
    /// On a part or its bag: the size above all.
    Part,
    /// On a shelf bin.
    Bin,
    /// On goods of one lot.
    Lot,
    /// On one piece with a serial number.
    Serial,
    /// On a bag of one bag run.
    Bag,
    /// On the tote of a kit.
    Kit,
    /// On a carton that leaves the shop: a GS1 logistic label.
    Carton,
    /// On the two bins of a fastener: the card that is scanned when one is empty.
    TwoBin,
    /// On goods that nobody may use.
    Quarantine,
}

impl LabelKind {
    /// Every kind, in the order of the work.
    pub const ALL: [Self; 9] = [
        Self::Part,
        Self::Bin,
        Self::TwoBin,
        Self::Lot,
        Self::Serial,
        Self::Quarantine,
        Self::Bag,
        Self::Kit,
        Self::Carton,
    ];

    /// Returns the word that names the kind.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Part => "part",
            Self::Bin => "bin",
            Self::Lot => "lot",
            Self::Serial => "serial",
            Self::Bag => "bag",
            Self::Kit => "kit",
            Self::Carton => "carton",
            Self::TwoBin => "two-bin",
            Self::Quarantine => "quarantine",
        }
    }

    /// Returns the text of the layout that comes with the program.
    pub const fn built_in(self) -> &'static str {
        match self {
            Self::Part => include_str!("../../../labels/part.toml"),
            Self::Bin => include_str!("../../../labels/bin.toml"),
            Self::Lot => include_str!("../../../labels/lot.toml"),
            Self::Serial => include_str!("../../../labels/serial.toml"),
            Self::Bag => include_str!("../../../labels/bag.toml"),
            Self::Kit => include_str!("../../../labels/kit.toml"),
            Self::Carton => include_str!("../../../labels/carton.toml"),
            Self::TwoBin => include_str!("../../../labels/two-bin.toml"),
            Self::Quarantine => include_str!("../../../labels/quarantine.toml"),
        }
    }

    /// Returns the layout that comes with the program.
    ///
    /// # Errors
    ///
    /// [`LayoutError`] only if the program was built with a faulty layout.
    pub fn layout(self) -> Result<Layout, LayoutError> {
        self.built_in().parse()
    }

    /// Returns which prints of this kind are counted, because two labels alike would be a mistake
    /// or have to be told apart.
    pub const fn counting(self) -> Counting {
        match self {
            Self::Part | Self::Bin | Self::TwoBin | Self::Quarantine => Counting::None,
            Self::Lot | Self::Bag => Counting::EachPrint,
            Self::Serial | Self::Kit | Self::Carton => Counting::EachLabel,
        }
    }

    /// Returns facts of every name that this kind gives, for a look at a layout.
    pub fn sample(self) -> Facts<'static> {
        let part: &[(&str, &str)] = &[
            ("part_number", "FS1026"),
            ("name", "Pinch bolt, stem, zinc-nickel, patch"),
            ("variant", "M6×14"),
            ("note", "Hold until the certificate is here"),
        ];
        let more: &[(&str, &str)] = match self {
            Self::Part => &[("bin", "B-03-2U")],
            Self::Bin => &[("bin", "B-03-2U"), ("contents", "Pinch bolt, stem, M6×14")],
            Self::TwoBin => {
                &[("bin", "B-03-2U"), ("card", "1"), ("cards", "2"), ("reorder_quantity", "400")]
            }
            Self::Lot => {
                &[("lot", "A7731-26"), ("use_by", "2027-06-30"), ("copy", "copy 2"), ("print", "2")]
            }
            Self::Serial => &[("serial", "F26-004417"), ("copy", "copy 2"), ("print", "2")],
            Self::Bag => &[
                ("lot", "26-117"),
                ("steps", "Steps 2, 3"),
                ("pieces", "12"),
                ("copy", "copy 2"),
                ("print", "2"),
            ],
            Self::Quarantine => &[("lot", "A7731-26"), ("printed_on", "2026-11-25")],
            Self::Kit => &[
                ("shop", "Skarnholt Works"),
                ("order", "SO-10023"),
                ("rider", "Łucja Østergård-Żółkiewska"),
                ("kit_number", "KT004127C"),
                ("kit_name", "Ski bike, size L, air shock"),
                ("cartons", "2"),
                ("copy", "copy 2"),
                ("print", "2"),
            ],
            Self::Carton => &[
                ("shop", "Skarnholt Works"),
                ("order", "SO-10023"),
                ("rider", "Łucja Østergård-Żółkiewska"),
                ("carton_index", "1"),
                ("carton_count", "2"),
                ("kit_number", "KT004127C"),
                ("carton_number", "CN0041271C"),
                ("kit_name", "Ski bike, size L, air shock"),
                ("contents", "Frame, fork, bars, seat, bags 1 to 7, tools and papers"),
                ("link", "https://skarnholt.example/b/KT004127C/9f3ka7q2"),
                ("sscc", "095212340000041276"),
                ("sscc_title", "SSCC"),
                ("sscc_spaced", "0 9521234 000004127 6"),
                ("copy", "copy 2"),
                ("print", "2"),
            ],
        };
        let is_of_kit = matches!(self, Self::Kit | Self::Carton | Self::Bin);
        let part = if is_of_kit { &[("note", "")] } else { part };
        part.iter().chain(more).map(|(name, value)| (*name, (*value).to_owned())).collect()
    }
}

/// Which prints are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counting {
    /// None: any number of such labels may hang about.
    None,
    /// Each time that labels of it are printed, however many.
    EachPrint,
    /// Each label: two of them are one too many.
    EachLabel,
}

impl fmt::Display for LabelKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

impl FromStr for LabelKind {
    type Err = LabelKindError;

    fn from_str(text: &str) -> Result<Self, LabelKindError> {
        let kind = Self::ALL.into_iter().find(|it| it.word() == text.trim());
        kind.ok_or_else(|| LabelKindError(text.to_owned()))
    }
}
