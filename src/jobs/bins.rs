//! Tells the shop's receivers of bins that need an order, once for each time that one does.

use std::sync::Arc;
use std::time::Duration;

use tokio::time::sleep;

use super::queue::blocking;
use crate::error::Error;
use crate::ops::reorder::{is_any_bin_to_tell, tell_of_bins};
use crate::store::{Database, Who};

/// Looks at the bins each time that so much time has passed, until the program ends.
pub async fn run(books: Arc<Database>, each: Duration) {
    loop {
        if let Err(fault) = look(&books).await {
            tracing::warn!(%fault, "bins can't be looked at");
        }
        sleep(each).await;
    }
}

async fn look(books: &Arc<Database>) -> Result<(), Error> {
    let (of, today) = (Arc::clone(books), books.now().date());
    if blocking(move || of.read(|conn| is_any_bin_to_tell(conn, today))).await? {
        let of = Arc::clone(books);
        let told = blocking(move || of.write_long(Who::Program, tell_of_bins)).await?;
        tracing::info!(parts = ?told, "told of bins");
    }
    Ok(())
}
