use std::fmt;

use actix_web::http::StatusCode;
use actix_web::http::header::{self, LOCATION};
use actix_web::{HttpResponse, ResponseError};
use askama::Template;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};

use crate::error::Error;

use super::pages::error::ErrorPage;
use super::pages::frame::Frame;
use super::pages::words::sentence;
use super::problem::{log, status_of};

/// An error as a page with a way back; who is signed out is sent to sign in.
#[derive(Debug)]
pub struct PageError {
    error: Box<Error>,
    /// The page to go to after the sign-in.
    next: Option<Box<str>>,
}

impl From<Error> for PageError {
    fn from(error: Error) -> Self {
        Self { error: Box::new(error), next: None }
    }
}

impl PageError {
    /// Returns the same error, which leads back to `next` once it is mended by signing in.
    pub fn then(self, next: String) -> Self {
        Self { next: Some(next.into()), ..self }
    }
}

impl fmt::Display for PageError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.error.fmt(f)
    }
}

impl ResponseError for PageError {
    fn status_code(&self) -> StatusCode {
        match *self.error {
            Error::SignedOut => StatusCode::SEE_OTHER,
            _ => status_of(&self.error),
        }
    }

    fn error_response(&self) -> HttpResponse {
        log(&self.error);
        if matches!(*self.error, Error::SignedOut) {
            let Some(next) = &self.next else { return see_other("/sign-in") };
            let next = utf8_percent_encode(next, NON_ALPHANUMERIC);
            return see_other(&format!("/sign-in?next={next}"));
        }
        let status = self.status_code();
        error_page(status, sentence(&self.error.to_string()), self.error.code())
    }
}

fn error_page(status: StatusCode, words: String, code: &str) -> HttpResponse {
    let page = ErrorPage {
        frame: Frame { shop: "Kitwright".to_owned(), ..Frame::default() },
        status: status.as_u16(),
        title: title(status).to_owned(),
        words,
        code: code.to_owned(),
        back_href: "/".to_owned(),
        back_words: "Back to today".to_owned(),
    };
    html(status, &page)
}

/// Returns the page that says that there is none at that path.
pub fn nothing_at(path: &str) -> HttpResponse {
    error_page(StatusCode::NOT_FOUND, format!("There is no page at {path}."), "not_found")
}

fn title(status: StatusCode) -> &'static str {
    match status {
        StatusCode::NOT_FOUND => "Not there",
        StatusCode::FORBIDDEN => "Not allowed",
        StatusCode::GONE => "No longer there",
        _ => "Not done",
    }
}

/// Returns a page as an answer.
pub fn html(status: StatusCode, page: &impl Template) -> HttpResponse {
    match page.render() {
        Ok(text) => HttpResponse::build(status)
            .content_type("text/html; charset=utf-8")
            .insert_header((header::CACHE_CONTROL, "no-store"))
            .body(text),
        Err(fault) => {
            tracing::error!(%fault, "a page can't be rendered");
            HttpResponse::InternalServerError().body("This page can't be shown.")
        }
    }
}

/// Returns a page that was asked for and is there.
pub fn ok(page: &impl Template) -> HttpResponse {
    html(StatusCode::OK, page)
}

/// Returns the answer to a form that was carried out: go and look there.
pub fn see_other(href: &str) -> HttpResponse {
    HttpResponse::SeeOther().insert_header((LOCATION, href)).finish()
}

/// Returns bytes as a PDF to be shown or kept.
pub fn pdf(name: &str, bytes: Vec<u8>) -> HttpResponse {
    HttpResponse::Ok()
        .content_type("application/pdf")
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .insert_header((header::CONTENT_DISPOSITION, format!("inline; filename=\"{name}\"")))
        .body(bytes)
}
