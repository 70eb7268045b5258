//! A person at a browser without scripts: opens pages, fills forms in, and sends them.

use std::collections::BTreeMap;

use kitwright::domain::people::Role;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};
use reqwest::{Client, Response};

use super::app::TestApp;

/// A person who is signed in.
pub struct Desk<'a> {
    app: &'a TestApp,
    client: Client,
}

/// A page as it came.
pub struct Page {
    pub status: u16,
    pub path: String,
    pub html: String,
}

/// A form of a page with what it holds, to be filled in.
pub struct Form {
    action: String,
    pub fields: BTreeMap<String, String>,
}

impl<'a> Desk<'a> {
    pub async fn sign_in(app: &'a TestApp, role: Role) -> Self {
        let client = Client::builder().cookie_store(true).build().expect("a client");
        let desk = Self { app, client };
        let password = format!("demo-{}", role.as_str());
        let fields = [("name", role.as_str()), ("password", password.as_str()), ("next", "")];
        let fields = fields.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned()));
        let page =
            desk.send(&Form { action: "/sign-in".to_owned(), fields: fields.collect() }).await;
        assert!(page.html.contains("Sign out"), "{}", page.html);
        desk
    }

    /// Returns the same person, with the same cookies, at another instance of the service.
    pub fn at(&self, app: &'a TestApp) -> Self {
        Self { app, client: self.client.clone() }
    }

    /// Opens a page.
    pub async fn open(&self, path: &str) -> Page {
        page(self.client.get(self.app.url(path)).send().await.expect("an answer")).await
    }

    /// Opens what is never whole, such as a stream of events.
    pub async fn stream(&self, path: &str) -> Response {
        self.client.get(self.app.url(path)).send().await.expect("an answer")
    }

    /// Sends a form and follows where it leads.
    pub async fn send(&self, form: &Form) -> Page {
        let encoded = |text: &str| utf8_percent_encode(text, NON_ALPHANUMERIC).to_string();
        let fields = form.fields.iter();
        let pairs = fields.map(|(name, text)| format!("{}={}", encoded(name), encoded(text)));
        let body = pairs.collect::<Vec<_>>().join("&");
        let request = self.client.post(self.app.url(&form.action));
        let request =
            request.header("content-type", "application/x-www-form-urlencoded").body(body);
        page(request.send().await.expect("an answer")).await
    }

    /// Sends a file to the import page.
    pub async fn import(&self, kind: &str, action: &str, file: &str) -> Page {
        let form = self.open("/import").await.form("/import");
        let file = reqwest::multipart::Part::bytes(file.as_bytes().to_vec()).file_name("file.csv");
        let body = reqwest::multipart::Form::new()
            .text("csrf", form.fields["csrf"].clone())
            .text("kind", kind.to_owned())
            .text("do", action.to_owned())
            .part("file", file);
        let request = self.client.post(self.app.url("/import")).multipart(body);
        page(request.send().await.expect("an answer")).await
    }

    /// Sends a file to the page of that address, in a field of that name.
    pub async fn send_file(&self, path: &str, field: &'static str, text: &str) -> Page {
        let file = reqwest::multipart::Part::bytes(text.as_bytes().to_vec()).file_name("file.xml");
        let csrf = self.open(path).await.form(path).fields["csrf"].clone();
        let body = reqwest::multipart::Form::new().text("csrf", csrf).part(field, file);
        page(self.client.post(self.app.url(path)).multipart(body).send().await.expect("an answer"))
            .await
    }

    /// Sends one field to the page of that address, as a form with files does.
    pub async fn send_text(&self, path: &str, field: &'static str, text: &str) -> Page {
        let csrf = self.open(path).await.form(path).fields["csrf"].clone();
        let body = reqwest::multipart::Form::new().text("csrf", csrf).text(field, text.to_owned());
        page(self.client.post(self.app.url(path)).multipart(body).send().await.expect("an answer"))
            .await
    }
}

async fn page(response: Response) -> Page {
    let (status, path) = (response.status().as_u16(), response.url().path().to_owned());
    Page { status, path, html: response.text().await.expect("a page") }
}

impl Page {
    /// Returns the form that is posted to that address.
    pub fn form(&self, action: &str) -> Form {
        let start = format!("method=\"post\" action=\"{action}\"");
        let (_, rest) = self.html.split_once(&start).unwrap_or_else(|| {
            panic!("no form is sent to {action} on {}:\n{}", self.path, self.words())
        });
        let body = rest.split("</form>").next().expect("a form ends");
        let mut fields = BTreeMap::new();
        for tag in body.split("<input ").skip(1).map(|it| it.split('>').next().expect("it ends")) {
            let ticks = ["radio", "checkbox"]
                .iter()
                .any(|it| attribute(tag, "type").as_deref() == Some(it));
            if let Some(name) =
                attribute(tag, "name").filter(|_| !ticks || tag.contains(" checked"))
            {
                fields.insert(name, attribute(tag, "value").unwrap_or_default());
            }
        }
        for select in body.split("<select ").skip(1) {
            let options = select.split("</select>").next().expect("it ends");
            let chosen = options.split("<option ").find(|it| it.contains(" selected"));
            let chosen = chosen.or_else(|| options.split("<option ").nth(1));
            let name = attribute(select, "name").expect("a name");
            fields.insert(name, chosen.and_then(|it| attribute(it, "value")).unwrap_or_default());
        }
        for area in body.split("<textarea ").skip(1) {
            let (tag, rest) = area.split_once('>').expect("it ends");
            let text = rest.split("</textarea>").next().expect("it ends");
            fields.insert(attribute(tag, "name").expect("a name"), plain(text));
        }
        Form { action: action.to_owned(), fields }
    }

    /// Returns what a person reads, without the marks, in single blanks.
    pub fn words(&self) -> String {
        let text: String = self
            .html
            .split('<')
            .filter_map(|it| it.split_once('>'))
            .map(|(_, text)| format!("{text} "))
            .collect();
        plain(&text).split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Checks that a person reads that.
    #[track_caller]
    pub fn says(&self, words: &str) -> &Self {
        assert!(self.words().contains(words), "'{words}' is not said:\n{}", self.words());
        self
    }
}

impl Form {
    /// Returns the form with a field filled in that it has.
    #[track_caller]
    pub fn fill(mut self, name: &str, text: &str) -> Self {
        let old = self.fields.insert(name.to_owned(), text.to_owned());
        assert!(old.is_some(), "the form has no field {name}");
        self
    }

    /// Returns the form with a field that a button or an empty list adds.
    pub fn with(mut self, name: &str, text: &str) -> Self {
        self.fields.insert(name.to_owned(), text.to_owned());
        self
    }
}

fn attribute(tag: &str, name: &str) -> Option<String> {
    let tag = format!(" {tag}");
    let (_, rest) = tag.split_once(&format!(" {name}=\""))?;
    rest.split_once('"').map(|it| plain(it.0))
}

fn plain(text: &str) -> String {
    let marks = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#34;", "\""),
        ("&#39;", "'"),
        ("&#60;", "<"),
        ("&#62;", ">"),
        ("&#38;", "&"),
        ("&amp;", "&"),
    ];
    marks.iter().fold(text.to_owned(), |text, (mark, plain)| text.replace(mark, plain))
}
