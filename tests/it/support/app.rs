//! The service as it runs: a real server on a free port over books of its own.

use std::collections::BTreeMap;
use std::net::TcpListener;
use std::sync::{Arc, OnceLock, mpsc};
use std::thread::JoinHandle;
use std::time::Duration;

use actix_web::dev::ServerHandle;
use chrono::TimeDelta;
use kitwright::clock::Clock;
use kitwright::demo::{self, DemoPerson};
use kitwright::domain::people::Role;
use kitwright::domain::queue::Pace;
use kitwright::jobs;
use kitwright::ops::audit;
use kitwright::store::Database;
use kitwright::web::{App, Settings, serve};
use reqwest::{Client, Method, RequestBuilder};
use serde_json::Value;

use crate::support::books::{Books, Pattern};

/// What every test's books begin with: the demo shop, one user and one device token per role.
struct Template {
    books: Pattern,
    tokens: BTreeMap<Role, String>,
}

/// A running service with books of its own. When it is dropped, the books are audited.
pub struct TestApp {
    address: String,
    client: Client,
    database: Arc<Database>,
    tokens: BTreeMap<Role, String>,
    server: ServerHandle,
    thread: Option<JoinHandle<()>>,
    home: Arc<Books>,
}

fn clock() -> Clock {
    Clock::Fixed("2026-11-25T09:00:00".parse().expect("a time"))
}

fn open(books: &Books, clock: Clock) -> Database {
    Database::open(&books.url(), clock).expect("the books open")
}

/// Fills books with the demo shop; returns the tokens of its people.
fn fill(books: &Books) -> BTreeMap<Role, String> {
    let people = demo::load(&open(books, clock())).expect("the demo shop loads");
    let token = |it: &DemoPerson| {
        let role: Role = it.login.parse().expect("the demo's people are named by their roles");
        (role, it.token.as_str().to_owned())
    };
    people.iter().map(token).collect()
}

/// Returns books of the demo shop that nobody serves.
pub fn demo_books() -> Books {
    template().books.copy()
}

/// How fast a test's print queue goes.
const QUICK: Pace = Pace {
    first_pause: TimeDelta::seconds(1),
    longest_pause: TimeDelta::seconds(2),
    lease: TimeDelta::seconds(3),
};

fn template() -> &'static Template {
    static TEMPLATE: OnceLock<Template> = OnceLock::new();
    TEMPLATE.get_or_init(|| {
        let books = Books::new("template");
        let tokens = fill(&books);
        Template { books: Pattern::of(books), tokens }
    })
}

impl TestApp {
    /// Returns a running service over the demo shop, at nine on 25 November 2026.
    pub fn start() -> Self {
        Self::start_with(clock(), 0)
    }

    /// Returns a running service over the demo shop, now, with as many workers on each of its queues.
    pub fn start_printing(workers: usize) -> Self {
        Self::start_with(Clock::System, workers)
    }

    fn start_with(clock: Clock, print_workers: usize) -> Self {
        let template = template();
        let books = Arc::new(template.books.copy());
        Self::served(books, template.tokens.clone(), clock, print_workers)
    }

    /// Returns a running service over the demo shop in those empty books.
    #[cfg(feature = "postgres")]
    pub fn start_in(books: Arc<Books>) -> Self {
        let tokens = fill(&books);
        Self::serving(books, tokens)
    }

    /// Returns another instance of the service over the same books.
    pub fn beside(&self) -> Self {
        Self::serving(Arc::clone(&self.home), self.tokens.clone())
    }

    /// Returns another instance over the same books, now, with as many workers on each queue.
    pub fn beside_printing(&self, workers: usize) -> Self {
        Self::served(Arc::clone(&self.home), self.tokens.clone(), Clock::System, workers)
    }

    /// Returns another instance of the service over the same books, so many minutes later.
    pub fn later(&self, minutes: i64) -> Self {
        let clock = Clock::Fixed(clock().now() + TimeDelta::minutes(minutes));
        Self::served(Arc::clone(&self.home), self.tokens.clone(), clock, 0)
    }

    /// Returns the books' home.
    #[cfg(feature = "postgres")]
    pub fn home(&self) -> &Books {
        &self.home
    }

    /// Returns the device tokens of all roles.
    #[cfg(feature = "postgres")]
    pub fn tokens(&self) -> &BTreeMap<Role, String> {
        &self.tokens
    }

