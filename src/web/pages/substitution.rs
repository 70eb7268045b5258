//! What may stand in for the parts of a kit, and with whose word.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use chrono::NaiveDate;

use super::{Fields, Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::domain::substitution::Consent;
use crate::error::Error;
use crate::ops;
use crate::ops::substitution::{OfferView, Request, SubstitutionsView};
use crate::web::page::PageError;

/// The page at `/kits/{kit}/stand-ins`.
#[derive(Debug, Template)]
#[template(path = "substitution/kit.html")]
pub struct StandInsPage {
    /// The page around it.
    pub frame: Frame,
    /// What may be exchanged, and what has been.
    pub view: SubstitutionsView,
    /// Today, the day offered for the customer's word.
    pub today: NaiveDate,
    /// Whether the person may exchange parts.
    pub may_change: bool,
}

impl StandInsPage {
    /// Returns whether an offer takes the customer's word.
    pub fn asks(&self, offer: &OfferView) -> bool {
        offer.consent == Consent::Customer.words()
    }
}

#[get("/kits/{kit}/stand-ins")]
pub(super) async fn get_kit(
    visit: Visit,
    kit: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let view = visit.app.read(move |conn| ops::substitution::of_kit(conn, &kit, today)).await?;
    let page = StandInsPage {
        frame: visit.frame(Task::Orders).await?,
        view,
        today,
        may_change: visit.can(Permission::ManageOrders),
    };
    Ok(visit.show(&page))
}

#[post("/kits/{kit}/stand-ins")]
pub(super) async fn post_kit(
    visit: Visit,
    kit: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageOrders, &form)?;
    let kit = kit.into_inner();
    let href = format!("/kits/{kit}/stand-ins");
    let said = match (form.key(), said_on(&form)) {
        (Err(error), _) | (_, Err(error)) => Err(error),
        (Ok(key), Ok(said_on)) => {
            let request = Request {
                kit,
                from: form.text("from").to_owned(),
                to: form.text("to").to_owned(),
                said_by: form.text("said_by").to_owned(),
                said_on,
            };
            let work = move |tx: &mut crate::store::Tx<'_>| {
                ops::substitution::substitute(tx, &key, &request)
            };
            visit.app.write(who, work).await
        }
    };
    let words = |(from, to): &(String, String)| format!("{to} stands in for {from}");
    visit.go(&href, said.map(|it| it.exchanged.iter().map(words).collect::<Vec<_>>().join(", ")))
}

fn said_on(form: &Fields) -> Result<Option<NaiveDate>, Error> {
    form.read("said_on", "the day of the customer's word")
}
