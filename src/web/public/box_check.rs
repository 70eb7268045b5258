//! What a signed link opens, with no session and no cookie: the link alone says which box it is.

use actix_web::http::StatusCode;
use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::{HttpResponse, get, post, web};
use serde::Deserialize;

use crate::domain::messages::Language;
use crate::domain::verification::{LinkError, ReportError};
use crate::error::Error;
use crate::ops::RequestKey;
use crate::ops::box_words;
use crate::ops::labels::shop_name;
use crate::ops::verification::{self, BoxView, LineReport};
use crate::store::Who;
use crate::web::app::App;
use crate::web::page::{self, PageError};
use crate::web::pages::rider::{ClosedPage, Refused, RiderPage};
use crate::web::pages::{Answer, Fields};
use crate::web::problem::status_of;

/// The three parts of a link.
#[derive(Clone, Deserialize)]
pub(super) struct Link {
    kit: String,
    expires: String,
    tag: String,
}

#[derive(Deserialize)]
pub(super) struct Asked {
    /// The step that was just answered.
    said: Option<u32>,
    /// The step to be answered anew.
    change: Option<u32>,
    /// The language, where it is not the kit's own.
    language: Option<String>,
}

impl Asked {
    fn language(&self) -> Option<Language> {
        self.language.as_deref().and_then(|it| it.parse().ok())
    }
}

impl Link {
    pub(super) fn path(&self) -> String {
        format!("/box/{}/{}/{}", self.kit, self.expires, self.tag)
    }

    /// Returns the number of the kit, once the link is proved.
    pub(super) async fn open(&self, app: &App) -> Result<String, Error> {
        let (link, now) = (self.clone(), app.now());
        app.read(move |conn| {
            verification::open_link(conn, &link.kit, &link.expires, &link.tag, now)
        })
        .await
    }
}

/// Search engines keep away: a link is as good as a key.
pub(super) fn unlisted(mut response: HttpResponse) -> HttpResponse {
    let name = HeaderName::from_static("x-robots-tag");
    response.headers_mut().insert(name, HeaderValue::from_static("noindex, nofollow"));
    response
}

/// Returns the page that says why a link does not open.
pub(super) async fn closed(app: &App, error: Error) -> Result<HttpResponse, PageError> {
    match error {
        Error::Link(_) | Error::NotFound { .. } => {
            let shop = app.read(shop_name).await?;
            let told = Language::ALL.map(|say| match error {
                Error::Link(LinkError::Expired) => (say, say.link_expired()),
                _ => (say, say.link_wrong()),
            });
            let page = ClosedPage { shop, told: told.to_vec() };
            Ok(unlisted(page::html(status_of(&error), &page)))
        }
        error => Err(error.into()),
    }
}

async fn rider_page(
    app: &App,
    link: &Link,
    kit: String,
    asked: &Asked,
) -> Result<RiderPage, Error> {
    let chosen = asked.language();
    let (shop, (say, view)): (String, (Language, BoxView)) = app
        .read(move |conn| Ok((shop_name(conn)?, box_words::box_page_in(conn, &kit, chosen)?)))
        .await?;
    let key = RequestKey::fresh().as_str().to_owned();
    Ok(RiderPage::new(say, shop, link.path(), key, &view, asked.change))
}

