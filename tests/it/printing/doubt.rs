//! Where it is not certain whether something was printed.

use std::sync::{Arc, Mutex};
use std::time::Duration;

use ipp::model::StatusCode;
use kitwright::domain::people::Role::Owner;
use serde_json::json;

use super::{act, kit_label, named, printer, queued, wait, wait_until};
use crate::support::app::TestApp;
use crate::support::builders::text;
use crate::support::printer::{
    CANCEL_JOB, CREATE_JOB, JOB_ATTRIBUTES, JOBS, PRINT_JOB, PRINTER_ATTRIBUTES, Reply,
    SEND_DOCUMENT, Stub, idle, job, status,
};
use crate::support::service::{Demo, serve_again};

const WHOLE: [u16; 4] = [PRINT_JOB, CANCEL_JOB, JOB_ATTRIBUTES, JOBS];
const IN_TWO: [u16; 6] = [PRINT_JOB, CREATE_JOB, SEND_DOCUMENT, CANCEL_JOB, JOB_ATTRIBUTES, JOBS];

fn ok() -> Reply {
    Reply::Ipp(status(StatusCode::SuccessfulOk))
}

#[actix_web::test]
async fn a_printer_that_took_the_job_and_died_is_looked_at_by_a_person() {
    let app = TestApp::start_printing(1);
    let mut sent = 0;
    let stub = Stub::start(move |asked| match asked.operation {
        PRINTER_ATTRIBUTES => idle(&WHOLE),
        PRINT_JOB => {
            sent += 1;
            if sent == 1 { Reply::Dies } else { job(7, "", 9, 1) }
        }
        JOB_ATTRIBUTES => job(7, "", 9, 1),
        _ => ok(),
    });
    let number = named(&app, printer("Old", &stub.uri(), "100x70")).await;
    let print = queued(&app, kit_label(number, "KT0000131")).await;
    let unsure = wait(&app, print, &["unsure", "printed", "failed"]).await;
    assert_eq!((&unsure["state"], &unsure["needs_answer"]), (&json!("unsure"), &json!(true)));
    assert!(text(&unsure["words"]).contains("lists no such job"), "{unsure:#}");
    tokio::time::sleep(Duration::from_secs(4)).await;
    assert_eq!(stub.documents().len(), 1, "it is not sent again by itself");
    let still = app.look(&format!("/api/print-jobs/{print}")).await;
    assert!(text(&still["words"]).contains("broke off before it answered"), "{still:#}");
    assert_eq!(act(&app, print, "retry", json!({})).await.0, 409, "nor by trying again");

    let (status, _) = act(&app, print, "answer", json!({ "printed": false })).await;
    assert_eq!(status, 200);
    wait(&app, print, &["printed"]).await;
    let documents = stub.documents();
    assert_eq!(documents.len(), 2);
    let tail = |at: usize| documents[at].body.windows(5).position(|it| it == b"%PDF-");
    let pdf = |at: usize| documents[at].body[tail(at).expect("a PDF")..].to_vec();
    assert!(pdf(0) == pdf(1), "the very same document is sent again, and no copy of it");
    assert_eq!(act(&app, print, "answer", json!({ "printed": true })).await.0, 409);
}

#[actix_web::test]
async fn a_person_who_saw_it_on_paper_ends_the_doubt() {
    let app = TestApp::start_printing(1);
    let stub = Stub::start(|asked| match asked.operation {
        PRINTER_ATTRIBUTES => idle(&WHOLE),
        PRINT_JOB => Reply::Raw(b"HTTP/1.1 200 OK\r\nContent-Length: 900\r\n\r\n\x01\x01".to_vec()),
        _ => ok(),
    });
    let number = named(&app, printer("Old", &stub.uri(), "100x70")).await;
    let print = queued(&app, kit_label(number, "KT0000131")).await;
    wait(&app, print, &["unsure"]).await;
    let (_, done) = act(&app, print, "answer", json!({ "printed": true })).await;
    assert_eq!((&done["state"], &done["needs_answer"]), (&json!("printed"), &json!(false)));
    tokio::time::sleep(Duration::from_secs(2)).await;
    let still = app.look(&format!("/api/print-jobs/{print}")).await;
    assert_eq!(still["state"], "printed");
    assert_eq!(stub.documents().len(), 1);
}

#[actix_web::test]
async fn a_printer_that_lists_the_job_settles_it_by_itself() {
    let app = TestApp::start_printing(1);
    let name = Arc::<Mutex<String>>::default();
    let kept = Arc::clone(&name);
    let stub = Stub::start(move |asked| match asked.operation {
        PRINTER_ATTRIBUTES => idle(&WHOLE),
        PRINT_JOB => {
            *kept.lock().expect("no panic") = asked.job_name();
            Reply::Dies
        }
        JOBS if kept.lock().expect("no panic").is_empty() => ok(),
        JOBS => job(31, &kept.lock().expect("no panic"), 5, 1),
        JOB_ATTRIBUTES => job(31, "", 9, 1),
        _ => ok(),
    });
    let number = named(&app, printer("Old", &stub.uri(), "100x70")).await;
    let print = queued(&app, kit_label(number, "KT0000131")).await;
    let done = wait(&app, print, &["printed", "unsure", "failed"]).await;
    assert_eq!((&done["state"], &done["printer_job"]), (&json!("printed"), &json!(31)));
    assert!(name.lock().expect("no panic").starts_with("kit label KT0000131 "));
    assert_eq!(stub.documents().len(), 1);
}