    /// Returns a running service over those books, whose people have those tokens.
    pub fn serving(books: Arc<Books>, tokens: BTreeMap<Role, String>) -> Self {
        Self::served(books, tokens, clock(), 0)
    }

    fn served(
        books: Arc<Books>,
        tokens: BTreeMap<Role, String>,
        clock: Clock,
        print_workers: usize,
    ) -> Self {
        let database = Arc::new(open(&books, clock));
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let address = format!("http://{}", listener.local_addr().expect("a port"));
        let settings = Settings { public_url: "https://box.skarnholt.example".to_owned() };
        let app = App::new(Arc::clone(&database), settings);
        let (sender, receiver) = mpsc::channel();
        let queue = Arc::clone(&database);
        let thread = std::thread::spawn(move || {
            actix_web::rt::System::new().block_on(async {
                let server = serve(app, listener, 2).expect("the service starts");
                for _ in 0..print_workers {
                    let tick = Duration::from_millis(100);
                    actix_web::rt::spawn(jobs::printing::run(Arc::clone(&queue), QUICK, tick));
                    actix_web::rt::spawn(jobs::outbox::run(Arc::clone(&queue), QUICK, tick));
                    actix_web::rt::spawn(jobs::alerts::run(Arc::clone(&queue), tick));
                }
                sender.send(server.handle()).expect("the test waits");
                server.await.expect("the service ends well");
            });
        });
        let server = receiver.recv().expect("the service starts");
        Self {
            address,
            client: Client::new(),
            database,
            tokens,
            server,
            thread: Some(thread),
            home: books,
        }
    }

    /// Returns the whole address of a path.
    pub fn url(&self, path: &str) -> String {
        format!("{}{path}", self.address)
    }

    /// Returns a request by a role's device; by nobody's where there is none.
    pub fn request(&self, role: Option<Role>, method: Method, path: &str) -> RequestBuilder {
        let request = self.client.request(method, self.url(path));
        match role.and_then(|it| self.tokens.get(&it)) {
            Some(token) => request.bearer_auth(token),
            None => request,
        }
    }

    /// Sends a request; returns status and body, null where there is none.
    pub async fn send(&self, request: RequestBuilder) -> (u16, Value) {
        let response = request.send().await.expect("an answer");
        let status = response.status().as_u16();
        let text = response.text().await.expect("a body");
        if text.is_empty() {
            return (status, Value::Null);
        }
        (status, serde_json::from_str(&text).unwrap_or(Value::String(text)))
    }

    /// Gets an address.
    pub async fn get(&self, role: Role, path: &str) -> (u16, Value) {
        self.send(self.request(Some(role), Method::GET, path)).await
    }

    /// Gets an address that is there.
    pub async fn look(&self, path: &str) -> Value {
        let (status, body) = self.get(Role::Owner, path).await;
        assert_eq!(status, 200, "{path}: {body}");
        body
    }

    /// Posts JSON.
    pub async fn post(&self, role: Role, path: &str, body: Value) -> (u16, Value) {
        self.send(self.request(Some(role), Method::POST, path).json(&body)).await
    }

    /// Imports a file as the owner does.
    pub async fn import(&self, kind: &str, text: &str) -> (u16, Value) {
        let request =
            self.request(Some(Role::Owner), Method::POST, &format!("/api/imports/{kind}"));
        let request = request.header("content-type", "text/csv");
        self.send(request.body(text.to_owned())).await
    }

    /// Returns the books behind the service.
    pub fn books(&self) -> &Database {
        &self.database
    }

    /// Returns a role's device token.
    pub fn token(&self, role: Role) -> &str {
        self.tokens.get(&role).expect("each role has a token")
    }

    fn findings(&self) -> Vec<String> {
        let proofs = self.database.read(audit::check).expect("the audit runs");
        proofs.into_iter().flat_map(|it| it.findings).collect()
    }
}

impl Drop for TestApp {
    fn drop(&mut self) {
        // The command to stop is sent by the call itself; nothing is left to wait for.
        drop(self.server.stop(false));
        let ended = self.thread.take().is_none_or(|it| it.join().is_ok());
        let findings = self.findings();
        if !std::thread::panicking() {
            assert!(ended, "the service ended badly");
            assert_eq!(findings, Vec::<String>::new(), "the books don't add up");
        }
    }
}
