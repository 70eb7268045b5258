//! A shop's move from one database to another.

use crate::error::Error;
use crate::store::{DatabaseUrl, transfer};

use super::audit;

pub use crate::store::transfer::Carried;

/// Returns every table as it stands in both books, once all that `from` holds is in the empty
/// books `to`, both are equal, and the new books are proved from their movements.
///
/// # Errors
///
/// [`Error::Conflict`] when `from` is in use or of an older program, `to` is not empty, a row is
/// not taken as it is, or a proof fails. Then nothing is carried over.
pub fn carry_over(from: &DatabaseUrl, to: &DatabaseUrl) -> Result<Vec<Carried>, Error> {
    transfer::carry_over(from, to, |conn| {
        let found = audit::check(conn)?.into_iter().find(|it| !it.findings.is_empty());
        match found {
            None => Ok(()),
            Some(it) => Err(Error::conflict(
                "move.unproved",
                format!(
                    "the books do not prove ({}: {}): run kitwright check on the old ones",
                    it.what,
                    it.findings.join("; ")
                ),
            )),
        }
    })
}
