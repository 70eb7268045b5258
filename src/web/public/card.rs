//! The assembly card on a phone, under the box's signed link.

use actix_web::{HttpResponse, get, web};
use serde::Deserialize;

use super::box_check::{Link, closed, unlisted};
use crate::domain::messages::Language;
use crate::domain::setup::is_a_rider;
use crate::error::Error;
use crate::ops::card::{self, CardWish};
use crate::units::StatedMass;
use crate::web::app::App;
use crate::web::page::{self, PageError};
use crate::web::pages::rider_card::{HeldCardPage, RiderCardPage, Weight};

#[derive(Deserialize)]
pub(super) struct Asked {
    /// The language, where it is not the kit's own.
    language: Option<String>,
    /// The mass of rider, clothes and pack, as typed.
    weight: Option<String>,
}

impl Asked {
    fn language(&self) -> Option<Language> {
        self.language.as_deref().and_then(|it| it.parse().ok())
    }

    /// Returns the weight as typed and as read; it is used here and kept nowhere.
    fn weight(&self) -> Weight {
        let typed = self.weight.as_deref().unwrap_or_default().trim().to_owned();
        let mass: Option<StatedMass> = typed.parse().ok().filter(is_a_rider);
        Weight { refused: !typed.is_empty() && mass.is_none(), typed, mass }
    }
}

fn wish(app: &App, link: &Link, kit: String, asked: &Asked) -> CardWish {
    let address = format!("{}{}", app.settings().public_url, link.path());
    CardWish { kit, language: asked.language(), rider: asked.weight().mass, link: address }
}

/// Returns the page that says that the card is held back, or the error itself.
async fn held(
    app: &App,
    link: &Link,
    kit: String,
    asked: &Asked,
    error: Error,
) -> Result<HttpResponse, PageError> {
    if error.code() != "card.torque_conflict" {
        return Err(error.into());
    }
    let number = kit.clone();
    let (shop, own) = app.read(move |conn| card::shop_and_language(conn, &number)).await?;
    let say = asked.language().unwrap_or(own);
    let page = HeldCardPage { shop, say, kit, base: link.path() };
    Ok(unlisted(page::ok(&page)))
}

#[get("/box/{kit}/{expires}/{tag}/card")]
pub(super) async fn get_card(
    app: web::Data<App>,
    link: web::Path<Link>,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, PageError> {
    let kit = match link.open(&app).await {
        Ok(kit) => kit,
        Err(error) => return closed(&app, error).await,
    };
    let (wish, today) = (wish(&app, &link, kit.clone(), &asked), app.now().date());
    match app.read(move |conn| card::card(conn, &wish, today)).await {
        Ok(it) => {
            let page = RiderCardPage::new(&it, link.path(), asked.weight());
            Ok(unlisted(page::ok(&page)))
        }
        Err(error) => held(&app, &link, kit, &asked, error).await,
    }
}

#[get("/box/{kit}/{expires}/{tag}/card.pdf")]
pub(super) async fn get_card_pdf(
    app: web::Data<App>,
    link: web::Path<Link>,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, PageError> {
    let kit = match link.open(&app).await {
        Ok(kit) => kit,
        Err(error) => return closed(&app, error).await,
    };
    let (wish, today) = (wish(&app, &link, kit.clone(), &asked), app.now().date());
    match app.read(move |conn| card::card_pdf(conn, &wish, today)).await {
        Ok(bytes) => Ok(unlisted(page::pdf(&format!("{kit}-assembly-card.pdf"), bytes))),
        Err(error) => held(&app, &link, kit, &asked, error).await,
    }
}
