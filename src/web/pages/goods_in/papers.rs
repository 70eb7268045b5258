//! What is printed of a purchase order.

use actix_web::{HttpResponse, get, post, web};

use crate::domain::people::Permission;
use crate::ops::receiving;
use crate::web::page::{self, PageError};
use crate::web::pages::entries::encoded;
use crate::web::pages::{Fields, Visit};

#[get("/goods-in/{number}/purchase-order.pdf")]
pub(crate) async fn get_purchase_order(
    visit: Visit,
    number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let print = move |conn: &mut _| receiving::purchase_order(conn, &number, today);
    Ok(page::pdf("purchase-order.pdf", visit.app.read(print).await?))
}

#[get("/goods-in/{number}/goods-receipt.pdf")]
pub(crate) async fn get_goods_receipt(
    visit: Visit,
    number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let print = move |conn: &mut _| receiving::goods_receipt(conn, &number, today);
    Ok(page::pdf("goods-receipt.pdf", visit.app.read(print).await?))
}

#[post("/goods-in/{number}/note")]
pub(crate) async fn post_note(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Buy, &form)?;
    let (key, order, note) = (form.key()?, number.to_string(), form.text("note").to_owned());
    let write = move |tx: &mut crate::store::Tx<'_>| receiving::set_note(tx, &key, &order, &note);
    let kept = visit.app.write(who, write).await;
    let said = kept.map(|()| "The note is kept; it stands on the purchase order.".to_owned());
    visit.go(&format!("/goods-in/{}", encoded(&number)), said)
}
