use chrono::NaiveDateTime;
use diesel::dsl::{exists, not};
use diesel::prelude::*;

use crate::domain::ids::{PrintJobId, PrinterId, UserId};
use crate::domain::printing::Change;
use crate::store::Conn;
use crate::store::claims::{claims, due_rows, is_free};
use crate::store::dialect::{insert_many, load_free};
use crate::store::schema::{print_documents, print_job_subjects, print_jobs, printers, users};

/// A job as the queue shows it.
#[derive(Debug, Clone, Queryable)]
pub struct JobRow {
    /// Its number.
    pub id: PrintJobId,
    /// The printer.
    pub printer: PrinterId,
    /// The printer's name.
    pub printer_name: String,
    /// What kind of paper it is.
    pub paper: String,
    /// What it prints, in words.
    pub title: String,
    /// How it stands, in its word.
    pub state: String,
    /// Why, in words.
    pub words: String,
    /// How often it was tried.
    pub tries: i64,
    /// When it goes on by itself.
    pub due_at: Option<NaiveDateTime>,
    /// When its document began to travel.
    pub begun_at: Option<NaiveDateTime>,
    /// The printer's number of it.
    pub printer_job: Option<i64>,
    /// Whether somebody wants it back.
    pub cancel_wanted: bool,
    /// When it was asked for.
    pub asked_at: NaiveDateTime,
    /// Who asked.
    pub by: Option<String>,
    /// When it last changed.
    pub changed_at: NaiveDateTime,
}

macro_rules! job_rows {
    () => {
        print_jobs::table
            .inner_join(printers::table.on(printers::id.eq(print_jobs::printer_id)))
            .left_join(users::table.on(print_jobs::user_id.eq(users::id.nullable())))
            .select((
                print_jobs::id,
                print_jobs::printer_id,
                printers::name,
                print_jobs::paper,
                print_jobs::title,
                print_jobs::state,
                print_jobs::words,
                print_jobs::tries,
                print_jobs::due_at,
                print_jobs::begun_at,
                print_jobs::printer_job,
                print_jobs::cancel_wanted,
                print_jobs::asked_at,
                users::name.nullable(),
                print_jobs::changed_at,
            ))
    };
}

/// Loads the newest jobs, and of older ones those that are not over.
pub fn jobs(conn: &mut Conn, over: &[&str], most: i64) -> QueryResult<Vec<JobRow>> {
    let open = job_rows!().filter(print_jobs::state.ne_all(over.iter().copied()));
    let mut rows: Vec<JobRow> = open.order(print_jobs::id.desc()).limit(most).load(conn)?;
    let done = job_rows!().filter(print_jobs::state.eq_any(over.iter().copied()));
    rows.extend(done.order(print_jobs::id.desc()).limit(most).load::<JobRow>(conn)?);
    Ok(rows)
}

/// Loads a job.
pub fn job(conn: &mut Conn, id: PrintJobId) -> QueryResult<Option<JobRow>> {
    job_rows!().filter(print_jobs::id.eq(id)).first(conn).optional()
}

/// Loads the newest job since a time that prints one of `subjects` and stands in one of `states`.
pub fn last_of(
    conn: &mut Conn,
    subjects: &[String],
    states: &[&str],
    since: NaiveDateTime,
) -> QueryResult<Option<JobRow>> {
    let recent: Vec<(PrintJobId, String)> = print_jobs::table
        .inner_join(print_job_subjects::table.on(print_job_subjects::job_id.eq(print_jobs::id)))
        .filter(print_jobs::asked_at.ge(since))
        .filter(print_jobs::state.eq_any(states.iter().copied()))
        .order(print_jobs::id.desc())
        .select((print_jobs::id, print_job_subjects::subject))
        .load(conn)?;
    match recent.into_iter().find(|it| subjects.contains(&it.1)) {
        Some((id, _)) => job(conn, id),
        None => Ok(None),
    }
}

/// A job that is asked for.
#[derive(Debug, Clone)]
pub struct NewJob<'a> {
    /// What tells it from every other job.
    pub token: &'a str,
    /// The printer.
    pub printer: PrinterId,
    /// What kind of paper it is.
    pub paper: &'a str,
    /// What it prints, in words.
    pub title: &'a str,
    /// What it prints, so that the same is noticed.
    pub subjects: &'a [String],
    /// What is sent.
    pub pdf: &'a [u8],
}

