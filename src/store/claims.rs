//! What every queue asks of its rows alike, whose columns are `due_at`, `claim` and `claimed_until`:
//! a row is taken by whoever writes a mark and a time into it, and is free again once that time is
//! over, unless it was renewed.

/// What is true of rows that nobody has in hand.
macro_rules! is_free {
    ($table:ident, $now:expr) => {
        $table::claimed_until.is_null().or($table::claimed_until.le($now))
    };
}
pub(super) use is_free;

/// The rows that something is to be done about and that nobody has in hand.
macro_rules! due_rows {
    ($table:ident, $now:expr) => {
        $table::table
            .filter($table::due_at.le($now))
            .filter($crate::store::claims::is_free!($table, $now))
    };
}
pub(super) use due_rows;

/// Writes the queries that are the same for each queue.
macro_rules! claims {
    ($table:ident, $id:ty) => {
        /// Returns whether any row is due and in nobody's hand.
        pub fn is_any_due(
            conn: &mut $crate::store::Conn,
            now: chrono::NaiveDateTime,
        ) -> diesel::QueryResult<bool> {
            let due = $crate::store::claims::due_rows!($table, now);
            diesel::select(diesel::dsl::exists(due)).get_result(conn)
        }

        /// Holds a claim longer; returns whether it was still held.
        pub fn renew(
            conn: &mut $crate::store::Conn,
            id: $id,
            claim: &str,
            until: chrono::NaiveDateTime,
        ) -> diesel::QueryResult<bool> {
            let held = $table::table.filter($table::id.eq(id)).filter($table::claim.eq(claim));
            let changed =
                diesel::update(held).set($table::claimed_until.eq(Some(until))).execute(conn)?;
            Ok(changed == 1)
        }
    };
}
pub(super) use claims;
