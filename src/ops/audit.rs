//! The proof of the books.

use crate::error::Error;
use crate::store::{Conn, audit};

/// One proof, with the rows where it does not hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proof {
    /// What is proved.
    pub what: &'static str,
    /// The rows where it does not hold, each in words.
    pub findings: Vec<String>,
}

/// Proves the books from nothing but the movements.
///
/// # Errors
///
/// [`Error::Database`]. A finding is an answer, not an error.
pub fn check(conn: &mut Conn) -> Result<Vec<Proof>, Error> {
    let proofs = audit::prove(conn)?.into_iter();
    Ok(proofs.map(|(what, findings)| Proof { what, findings }).collect())
}
