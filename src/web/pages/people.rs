//! People, their roles, and the devices that may use the API.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::words::Moment;
use super::{Answer, Choice, Fields, Frame, Task, Visit, refusal};
use crate::domain::people::{Permission, Role};
use crate::error::Error;
use crate::ops;
use crate::ops::people::{Secret, TokenView, UserView};
use crate::store::Who;
use crate::web::page::{self, PageError};

/// The page at `/people`.
#[derive(Debug, Template)]
#[template(path = "people/list.html")]
pub struct PeoplePage {
    /// The page around it.
    pub frame: Frame,
    /// Everybody who ever had a sign-in.
    pub people: Vec<Person>,
    /// The roles to give.
    pub roles: Vec<Choice>,
    /// Devices with a token.
    pub devices: Vec<Device>,
    /// A token just made, shown this once.
    pub new_token: Option<String>,
    /// The name that was typed before adding somebody was refused.
    pub called: String,
    /// The sign-in name that was typed.
    pub name: String,
}

/// Somebody with a sign-in.
#[derive(Debug)]
pub struct Person {
    /// The sign-in name.
    pub name: String,
    /// The name as documents show it.
    pub called: String,
    /// The role.
    pub role: String,
    /// Whether the sign-in works.
    pub active: bool,
}

/// A device with a token.
#[derive(Debug)]
pub struct Device {
    /// Its id.
    pub id: i64,
    /// What it is called.
    pub name: String,
    /// The sign-in name for whom it acts.
    pub acts_for: String,
    /// When its token was made.
    pub made: Moment,
    /// Whether its token works.
    pub active: bool,
}

#[get("/people")]
pub(super) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::ManagePeople)?;
    let frame = visit.frame(Task::People).await?;
    Ok(visit.show(&people_page(&visit, frame, &Fields::default(), None).await?))
}

async fn people_page(
    visit: &Visit,
    frame: Frame,
    form: &Fields,
    new_token: Option<String>,
) -> Result<PeoplePage, Error> {
    let (users, tokens) =
        visit.app.read(|conn| Ok((ops::people::users(conn)?, ops::people::tokens(conn)?))).await?;
    let role = |it: &Role| {
        let choice = Choice::new(it.as_str(), role_words(*it));
        if form.text("role") == it.as_str() { choice.chosen() } else { choice }
    };
    Ok(PeoplePage {
        frame,
        people: users.into_iter().map(person).collect(),
        roles: Role::ALL.iter().map(role).collect(),
        devices: tokens.into_iter().map(device).collect(),
        new_token,
        called: form.text("called").to_owned(),
        name: form.text("name").to_owned(),
    })
}

const fn role_words(role: Role) -> &'static str {
    match role {
        Role::Warehouse => "warehouse: picks, packs, hands over",
        Role::Receiver => "receiver: books deliveries",
        Role::Buyer => "buyer: orders parts",
        Role::Owner => "owner: may do everything",
    }
}

fn person(it: UserView) -> Person {
    Person { name: it.login, called: it.name, role: it.role, active: it.active }
}

fn device(it: TokenView) -> Device {
    Device {
        id: it.id,
        name: it.device,
        acts_for: it.login,
        made: Moment(it.created_at),
        active: it.revoked_at.is_none(),
    }
}

#[post("/people")]
pub(super) async fn post_add(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManagePeople, &form)?;
    match added(&visit, who, &form).await {
        Ok(words) => visit.go("/people", Ok(words)),
        Err(error) => {
            let answer = refusal(error)?;
            let frame = visit.answered(Task::People, Some(answer)).await?;
            Ok(visit.show_refused(&people_page(&visit, frame, &form, None).await?))
        }
    }
}

async fn added(visit: &Visit, who: Who, form: &Fields) -> Result<String, Error> {
    let text = |name: &str| form.text(name).to_owned();
    let (login, name, password) = (text("name"), text("called"), text("password"));
    let role: Role = form.read("role", "role")?.unwrap_or(Role::Warehouse);
    let words = format!("{name} can sign in as {login}");
    let work = move |tx: &mut crate::store::Tx<'_>| {
        ops::people::add_user(tx, &login, &name, role, &password)
    };
    visit.app.write_long(who, work).await?;
    Ok(words)
}

async fn set_active(
    visit: &Visit,
    form: &Fields,
    name: String,
    active: bool,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManagePeople, form)?;
    let login = name.clone();
    let done = visit.app.write(who, move |tx| ops::people::set_active(tx, &login, active)).await;
    let said = done.map(|()| match active {
        true => format!("{name} can sign in again"),
        false => format!("{name} can't sign in any more; sessions and tokens have ended"),
    });
    visit.go("/people", said)
}

#[post("/people/{name}/disable")]
pub(super) async fn post_disable(
    visit: Visit,
    name: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    set_active(&visit, &form, name.into_inner(), false).await
}

#[post("/people/{name}/enable")]
pub(super) async fn post_enable(
    visit: Visit,
    name: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    set_active(&visit, &form, name.into_inner(), true).await
}

#[post("/people/password")]
pub(super) async fn post_password(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManagePeople, &form)?;
    let (login, password) = (form.text("name").to_owned(), form.text("password").to_owned());
    let words = format!("{login} has a new password");
    let done =
        visit.app.write_long(who, move |tx| ops::people::set_password(tx, &login, &password)).await;
    visit.go("/people", done.map(|()| words))
}

/// Makes a token; the page that answers it is the only one that ever shows it.
#[post("/people/devices")]
pub(super) async fn post_make_token(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManagePeople, &form)?;
    let (login, device) = (form.text("name").to_owned(), form.text("device").to_owned());
    let words = format!("{device} has a token");
    let made: Result<Secret, Error> =
        visit.app.write(who, move |tx| ops::people::make_token(tx, &login, &device)).await;
    match made {
        Ok(secret) => {
            let frame = visit.answered(Task::People, Some(Answer::done(words))).await?;
            let token = Some(secret.as_str().to_owned());
            Ok(page::ok(&people_page(&visit, frame, &Fields::default(), token).await?))
        }
        Err(error) => visit.go("/people", Err(error)),
    }
}

#[post("/people/devices/{id}/end")]
pub(super) async fn post_end_token(
    visit: Visit,
    id: web::Path<i64>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManagePeople, &form)?;
    let id = id.into_inner();
    let done = visit.app.write(who, move |tx| ops::people::revoke_token(tx, id)).await;
    visit.go("/people", done.map(|()| "its token has ended".to_owned()))
}
