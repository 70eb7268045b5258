//! Group commit: one connection writes, and writes that wait at the same time share a commit.
//!
//! A write takes its turn at the connection, works in a savepoint of its own inside the group's
//! transaction, and hands the turn on while others wait; the last of them commits for all. What it
//! answers is told only once that commit has reached the disk, so one wait for the disk serves the
//! whole group. The writes run one after the other, each on its caller's own thread.

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use crate::error::{DiskFault, Error};

use super::signal::Signal;
use super::{Conn, DatabaseUrl, dialect};

/// How long a group gathers before it commits although others wait: the first of it should not
/// wait for all of them, and by then the wait for the disk is a small part.
const GATHERING: Duration = Duration::from_millis(4);

/// How a write goes with others, and what becomes of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// In a group, kept.
    Together,
    /// In a transaction of its own, kept: for what takes long, so that nobody waits for it inside a
    /// group.
    Alone,
    /// In a transaction of its own, undone.
    Undone,
}

/// The one writer of a database that takes one at a time.
pub(super) struct Writer {
    url: DatabaseUrl,
    turn: Mutex<Turn>,
    waiting: AtomicUsize,
}

/// What the write whose turn it is has at hand.
#[derive(Default)]
struct Turn {
    /// The connection; none where the last one broke.
    conn: Option<Conn>,
    /// The group whose transaction is open on it.
    group: Option<Group>,
    /// Who is told once a group that changed something has committed.
    signal: Option<Arc<Signal>>,
}

/// Writes that share a transaction.
struct Group {
    fate: Arc<Fate>,
    since: Instant,
    /// Whether any of them is to be kept.
    keeps: bool,
    /// How many rows the connection had changed before.
    changed_before: i64,
}

/// What became of a group's commit: nothing as long as it is open.
#[derive(Default)]
struct Fate {
    decided: Mutex<Option<Result<(), Lost>>>,
    told: Condvar,
}

/// Why a group was lost, for each of its writes.
#[derive(Clone)]
struct Lost {
    fault: DiskFault,
    cause: String,
}

impl Lost {
    fn by(fault: &Error) -> Self {
        let cause = fault.hidden_cause().unwrap_or_default();
        match fault {
            Error::Disk { fault, .. } => Self { fault: *fault, cause },
            _ => Self { fault: DiskFault::Failed, cause },
        }
    }
}

impl From<Lost> for Error {
    fn from(Lost { fault, cause }: Lost) -> Self {
        Self::Disk { fault, cause }
    }
}

impl Writer {
    /// Returns the writer of that database.
    pub(super) fn new(url: &DatabaseUrl, signal: Arc<Signal>) -> Self {
        let turn = Mutex::new(Turn { signal: Some(signal), ..Turn::default() });
        Self { url: url.clone(), turn, waiting: AtomicUsize::new(0) }
    }

    /// Returns what `work` answers, once that is durable.
    ///
    /// A refusal waits for the commit too: it may rest on what others of the group wrote. A panic
    /// in `work` undoes that write alone and goes on to its caller.
    pub(super) fn write<T>(
        &self,
        way: Way,
        work: impl FnOnce(&mut Conn) -> Result<T, Error>,
    ) -> Result<T, Error> {
        let mut turn = self.take_turn();
        if way != Way::Together {
            turn.commit();
        }
        let fate = turn.join(&self.url)?;
        let done = turn.run(work);
        if way == Way::Undone {
            turn.undo();
        } else if way == Way::Alone || turn.has_gathered() || !self.is_awaited() {
            turn.commit();
        }
        drop(turn);
        let answer = done.unwrap_or_else(|panic| resume_unwind(panic));
        fate.wait().map_err(Error::from)?;
        answer
    }

    fn take_turn(&self) -> MutexGuard<'_, Turn> {
        self.waiting.fetch_add(1, Ordering::SeqCst);
        // Nothing panics between a change of the turn and its end but the database's own code; then
        // the group's end has told its writes, and the turn is as good as new.
        let turn = self.turn.lock().unwrap_or_else(PoisonError::into_inner);
        self.waiting.fetch_sub(1, Ordering::SeqCst);
        turn
    }

    /// Returns whether another write waits. It will take the turn, and end the group if it is the
    /// last.
    fn is_awaited(&self) -> bool {
        0 < self.waiting.load(Ordering::SeqCst)
    }
}

