//! What the bench's forms and scans do.

use actix_web::{HttpResponse, post, web};

use super::bench_page;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::packing::PackScan;
use crate::ops::{self, RequestKey, ScanAnswer};
use crate::store::{Tx, Who};
use crate::web::page::{self, PageError};
use crate::web::pages::{Answer, Fields, Task, Visit, refusal};

/// Takes a scan; the page that answers it is the page of the next one.
#[post("/packing/{kit}")]
pub(crate) async fn post_scan(
    visit: Visit,
    kit: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Pack, &form)?;
    let chosen: Option<u32> = form.read("carton", "carton")?;
    let (answer, chosen) = match put_in(&visit, who, &kit, chosen, &form).await {
        Ok(answer) => (Answer::from(&answer), answer.carton.or(chosen)),
        Err(error) => (refusal(error)?, chosen),
    };
    let frame = visit.answered(Task::Pack, Some(answer)).await?;
    Ok(page::ok(&bench_page(&visit, frame, &kit, chosen).await?))
}

async fn put_in(
    visit: &Visit,
    who: Who,
    kit: &str,
    carton: Option<u32>,
    form: &Fields,
) -> Result<ScanAnswer, Error> {
    let (key, kit) = (form.key()?, kit.to_owned());
    let quantity = form.read("quantity", "pieces")?;
    let scan = PackScan { code: form.text("scan").to_owned(), carton, quantity };
    visit.app.write(who, move |tx| ops::packing::scan(tx, &key, &kit, &scan)).await
}

/// Does one thing to a kit on the bench and goes back there.
async fn at_bench(
    visit: &Visit,
    kit: &str,
    form: &Fields,
    work: impl Fn(&mut Tx<'_>, &RequestKey, &str) -> Result<String, Error> + Send + 'static,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Pack, form)?;
    let (key, number) = (form.key()?, kit.to_owned());
    let said = visit.app.write(who, move |tx| work(tx, &key, &number)).await;
    let href = match form.text("carton") {
        "" => format!("/packing/{kit}"),
        carton => format!("/packing/{kit}?carton={carton}"),
    };
    visit.go(&href, said)
}

#[post("/packing/{kit}/lines/{line}/take-out")]
pub(crate) async fn post_take_out(
    visit: Visit,
    path: web::Path<(String, i64)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let (kit, line) = path.into_inner();
    let work = move |tx: &mut Tx<'_>, key: &RequestKey, kit: &str| {
        Ok(ops::packing::take_out(tx, key, kit, line)?.words)
    };
    at_bench(&visit, &kit, &form, work).await
}

#[post("/packing/{kit}/lines/{line}/put-back")]
pub(crate) async fn post_put_back(
    visit: Visit,
    path: web::Path<(String, i64)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let (kit, line) = path.into_inner();
    let work = move |tx: &mut Tx<'_>, key: &RequestKey, kit: &str| {
        Ok(ops::picking::put_back(tx, key, kit, line)?.words)
    };
    at_bench(&visit, &kit, &form, work).await
}

#[post("/packing/{kit}/lines/{line}/ship-short")]
pub(crate) async fn post_ship_short(
    visit: Visit,
    path: web::Path<(String, i64)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let (kit, line) = path.into_inner();
    let reason = form.text("reason").to_owned();
    let work = move |tx: &mut Tx<'_>, key: &RequestKey, kit: &str| {
        ops::packing::ship_short(tx, key, kit, line, &reason)?;
        Ok("it is left out; the packing list and the receiver's page say why".to_owned())
    };
    at_bench(&visit, &kit, &form, work).await
}

#[post("/packing/{kit}/lines/{line}/not-short")]
pub(crate) async fn post_not_short(
    visit: Visit,
    path: web::Path<(String, i64)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let (kit, line) = path.into_inner();
    let work = move |tx: &mut Tx<'_>, key: &RequestKey, kit: &str| {
        ops::packing::not_short(tx, key, kit, line)?;
        Ok("the box needs it again: pick it".to_owned())
    };
    at_bench(&visit, &kit, &form, work).await
}

#[post("/packing/{kit}/cartons/{position}/seal")]
pub(crate) async fn post_seal(
    visit: Visit,
    path: web::Path<(String, u32)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let (kit, position) = path.into_inner();
    let work = move |tx: &mut Tx<'_>, key: &RequestKey, kit: &str| {
        ops::packing::seal(tx, key, kit, position)?;
        Ok(format!("carton {position} is sealed: print its packing list and its label"))
    };
    at_bench(&visit, &kit, &form, work).await
}

#[post("/packing/{kit}/hand-over")]
pub(crate) async fn post_hand_over(
    visit: Visit,
    kit: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let work = |tx: &mut Tx<'_>, key: &RequestKey, kit: &str| {
        ops::packing::hand_over(tx, key, kit)?;
        Ok(format!("kit {kit} is with the carrier"))
    };
    at_bench(&visit, &kit, &form, work).await
}
