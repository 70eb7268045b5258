//! What happened to goods, for other people's systems: the ledger as EPCIS events.

mod facts;

use std::str::FromStr;

use chrono::{DateTime, NaiveDateTime};

use crate::domain::ids::PlaceId;
use crate::error::Error;
use crate::exchange::epcis::{self, Document, Names, Told};
use crate::store::{Conn, Tx, events, orders, people};

use super::labels::{LOCATION, PREFIX};
use super::verification;

/// How many movements one page of events is made of, where nobody says otherwise.
pub const PAGE: i64 = 500;
/// The most movements of one page.
const MOST: i64 = 2000;

/// A point in the ledger: everything after it has not been told yet.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cursor {
    movement: i64,
    seal: i64,
}

impl std::fmt::Display for Cursor {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}.{}", self.movement, self.seal)
    }
}

/// From where events are asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Since {
    /// After what was told last.
    Cursor(Cursor),
    /// From a moment on, in UTC.
    Moment(NaiveDateTime),
}

impl Default for Since {
    fn default() -> Self {
        Self::Cursor(Cursor::default())
    }
}

impl FromStr for Since {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        if let Ok(at) = DateTime::parse_from_rfc3339(text) {
            return Ok(Self::Moment(at.naive_utc()));
        }
        let wrong = || {
            Error::invalid(
                "events.since",
                format!(
                    "since: '{text}' is neither a cursor, such as 120.3, nor a time with its zone, \
                     such as 2026-11-25T00:00:00Z"
                ),
            )
        };
        let (movement, seal) = text.split_once('.').ok_or_else(wrong)?;
        let number = |it: &str| it.parse().ok().filter(|it: &i64| 0 <= *it).ok_or_else(wrong);
        Ok(Self::Cursor(Cursor { movement: number(movement)?, seal: number(seal)? }))
    }
}

/// Events, and the point after them.
#[derive(Debug, Clone)]
pub struct EventPage {
    /// What is told, in the order of the ledger.
    pub told: Vec<Told>,
    /// From where to go on; where nothing was told, the same as before.
    pub next: Cursor,
}

/// Loads what the ledger says after a point, from `limit` movements at most. The same movements
/// are told under the same identifiers each time.
///
/// # Errors
///
/// [`Error::Invalid`] for a limit that is none.
pub fn page(conn: &mut Conn, since: Since, limit: i64, address: &str) -> Result<EventPage, Error> {
    if !(1..=MOST).contains(&limit) {
        let words = format!("limit: {limit} is not from 1 to {MOST} movements");
        return Err(Error::invalid("events.limit", words));
    }
    let after = match since {
        Since::Cursor(cursor) => cursor,
        Since::Moment(at) => Cursor { movement: events::last_before(conn, at)?, seal: 0 },
    };
    let moves = events::moves_after(conn, after.movement, limit)?;
    let full = i64::try_from(moves.len()).is_ok_and(|it| it == limit);
    let last = moves.last().map_or(after.movement, |it| it.id.into());
    let up_to = if full { last } else { i64::MAX };
    let seals = events::seals_between(conn, (after.movement, after.seal), up_to)?;
    let next = seals
        .iter()
        .map(|it| Cursor { movement: it.after, seal: it.id })
        .chain([after, Cursor { movement: last, seal: 0 }])
        .max()
        .unwrap_or(after);
    let facts = facts::facts(conn, moves, seals, after.movement)?;
    let told = epcis::tell(&facts, &names(conn, address)?);
    Ok(EventPage { told, next })
}

/// Loads all that happened to a kit: what was picked for it, its cartons, and their way out.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn of_kit(conn: &mut Conn, number: &str, address: &str) -> Result<Vec<Told>, Error> {
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let moves = events::moves_of_kit(conn, kit.id)?;
    let cartons = crate::store::packing::cartons_of(conn, &[kit.id])?;
    let places: Vec<PlaceId> = cartons.iter().map(|it| it.place).collect();
    let seals = events::seals_at(conn, &places)?;
    let facts = facts::facts(conn, moves, seals, 0)?;
    Ok(epcis::tell(&facts, &names(conn, address)?))
}

/// Returns events as an EPCIS document, made now.
///
/// # Errors
///
/// [`Error::Internal`] where it is not what the standard asks: such a document never leaves.
pub fn document(told: Vec<Told>, now: NaiveDateTime) -> Result<String, Error> {
    let events = told.into_iter().map(|it| it.event).collect();
    let unwritable = |fault: serde_json::Error| Error::Internal(format!("events: {fault}"));
    let value = serde_json::to_value(Document::new(events, now)).map_err(unwritable)?;
    let faults = epcis::judge(&value);
    if let Some(fault) = faults.first() {
        return Err(Error::Internal(format!("events are not as EPCIS asks: {fault}")));
    }
    serde_json::to_string_pretty(&value).map_err(unwritable)
}

/// Makes what events need before the first is told: the shop's key.
///
/// # Errors
///
/// [`Error::Database`].
pub fn prepare(tx: &mut Tx<'_>) -> Result<(), Error> {
    verification::ensure_link_key(tx)
}

pub(super) fn names(conn: &mut Conn, address: &str) -> Result<Names, Error> {
    Ok(Names {
        address: address.to_owned(),
        prefix: people::setting(conn, PREFIX)?,
        location_number: people::setting(conn, LOCATION)?,
        key: verification::key_bytes(conn)?,
    })
}
