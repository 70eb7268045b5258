use std::net::{SocketAddr, TcpListener};
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Duration;

use clap::Args;

use crate::domain::{outbox as messages, printing};
use crate::error::Error;
use crate::jobs;
use crate::ops::backup::Watch;
use crate::ops::{labels, outbox, people, shop, verification};
use crate::store::{Database, Who};
use crate::web::{self, App, Settings};

use super::Books;
use super::backup::{self, Schedule};
use super::mail::MailServer;

/// How often the print queue and the outbox are looked at.
const LOOK_EACH: Duration = Duration::from_secs(1);

/// How often bins are looked at: expected use is told by the day.
const LOOK_AT_BINS_EACH: Duration = Duration::from_secs(3600);

#[derive(Debug, Args)]
pub(super) struct Serve {
    /// Where to listen
    #[arg(long, env = "KITWRIGHT_LISTEN", default_value = "127.0.0.1:8377")]
    listen: SocketAddr,
    /// The address under which riders' phones reach the service, printed on packing lists;
    /// http:// and the listening address where it is left out
    #[arg(long, env = "KITWRIGHT_PUBLIC_URL")]
    public_url: Option<String>,
    /// The shop's GS1 company prefix, from which cartons get their SSCC; it is kept in the books
    #[arg(long, env = "KITWRIGHT_COMPANY_PREFIX")]
    company_prefix: Option<String>,
    /// The shop's GS1 global location number, by which others know it; it is kept in the books
    #[arg(long, env = "KITWRIGHT_LOCATION_NUMBER")]
    location_number: Option<String>,
    /// The shop's name, as papers carry it; it is kept in the books
    #[arg(long, env = "KITWRIGHT_SHOP_NAME")]
    shop_name: Option<String>,
    /// Where suppliers deliver, lines parted by semicolons, printed on purchase orders; it is kept
    /// in the books
    #[arg(long, env = "KITWRIGHT_SHOP_ADDRESS")]
    shop_address: Option<String>,
    /// The currency of prices that state none, such as EUR; it is kept in the books
    #[arg(long, env = "KITWRIGHT_CURRENCY")]
    currency: Option<String>,
    #[command(flatten)]
    mail: MailServer,
    #[command(flatten)]
    backups: Schedule,
    #[command(flatten)]
    books: Books,
}

/// Serves a shop until it is told to stop.
pub(super) fn run(it: &Serve) -> Result<ExitCode, Error> {
    let books = it.books.open()?;
    books.write(Who::Program, verification::ensure_link_key)?;
    if let Some(prefix) = &it.company_prefix {
        books.write(Who::Program, |tx| labels::set_company_prefix(tx, prefix))?;
    }
    if let Some(number) = &it.location_number {
        books.write(Who::Program, |tx| labels::set_location_number(tx, number))?;
    }
    let (name, address) = (it.shop_name.as_deref(), it.shop_address.as_deref());
    books.write(Who::Program, |tx| shop::set_details(tx, name, address, it.currency.as_deref()))?;
    let mail = it.mail.entry();
    if !mail.is_empty() {
        books.write(Who::Program, |tx| outbox::set_mail_server(tx, &mail))?;
    }
    if books.read(people::users)?.is_empty() {
        eprintln!("Nobody may log in yet: kitwright user add LOGIN --name NAME --role owner");
    }
    let listener = bind(it.listen)?;
    let backups = backup::begin(&it.backups, &it.books.database)?;
    let books = Arc::new(books);
    listen(books, backups, listener, it.public_url.clone(), |address| {
        println!("Kitwright serves at {address}");
    })
}

/// Binds the socket, so that a port in use is told before anything else is done.
pub(super) fn bind(address: SocketAddr) -> Result<TcpListener, Error> {
    TcpListener::bind(address).map_err(|fault| {
        Error::invalid(
            "cli.listen",
            format!("{address} can't be listened on: {fault}; choose another with --listen"),
        )
    })
}

/// Serves the books on a bound socket; `ready` is told the address before the first request.
pub(super) fn listen(
    books: Arc<Database>,
    backups: Arc<Watch>,
    listener: TcpListener,
    public_url: Option<String>,
    ready: impl FnOnce(&str),
) -> Result<ExitCode, Error> {
    let failed = |fault: std::io::Error| Error::Internal(format!("the service ended: {fault}"));
    let address = format!("http://{}", listener.local_addr().map_err(failed)?);
    let public_url = public_url.unwrap_or_else(|| address.clone());
    let public_url = public_url.trim_end_matches('/').to_owned();
    let app = App::new(Arc::clone(&books), Settings { public_url }).watching(backups);
    actix_web::rt::System::new().block_on(async move {
        let prints = Arc::clone(&books);
        actix_web::rt::spawn(jobs::printing::run(prints, printing::PACE, LOOK_EACH));
        actix_web::rt::spawn(jobs::alerts::run(Arc::clone(&books), LOOK_EACH));
        let bins = Arc::clone(&books);
        actix_web::rt::spawn(jobs::bins::run(bins, LOOK_AT_BINS_EACH));
        actix_web::rt::spawn(jobs::outbox::run(books, messages::PACE, LOOK_EACH));
        let server = web::serve(app, listener, 2).map_err(failed)?;
        ready(&address);
        server.await.map_err(failed)
    })?;
    Ok(ExitCode::SUCCESS)
}
