use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use crate::domain::labels::Sheet;
use crate::domain::messages::Language;
use crate::error::Error;
use crate::ops::card::{self, CardWish};
use crate::ops::labels::{self, PaperKind, PrintJob};
use crate::ops::{RequestKey, receiving, verification};
use crate::paper::Media;
use crate::store::{Database, Who};
use crate::units::StatedMass;

use super::{Books, file_error};

#[derive(Debug, Args)]
pub(super) struct Print {
    /// part, bin, two-bin, lot, serial, quarantine, bag, kit, carton, packing-list, pick-list,
    /// assembly-card, purchase-order or goods-receipt
    kind: PaperKind,
    /// What to print: part numbers, bin codes, kit or carton numbers, PART/LOT, PART/SERIAL, numbers
    /// of pick lists and purchase orders
    #[arg(required = true)]
    ids: Vec<String>,
    /// The PDF to write
    #[arg(long)]
    out: PathBuf,
    /// How many of each label
    #[arg(long, default_value_t = 1)]
    copies: u32,
    /// Labels on sheets in place of one a page: a4, a4-a6, letter, letter-2x5, a TOML file that
    /// describes a sheet, or COLUMNSxROWS on A4
    #[arg(long, value_parser = sheet)]
    sheet: Option<Sheet>,
    /// A remark, for layouts that have room for one
    #[arg(long, default_value = "")]
    note: String,
    /// The first free label of a used sheet, from 1
    #[arg(long, default_value_t = 1)]
    start: u32,
    /// The address under which riders' phones reach the service
    #[arg(long, env = "KITWRIGHT_PUBLIC_URL", default_value = "http://127.0.0.1:8377")]
    public_url: String,
    /// The language of an assembly card: en, de or fr; the kit's own where it is left out
    #[arg(long)]
    language: Option<Language>,
    /// The mass of rider, clothes and pack for an assembly card's air pressure, such as 82kg
    #[arg(long)]
    rider_mass: Option<StatedMass>,
    #[command(flatten)]
    books: Books,
}

fn sheet(text: &str) -> Result<Sheet, String> {
    if let Some(sheet) = Sheet::built_in(text) {
        return Ok(sheet);
    }
    if let Some((columns, rows)) = text.split_once('x')
        && let (Ok(columns), Ok(rows)) = (columns.parse(), rows.parse())
    {
        return Ok(Sheet::a4(columns, rows));
    }
    let words = Sheet::BUILT_IN.map(|(word, _)| word).join(", ");
    let file = std::fs::read_to_string(text).map_err(|fault| {
        format!("'{text}' is no sheet: take {words}, a grid such as 3x7, or a TOML file ({fault})")
    })?;
    file.parse::<Sheet>().map_err(|fault| format!("{text}: {fault}"))
}

/// Prints labels or papers to a PDF file.
pub(super) fn run(it: &Print) -> Result<ExitCode, Error> {
    let books = it.books.open()?;
    let bytes = match it.kind {
        PaperKind::Label(kind) => {
            let media = match &it.sheet {
                Some(sheet) => Media::Sheet { sheet: sheet.clone(), start: it.start },
                None => Media::Roll,
            };
            let (ids, note) = (it.ids.clone(), it.note.clone());
            let job = PrintJob { kind, ids, copies: it.copies, note, media };
            let key = RequestKey::fresh();
            books.write(Who::Program, |tx| labels::print(tx, &key, &job))?
        }
        PaperKind::PackingList => packing_list(&books, one(&it.ids)?, &it.public_url)?,
        PaperKind::PickList => {
            let today = books.now().date();
            let number = one(&it.ids)?;
            books.read(|conn| labels::pick_list(conn, number, today))?
        }
        PaperKind::AssemblyCard => assembly_card(&books, it)?,
        PaperKind::PurchaseOrder => {
            let (number, today) = (one(&it.ids)?, books.now().date());
            books.read(|conn| receiving::purchase_order(conn, number, today))?
        }
        PaperKind::GoodsReceipt => {
            let (number, today) = (one(&it.ids)?, books.now().date());
            books.read(|conn| receiving::goods_receipt(conn, number, today))?
        }
    };
    std::fs::write(&it.out, bytes).map_err(|fault| file_error(&it.out, &fault))?;
    println!("{} written", it.out.display());
    Ok(ExitCode::SUCCESS)
}

fn one(ids: &[String]) -> Result<&str, Error> {
    match ids {
        [id] => Ok(id),
        _ => Err(Error::invalid("cli.one", "a list is printed alone: name one number")),
    }
}

fn packing_list(books: &Database, carton: &str, public_url: &str) -> Result<Vec<u8>, Error> {
    let now = books.now();
    books.read(|conn| {
        let (kit, position) = crate::ops::packing::carton_place(conn, carton)?;
        let path = verification::link_path(conn, &kit, now)?;
        labels::packing_list(conn, &kit, position, &format!("{public_url}{path}"), now.date())
    })
}

fn assembly_card(books: &Database, it: &Print) -> Result<Vec<u8>, Error> {
    let now = books.now();
    let kit = one(&it.ids)?;
    books.read(|conn| {
        let path = verification::link_path(conn, kit, now)?;
        let link = format!("{}{path}", it.public_url);
        let (language, rider) = (it.language, it.rider_mass);
        card::card_pdf(conn, &CardWish { kit: kit.to_owned(), language, rider, link }, now.date())
    })
}
