use std::process::ExitCode;

use clap::Args;

use crate::error::Error;
use crate::ops::transfer::carry_over;
use crate::store::DatabaseUrl;

#[derive(Debug, Args)]
pub(super) struct Move {
    /// The books of now: sqlite:FILE, which no service may have open
    #[arg(long)]
    from: DatabaseUrl,
    /// The new books: postgres://HOST/NAME, an empty database
    #[arg(long)]
    to: DatabaseUrl,
}

/// Carries a shop over, and says what each table holds on both sides.
pub(super) fn run(it: &Move) -> Result<ExitCode, Error> {
    let carried = carry_over(&it.from, &it.to)?;
    for it in &carried {
        println!("{:>9}  {}  {}", it.rows, it.digest.get(..16).unwrap_or_default(), it.table);
    }
    let rows: u64 = carried.iter().map(|it| it.rows).sum();
    println!("{rows} rows of {} tables are equal in both, and the books prove.", carried.len());
    println!("The old books are as they were: put the file away, so that nobody serves it again.");
    Ok(ExitCode::SUCCESS)
}
