//! Users and device tokens.

use actix_web::{HttpResponse, delete, get, post, web};
use serde::{Deserialize, Serialize};

use super::reading::Body;
use super::{created, done};
use crate::domain::people::{Permission, Role};
use crate::error::Error;
use crate::ops::people::{self as people_ops, TokenView, UserView};
use crate::store::Tx;
use crate::web::actor::Actor;
use crate::web::app::App;
use crate::web::problem::Problem;

endpoints!(people, add, set_active, set_password, tokens, make_token, revoke);

/// Lists users.
#[utoipa::path(tag = "people", responses((status = 200, body = [UserView])))]
#[get("/people")]
async fn people(app: web::Data<App>, actor: Actor) -> Result<web::Json<Vec<UserView>>, Problem> {
    actor.may(Permission::ManagePeople)?;
    Ok(web::Json(app.read(people_ops::users).await?))
}

/// A new user.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewUser {
    /// The name typed to log in.
    login: String,
    /// The person's name.
    name: String,
    /// warehouse, receiver, buyer or owner.
    role: String,
    /// The password, 10 to 200 characters.
    password: String,
}

/// Adds a user.
#[utoipa::path(tag = "people", request_body = NewUser,
    responses((status = 204), (status = 409, description = "people.login_taken")))]
#[post("/people")]
async fn add(app: web::Data<App>, actor: Actor, body: Body) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManagePeople)?;
    let it: NewUser = body.json().await?;
    let role: Role =
        it.role.parse().map_err(|fault| Error::invalid("people.role", format!("role: {fault}")))?;
    let add =
        move |tx: &mut Tx<'_>| people_ops::add_user(tx, &it.login, &it.name, role, &it.password);
    app.write_long(who, add).await?;
    Ok(done())
}

/// Whether a user may log in.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct Active {
    /// Whether they may.
    active: bool,
}

/// Sets whether a user may log in. One who may not loses sessions and tokens at once.
#[utoipa::path(tag = "people", request_body = Active,
    responses((status = 204), (status = 409, description = "people.own_account")))]
#[post("/people/{login}/active")]
async fn set_active(
    app: web::Data<App>,
    actor: Actor,
    login: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManagePeople)?;
    let it: Active = body.json().await?;
    app.write(who, move |tx| people_ops::set_active(tx, &login, it.active)).await?;
    Ok(done())
}

/// A new password.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct Password {
    /// The password, 10 to 200 characters.
    password: String,
}

/// Sets a user's password.
#[utoipa::path(tag = "people", request_body = Password,
    responses((status = 204), (status = 422, description = "people.password")))]
#[post("/people/{login}/password")]
async fn set_password(
    app: web::Data<App>,
    actor: Actor,
    login: web::Path<String>,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManagePeople)?;
    let it: Password = body.json().await?;
    app.write_long(who, move |tx| people_ops::set_password(tx, &login, &it.password)).await?;
    Ok(done())
}

/// Lists device tokens, without the tokens themselves.
#[utoipa::path(tag = "people", responses((status = 200, body = [TokenView])))]
#[get("/tokens")]
async fn tokens(app: web::Data<App>, actor: Actor) -> Result<web::Json<Vec<TokenView>>, Problem> {
    actor.may(Permission::ManagePeople)?;
    Ok(web::Json(app.read(people_ops::tokens).await?))
}

/// A new device token.
#[derive(Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct NewToken {
    /// The login for whom it acts.
    login: String,
    /// The device that will hold it.
    device: String,
}

/// A token that was made.
#[derive(Serialize, utoipa::ToSchema)]
struct MadeToken {
    /// The token, which is shown this once.
    token: String,
}

/// Makes a device token.
#[utoipa::path(tag = "people", request_body = NewToken, responses((status = 201, body = MadeToken)))]
#[post("/tokens")]
async fn make_token(
    app: web::Data<App>,
    actor: Actor,
    body: Body,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManagePeople)?;
    let it: NewToken = body.json().await?;
    let make = move |tx: &mut Tx<'_>| people_ops::make_token(tx, &it.login, &it.device);
    let token = app.write(who, make).await?;
    Ok(created(&MadeToken { token: token.as_str().to_owned() }))
}

/// Revokes a device token.
#[utoipa::path(tag = "people", responses((status = 204)))]
#[delete("/tokens/{id}")]
async fn revoke(
    app: web::Data<App>,
    actor: Actor,
    id: web::Path<i64>,
) -> Result<HttpResponse, Problem> {
    let who = actor.may(Permission::ManagePeople)?;
    app.write(who, move |tx| people_ops::revoke_token(tx, *id)).await?;
    Ok(done())
}
