use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Duration;

use clap::Args;

use crate::domain::ids::{PrintJobId, PrinterId};
use crate::domain::labels::Sheet;
use crate::domain::messages::Language;
use crate::domain::printing::{PACE, PaperKind};
use crate::error::Error;
use crate::jobs;
use crate::ops::labels::PrintJob;
use crate::ops::printing::{Document, PrintWish};
use crate::ops::{RequestKey, printers, printing};
use crate::paper::Media;
use crate::store::{Database, Tx, Who};
use crate::units::StatedMass;

use super::{Books, file_error};

/// How long the command line stays with a print.
const PATIENCE: Duration = Duration::from_secs(60);

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
    #[arg(long, required_unless_present = "to")]
    out: Option<PathBuf>,
    /// The printer of the shop to print on, by its name, in place of a PDF; "first" for the one
    /// that is named first for it
    #[arg(long, conflicts_with = "out")]
    to: Option<String>,
    /// Print on a printer even though the same was printed a few minutes ago
    #[arg(long, requires = "to")]
    again: bool,
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

/// Prints labels or papers to a PDF file, or on a printer of the shop.
pub(super) fn run(it: &Print) -> Result<ExitCode, Error> {
    let books = it.books.open()?;
    let document = document(&books, it)?;
    match (&it.to, &it.out) {
        (Some(printer), _) => on_printer(books, it, document, printer),
        (None, Some(out)) => {
            let write = |tx: &mut Tx<'_>| document.pdf(tx, &it.public_url);
            let bytes = books.write(Who::Program, write)?;
            std::fs::write(out, bytes).map_err(|fault| file_error(out, &fault))?;
            println!("{} written", out.display());
            Ok(ExitCode::SUCCESS)
        }
        (None, None) => {
            Err(Error::invalid("cli.print", "name a file by --out, or a printer by --to"))
        }
    }
}

fn document(books: &Database, it: &Print) -> Result<Document, Error> {
    Ok(match it.kind {
        PaperKind::Label(kind) => {
            let media = match &it.sheet {
                Some(sheet) => Media::Sheet { sheet: sheet.clone(), start: it.start },
                None => Media::Roll,
            };
            let (ids, note) = (it.ids.clone(), it.note.clone());
            Document::Labels(PrintJob { kind, ids, copies: it.copies, note, media })
        }
        PaperKind::PackingList => {
            let carton = one(&it.ids)?;
            let (kit, position) =
                books.read(|conn| crate::ops::packing::carton_place(conn, carton))?;
            Document::PackingList { kit, position }
        }
        PaperKind::PickList => Document::PickList(one(&it.ids)?.to_owned()),
        PaperKind::AssemblyCard => Document::AssemblyCard {
            kit: one(&it.ids)?.to_owned(),
            language: it.language,
            rider: it.rider_mass,
        },
        PaperKind::PurchaseOrder => Document::PurchaseOrder(one(&it.ids)?.to_owned()),
        PaperKind::GoodsReceipt => Document::GoodsReceipt(one(&it.ids)?.to_owned()),
    })
}

fn one(ids: &[String]) -> Result<&str, Error> {
    match ids {
        [id] => Ok(id),
        _ => Err(Error::invalid("cli.one", "a list is printed alone: name one number")),
    }
}

/// Queues a print and sends it, whether or not a service runs on the same books: whoever takes the
/// job first sends it.
fn on_printer(
    books: Database,
    it: &Print,
    document: Document,
    printer: &str,
) -> Result<ExitCode, Error> {
    let printer = match printer {
        "first" => None,
        name => {
            let all = books.read(printers::printers)?;
            let found = all.iter().find(|it| it.name == name);
            let missing = || Error::not_found("printer", name);
            Some(PrinterId::from(found.ok_or_else(missing)?.number))
        }
    };
    let public_url = it.public_url.clone();
    let wish = PrintWish { document, printer, again: it.again, public_url };
    let key = RequestKey::fresh();
    let job = books.write(Who::Program, |tx| printing::print_on(tx, &key, &wish))?;
    println!("{} goes to {} as job {}", job.title, job.printer_name, job.number);
    let (books, id) = (Arc::new(books), PrintJobId::from(job.number));
    let failed = |fault: std::io::Error| Error::Internal(format!("no runtime: {fault}"));
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let seen = jobs::printing::see_through(Arc::clone(&books), id, PACE, PATIENCE);
    runtime.map_err(failed)?.block_on(seen)?;
    let job = books.read(|conn| printing::job(conn, id))?;
    println!("{}: {}", job.state_words, job.words);
    Ok(match job.state.as_str() {
        "printed" | "taken" => ExitCode::SUCCESS,
        _ => ExitCode::FAILURE,
    })
}
