use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args;

use crate::domain::messages::Language;
use crate::error::Error;
use crate::ops::card::{self, CardWish};
use crate::ops::labels::{self, PaperKind};
use crate::ops::verification;
use crate::paper::Media;
use crate::store::Database;
use crate::units::StatedMass;

use super::{Books, file_error};

#[derive(Debug, Args)]
pub(super) struct Print {
    /// part, bin, lot, serial, carton, packing-list, pick-list or assembly-card
    kind: PaperKind,
    /// What to print: part numbers, bin codes, carton numbers, PART/LOT, PART/SERIAL, pick list
    /// or kit numbers
    #[arg(required = true)]
    ids: Vec<String>,
    /// The PDF to write
    #[arg(long)]
    out: PathBuf,
    /// How many of each label
    #[arg(long, default_value_t = 1)]
    copies: u32,
    /// Labels on A4 sheets, as COLUMNSxROWS, in place of one a page
    #[arg(long, value_parser = grid)]
    sheet: Option<(u32, u32)>,
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

fn grid(text: &str) -> Result<(u32, u32), String> {
    let fault = || format!("'{text}' is no grid: write columns x rows, such as 3x7");
    let (columns, rows) = text.split_once('x').ok_or_else(fault)?;
    Ok((columns.parse().map_err(|_| fault())?, rows.parse().map_err(|_| fault())?))
}

/// Prints labels or papers to a PDF file.
pub(super) fn run(it: &Print) -> Result<ExitCode, Error> {
    let books = it.books.open()?;
    let bytes = match it.kind {
        PaperKind::Label(kind) => {
            let media = match it.sheet {
                Some((columns, rows)) => Media::A4 { columns, rows, start: it.start },
                None => Media::Roll,
            };
            books.read(|conn| labels::labels(conn, kind, &it.ids, it.copies, media))?
        }
        PaperKind::PackingList => packing_list(&books, one(&it.ids)?, &it.public_url)?,
        PaperKind::PickList => {
            let today = books.now().date();
            let number = one(&it.ids)?;
            books.read(|conn| labels::pick_list(conn, number, today))?
        }
        PaperKind::AssemblyCard => assembly_card(&books, it)?,
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
