use std::net::{SocketAddr, TcpListener};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;

use clap::Args;

use crate::clock::Clock;
use crate::demo;
use crate::error::Error;
use crate::store::{Database, DatabaseUrl};

use super::{file_error, serve};

#[derive(Debug, Args)]
pub(super) struct Demo {
    /// Where to listen
    #[arg(long, default_value = "127.0.0.1:8377")]
    listen: SocketAddr,
    /// The address under which riders' phones reach the service
    #[arg(long)]
    public_url: Option<String>,
    /// Keep the shop in this new folder in place of one that is thrown away at the end
    #[arg(long)]
    data: Option<PathBuf>,
    /// Keep the shop in this empty database in place of one that is thrown away at the end:
    /// sqlite:FILE, or postgres://HOST/NAME in a build with that feature
    #[arg(long, conflicts_with = "data")]
    database: Option<DatabaseUrl>,
}

/// A folder that is thrown away with all that is in it, unless it is to be kept.
struct Folder {
    path: PathBuf,
    keep: bool,
}

impl Drop for Folder {
    fn drop(&mut self) {
        if !self.keep {
            // Nothing to be told to anyone: the system clears its temporary files too.
            drop(std::fs::remove_dir_all(&self.path));
        }
    }
}

/// Serves the invented shop.
pub(super) fn run(it: &Demo) -> Result<ExitCode, Error> {
    let listener = serve::bind(it.listen)?;
    if let Some(url) = &it.database {
        return fill(it, listener, url, "the database that you named");
    }
    let folder = match &it.data {
        Some(path) => Folder { path: path.clone(), keep: true },
        None => Folder {
            path: std::env::temp_dir().join(format!("kitwright-demo-{}", std::process::id())),
            keep: false,
        },
    };
    std::fs::create_dir_all(&folder.path).map_err(|fault| file_error(&folder.path, &fault))?;
    let file = folder.path.join("demo.sqlite").display().to_string();
    fill(it, listener, &DatabaseUrl::Sqlite(file.clone()), &format!("sqlite:{file}"))
}

fn fill(
    it: &Demo,
    listener: TcpListener,
    url: &DatabaseUrl,
    place: &str,
) -> Result<ExitCode, Error> {
    let books = Database::open(url, Clock::System)?;
    let people = demo::load(&books)?;
    demo::show_states(&books)?;
    let books = Arc::new(books);
    serve::listen(books, Arc::default(), listener, it.public_url.clone(), |address| {
        println!("Skarnholt Works, an invented shop, is served at {address}");
        println!("Its books are in {place}");
        println!("{:<10} {:<16} device token", "login", "password");
        for it in &people {
            println!("{:<10} {:<16} {}", it.login, it.password, it.token.as_str());
        }
        println!("End with Ctrl-C.");
    })
}
