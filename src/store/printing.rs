//! Printers, what each is for, and the queue of what is sent to them.

mod queue;

use chrono::NaiveDateTime;
use diesel::prelude::*;

use crate::domain::ids::{PrinterId, UserId};

use super::Conn;
use super::dialect::insert_many;
use super::schema::{printer_papers, printers};

pub use queue::{
    DueJob, JobRow, NewJob, Taken, add_job, begin, claim, conclude, document, due,
    forget_documents, is_any_due, job, jobs, last_of, renew, set_state, want_cancel,
};

/// A printer as it is stored.
#[derive(Debug, Clone, Queryable)]
pub struct PrinterRow {
    /// Its row.
    pub id: PrinterId,
    /// Its name in the shop.
    pub name: String,
    /// Its address.
    pub uri: String,
    /// What it is loaded with.
    pub media: String,
    /// The digest of the certificate that it must show.
    pub certificate: Option<String>,
    /// Whether it is in use no more.
    pub retired: bool,
}

/// What of a printer is written.
#[derive(Debug, Clone)]
pub struct PrinterFields<'a> {
    /// Its name in the shop.
    pub name: &'a str,
    /// Its address.
    pub uri: &'a str,
    /// What it is loaded with.
    pub media: &'a str,
    /// The digest of the certificate that it must show.
    pub certificate: Option<&'a str>,
    /// Whether it is in use no more.
    pub retired: bool,
}

macro_rules! printer_rows {
    () => {
        printers::table.select((
            printers::id,
            printers::name,
            printers::uri,
            printers::media,
            printers::certificate,
            printers::retired,
        ))
    };
}

/// Loads every printer, those in use first, by name.
pub fn printers(conn: &mut Conn) -> QueryResult<Vec<PrinterRow>> {
    printer_rows!().order((printers::retired, printers::name)).load(conn)
}

/// Loads a printer.
pub fn printer(conn: &mut Conn, id: PrinterId) -> QueryResult<Option<PrinterRow>> {
    printer_rows!().filter(printers::id.eq(id)).first(conn).optional()
}

/// Loads what every printer is for: the paper's word, and whether the printer is named first.
pub fn papers(conn: &mut Conn) -> QueryResult<Vec<(PrinterId, String, bool)>> {
    printer_papers::table
        .select((printer_papers::printer_id, printer_papers::paper, printer_papers::is_first))
        .order((printer_papers::printer_id, printer_papers::paper))
        .load(conn)
}

/// Loads the printers in use that take a paper, the one that is named first at the head.
pub fn for_paper(conn: &mut Conn, paper: &str) -> QueryResult<Vec<PrinterRow>> {
    printer_rows!()
        .inner_join(printer_papers::table.on(printer_papers::printer_id.eq(printers::id)))
        .filter(printer_papers::paper.eq(paper))
        .filter(printers::retired.eq(false))
        .order((printer_papers::is_first.desc(), printers::name))
        .load(conn)
}

/// Loads every pair of paper and printer in use, for each paper the one named first at the head.
pub fn choices(conn: &mut Conn) -> QueryResult<Vec<(String, PrinterId, String)>> {
    printers::table
        .inner_join(printer_papers::table.on(printer_papers::printer_id.eq(printers::id)))
        .filter(printers::retired.eq(false))
        .order((printer_papers::paper, printer_papers::is_first.desc(), printers::name))
        .select((printer_papers::paper, printers::id, printers::name))
        .load(conn)
}

/// Writes a new printer.
pub fn add(
    conn: &mut Conn,
    it: &PrinterFields<'_>,
    (at, by): (NaiveDateTime, Option<UserId>),
) -> QueryResult<PrinterId> {
    diesel::insert_into(printers::table)
        .values((
            printers::name.eq(it.name),
            printers::uri.eq(it.uri),
            printers::media.eq(it.media),
            printers::certificate.eq(it.certificate),
            printers::retired.eq(it.retired),
            printers::changed_at.eq(at),
            printers::user_id.eq(by),
        ))
        .returning(printers::id)
        .get_result(conn)
}

/// Writes a printer anew.
pub fn put(
    conn: &mut Conn,
    id: PrinterId,
    it: &PrinterFields<'_>,
    (at, by): (NaiveDateTime, Option<UserId>),
) -> QueryResult<()> {
    diesel::update(printers::table.filter(printers::id.eq(id)))
        .set((
            printers::name.eq(it.name),
            printers::uri.eq(it.uri),
            printers::media.eq(it.media),
            printers::certificate.eq(it.certificate),
            printers::retired.eq(it.retired),
            printers::changed_at.eq(at),
            printers::user_id.eq(by),
        ))
        .execute(conn)
        .map(drop)
}

/// Writes what a printer is for, in the place of what it was for. Where it is named first, every
/// other printer is no more.
pub fn put_papers(conn: &mut Conn, id: PrinterId, papers: &[(&str, bool)]) -> QueryResult<()> {
    let first: Vec<&str> = papers.iter().filter(|it| it.1).map(|it| it.0).collect();
    diesel::delete(printer_papers::table.filter(printer_papers::printer_id.eq(id)))
        .execute(conn)?;
    diesel::update(printer_papers::table.filter(printer_papers::paper.eq_any(first)))
        .set(printer_papers::is_first.eq(false))
        .execute(conn)?;
    let rows: Vec<_> = papers
        .iter()
        .map(|(paper, first)| {
            (
                printer_papers::printer_id.eq(id),
                printer_papers::paper.eq(*paper),
                printer_papers::is_first.eq(*first),
            )
        })
        .collect();
    insert_many!(conn, printer_papers::table, rows)
}
