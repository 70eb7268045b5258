use std::process::ExitCode;

use clap::Args;

use crate::error::Error;
use crate::ops::audit;

use super::Books;

#[derive(Debug, Args)]
pub(super) struct Check {
    #[command(flatten)]
    books: Books,
}

/// Proves the books; the code is 1 when a proof fails, and the rows are named.
pub(super) fn check(it: &Check) -> Result<ExitCode, Error> {
    let proofs = it.books.open()?.read(audit::check)?;
    let mut holds = true;
    for proof in &proofs {
        let sign = if proof.findings.is_empty() { "holds" } else { "FAILS" };
        println!("{sign}: {}", proof.what);
        for finding in &proof.findings {
            println!("  {finding}");
            holds = false;
        }
    }
    Ok(if holds { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
