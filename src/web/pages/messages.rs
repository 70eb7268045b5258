//! The messages that the shop sends: what waits, was sent and failed.

pub mod setup;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::words::{Moment, sentence};
use super::{Fields, Frame, Task, Visit};
use crate::domain::ids::MessageId;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::outbox::{self as ops, MessageView};
use crate::web::page::PageError;

/// A message in the list.
#[derive(Debug, Clone)]
pub struct MessageLine {
    /// Its number.
    pub number: i64,
    /// What it says first.
    pub subject: String,
    /// What goes with it, by name.
    pub files: Vec<String>,
    /// To where, and how.
    pub to: String,
    /// How it stands, in words.
    pub stands: String,
    /// Whether that calls for somebody.
    pub calls: bool,
    /// The last error or what the other side said, and what is next, a sentence each.
    pub words: Vec<String>,
    /// When it was queued, and by whom.
    pub queued: String,
    /// Whether it can be tried now.
    pub may_retry: bool,
    /// Whether it can be given up.
    pub may_give_up: bool,
    /// Whether somebody must say whether it arrived.
    pub needs_answer: bool,
}

impl From<MessageView> for MessageLine {
    fn from(it: MessageView) -> Self {
        let mut words = Vec::new();
        if !it.words.is_empty() {
            words.push(sentence(&it.words));
        }
        if let Some(at) = it.due_at.filter(|_| 0 < it.tries) {
            let times = if it.tries == 1 { "once" } else { "several times" };
            words.push(format!("Tried {times}, the next time at {}", at.format("%H:%M:%S UTC")));
        }
        let by = it.queued_by.as_deref().unwrap_or("the service itself");
        Self {
            number: it.number,
            subject: it.subject,
            files: it.files,
            to: format!(
                "{}, by {}",
                it.address,
                if it.channel == "mail" { "e-mail" } else { "webhook" }
            ),
            stands: it.state_words,
            calls: it.needs_answer || it.state == "failed",
            words,
            queued: format!("{}, {by}", Moment(it.queued_at)),
            may_retry: it.may_retry,
            may_give_up: it.may_give_up,
            needs_answer: it.needs_answer,
        }
    }
}

/// The page at `/messages`.
#[derive(Debug, Template)]
#[template(path = "messages/list.html")]
pub struct MessagesPage {
    /// The page around it.
    pub frame: Frame,
    /// The messages: those that may have been sent first, then what is not over, then what is.
    pub messages: Vec<MessageLine>,
}

#[get("/messages")]
pub(super) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::ManageMessages)?;
    let mut messages: Vec<MessageLine> =
        visit.app.read(ops::messages).await?.into_iter().map(MessageLine::from).collect();
    messages.sort_by_key(|it| !it.needs_answer);
    let frame = visit.live_frame(Task::Messages).await?;
    Ok(visit.show(&MessagesPage { frame, messages }))
}

#[post("/messages/{number}/{act}")]
pub(super) async fn post_act(
    visit: Visit,
    path: web::Path<(i64, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageMessages, &form)?;
    let (key, (number, act)) = (form.key()?, path.into_inner());
    let id = MessageId::from(number);
    let work = move |tx: &mut crate::store::Tx<'_>| match act.as_str() {
        "retry" => ops::retry(tx, &key, id),
        "give-up" => ops::give_up(tx, &key, id),
        "arrived" => ops::answer(tx, &key, id, true),
        "not-arrived" => ops::answer(tx, &key, id, false),
        other => Err(Error::not_found("such act", other)),
    };
    let said = visit.app.write(who, work).await;
    let said = said.map(|it| format!("message {}, {}: {}", it.number, it.subject, it.state_words));
    visit.go("/messages", said)
}
