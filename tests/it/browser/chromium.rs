//! Headless Chromium through its own driver.

use std::path::Path;
use std::process::Command;
use std::time::Duration;

use fantoccini::key::Key;
use fantoccini::wd::TimeoutConfiguration;
use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::json;

use crate::support::folder::Folder;
use crate::support::service::{Program, start};

/// What the pages are looked at on.
#[derive(Debug, Clone, Copy)]
pub enum Screen {
    Desk,
    /// 360 by 740 CSS pixels, with touch.
    Phone,
}

pub struct Browser {
    client: Client,
    screen: Screen,
    _driver: Program,
    _profile: Folder,
}

const PATIENCE: Duration = Duration::from_secs(15);

impl Browser {
    pub async fn open(screen: Screen) -> Self {
        let profile = Folder::new("chromium");
        let mut command = Command::new("chromedriver");
        let (driver, port) = start(command.arg("--port=0"), |line| {
            let (_, port) = line.split_once("started successfully on port ")?;
            port.trim_end_matches('.').parse::<u16>().ok()
        });
        let mut options = json!({ "args": [
            "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
            "--disable-background-networking", "--disable-component-update", "--disable-sync",
            "--disable-dev-shm-usage", "--window-size=1280,900",
            format!("--user-data-dir={}", profile.path().display()),
        ] });
        if let Screen::Phone = screen {
            options["mobileEmulation"] =
                json!({ "deviceMetrics": { "width": 360, "height": 740, "pixelRatio": 2.0 } });
        }
        let wanted = json!({ "browserName": "chrome", "goog:chromeOptions": options });
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(wanted.as_object().expect("an object").clone())
            .connect(&format!("http://127.0.0.1:{port}"))
            .await
            .expect("Chromium opens");
        let waits = TimeoutConfiguration::new(None, Some(PATIENCE), Some(PATIENCE));
        client.update_timeouts(waits).await.expect("it waits");
        Self { client, screen, _driver: driver, _profile: profile }
    }

    pub async fn close(self) {
        self.client.close().await.expect("Chromium closes");
    }

    /// Drops the session's cookie.
    pub async fn forget(&self) {
        self.client.delete_all_cookies().await.expect("cookies are dropped");
    }

    pub async fn go(&self, address: &str) {
        self.client.goto(address).await.expect("the page opens");
    }

    /// The path of the page shown.
    pub async fn path(&self) -> String {
        self.client.current_url().await.expect("an address").path().to_owned()
    }

    pub async fn html(&self) -> String {
        self.client.source().await.expect("a page")
    }

    pub async fn text(&self) -> String {
        let script = "return document.body.innerText";
        let text = self.client.execute(script, vec![]).await.expect("a page");
        text.as_str().unwrap_or_default().to_owned()
    }

    /// Waits until the page says that, in capitals or small letters.
    pub async fn sees(&self, words: &str) {
        for _ in 0..75 {
            if self.text().await.to_lowercase().contains(&words.to_lowercase()) {
                return;
            }
            actix_web::rt::time::sleep(Duration::from_millis(200)).await;
        }
        panic!("'{words}' is not on the page:\n{}", self.text().await);
    }

    async fn count(&self, selector: &str) -> usize {
        self.client.find_all(Locator::Css(selector)).await.expect("a page").len()
    }

    /// Presses the first of these, each time on the page that follows, until there is none left.
    pub async fn press_each(&self, selector: &str) {
        let mut left = self.count(selector).await;
        while 0 < left {
            self.press(selector).await;
            for _ in 0..75 {
                if self.count(selector).await < left {
                    break;
                }
                actix_web::rt::time::sleep(Duration::from_millis(100)).await;
            }
            let now = self.count(selector).await;
            assert!(now < left, "{selector} stays:\n{}", self.text().await);
            left = now;
        }
    }

    pub async fn is_disabled(&self, selector: &str) -> bool {
        let found = self.client.find(Locator::Css(selector)).await.expect(selector);
        !found.is_enabled().await.expect("a state")
    }

    pub async fn fill(&self, selector: &str, text: &str) {
        let field = self.client.find(Locator::Css(selector)).await.expect(selector);
        field.send_keys(text).await.expect(selector);
    }

    /// Types into a field in place of what it holds.
    pub async fn retype(&self, selector: &str, text: &str) {
        let field = self.client.find(Locator::Css(selector)).await.expect(selector);
        field.clear().await.expect(selector);
        field.send_keys(text).await.expect(selector);
    }

    /// Presses something and waits for the page that follows, if one does.
    pub async fn press(&self, selector: &str) {
        let found = self.client.find(Locator::Css(selector)).await.expect(selector);
        found.click().await.unwrap_or_else(|fault| panic!("{selector}: {fault}"));
    }

    /// Scans as a hand scanner does: types into the field that has the focus, then Enter. Waits for
    /// the answer, which must be the one named: done or refused.
    pub async fn scan(&self, code: &str, outcome: &str) {
        // An old answer may say the same, so it is marked before the new one comes.
        let mark = "document.querySelectorAll('[data-outcome]').forEach(it => it.dataset.old = 1)";
        self.client.execute(mark, vec![]).await.expect("a page");
        let field = self.client.active_element().await.expect("a field has the focus");
        let name = field.attr("name").await.expect("a field").unwrap_or_default();
        assert_eq!(name, "scan", "the scan field has the focus");
        field.send_keys(&format!("{code}{}", Key::Enter)).await.expect("it takes keys");
        let new = "[data-outcome]:not([data-old])";
        let wait = self.client.wait().at_most(PATIENCE);
        if wait.for_element(Locator::Css(new)).await.is_err() {
            panic!("no answer to {code}:\n{}", self.text().await);
        }
        let answer = self.client.find(Locator::Css(new)).await.expect("an answer");
        let said = answer.attr("data-outcome").await.expect("an answer").unwrap_or_default();
        assert_eq!(said, outcome, "{code}:\n{}", self.text().await);
    }

    /// Keeps a picture of the whole page, for a person to look at.
    pub async fn picture(&self, name: &str) {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pages");
        std::fs::create_dir_all(&folder).expect("a folder");
        if let Screen::Desk = self.screen {
            let script = "return Math.min(4000, document.documentElement.scrollHeight)";
            let height = self.client.execute(script, vec![]).await.expect("a page");
            let height = u32::try_from(height.as_u64().unwrap_or(900)).unwrap_or(900);
            self.client.set_window_size(1280, height.max(900)).await.expect("it grows");
        }
        let png = self.client.screenshot().await.expect("a picture");
        std::fs::write(folder.join(format!("{name}.png")), png).expect("it is kept");
    }
}
