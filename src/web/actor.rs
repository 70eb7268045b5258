use std::future::Future;
use std::pin::Pin;

use actix_web::dev::Payload;
use actix_web::http::Method;
use actix_web::http::header::AUTHORIZATION;
use actix_web::{FromRequest, HttpRequest, web};

use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::people::{self, Person};
use crate::store::Who;

use super::app::App;
use super::page::PageError;
use super::problem::Problem;

/// The cookie that holds a session's secret.
pub const SESSION_COOKIE: &str = "kitwright_session";

/// A device, as its token proves it. The API takes tokens only, so no other site can post through a
/// browser's cookie.
pub struct Actor {
    person: Person,
}

impl Actor {
    /// Checks that the device may do that, and returns on whose behalf it is done.
    ///
    /// # Errors
    ///
    /// [`Error::Forbidden`].
    pub fn may(&self, permission: Permission) -> Result<Who, Error> {
        self.person.may(permission)?;
        Ok(Who::Person(self.person.id, self.person.role))
    }
}

/// A person at a browser, as the session's cookie proves them.
#[derive(Clone)]
pub struct Visitor {
    /// The person.
    pub person: Person,
    /// The token that each of their forms carries.
    pub csrf: String,
    /// The session's secret.
    pub secret: String,
}

impl Visitor {
    /// Checks that the person may do that, and returns on whose behalf it is done.
    ///
    /// # Errors
    ///
    /// [`Error::Forbidden`].
    pub fn may(&self, permission: Permission) -> Result<Who, Error> {
        self.person.may(permission)?;
        Ok(Who::Person(self.person.id, self.person.role))
    }

    /// Checks that the person may do that, and that the form comes from a page of this session.
    ///
    /// # Errors
    ///
    /// [`Error::StaleForm`] and [`Error::Forbidden`].
    pub fn may_post(&self, permission: Permission, csrf: &str) -> Result<Who, Error> {
        self.check_form(csrf)?;
        self.may(permission)
    }

    /// Checks that a form comes from a page of this session.
    ///
    /// # Errors
    ///
    /// [`Error::StaleForm`].
    pub fn check_form(&self, csrf: &str) -> Result<(), Error> {
        // Both are random and equally long, so how soon they differ tells nothing of use.
        if csrf == self.csrf { Ok(()) } else { Err(Error::StaleForm) }
    }
}

/// Returns the token of an authorization header; the scheme's case says nothing (RFC 9110, 11.1).
fn bearer(header: &str) -> Option<&str> {
    let (scheme, token) = header.split_once(' ')?;
    scheme.eq_ignore_ascii_case("bearer").then(|| token.trim())
}

type Extraction<T, E> = Pin<Box<dyn Future<Output = Result<T, E>>>>;

impl FromRequest for Actor {
    type Error = Problem;
    type Future = Extraction<Self, Problem>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let app = request.app_data::<web::Data<App>>().cloned();
        let header = request.headers().get(AUTHORIZATION).and_then(|it| it.to_str().ok());
        let token = header.and_then(bearer).map(str::to_owned);
        Box::pin(async move {
            let (Some(app), Some(token)) = (app, token) else {
                return Err(Error::SignedOut.into());
            };
            let person = app.read(move |conn| people::token_person(conn, &token)).await?;
            Ok(Self { person })
        })
    }
}

impl FromRequest for Visitor {
    type Error = PageError;
    type Future = Extraction<Self, PageError>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let app = request.app_data::<web::Data<App>>().cloned();
        let secret = request.cookie(SESSION_COOKIE).map(|it| it.value().to_owned());
        // Only a page can be gone back to: a form that was posted is lost with its session.
        let path = request.uri().path_and_query().map(ToString::to_string);
        let next = path.filter(|_| request.method() == Method::GET);
        Box::pin(async move {
            match (app, secret) {
                (Some(app), Some(secret)) => visitor(&app, secret).await,
                _ => Err(Error::SignedOut),
            }
            .map_err(|error| match next {
                Some(next) => PageError::from(error).then(next),
                None => error.into(),
            })
        })
    }
}

async fn visitor(app: &App, secret: String) -> Result<Visitor, Error> {
    let (now, given) = (app.now(), secret.clone());
    let (person, csrf) = app.read(move |conn| people::session(conn, &given, now)).await?;
    Ok(Visitor { person, csrf, secret })
}
