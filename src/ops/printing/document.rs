use crate::domain::labels::LabelKind;
use crate::domain::messages::Language;
use crate::domain::printing::{PaperKind, PrinterMedia};
use crate::error::Error;
use crate::ops::card::{self, CardWish};
use crate::ops::labels::{self, PrintJob};
use crate::ops::{receiving, verification};
use crate::store::{Conn, Tx};
use crate::units::StatedMass;

/// The most things of one print that are each remembered by name; more are as good as one thing.
const MOST_SUBJECTS: usize = 1_000;

/// What is to be printed.
#[derive(Debug, Clone)]
pub enum Document {
    /// Labels.
    Labels(PrintJob),
    /// The packing list of a carton.
    PackingList {
        /// The kit's number.
        kit: String,
        /// Which of its cartons, from 1.
        position: u32,
    },
    /// A pick list, by its number.
    PickList(String),
    /// A kit's assembly card.
    AssemblyCard {
        /// The kit's number.
        kit: String,
        /// The language; the kit's own where it is left out.
        language: Option<Language>,
        /// The mass of rider, clothes and pack, where it was told.
        rider: Option<StatedMass>,
    },
    /// A purchase order, by its number.
    PurchaseOrder(String),
    /// What was counted against a purchase order, by the order's number.
    GoodsReceipt(String),
}

impl Document {
    /// Returns what kind of paper it is.
    pub const fn paper(&self) -> PaperKind {
        match self {
            Self::Labels(job) => PaperKind::Label(job.kind),
            Self::PackingList { .. } => PaperKind::PackingList,
            Self::PickList(_) => PaperKind::PickList,
            Self::AssemblyCard { .. } => PaperKind::AssemblyCard,
            Self::PurchaseOrder(_) => PaperKind::PurchaseOrder,
            Self::GoodsReceipt(_) => PaperKind::GoodsReceipt,
        }
    }

    /// Returns what it prints, in words.
    pub fn title(&self) -> String {
        let words = self.paper().words();
        match self {
            Self::Labels(job) => match job.ids.as_slice() {
                [one] => format!("{words} {}", one.trim()),
                all => {
                    let first = all.first().map_or("", |it| it.trim());
                    format!("{words} {first} and {} more", all.len().saturating_sub(1))
                }
            },
            Self::PackingList { kit, position } => format!("{words} {kit}, carton {position}"),
            Self::PickList(number) | Self::PurchaseOrder(number) | Self::GoodsReceipt(number) => {
                format!("{words} {number}")
            }
            Self::AssemblyCard { kit, .. } => format!("{words} {kit}"),
        }
    }

    /// Returns what each of its pages stands for, so that the same asked for twice is noticed.
    pub(super) fn subjects(&self) -> Vec<String> {
        let Self::Labels(PrintJob { kind, ids, note, .. }) = self else {
            return vec![self.title()];
        };
        let subject = |kind: LabelKind, id: &str| {
            let note = if kind == LabelKind::Quarantine { note.as_str() } else { "" };
            format!("{} {} {note}", kind.word(), id.trim())
        };
        let mut all: Vec<String> = match MOST_SUBJECTS < ids.len() {
            true => vec![format!("{} {}", kind.word(), ids.join(" "))],
            false => ids.iter().map(|it| subject(*kind, it)).collect(),
        };
        all.sort();
        all.dedup();
        all
    }

    /// Checks that its pages fit on what a printer is loaded with.
    ///
    /// Labels are never scaled, since their bar codes are drawn to size; papers may be fitted.
    pub(super) fn check_size(
        &self,
        conn: &mut Conn,
        printer: &str,
        media: PrinterMedia,
    ) -> Result<(), Error> {
        let (page, is_list) = match self {
            Self::Labels(job) => (labels::page_size(conn, job)?, false),
            _ => (PrinterMedia::A4.size_um(), true),
        };
        let fits = match (is_list, media) {
            (true, PrinterMedia::A4 | PrinterMedia::Letter) => true,
            _ => media.holds(page),
        };
        if fits {
            return Ok(());
        }
        let (width_um, height_um) = page;
        let page = PrinterMedia::Label { width_um, height_um };
        Err(Error::conflict(
            "printers.too_small",
            format!(
                "a page of {} does not fit on {}, which is loaded with {}: choose another printer, or another paper",
                page.words(),
                printer,
                media.words()
            ),
        ))
    }

    /// Returns the document as PDF, and counts the print where prints are counted. `public_url` is
    /// the address under which riders' phones reach the service, for papers with a code.
    ///
    /// # Errors
    ///
    /// As the ops that make labels and papers as PDF.
    pub fn pdf(&self, tx: &mut Tx<'_>, public_url: &str) -> Result<Vec<u8>, Error> {
        let (now, today) = (tx.now, tx.today());
        match self {
            Self::Labels(job) => labels::print_within(tx, job),
            Self::PackingList { kit, position } => {
                let link = verification::link_path(tx.conn, kit, now)?;
                let link = format!("{public_url}{link}");
                labels::packing_list(tx.conn, kit, *position, &link, today)
            }
            Self::PickList(number) => labels::pick_list(tx.conn, number, today),
            Self::AssemblyCard { kit, language, rider } => {
                let link = verification::link_path(tx.conn, kit, now)?;
                let wish = CardWish {
                    kit: kit.clone(),
                    language: *language,
                    rider: *rider,
                    link: format!("{public_url}{link}"),
                };
                card::card_pdf(tx.conn, &wish, today)
            }
            Self::PurchaseOrder(number) => receiving::purchase_order(tx.conn, number, today),
            Self::GoodsReceipt(number) => receiving::goods_receipt(tx.conn, number, today),
        }
    }
}
