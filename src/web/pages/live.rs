//! The stream of events by which open pages learn that the books have changed.

use std::convert::Infallible;
use std::future::Future;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use actix_web::body::{BodySize, MessageBody};
use actix_web::http::header::CACHE_CONTROL;
use actix_web::web::Bytes;
use actix_web::{HttpResponse, get};
use tokio::time::{Instant, sleep, timeout};

use super::Visit;
use crate::domain::people::Permission;
use crate::store::Changes;
use crate::web::page::PageError;

/// Changes that follow so soon are told as one.
const GATHERING: Duration = Duration::from_millis(200);
/// How often something is sent, so that an end of the connection is noticed at either side.
const BEATING: Duration = Duration::from_secs(20);
/// How long a stream lasts; the browser opens another, and its session is looked at again.
const LASTING: Duration = Duration::from_secs(600);

/// Tells a signed-in person's page the mark of the books now and after each change.
#[get("/live")]
pub(super) async fn get_live(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let stream = Stream::new(visit.app.follow());
    Ok(HttpResponse::Ok()
        .content_type("text/event-stream")
        .insert_header((CACHE_CONTROL, "no-store"))
        .body(stream))
}

type Next = Pin<Box<dyn Future<Output = Option<(Bytes, Changes)>>>>;

/// A body that is never whole.
struct Stream {
    ends: Instant,
    next: Next,
}

impl Stream {
    fn new(changes: Changes) -> Self {
        let first = async { Some((event(&changes), changes)) };
        Self { ends: Instant::now() + LASTING, next: Box::pin(first) }
    }
}

impl MessageBody for Stream {
    type Error = Infallible;

    fn size(&self) -> BodySize {
        BodySize::Stream
    }

    fn poll_next(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Bytes, Infallible>>> {
        match self.next.as_mut().poll(context) {
            Poll::Pending => Poll::Pending,
            Poll::Ready(None) => Poll::Ready(None),
            Poll::Ready(Some((bytes, changes))) => {
                self.next = Box::pin(following(changes, self.ends));
                Poll::Ready(Some(Ok(bytes)))
            }
        }
    }
}

/// Returns the next thing to tell; nothing once the stream is over.
async fn following(mut changes: Changes, ends: Instant) -> Option<(Bytes, Changes)> {
    if ends <= Instant::now() {
        return None;
    }
    match timeout(BEATING, changes.next()).await {
        Ok(true) => {
            sleep(GATHERING).await;
            Some((event(&changes), changes))
        }
        Ok(false) => None,
        Err(_) => Some((Bytes::from_static(b":\n\n"), changes)),
    }
}

fn event(changes: &Changes) -> Bytes {
    format!("data: {}\n\n", changes.mark()).into()
}
