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
use crate::store::Who;
use crate::web::actor::Visitor;
use crate::web::app::App;
use crate::web::page::{self, PageError};

/// Carries the answer to a form over to the page that is shown after it.
const ANSWER_COOKIE: &str = "kitwright_answer";

/// The most characters of an answer that a cookie carries; browsers keep 4096 bytes.
const MOST_CHARS: usize = 900;

/// One request of a person who is signed in.
pub struct Visit {
    /// What every request shares.
    pub app: web::Data<App>,
    /// Who asks.
    pub visitor: Visitor,
    told: Option<Answer>,
}

impl FromRequest for Visit {
    type Error = PageError;
    type Future = Pin<Box<dyn Future<Output = Result<Self, PageError>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let app = request.app_data::<web::Data<App>>().cloned();
        let told = request.cookie(ANSWER_COOKIE).and_then(|it| read_answer(it.value()));
        let visitor = Visitor::from_request(request, payload);
        Box::pin(async move {
            let visitor = visitor.await?;
            let app = app.ok_or_else(|| Error::Internal("the app is not shared".to_owned()))?;
            Ok(Self { app, visitor, told })
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
        page::frame(&self.app, &self.visitor, Some(here), self.told.clone()).await
    }

    /// Returns the frame of a page that is the answer to a form itself.
    ///
    /// # Errors
    ///
    /// [`Error::Database`].
    pub async fn answered(&self, here: Task, answer: Option<Answer>) -> Result<Frame, Error> {
        page::frame(&self.app, &self.visitor, Some(here), answer).await
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
        let words: String = answer.words.chars().take(MOST_CHARS).collect();
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
        | Error::Internal(_) => Err(error),
        error => Ok(Answer::refused(error.to_string())),
    }
}
