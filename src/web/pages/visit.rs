use std::future::Future;
use std::pin::Pin;

use actix_web::cookie::time::Duration;
use actix_web::cookie::{Cookie, SameSite};
use actix_web::dev::Payload;
use actix_web::http::StatusCode;
use actix_web::{FromRequest, HttpRequest, HttpResponse, web};
use askama::Template;
use percent_encoding::{NON_ALPHANUMERIC, percent_decode_str, utf8_percent_encode};

use super::form::Fields;
use super::frame::{Answer, Frame, Task};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::RequestKey;
use crate::ops::labels::shop_name;
use crate::store::Who;
use crate::web::actor::Visitor;
use crate::web::app::App;
use crate::web::page::{self, PageError};

/// Carries the answer to a form over to the page that is shown after it.
const ANSWER_COOKIE: &str = "kitwright_answer";

/// The most bytes of an answer once it is encoded; browsers keep cookies of 4096 bytes.
const MOST_BYTES: usize = 3000;

/// Returns the beginning of an answer that a cookie can carry: each byte takes three at most.
fn shortened(words: &str) -> String {
    let mut bytes = 0;
    words
        .chars()
        .take_while(|it| {
            bytes += 3 * it.len_utf8();
            bytes <= MOST_BYTES
        })
        .collect()
}

/// One request of a person who is signed in.
pub struct Visit {
    /// What every request shares.
    pub app: web::Data<App>,
    /// Who asks.
    pub visitor: Visitor,
    told: Option<Answer>,
    /// The mark of the books before anything of them was read.
    mark: String,
}

impl FromRequest for Visit {
    type Error = PageError;
    type Future = Pin<Box<dyn Future<Output = Result<Self, PageError>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let app = request.app_data::<web::Data<App>>().cloned();
        let mark = app.as_ref().map(|it| it.follow().mark()).unwrap_or_default();
        let told = request.cookie(ANSWER_COOKIE).and_then(|it| read_answer(it.value()));
        let visitor = Visitor::from_request(request, payload);
        Box::pin(async move {
            let visitor = visitor.await?;
            let app = app.ok_or_else(|| Error::Internal("the app is not shared".to_owned()))?;
            Ok(Self { app, visitor, told, mark })
        })
    }
}

impl Visit {
    /// Checks that the person may see that.
    ///
    /// # Errors
    ///
    /// [`Error::Forbidden`].
    pub fn may(&self, permission: Permission) -> Result<(), Error> {
        self.visitor.may(permission).map(drop)
    }

    /// Returns whether the person may do that, for what a page offers.
    pub fn can(&self, permission: Permission) -> bool {
        self.visitor.person.role.may(permission)
    }

    /// Checks that the person may do that, and that the form comes from a page of this session.
    ///
    /// # Errors
    ///
    /// [`Error::StaleForm`] and [`Error::Forbidden`].
    pub fn may_post(&self, permission: Permission, form: &Fields) -> Result<Who, Error> {
        self.visitor.may_post(permission, form.text("csrf"))
    }

    /// Returns the frame of a page, with what the form before it did.
    ///
    /// # Errors
    ///
    /// [`Error::Database`].
    pub async fn frame(&self, here: Task) -> Result<Frame, Error> {
        frame(&self.app, &self.visitor, Some(here), self.told.clone()).await
    }

    /// Returns the frame of a page that keeps itself up to date while it is left open.
    ///
    /// # Errors
    ///
    /// [`Error::Database`].
    pub async fn live_frame(&self, here: Task) -> Result<Frame, Error> {
        Ok(Frame { live: Some(self.mark.clone()), ..self.frame(here).await? })
    }

    /// Returns the frame of a page that is the answer to a form itself.
    ///
    /// # Errors
    ///
    /// [`Error::Database`].
    pub async fn answered(&self, here: Task, answer: Option<Answer>) -> Result<Frame, Error> {
        frame(&self.app, &self.visitor, Some(here), answer).await
    }

