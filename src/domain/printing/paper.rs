use std::str::FromStr;

use crate::domain::labels::LabelKind;

/// What a print can be made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum PaperKind {
    /// A label of that kind.
    Label(LabelKind),
    /// A carton's packing list.
    PackingList,
    /// A pick list.
    PickList,
    /// A kit's assembly card.
    AssemblyCard,
    /// A purchase order.
    PurchaseOrder,
    /// What was counted against a purchase order.
    GoodsReceipt,
}

impl PaperKind {
    /// Returns every kind, papers first.
    pub fn all() -> impl Iterator<Item = Self> {
        let papers = [
            Self::PackingList,
            Self::PickList,
            Self::AssemblyCard,
            Self::PurchaseOrder,
            Self::GoodsReceipt,
        ];
        papers.into_iter().chain(LabelKind::ALL.into_iter().map(Self::Label))
    }

    /// Returns the word that names the kind.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Label(kind) => kind.word(),
            Self::PackingList => "packing-list",
            Self::PickList => "pick-list",
            Self::AssemblyCard => "assembly-card",
            Self::PurchaseOrder => "purchase-order",
            Self::GoodsReceipt => "goods-receipt",
        }
    }

    /// Returns the kind in words, such as `kit label`.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Label(LabelKind::Part) => "part label",
            Self::Label(LabelKind::Bin) => "bin label",
            Self::Label(LabelKind::Lot) => "lot label",
            Self::Label(LabelKind::Serial) => "serial number label",
            Self::Label(LabelKind::Bag) => "bag label",
            Self::Label(LabelKind::Kit) => "kit label",
            Self::Label(LabelKind::Carton) => "carton label",
            Self::Label(LabelKind::TwoBin) => "two-bin card",
            Self::Label(LabelKind::Quarantine) => "quarantine label",
            Self::PackingList => "packing list",
            Self::PickList => "pick list",
            Self::AssemblyCard => "assembly card",
            Self::PurchaseOrder => "purchase order",
            Self::GoodsReceipt => "goods receipt",
        }
    }

    /// Returns whether it is drawn to size, so that a printer must not fit it to its page.
    pub const fn is_to_size(self) -> bool {
        matches!(self, Self::Label(_))
    }
}

impl FromStr for PaperKind {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        Self::all().find(|it| it.word() == word).ok_or_else(|| {
            let labels: Vec<&str> = LabelKind::ALL.iter().map(|it| it.word()).collect();
            format!(
                "'{word}' can't be printed: take packing-list, pick-list, assembly-card, \
                 purchase-order, goods-receipt, or a label: {}",
                labels.join(", ")
            )
        })
    }
}
