//! Label layouts that the shop may change.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use crate::domain::labels::{LabelKind, LayoutFault};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::web::page::PageError;
use crate::web::pages::{Fields, Frame, Task, Visit};

/// A kind of label in the list of layouts.
#[derive(Debug, Clone)]
pub struct LayoutLine {
    /// The word that names the kind.
    pub word: &'static str,
    /// Whether the shop has changed it.
    pub own: bool,
    /// The label with sample facts, as SVG.
    pub picture: String,
}

/// The page at `/labels/layouts`.
#[derive(Debug, Template)]
#[template(path = "labels/layouts.html")]
pub struct LayoutsPage {
    /// The page around it.
    pub frame: Frame,
    /// The kinds of label.
    pub kinds: Vec<LayoutLine>,
}

/// The page at `/labels/layouts/{kind}`.
#[derive(Debug, Template)]
#[template(path = "labels/layout.html")]
pub struct LayoutPage {
    /// The page around it.
    pub frame: Frame,
    /// The word that names the kind.
    pub word: &'static str,
    /// The layout's text.
    pub text: String,
    /// Whether the one in use is the shop's own.
    pub own: bool,
    /// What is wrong, line by line.
    pub faults: Vec<LayoutFault>,
    /// The label with sample facts, as SVG; empty where the text is at fault.
    pub picture: String,
    /// Rules of GS1 that it falls short of.
    pub warnings: Vec<String>,
    /// The names of facts that it may use.
    pub facts: Vec<&'static str>,
    /// Whether this person may change it.
    pub may_change: bool,
}

impl LayoutPage {
    fn new(visit: &Visit, frame: Frame, kind: LabelKind, text: String, own: bool) -> Self {
        let faults = ops::labels::check_layout(kind, &text);
        let (picture, warnings) = match faults.is_empty() {
            true => ops::labels::sample_svg(kind, &text).unwrap_or_default(),
            false => (String::new(), Vec::new()),
        };
        Self {
            frame,
            word: kind.word(),
            text,
            own,
            faults,
            picture,
            warnings,
            facts: kind.sample().into_keys().collect(),
            may_change: visit.can(Permission::ManagePeople),
        }
    }
}

fn kind_of(word: &str) -> Result<LabelKind, Error> {
    word.parse().map_err(|_| Error::not_found("kind of label", word))
}

#[get("/labels/layouts")]
pub(crate) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::PrintLabels)?;
    let found = visit.app.read(|conn| {
        let kinds = ops::labels::layouts(conn)?;
        let line = |it: ops::labels::OwnLayout| {
            let text = ops::labels::layout_text(conn, it.kind)?.text;
            let picture =
                ops::labels::sample_svg(it.kind, &text).map_or_else(|_| String::new(), |it| it.0);
            Ok(LayoutLine { word: it.kind.word(), own: it.own, picture })
        };
        kinds.into_iter().map(line).collect::<Result<_, Error>>()
    });
    let kinds = found.await?;
    let frame = visit.frame(Task::Labels).await?;
    Ok(visit.show(&LayoutsPage { frame, kinds }))
}

#[get("/labels/layouts/{kind}")]
pub(crate) async fn get_layout(
    visit: Visit,
    kind: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::PrintLabels)?;
    let kind = kind_of(&kind)?;
    let view = visit.app.read(move |conn| ops::labels::layout_text(conn, kind)).await?;
    let frame = visit.frame(Task::Labels).await?;
    Ok(visit.show(&LayoutPage::new(&visit, frame, kind, view.text, view.own)))
}

#[post("/labels/layouts/{kind}")]
pub(crate) async fn post_layout(
    visit: Visit,
    kind: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManagePeople, &form)?;
    let kind = kind_of(&kind)?;
    let text = format!("{}\n", form.text("layout").replace("\r\n", "\n"));
    let here = format!("/labels/layouts/{}", kind.word());
    let faults = ops::labels::check_layout(kind, &text);
    match form.text("do") {
        "reset" => {
            let key = form.key()?;
            let write =
                move |tx: &mut crate::store::Tx<'_>| ops::labels::reset_layout(tx, &key, kind);
            let said = visit.app.write(who, write).await;
            visit.go(&here, said.map(|()| "The layout is the program's own again.".to_owned()))
        }
        "keep" if faults.is_empty() => {
            let key = form.key()?;
            let write = move |tx: &mut crate::store::Tx<'_>| {
                ops::labels::keep_layout(tx, &key, kind, &text)
            };
            let said = visit.app.write(who, write).await;
            visit.go(
                &here,
                said.map(|()| "The layout is kept; labels print with it from now on.".to_owned()),
            )
        }
        _ => {
            let own = visit.app.read(move |conn| ops::labels::layout_text(conn, kind)).await?.own;
            let frame = visit.answered(Task::Labels, None).await?;
            let is_wrong = !faults.is_empty();
            let page = LayoutPage::new(&visit, frame, kind, text, own);
            Ok(if is_wrong { visit.show_refused(&page) } else { visit.show(&page) })
        }
    }
}
