//! What Debian's CUPS makes of it.

use insta::assert_snapshot;
use kitwright::domain::people::Role::Owner;
use reqwest::Method;
use serde_json::{Value, json};

use super::{act, document, kit_label, named, printer, queued, wait, wait_until};
use crate::support::app::TestApp;
use crate::support::builders::{key, text};
use crate::support::cups::Cups;
use crate::support::decode::look;
use crate::support::service::Demo;

async fn tried(app: &TestApp, printer: i64) -> Value {
    let path = format!("/api/printers/{printer}/try");
    let (status, answer) = app.post(Owner, &path, Value::Null).await;
    assert_eq!(status, 200, "{answer}");
    answer
}

#[actix_web::test]
async fn a_label_comes_out_to_the_byte_and_its_bars_read() {
    let (app, cups) = (TestApp::start_printing(1), Cups::started());
    let labels = named(&app, printer("Bench", &cups.uri("ipp", "labels"), "100x70")).await;
    let answer = tried(&app, labels).await;
    assert_eq!(answer["ready"], true, "{answer:#}");
    let said = answer["words"].to_string();
    for words in ["waits for a job", "it takes jobs", "it takes PDF"] {
        assert!(said.contains(words), "{said}");
    }
    let job = queued(&app, kit_label(labels, "KT0000131")).await;
    let sent = document(&app, job).await;
    let done = wait(&app, job, &["printed", "failed", "unsure"]).await;
    assert_eq!(done["state"], "printed", "{done:#}\n{}", cups.log());
    assert!(done["printer_job"].is_i64(), "{done:#}");
    let printed = cups.printed();
    assert_eq!(printed.len(), 1);
    assert!(printed[0] == sent, "{} bytes for {}", printed[0].len(), sent.len());
    let seen = look("printed-kit-label", &printed[0]);
    assert_eq!(seen.symbols[0][0].text, "KT0000131");
    assert!(!seen.words.contains("copy"), "{}", seen.words);
}

#[actix_web::test]
async fn papers_go_through_the_print_servers_own_pdf_filter() {
    let (app, cups) = (TestApp::start_printing(1), Cups::started());
    let office = named(&app, printer("Office", &cups.uri("ipp", "office"), "a4")).await;
    let kit = app.kit_of("SO-26-0872").await;
    let list = app.pick_list(&[&kit]).await;
    let wish = json!({ "printer": office, "what": { "pick_list": list } });
    let job = queued(&app, wish).await;
    let done = wait(&app, job, &["printed", "failed", "unsure"]).await;
    assert_eq!(done["state"], "printed", "{done:#}\n{}", cups.log());
    let seen = look("printed-pick-list", &cups.office_pdf());
    let codes: Vec<&str> = seen.symbols.iter().flatten().map(|it| it.text.as_str()).collect();
    assert!(codes.contains(&list.as_str()), "{list} is not among {codes:?}");
    assert!(cups.printed().is_empty(), "it went to one printer alone");
}

#[actix_web::test]
async fn a_printer_that_is_off_gets_the_job_when_it_is_on_and_only_once() {
    let (app, mut cups) = (TestApp::start_printing(1), Cups::new());
    let labels = named(&app, printer("Bench", &cups.uri("ipp", "labels"), "100x70")).await;
    let answer = tried(&app, labels).await;
    assert_eq!(answer["ready"], false);
    assert!(answer.to_string().contains("connection refused"), "{answer}");
    let job = queued(&app, kit_label(labels, "KT0000131")).await;
    let waits = wait_until(&app, job, |it| it["tries"].as_i64() >= Some(2)).await;
    assert_eq!(waits["may_cancel"], true);
    let waits = wait(&app, job, &["waiting"]).await;
    assert!(text(&waits["words"]).contains("connection refused"), "{waits:#}");
    cups.start();
    let done = wait(&app, job, &["printed", "failed", "unsure"]).await;
    assert_eq!(done["state"], "printed", "{done:#}\n{}", cups.log());
    assert_eq!(cups.printed().len(), 1);
}

#[actix_web::test]
async fn a_printer_that_takes_no_jobs_says_so_and_a_person_takes_the_job_back() {
    let (app, cups) = (TestApp::start_printing(1), Cups::started());
    let shut = named(&app, printer("Shut", &cups.uri("ipp", "shut"), "100x70")).await;
    let answer = tried(&app, shut).await;
    assert_eq!(answer["ready"], false);
    assert!(answer.to_string().contains("it takes no jobs"), "{answer}");
    let job = queued(&app, kit_label(shut, "KT0000131")).await;
    let waits = wait_until(&app, job, |it| it["state"] == "waiting" && it["words"] != "").await;
    assert!(text(&waits["words"]).contains("takes no jobs"), "{waits:#}");
    let (status, taken_back) = act(&app, job, "cancel", json!({})).await;
    assert_eq!((status, &taken_back["state"]), (200, &json!("cancelled")));
    let (status, again) = act(&app, job, "cancel", json!({})).await;
    assert_snapshot!(format!("{status} {}", text(&again["title"])), @"409 print job 1 can't be taken back: it stands at 'cancelled'");
}

