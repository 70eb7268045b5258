//! The pictures of the buying desk, and the wall where cards are scanned.

use kitwright::domain::people::Role::{Buyer, Warehouse};
use reqwest::Method;

use crate::support::app::TestApp;
use crate::support::desk::{Desk, Page};

/// Checks that a page has its picture with words for who can't see it, and a file of its table with
/// as many rows; returns the file.
async fn pictured(app: &TestApp, page: &Page, alt: &str, file: &str) -> String {
    assert_eq!(page.status, 200, "{}", page.words());
    assert!(page.html.contains("role=\"img\""), "no picture on {}", page.path);
    assert!(page.html.contains(alt), "'{alt}' is no words of a picture:\n{}", page.html);
    assert!(!page.html.contains(" style="), "{} has a style of its own", page.path);
    assert!(page.html.contains(&format!("href=\"{file}\"")), "no link to {file}:\n{}", page.html);
    let file = file.replace("&amp;", "&");
    let answer = app.request(None, Method::GET, &file).send().await.unwrap();
    assert_ne!(answer.url().path(), file, "a stranger is sent to sign in");
    file
}

async fn lines(desk: &Desk<'_>, file: &str) -> Vec<String> {
    let file = desk.open(file).await;
    assert_eq!(file.status, 200);
    file.html.trim_start_matches('\u{feff}').lines().map(str::to_owned).collect()
}

#[actix_web::test]
async fn every_picture_has_its_words_its_table_and_its_file() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Buyer).await;
    let part = desk.open("/parts/MT108R").await;
    assert!(part.html.contains("href=\"/reorder/parts/MT108R/runway\""));

    let page = desk.open("/reorder/parts/MT108R/runway").await;
    let alt =
        "aria-label=\"Stock of Pinch bolt M6x1.0x25 by week: 1468 today, reorder line at 1600";
    let file = pictured(&app, &page, alt, "/reorder/parts/MT108R/runway.csv").await;
    page.says("Runs out in the week of")
        .says("reorder at")
        .says("none left:")
        .says("busiest: December");
    let weeks = lines(&desk, &file).await;
    assert_eq!(weeks.len(), 27, "a heading and 26 weeks");
    assert_eq!(
        weeks[0],
        "Week of,Arrives,Wanted,Promised,Expires,At its end,Lacking,At the worst,At the best"
    );
    assert!(weeks[1].starts_with("2026-11-23,"), "{}", weeks[1]);

    let page = desk.open("/reorder/shortages").await;
    let file =
        pictured(&app, &page, "parts will be lacking within half a year", "/reorder/shortages.csv")
            .await;
    page.says("S stops the build").says("Parts lacking, of all").says("too late");
    let parts = lines(&desk, &file).await;
    assert_eq!(parts[0].split(',').count(), 7 + 26, "every week in a column of its own");
    assert_eq!(parts.len() - 1, page.html.matches("<tr><th scope=\"row\"").count());

    let page = desk.open("/reorder/spend?since=2026-05-01").await;
    page.says("Nothing has come in the last twelve months").says("Still to come");
    assert_eq!(lines(&desk, "/reorder/spend.csv").await[0].split(',').count(), 1 + 12 + 2);
    lines(&desk, "/reorder/dead-stock.csv?since=2026-05-01").await;
    desk.open("/reorder/spend?since=soon").await.says("Since: 'soon' can't be read");
    for href in ["/reorder/shortages", "/reorder/wall", "/reorder/spend"] {
        assert!(desk.open("/reorder").await.html.contains(&format!("href=\"{href}\"")));
    }
}

#[actix_web::test]
async fn a_card_scanned_at_the_wall_orders_once_and_shows_its_line() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Buyer).await;
    let page = desk.open("/reorder/wall").await;
    let alt = "aria-label=\"Two bins of ";
    let file = pictured(&app, &page, alt, "/reorder/wall.csv?zone=fastener%20wall").await;
    page.says("Fastener wall").says("The same card within 15 minutes counts once");
    let bins = page.html.matches("class=\"bin number\"").count();
    assert_eq!(lines(&desk, &file).await.len(), bins + 1);
    assert_eq!(page.html.matches("Two bins of ").count(), bins, "each bin is a gauge");

    let scanned = desk.send(&page.form("/reorder/wall").fill("scan", "MT108R")).await;
    scanned
        .says("1400 × Pinch bolt M6x1.0x25 (MT108R) put on PO")
        .says("Cards scanned")
        .says(", line 1");
    let again = desk.send(&scanned.form("/reorder/wall").fill("scan", "H-01-1I")).await;
    again.says("was scanned less than a minute ago").says("nothing more was ordered");
    let wrong = desk.send(&again.form("/reorder/wall").fill("scan", "KT004127C")).await;
    wrong.says("Not done").says("is no card");
    assert_eq!(wrong.html.matches(", line 1").count(), 1, "one line was ordered");
    // The same form sent once more is the same scan.
    desk.send(&page.form("/reorder/wall").fill("scan", "MT108R")).await.says("put on PO");

    let picker = Desk::sign_in(&app, Warehouse).await;
    let page = picker.open("/reorder/wall?zone=fastener+wall").await;
    page.says("Cards scanned");
    assert!(!page.html.contains("action=\"/reorder/wall\" novalidate"), "a picker orders nothing");
    assert_eq!(picker.open("/reorder/spend").await.status, 403);
    assert_eq!(picker.open("/reorder/wall?zone=cellar").await.status, 404);
}
