//! The print queue.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use crate::domain::ids::PrintJobId;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::printing::PrintJobView;
use crate::web::page::PageError;
use crate::web::pages::words::{Moment, sentence};
use crate::web::pages::{Fields, Frame, Task, Visit};

/// A job in the queue.
#[derive(Debug, Clone)]
pub struct JobLine {
    /// Its number.
    pub number: i64,
    /// What it prints.
    pub title: String,
    /// The printer's name.
    pub printer: String,
    /// How it stands, in words.
    pub stands: String,
    /// Whether that calls for somebody.
    pub calls: bool,
    /// Why, what is next, and how often it was tried, a sentence each.
    pub words: Vec<String>,
    /// When it was asked for, and by whom.
    pub asked: String,
    /// Whether it can be taken back.
    pub may_cancel: bool,
    /// What the button to try it again says; nothing where it can't be.
    pub retry: Option<&'static str>,
    /// Whether somebody must say whether it printed.
    pub needs_answer: bool,
}

impl From<PrintJobView> for JobLine {
    fn from(it: PrintJobView) -> Self {
        let mut words = Vec::new();
        if !it.words.is_empty() {
            words.push(sentence(&it.words));
        }
        match (it.state.as_str(), it.due_at) {
            ("waiting", Some(at)) if 0 < it.tries => {
                let times = if it.tries == 1 { "once" } else { "several times" };
                words
                    .push(format!("Tried {times}, the next time at {}", at.format("%H:%M:%S UTC")));
            }
            _ => {}
        }
        if let Some(job) = it.printer_job {
            words.push(format!("Job {job} at the printer"));
        }
        let by = it.asked_by.as_deref().unwrap_or("the command line");
        Self {
            number: it.number,
            title: sentence(&it.title),
            printer: it.printer_name,
            stands: it.state_words,
            calls: it.needs_answer || it.state == "failed",
            words,
            asked: format!("{}, {by}", Moment(it.asked_at)),
            may_cancel: it.may_cancel,
            retry: it.may_retry.then_some(match it.state.as_str() {
                "waiting" => "Try now",
                _ => "Try again",
            }),
            needs_answer: it.needs_answer,
        }
    }
}

/// The page at `/printers/queue`.
#[derive(Debug, Template)]
#[template(path = "printers/queue.html")]
pub struct QueuePage {
    /// The page around it.
    pub frame: Frame,
    /// The jobs: those that may have printed first, then what is not over, then what is.
    pub jobs: Vec<JobLine>,
}

#[get("/printers/queue")]
pub(crate) async fn get_queue(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::PrintLabels)?;
    let mut jobs: Vec<JobLine> =
        visit.app.read(ops::printing::jobs).await?.into_iter().map(JobLine::from).collect();
    jobs.sort_by_key(|it| !it.needs_answer);
    let frame = visit.live_frame(Task::Labels).await?;
    Ok(visit.show(&QueuePage { frame, jobs }))
}

#[post("/printers/queue/{number}/{act}")]
pub(crate) async fn post_act(
    visit: Visit,
    path: web::Path<(i64, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::PrintLabels, &form)?;
    let (key, (number, act)) = (form.key()?, path.into_inner());
    let id = PrintJobId::from(number);
    let work = move |tx: &mut crate::store::Tx<'_>| match act.as_str() {
        "cancel" => ops::printing::cancel(tx, &key, id),
        "retry" => ops::printing::retry(tx, &key, id),
        "printed" => ops::printing::answer(tx, &key, id, true),
        "not-printed" => ops::printing::answer(tx, &key, id, false),
        other => Err(Error::not_found("such act", other)),
    };
    let said = visit.app.write(who, work).await;
    let said = said.map(|it| format!("job {}, {}: {}", it.number, it.title, it.state_words));
    visit.go("/printers/queue", said)
}