#[actix_web::test]
async fn a_document_that_never_arrived_is_sent_again_by_itself() {
    let app = TestApp::start_printing(1);
    let mut sent = 0;
    let mut arrived = 0;
    let stub = Stub::start(move |asked| match asked.operation {
        PRINTER_ATTRIBUTES => idle(&IN_TWO),
        CREATE_JOB => job(12, "", 4, 0),
        SEND_DOCUMENT => {
            sent += 1;
            if sent == 1 {
                return Reply::Dies;
            }
            arrived = 1;
            ok()
        }
        JOB_ATTRIBUTES => job(12, "", if arrived == 0 { 4 } else { 9 }, arrived),
        _ => ok(),
    });
    let number = named(&app, printer("New", &stub.uri(), "100x70")).await;
    let print = queued(&app, kit_label(number, "KT0000131")).await;
    let done = wait(&app, print, &["printed", "unsure", "failed"]).await;
    assert_eq!(done["state"], "printed", "{done:#}");
    assert!(stub.operations().contains(&CANCEL_JOB), "the empty job was taken back first");
    assert_eq!(stub.documents().len(), 2);
}

#[actix_web::test]
async fn a_job_that_still_stands_at_the_printer_is_not_sent_beside_it() {
    let app = TestApp::start_printing(1);
    let name = Arc::<Mutex<String>>::default();
    let kept = Arc::clone(&name);
    let mut asked_after = 0;
    let stub = Stub::start(move |asked| match asked.operation {
        PRINTER_ATTRIBUTES => idle(&WHOLE),
        PRINT_JOB => {
            *kept.lock().expect("no panic") = asked.job_name();
            Reply::Dies
        }
        // At first the printer is too busy to say; by the time that a person has answered, it is not.
        JOBS if !kept.lock().expect("no panic").is_empty() => {
            asked_after += 1;
            if asked_after == 1 {
                return Reply::Ipp(status(StatusCode::ServerErrorBusy));
            }
            job(44, &kept.lock().expect("no panic"), 5, 1)
        }
        JOB_ATTRIBUTES => job(44, "", 9, 1),
        _ => ok(),
    });
    let number = named(&app, printer("Slow", &stub.uri(), "100x70")).await;
    let print = queued(&app, kit_label(number, "KT0000131")).await;
    wait(&app, print, &["unsure"]).await;
    let (status, answer) = act(&app, print, "answer", json!({ "printed": false })).await;
    assert!(status == 200 || status == 409, "{answer}");
    wait(&app, print, &["printed"]).await;
    assert_eq!(stub.documents().len(), 1, "the one that stood there came out");
}

#[actix_web::test]
async fn a_service_that_is_killed_while_it_sends_asks_instead_of_printing_twice() {
    let stub = Stub::start(|asked| match asked.operation {
        PRINTER_ATTRIBUTES => idle(&WHOLE),
        PRINT_JOB => Reply::Hangs,
        _ => ok(),
    });
    let demo = Demo::start();
    let entry = json!({ "name": "Old", "uri": stub.uri(), "media": "100x70", "papers": ["kit"],
        "request_key": "printer-of-the-demo" });
    let (code, made) = demo.post("/api/printers", &entry).await;
    assert_eq!(code, 201, "{made}");
    let wish = json!({ "request_key": "print-of-the-demo",
        "what": { "labels": { "kind": "kit", "ids": ["KT0000131"] } } });
    let (code, print) = demo.post("/api/print-jobs", &wish).await;
    assert_eq!(code, 201, "{print}");
    while stub.documents().is_empty() {
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    let demo = serve_again(demo);
    let path = format!("/api/print-jobs/{}", print["number"]);
    let stands = demo.api(&path).await;
    assert_eq!(stands["state"], "sending", "another instance might still have it in hand");
    for _ in 0..600 {
        if demo.api(&path).await["state"] != "sending" {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    let stands = demo.api(&path).await;
    assert_eq!(stands["state"], "unsure", "{stands:#}");
    assert!(text(&stands["words"]).contains("the service stopped while it was sent"), "{stands:#}");
    assert_eq!(stub.documents().len(), 1);
}

#[actix_web::test]
async fn two_workers_on_one_queue_send_each_job_once_and_in_order() {
    let app = TestApp::start_printing(3);
    let mut id = 0;
    let stub = Stub::start(move |asked| match asked.operation {
        PRINTER_ATTRIBUTES => idle(&WHOLE),
        PRINT_JOB => {
            std::thread::sleep(Duration::from_millis(20));
            id += 1;
            job(id, "", 9, 1)
        }
        JOB_ATTRIBUTES => job(1, "", 9, 1),
        _ => ok(),
    });
    let number = named(&app, printer("Quick", &stub.uri(), "100x70")).await;
    let mut prints = Vec::new();
    for part in ["MT108R", "SK1074", "HB106L", "PK101H", "MT101O", "MT102M", "MT103K", "MT104I"] {
        let wish =
            json!({ "printer": number, "what": { "labels": { "kind": "part", "ids": [part] } } });
        let (status, made) = app.act(Owner, "/api/print-jobs", wish).await;
        if status == 201 {
            prints.push((made["number"].as_i64().expect("a number"), text(&made["title"])));
        }
    }
    assert!(3 < prints.len(), "the demo shop has some of these parts");
    for (print, _) in &prints {
        wait_until(&app, *print, |it| it["state"] == "printed").await;
    }
    let names: Vec<String> = stub.documents().iter().map(|it| it.job_name()).collect();
    let wanted: Vec<String> = prints.into_iter().map(|it| it.1).collect();
    let plain: Vec<String> =
        names.iter().map(|it| it.rsplit_once(' ').expect("a token").0.to_owned()).collect();
    assert_eq!(plain, wanted);
}
