//! The sign-in page.

use actix_web::cookie::time::Duration;
use actix_web::cookie::{Cookie, SameSite};
use actix_web::http::StatusCode;
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use askama::Template;
use serde::Deserialize;

use super::{Answer, Fields, Frame, Visit, refusal};
use crate::error::Error;
use crate::ops::labels::shop_name;
use crate::ops::people::{self, Secret};
use crate::store::Who;
use crate::web::actor::SESSION_COOKIE;
use crate::web::app::App;
use crate::web::page::{self, PageError};

/// The page at `/sign-in`.
#[derive(Debug, Template)]
#[template(path = "sign_in.html")]
pub struct SignInPage {
    /// The page around it.
    pub frame: Frame,
    /// The name typed before, when the sign-in was refused.
    pub name: String,
    /// The page to go to afterwards.
    pub next: String,
}

#[derive(Deserialize)]
pub(super) struct Next {
    #[serde(default)]
    next: String,
}

/// Returns the page to go to, if it is one of this service's own; the first page otherwise.
pub(super) fn local(next: &str) -> &str {
    let elsewhere = next.starts_with("//") || next.contains('\\');
    if next.starts_with('/') && !elsewhere && !next.chars().any(char::is_control) {
        next
    } else {
        "/"
    }
}

#[get("/sign-in")]
pub(super) async fn get_form(
    app: web::Data<App>,
    next: web::Query<Next>,
) -> Result<HttpResponse, PageError> {
    let page = page(&app, String::new(), &next.next, None).await?;
    Ok(page::ok(&page))
}

async fn page(
    app: &App,
    name: String,
    next: &str,
    answer: Option<Answer>,
) -> Result<SignInPage, Error> {
    let shop = app.read(shop_name).await?;
    let frame = Frame { shop, answer, ..Frame::default() };
    Ok(SignInPage { frame, name, next: local(next).to_owned() })
}

#[post("/sign-in")]
pub(super) async fn post_sign_in(
    app: web::Data<App>,
    request: HttpRequest,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    from_here(&request)?;
    let (login, next) = (form.text("name").to_owned(), local(form.text("next")));
    match begin(&app, &login, form.text("password")).await {
        Ok(secret) => {
            let mut response = page::see_other(next);
            let cookie = session_cookie(&app, secret.as_str().to_owned());
            response.add_cookie(&cookie).map_err(|it| Error::Internal(it.to_string()))?;
            Ok(response)
        }
        Err(error) => {
            let page = page(&app, login, next, Some(refusal(error)?)).await?;
            Ok(page::html(StatusCode::UNAUTHORIZED, &page))
        }
    }
}

/// Refuses a form that another site posts, so that nobody is signed in as somebody else unawares.
fn from_here(request: &HttpRequest) -> Result<(), Error> {
    let site = request.headers().get("Sec-Fetch-Site").and_then(|it| it.to_str().ok());
    match site {
        None | Some("same-origin" | "none") => Ok(()),
        Some(_) => Err(Error::StaleForm),
    }
}

/// The most characters of a login; more is nobody's, and is not kept.
const MOST_LOGIN: usize = 60;

async fn begin(app: &App, login: &str, password: &str) -> Result<Secret, Error> {
    if app.tries().must_wait(login, app.now()) {
        return Err(Error::conflict(
            "people.wait",
            "there were too many wrong passwords for this name: wait ten minutes, then try again",
        ));
    }
    if MOST_LOGIN < login.chars().count() {
        return Err(Error::WrongPassword);
    }
    // Counted before it is checked, so that guesses sent side by side count too.
    app.tries().count(login, app.now());
    let (name, password) = (login.to_owned(), password.to_owned());
    let candidate = app.read(move |conn| people::candidate(conn, &name)).await?;
    let person = app.compute(move || people::check_password(candidate, &password)).await?;
    app.tries().forget(login);
    let who = Who::Person(person.id, person.role);
    app.write(who, move |tx| people::begin_session(tx, &person)).await
}

fn session_cookie(app: &App, secret: String) -> Cookie<'static> {
    Cookie::build(SESSION_COOKIE, secret)
        .path("/")
        .http_only(true)
        .same_site(SameSite::Lax)
        .secure(app.settings().is_secure())
        .finish()
}

#[post("/sign-out")]
pub(super) async fn post_sign_out(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.visitor.check_form(form.text("csrf"))?;
    let secret = visit.visitor.secret.clone();
    let person = &visit.visitor.person;
    let who = Who::Person(person.id, person.role);
    visit.app.write(who, move |tx| people::end_session(tx, &secret)).await?;
    let mut response = page::see_other("/sign-in");
    let mut gone = session_cookie(&visit.app, String::new());
    gone.set_max_age(Duration::ZERO);
    response.add_cookie(&gone).map_err(|it| Error::Internal(it.to_string()))?;
    Ok(response)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(next: &str, expected: &str) {
        assert_eq!(local(next), expected);
    }

    #[test]
    fn leads_to_no_other_site() {
        check("/orders?q=KT0", "/orders?q=KT0");
        check("//elsewhere.example/", "/");
        check("https://elsewhere.example/", "/");
        check("/\\elsewhere.example", "/");
        check("", "/");
    }
}
