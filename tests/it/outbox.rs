//! What the shop sends by itself, at a mail server and at receivers of webhooks.

use std::collections::BTreeSet;
use std::net::TcpListener;
use std::time::{Duration, Instant};

use chrono::TimeDelta;
use data_encoding::BASE64;
use hmac::{Hmac, KeyInit, Mac};
use kitwright::domain::outbox::About;
use kitwright::domain::people::Role::Owner;
use kitwright::domain::queue::Pace;
use kitwright::ops::outbox::{self, Mail, MailFile, MailServerEntry};
use kitwright::store::{Tx, Who};
use serde_json::{Value, json};
use sha2::Sha256;

use crate::support::app::TestApp;
use crate::support::builders::{rows, text};
use crate::support::desk::Desk;
use crate::support::outside::{Asked, Posted, mail_server, receiver};

/// Names a mail server on that port.
fn name_server(app: &TestApp, port: u16) {
    let entry = MailServerEntry {
        server: Some(format!("127.0.0.1:{port}")),
        security: Some("none".to_owned()),
        from: Some("shop@skarnholt.example".to_owned()),
        ..MailServerEntry::default()
    };
    let named = app.books().write(Who::Program, |tx| outbox::set_mail_server(tx, &entry));
    named.expect("the server is named");
}

fn mail(to: &str, subject: &str) -> Mail {
    Mail {
        to: to.parse().expect("an address"),
        subject: subject.to_owned(),
        text: "Hei,\n.\n\u{1f6e0} takk.\n".to_owned(),
        files: Vec::new(),
        about: About::PurchaseOrder("PO-26-162".to_owned()),
    }
}

fn queue(app: &TestApp, mail: &Mail) -> i64 {
    let queued = app.books().write(Who::Program, |tx| outbox::queue_mail(tx, mail));
    queued.expect("it is queued").into()
}