#[actix_web::test]
#[expect(clippy::await_holding_lock, reason = "the device is to be busy while the service works")]
async fn a_job_that_the_printer_has_is_taken_back_there() {
    let (app, cups) = (TestApp::start_printing(1), Cups::started());
    let labels = named(&app, printer("Bench", &cups.uri("ipp", "labels"), "100x70")).await;
    let busy = cups.device_busy();
    // Whatever stands before it in the device keeps the second one in the print server's queue.
    let first = queued(&app, kit_label(labels, "KT0000131")).await;
    wait(&app, first, &["taken"]).await;
    let part = json!({ "kind": "part", "ids": ["MT108R"] });
    let second = queued(&app, json!({ "printer": labels, "what": { "labels": part } })).await;
    wait(&app, second, &["taken"]).await;
    let (status, _) = act(&app, second, "cancel", json!({})).await;
    assert_eq!(status, 200);
    let gone = wait(&app, second, &["cancelled", "printed", "failed"]).await;
    assert_eq!(gone["state"], "cancelled", "{gone:#}");
    drop(busy);
    wait(&app, first, &["printed"]).await;
    assert_eq!(cups.printed().len(), 1, "the one that was taken back never came out");
}

#[actix_web::test]
async fn an_encrypted_printer_is_trusted_by_the_certificate_that_the_owner_confirmed() {
    let (app, cups) = (TestApp::start_printing(1), Cups::started());
    let entry = printer("Safe", &cups.uri("ipps", "labels"), "100x70");
    let safe = named(&app, entry.clone()).await;
    let answer = tried(&app, safe).await;
    assert_eq!(answer["ready"], false);
    let shown = text(&answer["certificate"]);
    assert_eq!(shown.len(), 95, "32 pairs with colons: {answer:#}");
    let job = queued(&app, kit_label(safe, "KT0000131")).await;
    let refused = wait(&app, job, &["failed", "printed"]).await;
    assert!(text(&refused["words"]).contains("has not confirmed"), "{refused:#}");
    assert!(cups.printed().is_empty());

    let mut confirmed = entry;
    confirmed["certificate"] = json!(shown);
    confirmed["request_key"] = json!(key());
    let path = format!("/api/printers/{safe}");
    let put = app.request(Some(Owner), Method::PUT, &path).json(&confirmed);
    let (status, body) = app.send(put).await;
    assert_eq!(status, 204, "{body}");
    let answer = tried(&app, safe).await;
    assert_eq!(answer["ready"], true, "{answer:#}");
    assert_eq!(act(&app, job, "retry", json!({})).await.0, 200);
    wait(&app, job, &["printed"]).await;
    assert_eq!(cups.printed().len(), 1);

    confirmed["certificate"] = json!("00".repeat(32));
    confirmed["request_key"] = json!(key());
    let put = app.request(Some(Owner), Method::PUT, &path).json(&confirmed);
    assert_eq!(app.send(put).await.0, 204);
    let answer = tried(&app, safe).await;
    assert!(answer.to_string().contains("another certificate"), "{answer:#}");
}

#[actix_web::test]
async fn the_command_line_prints_beside_a_running_service_and_asks_before_a_second_one() {
    let (demo, cups) = (Demo::start(), Cups::started());
    let mut entry = printer("Bench", &cups.uri("ipp", "labels"), "100x70");
    entry["request_key"] = json!(key());
    let (status, made) = demo.post("/api/printers", &entry).await;
    assert_eq!(status, 201, "{made}");
    let print = |more: &[&str]| {
        let output = demo.run(&[&["print", "kit", "KT0000131", "--to", "Bench"], more].concat());
        let said = [output.stdout, output.stderr].concat();
        (output.status.success(), String::from_utf8(said).expect("text"))
    };
    let (done, said) = print(&[]);
    assert!(done && said.contains("kit label KT0000131 goes to Bench as job 1"), "{said}");
    assert!(said.contains("printed: the printer has finished it"), "{said}");
    let (done, said) = print(&[]);
    assert!(!done && said.contains("was asked for already"), "{said}");
    let (done, said) = print(&["--again"]);
    assert!(done && said.contains("as job 2"), "{said}");
    assert_eq!(cups.printed().len(), 2);
    assert!(look("printed-by-command", &cups.printed()[1]).words.contains("copy 2"));
}
