//! Tells receivers of missing parts, once the books have changed.

use std::sync::Arc;
use std::time::Duration;

use tokio::time::sleep;

use super::queue::{blocking, log};
use crate::error::Error;
use crate::ops::alerts;
use crate::store::{Database, Who};

/// Looks at the alerts after each change of the books until the program ends, and once in each
/// `tick` at most.
pub async fn run(books: Arc<Database>, tick: Duration) {
    let mut changes = books.follow();
    loop {
        let looked = look(&books).await;
        sleep(tick).await;
        match looked {
            // What can't be looked at now is looked at again, whether or not anything changes.
            Err(error) => log("the telling of alerts", &error),
            Ok(()) if !changes.next().await => return,
            Ok(()) => {}
        }
    }
}

async fn look(books: &Arc<Database>) -> Result<(), Error> {
    let books = Arc::clone(books);
    blocking(move || {
        // Reading first leaves the writers alone while there is nothing to tell.
        match books.read(alerts::has_news)? {
            true => books.write(Who::Program, alerts::tell),
            false => Ok(()),
        }
    })
    .await
}
