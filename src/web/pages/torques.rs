//! What is stated about the torque of each joint, and which of it holds.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::{Fields, Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::card::{CardWish, JointView, SettleWish};
use crate::web::page::{self, PageError};

/// The page at `/torques`.
#[derive(Debug, Template)]
#[template(path = "torques/list.html")]
pub struct TorquesPage {
    /// The page around it.
    pub frame: Frame,
    /// Joints whose statements disagree; their cards wait.
    pub open: Vec<JointView>,
    /// The others.
    pub joints: Vec<JointView>,
    /// Whether the person may settle.
    pub may_settle: bool,
}

#[get("/torques")]
pub(super) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let all = visit.app.read(ops::card::torques).await?;
    let (open, joints) = all.into_iter().partition(|it| !it.conflict.is_empty());
    let frame = visit.frame(Task::Parts).await?;
    let may_settle = visit.can(Permission::SettleTorque);
    Ok(visit.show(&TorquesPage { frame, open, joints, may_settle }))
}

#[post("/torques/settle")]
pub(super) async fn post_settle(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::SettleTorque, &form)?;
    let key = form.key()?;
    let number = |name: &str, words: &str| {
        let missing = || Error::invalid("form.field", format!("{words}: choose one"));
        form.read::<u32>(name, words)?.ok_or_else(missing)
    };
    let wish = SettleWish {
        bom: form.text("bom").to_owned(),
        revision: form.text("revision").to_owned(),
        joint: number("joint", "joint")?,
        statement: usize::try_from(number("statement", "which statement holds")?).unwrap_or(0),
        reason: form.text("reason").to_owned(),
    };
    let work = move |tx: &mut crate::store::Tx<'_>| ops::card::settle(tx, &key, &wish);
    let said = visit.app.write(who, work).await;
    let said = said.map(|it| format!("joint {}, {}: settled", it.joint, it.name));
    visit.go("/torques", said)
}

#[get("/cards/{kit}/assembly-card.pdf")]
pub(super) async fn get_card(
    visit: Visit,
    kit: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let (public_url, now) = (visit.app.settings().public_url.clone(), visit.app.now());
    let kit = kit.into_inner();
    let name = format!("{kit}-assembly-card.pdf");
    let print = move |conn: &mut _| {
        let path = ops::verification::link_path(conn, &kit, now)?;
        let link = format!("{public_url}{path}");
        let wish = CardWish { kit, language: None, rider: None, link };
        ops::card::card_pdf(conn, &wish, now.date())
    };
    Ok(page::pdf(&name, visit.app.read(print).await?))
}
