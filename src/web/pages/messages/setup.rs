//! By which server the shop sends e-mail, and whom it tells of alerts by itself.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::super::{Answer, Choice, Fields, Frame, Task, Visit, refusal};
use crate::domain::ids::ReceiverId;
use crate::domain::outbox::Channel;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::outbox::{self as ops, MailServerEntry, MailServerView, ReceiverView};
use crate::store::Tx;
use crate::web::page::PageError;

/// Somebody whom the shop tells of alerts.
#[derive(Clone)]
pub struct ReceiverLine {
    /// The receiver.
    pub number: i64,
    /// How it is told, in words.
    pub channel: &'static str,
    /// Where.
    pub address: String,
    /// What posts to it are signed with, as it is entered there; empty for e-mail.
    pub key: String,
}

impl From<ReceiverView> for ReceiverLine {
    fn from(it: ReceiverView) -> Self {
        Self {
            number: it.number,
            channel: it.channel.words(),
            address: it.address,
            key: it.key.unwrap_or_default(),
        }
    }
}

/// The page at `/messages/setup`.
#[derive(Template)]
#[template(path = "messages/setup.html")]
pub struct SetupPage {
    /// The page around it.
    pub frame: Frame,
    /// The mail server.
    pub server: MailServerView,
    /// How its connection may be encrypted.
    pub securities: Vec<Choice>,
    /// Whom the shop tells of alerts.
    pub receivers: Vec<ReceiverLine>,
}

async fn page(visit: &Visit, answer: Option<Answer>) -> Result<SetupPage, Error> {
    let (server, receivers) =
        visit.app.read(|conn| Ok((ops::mail_server_view(conn)?, ops::receivers(conn)?))).await?;
    let frame = match answer {
        Some(_) => visit.answered(Task::Messages, answer).await?,
        None => visit.frame(Task::Messages).await?,
    };
    let choice = |(word, words): (&str, &str)| {
        let choice = Choice::new(word, words);
        if word == server.security { choice.chosen() } else { choice }
    };
    let all = [
        ("starttls", "STARTTLS, mostly port 587"),
        ("tls", "TLS from the first byte, mostly port 465"),
        ("none", "none: only for a server on this machine"),
    ];
    let securities = all.into_iter().map(choice).collect();
    let receivers = receivers.into_iter().map(ReceiverLine::from).collect();
    Ok(SetupPage { frame, server, securities, receivers })
}

#[get("/messages/setup")]
pub(in crate::web::pages) async fn get_setup(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::ManageMessages)?;
    Ok(visit.show(&page(&visit, None).await?))
}

async fn told(visit: &Visit, said: Result<String, Error>) -> Result<HttpResponse, PageError> {
    match said {
        Ok(words) => visit.go("/messages/setup", Ok(words)),
        Err(error) => {
            let answer = refusal(error)?;
            Ok(visit.show_refused(&page(visit, Some(answer)).await?))
        }
    }
}

#[post("/messages/server")]
pub(in crate::web::pages) async fn post_server(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageMessages, &form)?;
    let text = |name: &str| Some(form.text(name).to_owned());
    let entry = MailServerEntry {
        server: text("server"),
        security: text("security"),
        login: text("login"),
        // A password is never shown, so an empty field leaves it as it is.
        password: text("password").filter(|it| !it.is_empty()),
        from: text("from"),
    };
    let work = move |tx: &mut Tx<'_>| ops::set_mail_server(tx, &entry);
    let done = visit.app.write(who, work).await;
    told(&visit, done.map(|()| "the mail server is kept; send a trial now".to_owned())).await
}

#[post("/messages/trial")]
pub(in crate::web::pages) async fn post_trial(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageMessages, &form)?;
    let (to, key) = (form.text("to").to_owned(), form.key()?);
    let work = move |tx: &mut Tx<'_>| ops::queue_trial(tx, &key, &to);
    let done = visit.app.write(who, work).await;
    match done {
        Ok(number) => {
            let words = format!("message {number} is queued; this page says what becomes of it");
            visit.go("/messages", Ok(words))
        }
        Err(error) => told(&visit, Err(error)).await,
    }
}

#[post("/messages/receivers")]
pub(in crate::web::pages) async fn post_receiver(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageMessages, &form)?;
    let (key, address) = (form.key()?, form.text("address").to_owned());
    let channel = match address.contains("://") {
        true => Channel::Webhook,
        false => Channel::Mail,
    };
    let words = format!("from now on {address} is told of missing parts");
    let work = move |tx: &mut Tx<'_>| ops::add_receiver(tx, &key, channel, &address);
    let done = visit.app.write(who, work).await;
    told(&visit, done.map(|_| words)).await
}

#[post("/messages/receivers/{number}/end")]
pub(in crate::web::pages) async fn post_end_receiver(
    visit: Visit,
    number: web::Path<i64>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageMessages, &form)?;
    let (key, id) = (form.key()?, ReceiverId::from(*number));
    let work = move |tx: &mut Tx<'_>| ops::retire_receiver(tx, &key, id);
    let done = visit.app.write(who, work).await;
    told(&visit, done.map(|()| "it is told no more".to_owned())).await
}