/// Writes a job that waits to be sent.
pub fn add_job(
    conn: &mut Conn,
    it: &NewJob<'_>,
    (now, by): (NaiveDateTime, Option<UserId>),
) -> QueryResult<PrintJobId> {
    let id: PrintJobId = diesel::insert_into(print_jobs::table)
        .values((
            print_jobs::token.eq(it.token),
            print_jobs::printer_id.eq(it.printer),
            print_jobs::paper.eq(it.paper),
            print_jobs::title.eq(it.title),
            print_jobs::state.eq("waiting"),
            print_jobs::words.eq(""),
            print_jobs::tries.eq(0_i64),
            print_jobs::due_at.eq(Some(now)),
            print_jobs::cancel_wanted.eq(false),
            print_jobs::asked_at.eq(now),
            print_jobs::user_id.eq(by),
            print_jobs::changed_at.eq(now),
        ))
        .returning(print_jobs::id)
        .get_result(conn)?;
    diesel::insert_into(print_documents::table)
        .values((print_documents::job_id.eq(id), print_documents::pdf.eq(it.pdf)))
        .execute(conn)?;
    let rows: Vec<_> = it
        .subjects
        .iter()
        .map(|it| (print_job_subjects::job_id.eq(id), print_job_subjects::subject.eq(it)))
        .collect();
    insert_many!(conn, print_job_subjects::table, rows)?;
    Ok(id)
}

/// Loads what a job sends; nothing once it has been forgotten.
pub fn document(conn: &mut Conn, id: PrintJobId) -> QueryResult<Option<Vec<u8>>> {
    let of = print_documents::table.filter(print_documents::job_id.eq(id));
    of.select(print_documents::pdf).first(conn).optional()
}

/// Deletes what jobs in `states` sent that have not changed since then.
pub fn forget_documents(
    conn: &mut Conn,
    states: &[&str],
    before: NaiveDateTime,
) -> QueryResult<usize> {
    let over = print_jobs::table
        .filter(print_jobs::state.eq_any(states.iter().copied()))
        .filter(print_jobs::changed_at.lt(before))
        .select(print_jobs::id);
    diesel::delete(print_documents::table.filter(print_documents::job_id.eq_any(over)))
        .execute(conn)
}

/// A job that something is to be done about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DueJob {
    /// Its number.
    pub id: PrintJobId,
    /// Whether it waits to be sent.
    pub waits: bool,
}

claims!(print_jobs, PrintJobId);

/// Loads the first job that is due and in nobody's claim, locked where the database locks rows:
/// what another instance has in hand is passed over. The job `only` alone where one is named.
///
/// A job waits for those that were asked for before it at the same printer.
pub fn due(
    conn: &mut Conn,
    now: NaiveDateTime,
    only: Option<PrintJobId>,
) -> QueryResult<Option<DueJob>> {
    let (first, last) = only.map_or((0, i64::MAX), |it| (i64::from(it), i64::from(it)));
    let before = diesel::alias!(print_jobs as before);
    let waits_before = before
        .field(print_jobs::state)
        .eq("waiting")
        .and(before.field(print_jobs::id).lt(print_jobs::id));
    let is_sent = before.field(print_jobs::state).eq("sending");
    let ahead = before
        .filter(before.field(print_jobs::printer_id).eq(print_jobs::printer_id))
        .filter(waits_before.or(is_sent));
    let due = due_rows!(print_jobs, now)
        .filter(print_jobs::id.between(first, last))
        .filter(print_jobs::state.ne("waiting").or(not(exists(ahead))))
        .order(print_jobs::id)
        .limit(1)
        .select((print_jobs::id, print_jobs::state));
    let found: Vec<(PrintJobId, String)> = load_free!(conn, due)?;
    Ok(found.into_iter().next().map(|(id, state)| DueJob { id, waits: state == "waiting" }))
}

/// A job in hand.
#[derive(Debug, Clone, Queryable)]
pub struct Taken {
    /// Its number.
    pub id: PrintJobId,
    /// What tells it from every other job.
    pub token: String,
    /// What it prints, in words.
    pub title: String,
    /// What kind of paper it is.
    pub paper: String,
    /// How it stands, in its word.
    pub state: String,
    /// Why, in words.
    pub words: String,
    /// How often it was tried, this time included.
    pub tries: i64,
    /// When its document began to travel.
    pub begun_at: Option<NaiveDateTime>,
    /// The printer's number of it.
    pub printer_job: Option<i64>,
    /// Whether somebody wants it back.
    pub cancel_wanted: bool,
    /// The printer's address.
    pub uri: String,
    /// What the printer is loaded with.
    pub media: String,
    /// The digest of the certificate that the printer must show.
    pub certificate: Option<String>,
}