async fn until<T>(mut there: impl AsyncFnMut() -> Result<T, String>) -> T {
    let began = Instant::now();
    loop {
        match there().await {
            Ok(found) => return found,
            Err(now) => assert!(began.elapsed() < Duration::from_secs(40), "it stands at {now}"),
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

/// Waits until a message stands at `state`, and returns it.
async fn stands(app: &TestApp, message: i64, state: &str) -> Value {
    until(async || {
        let now = app.look(&format!("/api/messages/{message}")).await;
        if now["state"] == state { Ok(now) } else { Err(now.to_string()) }
    })
    .await
}

async fn act(app: &TestApp, message: i64, act: &str, body: Value) -> u16 {
    app.act(Owner, &format!("/api/messages/{message}/{act}"), body).await.0
}

fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    listener.local_addr().expect("a port").port()
}

/// A claim that has run out when it is made.
const OVER: Pace = Pace {
    first_pause: TimeDelta::zero(),
    longest_pause: TimeDelta::zero(),
    lease: TimeDelta::seconds(-1),
};

#[actix_web::test]
async fn a_letter_is_sent_once_or_it_is_said_that_it_may_have_been() {
    let app = TestApp::start_printing(1);
    let refused = app.books().write(Who::Program, |tx| {
        outbox::queue_mail(tx, &mail("orders@lindqvist.example", "no server"))
    });
    assert_eq!(refused.expect_err("nobody named one").code(), "outbox.no_server");

    // The server is down, then up.
    let port = free_port();
    name_server(&app, port);
    let pdf: Vec<u8> = (0..=255).cycle().take(5000).collect();
    let file = MailFile {
        name: "PO-26-162 Þóra.pdf".to_owned(),
        media_type: "application/pdf".to_owned(),
        content: pdf.clone(),
    };
    let order =
        Mail { files: vec![file], ..mail("orders@lindqvist.example", "Order\r\nBcc: x@y.example") };
    let order = queue(&app, &order);
    let waits = until(async || {
        let now = app.look(&format!("/api/messages/{order}")).await;
        if now["tries"].as_i64() > Some(0) && now["state"] == "waiting" {
            Ok(now)
        } else {
            Err(now.to_string())
        }
    })
    .await;
    assert!(text(&waits["words"]).contains("does not answer as a mail server"), "{waits}");
    let listener = TcpListener::bind(("127.0.0.1", port)).expect("the port is free");
    let letters = mail_server(listener, |asked| match asked {
        Asked::For(to) if to.starts_with("nobody@") => Some("550 5.1.1 no such mailbox"),
        Asked::For(to) if to.starts_with("busy@") => Some("451 4.7.1 come back later"),
        Asked::Take(it) if it.text.contains("Subject: lost") => None,
        _ => Some("250 OK"),
    });
    let of = |subject: &str| {
        let start = format!("Subject: {subject}");
        let all = letters.lock().expect("letters");
        all.iter().filter(|it| it.text.contains(&start)).cloned().collect::<Vec<_>>()
    };
    let sent = stands(&app, order, "sent").await;
    assert!(text(&sent["words"]).contains("250"), "{sent}");
    let got = of("Order");
    assert_eq!((got.len(), got[0].to.as_str()), (1, "orders@lindqvist.example"));
    assert_eq!(got[0].header("Subject"), "Order  Bcc: x@y.example");
    assert!(got[0].header("From").ends_with("<shop@skarnholt.example>"), "{}", got[0].text);
    assert_eq!(got[0].header("Auto-Submitted"), "auto-generated");
    let packed: String = got[0].text.lines().collect();
    assert!(packed.contains(&BASE64.encode(&pdf)), "the file came through to the byte");

    // An address that is refused, for good or for now.
    let refused = queue(&app, &mail("nobody@lindqvist.example", "refused"));
    let failed = stands(&app, refused, "failed").await;
    assert!(text(&failed["words"]).contains("no such mailbox"), "{failed}");
    assert_eq!((failed["tries"].as_i64(), of("refused").len()), (Some(1), 0));
    assert_eq!(act(&app, refused, "give-up", json!({})).await, 200);
    assert_eq!(act(&app, refused, "retry", json!({})).await, 409);
    let busy = queue(&app, &mail("busy@lindqvist.example", "busy"));
    until(async || {
        let now = app.look(&format!("/api/messages/{busy}")).await;
        if text(&now["words"]).contains("come back later") { Ok(()) } else { Err(now.to_string()) }
    })
    .await;
    until(async || match act(&app, busy, "give-up", json!({})).await {
        200 => Ok(()),
        status => Err(status.to_string()),
    })
    .await;

    // The server breaks off once it has the letter: only a person can tell.
    let lost = queue(&app, &mail("orders@lindqvist.example", "lost"));
    let unsure = stands(&app, lost, "unsure").await;
    assert_eq!((&unsure["needs_answer"], of("lost").len()), (&json!(true), 1));
    assert_eq!(act(&app, lost, "retry", json!({})).await, 409);
    let owner = Desk::sign_in(&app, Owner).await;
    owner.open("/").await.says("Messages that call for you");
    let form = owner.open("/messages").await.form(&format!("/messages/{lost}/arrived"));
    owner.send(&form).await.says("Done");
    stands(&app, lost, "sent").await;
    assert_eq!(of("lost").len(), 1);

    // The service ends between the letter and its note, and before the letter.
    let crashed = |subject: &str, begun: bool| {
        let letter = mail("orders@lindqvist.example", subject);
        let work = |tx: &mut Tx<'_>| {
            let id = outbox::queue_mail(tx, &letter)?;
            let work = outbox::claim(tx, &OVER)?.expect("it is due");
            assert_eq!(work.id, id);
            assert!(!begun || outbox::begin(tx, &work, &OVER)?);
            Ok(i64::from(id))
        };
        app.books().write(Who::Program, work).expect("it is in hand")
    };
    let after = crashed("after", true);
    let unsure = stands(&app, after, "unsure").await;
    let before = crashed("before", false);
    stands(&app, before, "sent").await;
    assert!(text(&unsure["words"]).contains("as the letter was sent"), "{unsure}");
    assert_eq!((of("before").len(), of("after").len()), (1, 0));
    assert_eq!(act(&app, after, "answer", json!({ "arrived": false })).await, 200);
    stands(&app, after, "sent").await;
    assert_eq!(of("after").len(), 1);
}

/// Judges the signature of a post with the key as its receiver has it.
fn is_signed(post: &Posted, key: &str) -> bool {
    let key = BASE64.decode(key.strip_prefix("whsec_").expect("a key").as_bytes()).expect("base64");
    let (id, at) = (post.header("webhook-id"), post.header("webhook-timestamp"));
    let mut mac = Hmac::<Sha256>::new_from_slice(&key).expect("a key");
    mac.update(format!("{id}.{at}.{}", post.body).as_bytes());
    let sign =
        BASE64.decode(post.header("webhook-signature").strip_prefix("v1,").expect("v1").as_bytes());
    mac.verify_slice(&sign.expect("base64")).is_ok()
}

/// Returns the alerts of a post's list, by kit, line and cause.
fn named(post: &Posted, list: &str) -> BTreeSet<(String, i64, String)> {
    let body: Value = serde_json::from_str(&post.body).expect("JSON");
    names(&body["data"][list])
}

fn names(alerts: &Value) -> BTreeSet<(String, i64, String)> {
    let name =
        |it: &Value| (text(&it["kit"]), it["line"].as_i64().expect("a line"), text(&it["cause"]));
    let all: Vec<_> = rows(alerts).iter().map(name).collect();
    let set: BTreeSet<_> = all.iter().cloned().collect();
    assert_eq!(all.len(), set.len(), "one of them twice: {alerts}");
    set
}

#[actix_web::test]
async fn each_alert_is_told_once_by_whichever_instance() {
    let first = TestApp::start_printing(1);
    let second = first.beside_printing(1);
    // The first post is refused, and comes again with the same number.
    let (address, posts) = receiver(|count| if count == 0 { 503 } else { 204 });
    let owner = Desk::sign_in(&first, Owner).await;
    let mut form = owner.open("/messages/setup").await.form("/messages/receivers");
    form.fields.insert("address".to_owned(), "no address".to_owned());
    owner.send(&form).await.says("no mail address");
    form.fields.insert("address".to_owned(), address.clone());
    let page = owner.send(&form).await;
    page.says("is told of missing parts");
    let key = page.html.split("whsec_").nth(1).expect("its key").split('<').next().expect("an end");
    let key = format!("whsec_{key}");
    let posted = async |count: usize| {
        until(async || {
            let posts = posts.lock().expect("posts").clone();
            if count <= posts.len() { Ok(posts) } else { Err(format!("{} posts", posts.len())) }
        })
        .await
    };
    let told = posted(2).await;
    let alerts = names(&second.look("/api/alerts").await);
    assert!(3 < alerts.len(), "{alerts:?}");
    assert_eq!((named(&told[0], "raised"), &told[0].body), (alerts.clone(), &told[1].body));
    assert_eq!(told[0].header("webhook-id"), told[1].header("webhook-id"));
    assert!(told.iter().all(|it| is_signed(it, &key)), "{told:?}");
    assert!(!is_signed(&Posted { body: "{}".to_owned(), ..told[0].clone() }, &key));

    // An order is cancelled: what it lacked is missing no more, and nothing else is told again.
    let order = rows(&second.look("/api/alerts").await)[0]["order"].clone();
    let path = format!("/orders/{}/cancel", text(&order));
    let form = owner.open(&format!("/orders/{}", text(&order))).await.form(&path);
    owner.send(&form).await;
    let told = posted(3).await;
    let left = names(&second.look("/api/alerts").await);
    let ended: BTreeSet<_> = alerts.difference(&left).cloned().collect();
    assert_eq!((named(&told[2], "cleared"), ended.is_empty()), (ended, false));
    assert_eq!(named(&told[2], "raised"), left.difference(&alerts).cloned().collect());

    // Many letters at once, sent by both: each once.
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    name_server(&first, listener.local_addr().expect("a port").port());
    let letters = mail_server(listener, |_| Some("250 OK"));
    let numbers: Vec<i64> = (0..40)
        .map(|it| queue(&first, &mail("orders@lindqvist.example", &format!("no {it}."))))
        .collect();
    for it in &numbers {
        stands(&second, *it, "sent").await;
    }
    let letters = letters.lock().expect("letters").clone();
    let subjects: BTreeSet<&str> = letters.iter().map(|it| it.header("Subject")).collect();
    assert_eq!((letters.len(), subjects.len()), (40, 40));
    assert_eq!(posts.lock().expect("posts").len(), 3, "no alert is told twice");
}
