//! What other instances on the same PostgreSQL change, heard on a connection of its own.

use std::sync::Weak;
use std::time::{Duration, Instant};

use diesel::QueryResult;
use diesel::connection::SimpleConnection;
use diesel::result::Error as Fault;

use super::signal::Signal;
use super::{Conn, DatabaseUrl};

/// How often is looked for what has come; the server is not asked for that.
const LOOKING: Duration = Duration::from_millis(100);
/// How often the server is asked whether it is there, since a connection may end without a word.
const ASKING: Duration = Duration::from_secs(15);
/// The pauses between tries to connect.
const FIRST_PAUSE: Duration = Duration::from_millis(200);
const LONGEST_PAUSE: Duration = Duration::from_secs(5);

/// Listens, on a thread of its own, for as long as somebody holds the signal.
pub(super) fn begin(url: &DatabaseUrl, signal: Weak<Signal>) {
    let url = url.clone();
    std::thread::spawn(move || {
        let mut pause = FIRST_PAUSE;
        while let Some(alive) = signal.upgrade() {
            match listening(&url) {
                Ok(conn) => {
                    pause = FIRST_PAUSE;
                    // Whatever was told before somebody listened was not heard.
                    alive.tell();
                    drop(alive);
                    if let Err(fault) = hear(conn, &signal) {
                        tracing::warn!(%fault, "changes by others are not heard: connecting anew");
                    }
                }
                Err(fault) => tracing::warn!(fault, "changes by others can't be listened for"),
            }
            std::thread::sleep(pause);
            pause = LONGEST_PAUSE.min(pause * 2);
        }
    });
}

fn listening(url: &DatabaseUrl) -> Result<Conn, String> {
    let mut conn = url.connect().map_err(|fault| fault.to_string())?;
    let listened = conn.batch_execute(&format!("LISTEN {}", super::dialect::CHANNEL));
    listened.map(|()| conn).map_err(|fault| fault.to_string())
}

/// Hears what comes; returns once nobody holds the signal any more.
fn hear(mut conn: Conn, signal: &Weak<Signal>) -> QueryResult<()> {
    let mut asked = Instant::now();
    while let Some(alive) = signal.upgrade() {
        if heard(&mut conn)? {
            alive.tell();
        }
        drop(alive);
        if ASKING <= asked.elapsed() {
            asked = Instant::now();
            conn.batch_execute("SELECT 1")?;
        }
        std::thread::sleep(LOOKING);
    }
    Ok(())
}

fn heard(conn: &mut Conn) -> QueryResult<bool> {
    match conn {
        // Nobody listens on SQLite.
        Conn::Sqlite(_) => Err(Fault::NotFound),
        Conn::Postgres(conn) => {
            let mut any = false;
            for told in conn.notifications_iter() {
                told?;
                any = true;
            }
            Ok(any)
        }
    }
}