/// Takes a job that [`due`] named: until then it is in the hand of whoever holds the claim.
pub fn claim(
    conn: &mut Conn,
    it: DueJob,
    claim: &str,
    (now, until): (NaiveDateTime, NaiveDateTime),
) -> QueryResult<Option<Taken>> {
    let mine = print_jobs::table.filter(print_jobs::id.eq(it.id)).filter(is_free!(print_jobs, now));
    let held = (print_jobs::claim.eq(Some(claim)), print_jobs::claimed_until.eq(Some(until)));
    let taken = if it.waits {
        diesel::update(mine.filter(print_jobs::state.eq("waiting")))
            .set((
                held,
                print_jobs::state.eq("sending"),
                print_jobs::tries.eq(print_jobs::tries + 1),
                print_jobs::changed_at.eq(now),
            ))
            .execute(conn)?
    } else {
        diesel::update(mine.filter(print_jobs::state.ne("waiting"))).set(held).execute(conn)?
    };
    if taken == 0 {
        return Ok(None);
    }
    print_jobs::table
        .inner_join(printers::table.on(printers::id.eq(print_jobs::printer_id)))
        .filter(print_jobs::id.eq(it.id))
        .select((
            print_jobs::id,
            print_jobs::token,
            print_jobs::title,
            print_jobs::paper,
            print_jobs::state,
            print_jobs::words,
            print_jobs::tries,
            print_jobs::begun_at,
            print_jobs::printer_job,
            print_jobs::cancel_wanted,
            printers::uri,
            printers::media,
            printers::certificate,
        ))
        .first(conn)
        .optional()
}

/// Writes that a job's document begins to travel; returns whether the claim was still held and
/// nobody wants the job back, so that it may.
pub fn begin(
    conn: &mut Conn,
    id: PrintJobId,
    claim: &str,
    printer_job: Option<i64>,
    (now, until): (NaiveDateTime, NaiveDateTime),
) -> QueryResult<bool> {
    let held = print_jobs::table
        .filter(print_jobs::id.eq(id))
        .filter(print_jobs::claim.eq(claim))
        .filter(print_jobs::state.eq("sending"))
        .filter(print_jobs::cancel_wanted.eq(false));
    let changed = diesel::update(held)
        .set((
            print_jobs::begun_at.eq(Some(now)),
            print_jobs::printer_job.eq(printer_job),
            print_jobs::claimed_until.eq(Some(until)),
            print_jobs::words.eq(""),
            print_jobs::changed_at.eq(now),
        ))
        .execute(conn)?;
    Ok(changed == 1)
}

/// How a job stands; what is `None` stays as it is.
#[derive(AsChangeset)]
#[diesel(table_name = print_jobs)]
struct Standing<'a> {
    state: &'a str,
    words: &'a str,
    due_at: Option<Option<NaiveDateTime>>,
    claim: Option<Option<&'a str>>,
    claimed_until: Option<Option<NaiveDateTime>>,
    begun_at: Option<Option<NaiveDateTime>>,
    printer_job: Option<Option<i64>>,
    cancel_wanted: Option<bool>,
    tries: Option<i64>,
    changed_at: NaiveDateTime,
}

impl<'a> Standing<'a> {
    /// Returns what a change comes to; nobody has the job in hand after it.
    fn of(change: &'a Change, now: NaiveDateTime) -> Self {
        let printer_job = change.printer_job.map(Some);
        Self {
            state: change.state.word(),
            words: &change.words,
            due_at: Some(change.due_at),
            claim: Some(None),
            claimed_until: Some(None),
            begun_at: change.is_anew.then_some(None),
            printer_job: if change.is_anew { Some(None) } else { printer_job },
            cancel_wanted: None,
            tries: None,
            changed_at: now,
        }
    }
}

/// Writes how a job stands after it was in hand, and lets it go; returns whether the claim was
/// still held.
pub fn conclude(
    conn: &mut Conn,
    id: PrintJobId,
    claim: &str,
    change: &Change,
    now: NaiveDateTime,
) -> QueryResult<bool> {
    let held = print_jobs::table.filter(print_jobs::id.eq(id)).filter(print_jobs::claim.eq(claim));
    Ok(diesel::update(held).set(Standing::of(change, now)).execute(conn)? == 1)
}

/// Writes how a job in one of the states `from` stands because a person said so, whoever has it in
/// hand; returns whether it stood there.
pub fn set_state(
    conn: &mut Conn,
    id: PrintJobId,
    from: &[&str],
    change: &Change,
    now: NaiveDateTime,
) -> QueryResult<bool> {
    let stands = print_jobs::table
        .filter(print_jobs::id.eq(id))
        .filter(print_jobs::state.eq_any(from.iter().copied()));
    let anew = Standing {
        cancel_wanted: Some(false),
        tries: change.is_anew.then_some(0),
        ..Standing::of(change, now)
    };
    Ok(diesel::update(stands).set(anew).execute(conn)? == 1)
}

/// Writes that a job is wanted back, to be done at once; returns whether it stood in one of `from`.
pub fn want_cancel(
    conn: &mut Conn,
    id: PrintJobId,
    from: &[&str],
    now: NaiveDateTime,
) -> QueryResult<bool> {
    let changed = diesel::update(
        print_jobs::table
            .filter(print_jobs::id.eq(id))
            .filter(print_jobs::state.eq_any(from.iter().copied())),
    )
    .set((
        print_jobs::cancel_wanted.eq(true),
        print_jobs::due_at.eq(Some(now)),
        print_jobs::changed_at.eq(now),
    ))
    .execute(conn)?;
    Ok(changed == 1)
}