#[get("/box/{kit}/{expires}/{tag}")]
pub(super) async fn get_box(
    app: web::Data<App>,
    link: web::Path<Link>,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, PageError> {
    let kit = match link.open(&app).await {
        Ok(kit) => kit,
        Err(error) => return closed(&app, error).await,
    };
    let page = rider_page(&app, &link, kit, &asked).await?;
    Ok(unlisted(page::ok(&page.said(asked.said))))
}

#[post("/box/{kit}/{expires}/{tag}/steps/{step}/here")]
pub(super) async fn post_here(
    app: web::Data<App>,
    path: web::Path<(String, String, String, u32)>,
    asked: web::Query<Asked>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let (link, step) = parts(path.into_inner());
    let kit = match link.open(&app).await {
        Ok(kit) => kit,
        Err(error) => return closed(&app, error).await,
    };
    let (key, number) = (form.key()?, kit.clone());
    let work = move |tx: &mut crate::store::Tx<'_>| verification::all_here(tx, &key, &number, step);
    let done = app.write(Who::Receiver, work).await;
    answer(&app, &link, kit, step, &form, &asked, done).await
}

#[post("/box/{kit}/{expires}/{tag}/steps/{step}/report")]
pub(super) async fn post_report(
    app: web::Data<App>,
    path: web::Path<(String, String, String, u32)>,
    asked: web::Query<Asked>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let (link, step) = parts(path.into_inner());
    let kit = match link.open(&app).await {
        Ok(kit) => kit,
        Err(error) => return closed(&app, error).await,
    };
    let done = report(&app, &kit, step, &form).await;
    answer(&app, &link, kit, step, &form, &asked, done).await
}

fn parts((kit, expires, tag, step): (String, String, String, u32)) -> (Link, u32) {
    (Link { kit, expires, tag }, step)
}

/// Takes the report of one step: what is neither missing nor damaged is here.
async fn report(app: &App, kit: &str, step: u32, form: &Fields) -> Result<(), Error> {
    let (key, number) = (form.key()?, kit.to_owned());
    let view = app.read(move |conn| verification::box_page(conn, &number)).await?;
    let lines = view.steps.iter().filter(|it| it.number == step).flat_map(|it| &it.lines);
    let reports: Vec<LineReport> = lines
        .filter(|it| it.quantity.is_some())
        .map(|it| line_report(it.line, form))
        .collect::<Result<_, _>>()?;
    if reports.iter().all(|it| it.outcome == "here") {
        return Err(Error::invalid(
            "report.nothing",
            "enter how many pieces are missing or damaged, or tap All here",
        ));
    }
    let number = kit.to_owned();
    let work =
        move |tx: &mut crate::store::Tx<'_>| verification::report(tx, &key, &number, &reports);
    app.write(Who::Receiver, work).await
}

fn line_report(line: i64, form: &Fields) -> Result<LineReport, Error> {
    let missing = form.pieces(&format!("missing-{line}"), "missing")?;
    let damaged = form.pieces(&format!("damaged-{line}"), "damaged")?;
    let note = form.text("note");
    let both = format!("{missing} missing and {damaged} damaged. {note}");
    let (outcome, quantity, note) = match (missing.is_some(), damaged.is_some()) {
        (false, false) => ("here", None, ""),
        (true, false) => ("missing", Some(missing), note),
        (false, true) => ("damaged", Some(damaged), note),
        (true, true) => ("missing", Some(missing.plus(damaged)), both.trim()),
    };
    Ok(LineReport { line, outcome: outcome.to_owned(), quantity, note: note.to_owned() })
}

/// Returns why a report was refused, in the rider's language.
fn refusal(say: Language, error: &Error) -> &'static str {
    match error {
        Error::Report(ReportError::Quantity { .. }) => say.too_many_pieces(),
        Error::Report(ReportError::LongNote { .. }) => say.note_too_long(),
        Error::Report(ReportError::NotInBox) => say.not_in_this_box(),
        Error::Invalid { code: "report.nothing", .. } => say.enter_or_all_here(),
        Error::Conflict { code: "report.not_despatched", .. } => say.still_here(),
        _ => say.could_not_take(),
    }
}

/// Leads to the next step, or back to the form that was refused with what was typed.
async fn answer(
    app: &App,
    link: &Link,
    kit: String,
    step: u32,
    form: &Fields,
    asked: &Asked,
    done: Result<(), Error>,
) -> Result<HttpResponse, PageError> {
    match done {
        Ok(()) => {
            let path = link.path();
            let language = asked.language().map(|it| format!("language={it}&")).unwrap_or_default();
            let next = step + 1;
            Ok(unlisted(page::see_other(&format!("{path}?{language}said={step}#step-{next}"))))
        }
        Err(error @ (Error::Database(_) | Error::Unsure(_) | Error::Internal(_))) => {
            Err(error.into())
        }
        Err(error) => {
            let page = rider_page(app, link, kit, asked).await?;
            let refused = Answer::refused(refusal(page.say, &error));
            let page = page.refused(refused, &Refused { step, form });
            Ok(unlisted(page::html(StatusCode::UNPROCESSABLE_ENTITY, &page)))
        }
    }
}