    /// Returns a page as an answer; what it tells is told once.
    pub fn show(&self, page: &impl Template) -> HttpResponse {
        let mut response = page::ok(page);
        if self.told.is_some() {
            let mut gone = answer_cookie(String::new());
            gone.set_max_age(Duration::ZERO);
            carry(&mut response, &gone);
        }
        response
    }

    /// Returns a page that says why its form was refused.
    pub fn show_refused(&self, page: &impl Template) -> HttpResponse {
        page::html(StatusCode::UNPROCESSABLE_ENTITY, page)
    }

    /// Returns the way to a page that says what a form did, or why it was refused.
    ///
    /// # Errors
    ///
    /// What [`refusal`] answers.
    pub fn go(&self, href: &str, said: Result<String, Error>) -> Result<HttpResponse, PageError> {
        let answer = match said {
            Ok(words) => Answer::done(words),
            Err(error) => refusal(error)?,
        };
        let words = shortened(&answer.words);
        let text = format!("{}|{words}", answer.outcome.name());
        let mut cookie = answer_cookie(utf8_percent_encode(&text, NON_ALPHANUMERIC).to_string());
        cookie.set_max_age(Duration::seconds(30));
        cookie.set_secure(self.app.settings().is_secure());
        let mut response = page::see_other(href);
        carry(&mut response, &cookie);
        Ok(response)
    }
}

fn answer_cookie(value: String) -> Cookie<'static> {
    Cookie::build(ANSWER_COOKIE, value)
        .path("/")
        .http_only(true)
        .same_site(SameSite::Strict)
        .finish()
}

fn carry(response: &mut HttpResponse, cookie: &Cookie<'_>) {
    if let Err(fault) = response.add_cookie(cookie) {
        tracing::warn!(%fault, "an answer can't be carried over");
    }
}

fn read_answer(value: &str) -> Option<Answer> {
    let text = percent_decode_str(value).decode_utf8().ok()?;
    let (outcome, words) = text.split_once('|')?;
    match outcome {
        "done" => Some(Answer::done(words)),
        "refused" => Some(Answer::refused(words)),
        _ => None,
    }
}

/// Returns why a form was refused, for the person to mend it there.
///
/// # Errors
///
/// The error itself, where sending the form again is no help.
pub fn refusal(error: Error) -> Result<Answer, Error> {
    match error {
        Error::SignedOut
        | Error::StaleForm
        | Error::Forbidden { .. }
        | Error::Database(_)
        | Error::Unsure(_)
        | Error::Internal(_) => Err(error),
        error => Ok(Answer::refused(error.to_string())),
    }
}

/// Returns the tasks that a visitor's role opens.
fn tasks(visitor: &Visitor) -> Vec<Task> {
    let opens = |task: &Task| {
        let permission = match task {
            Task::Today | Task::Orders | Task::Parts | Task::Bills => Permission::Look,
            Task::Pick => Permission::Pick,
            Task::Pack => Permission::Pack,
            Task::Make => Permission::Make,
            Task::GoodsIn if visitor.person.role.may(Permission::Buy) => Permission::Buy,
            Task::GoodsIn => Permission::Receive,
            Task::Reorder | Task::Purchasing => Permission::Buy,
            Task::Labels => Permission::PrintLabels,
            Task::Messages => Permission::ManageMessages,
            Task::People => Permission::ManagePeople,
            Task::Import => Permission::ManageOrders,
        };
        visitor.person.role.may(permission)
    };
    Task::ALL.into_iter().filter(opens).collect()
}

/// Returns the frame around a visitor's page.
///
/// # Errors
///
/// [`Error::Database`].
async fn frame(
    app: &App,
    visitor: &Visitor,
    here: Option<Task>,
    answer: Option<Answer>,
) -> Result<Frame, Error> {
    let shop = app.read(shop_name).await?;
    Ok(Frame {
        shop,
        person: Some(visitor.person.name.clone()),
        menu: Task::menu(&tasks(visitor), here),
        csrf: visitor.csrf.clone(),
        request_key: RequestKey::fresh().as_str().to_owned(),
        live: None,
        answer,
    })
}
