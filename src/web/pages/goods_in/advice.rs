//! A supplier's despatch advice: looked at first, then taken in.

use actix_multipart::form::MultipartForm;
use actix_multipart::form::bytes::Bytes;
use actix_multipart::form::text::Text;
use actix_web::{HttpResponse, get, post};
use askama::Template;
use data_encoding::BASE64;

use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::advices::{self, AdviceView};
use crate::web::page::PageError;
use crate::web::pages::import::ImportFault;
use crate::web::pages::words::Day;
use crate::web::pages::{Answer, Frame, Task, Visit, refusal};

/// The page at `/goods-in/advice`.
#[derive(Debug, Template)]
#[template(path = "goods_in/advice.html")]
pub struct AdvicePage {
    /// The page around it.
    pub frame: Frame,
    /// What the file says, once one was sent.
    pub report: Option<AdviceReport>,
}

/// What a file says.
#[derive(Debug)]
pub struct AdviceReport {
    /// The file's name.
    pub file: String,
    /// What is wrong with it.
    pub faults: Vec<ImportFault>,
    /// What it announces, where nothing is.
    pub view: Option<AdviceView>,
    /// The file itself, to be sent along when it is taken in; empty where it can't be.
    pub document: String,
}

impl AdviceReport {
    /// Returns the day that the advice was written, as pages write it.
    pub fn issued(&self) -> String {
        self.view.as_ref().map(|it| Day(it.issued_on).to_string()).unwrap_or_default()
    }
}

#[derive(MultipartForm)]
pub(in crate::web::pages) struct Upload {
    csrf: Text<String>,
    file: Option<Bytes>,
    /// The file that was looked at before.
    document: Option<Text<String>>,
    name: Option<Text<String>>,
}

impl Upload {
    /// Returns the file's name and content, and whether it was looked at before.
    fn content(self) -> Result<(String, Vec<u8>, bool), Error> {
        if let Some(document) = self.document {
            let bytes = BASE64.decode(document.as_bytes()).map_err(|_| {
                Error::invalid("form.field", "document: it can't be read: choose the file anew")
            })?;
            let name = self.name.map(|it| it.into_inner()).unwrap_or_default();
            return Ok((name, bytes, true));
        }
        let missing = || Error::invalid("form.field", "file: choose the advice to be read");
        let file = self.file.ok_or_else(missing)?;
        let name = file.file_name.unwrap_or_else(|| "the file".to_owned());
        Ok((name, file.data.to_vec(), false))
    }
}

#[get("/goods-in/advice")]
pub(in crate::web::pages) async fn get_form(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::TakeAdvice)?;
    let frame = visit.frame(Task::GoodsIn).await?;
    Ok(visit.show(&AdvicePage { frame, report: None }))
}

#[post("/goods-in/advice")]
pub(in crate::web::pages) async fn post_advice(
    visit: Visit,
    upload: MultipartForm<Upload>,
) -> Result<HttpResponse, PageError> {
    let upload = upload.into_inner();
    let who = visit.visitor.may_post(Permission::TakeAdvice, &upload.csrf)?;
    let (file, bytes, accepted) = match upload.content() {
        Ok(content) => content,
        Err(error) => return visit.go("/goods-in/advice", Err(error)),
    };
    let document = BASE64.encode(&bytes);
    let work = move |tx: &mut crate::store::Tx<'_>| advices::take(tx, &bytes);
    let taken = match accepted {
        true => visit.app.write(who, work).await,
        false => visit.app.rehearse(who, work).await,
    };
    let (answer, faults, view) = match taken {
        Ok(view) if accepted => {
            let order = view.lines.first().map(|it| it.order.clone()).unwrap_or_default();
            return visit.go(&format!("/goods-in/{order}"), Ok(view.words));
        }
        Ok(view) if view.known => {
            (Some(Answer::refused(view.words.clone())), Vec::new(), Some(view))
        }
        Ok(view) => (None, Vec::new(), Some(view)),
        Err(Error::Faults(faults)) => {
            let rows = faults.iter().cloned().map(ImportFault::from).collect();
            (Some(refusal(Error::Faults(faults))?), rows, None)
        }
        Err(error) => (Some(refusal(error)?), Vec::new(), None),
    };
    let fresh = view.as_ref().is_some_and(|it| !it.known);
    let document = if fresh { document } else { String::new() };
    let frame = visit.answered(Task::GoodsIn, answer).await?;
    let page = AdvicePage { frame, report: Some(AdviceReport { file, faults, view, document }) };
    Ok(if fresh { visit.show(&page) } else { visit.show_refused(&page) })
}