impl Turn {
    /// Joins the open group, or opens one; returns its fate to be.
    fn join(&mut self, url: &DatabaseUrl) -> Result<Arc<Fate>, Error> {
        if let Some(group) = &self.group {
            return Ok(Arc::clone(&group.fate));
        }
        let mut conn = match self.conn.take() {
            Some(conn) => conn,
            None => url.connect()?,
        };
        dialect::begin_write(&mut conn, dialect::Company::Alone)?;
        let changed_before = dialect::rows_changed(&mut conn)?;
        self.conn = Some(conn);
        let fate = Arc::new(Fate::default());
        let since = Instant::now();
        let group = Group { fate: Arc::clone(&fate), since, keeps: false, changed_before };
        self.group = Some(group);
        Ok(fate)
    }

    /// Runs one write in a savepoint of its own.
    fn run<T>(
        &mut self,
        work: impl FnOnce(&mut Conn) -> Result<T, Error>,
    ) -> std::thread::Result<Result<T, Error>> {
        let (Some(conn), Some(group)) = (&mut self.conn, &mut self.group) else {
            return Ok(Err(Error::Internal("a write without a group".to_owned())));
        };
        let mut done = match dialect::begin_savepoint(conn) {
            Ok(()) => catch_unwind(AssertUnwindSafe(|| work(conn))),
            Err(fault) => Ok(Err(fault.into())),
        };
        let keep = matches!(done, Ok(Ok(_)));
        let settled = if keep { dialect::commit(conn) } else { dialect::roll_back(conn) };
        match settled {
            Ok(()) => group.keeps |= keep,
            // A fault of the disk ends the whole transaction, and with it what others wrote in it.
            Err(fault) => {
                let fault = Error::from(fault);
                let lost = match &done {
                    Ok(Err(own @ Error::Disk { .. })) => Lost::by(own),
                    _ => Lost::by(&fault),
                };
                if keep {
                    done = Ok(Err(fault));
                }
                self.lose(lost);
            }
        }
        done
    }

    fn has_gathered(&self) -> bool {
        self.group.as_ref().is_none_or(|it| GATHERING <= it.since.elapsed())
    }

    /// Makes what the open group wrote last, and tells each of its writes.
    fn commit(&mut self) {
        let Some(group) = &self.group else { return };
        if !group.keeps {
            return self.undo();
        }
        let Some(conn) = &mut self.conn else { return };
        let before = group.changed_before;
        // Where it can't be said, somebody looks once more than need be.
        let is_changed = dialect::rows_changed(conn) != Ok(before);
        match dialect::commit(conn) {
            Ok(()) => {
                self.end(Ok(()));
                if let Some(signal) = self.signal.as_ref().filter(|_| is_changed) {
                    signal.tell();
                }
            }
            Err(fault) => self.lose(Lost::by(&fault.into())),
        }
    }

    /// Undoes the open group, none of whose writes is to be kept.
    fn undo(&mut self) {
        let undone = self.conn.as_mut().map(dialect::roll_back);
        if !matches!(undone, Some(Ok(()))) {
            self.conn = None;
        }
        self.end(Ok(()));
    }

    /// Tells each write of the open group that none of it stands. The connection goes too: whatever
    /// state it is in, nothing that is open on it outlives it.
    fn lose(&mut self, lost: Lost) {
        self.conn = None;
        self.end(Err(lost));
    }

    fn end(&mut self, fate: Result<(), Lost>) {
        if let Some(group) = self.group.take() {
            group.fate.decide(fate);
        }
    }
}

impl Drop for Group {
    /// Nobody waits for ever, even where the database's own code panics.
    fn drop(&mut self) {
        let cause = "the commit was not reached".to_owned();
        self.fate.decide(Err(Lost { fault: DiskFault::Failed, cause }));
    }
}

impl Fate {
    /// Decides it, unless it is decided.
    fn decide(&self, fate: Result<(), Lost>) {
        let mut decided = self.decided.lock().unwrap_or_else(PoisonError::into_inner);
        decided.get_or_insert(fate);
        self.told.notify_all();
    }

    fn wait(&self) -> Result<(), Lost> {
        let mut decided = self.decided.lock().unwrap_or_else(PoisonError::into_inner);
        loop {
            if let Some(fate) = &*decided {
                return fate.clone();
            }
            decided = self.told.wait(decided).unwrap_or_else(PoisonError::into_inner);
        }
    }
}
