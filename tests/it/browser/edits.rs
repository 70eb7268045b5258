//! The shop makes a part and changes a bill of materials in headless Chromium, without a developer.

use super::chromium::{Browser, Screen};
use super::sign_in;
use crate::support::service::Demo;

const DRAFT: &str = "/drafts/TARVET/D";

/// Makes a part like another, after one mistake; returns its number.
async fn make_part(browser: &Browser, demo: &Demo) -> String {
    browser.go(&format!("{}/parts/MT108R", demo.address)).await;
    browser.press("a[href='/parts/new?like=MT108R']").await;
    browser.sees("New part").await;
    browser.retype("[name=part]", "Pinch bolt M6x1.0x30").await;
    browser.retype("[name=mass_g]", "9,1").await;
    browser.press("form.entry button.main").await;
    browser.sees("so write 9.1").await;
    browser.picture("e1 new part refused").await;
    browser.retype("[name=mass_g]", "9.1").await;
    browser.press("form.entry button.main").await;
    browser.sees("is made").await;
    browser.picture("e2 new part").await;
    browser.path().await.rsplit('/').next().expect("a number").to_owned()
}

async fn look_on(browser: &Browser, demo: &Demo, name: &str) {
    browser.go(&format!("{}{DRAFT}", demo.address)).await;
    browser.sees("draft D").await;
    browser.picture(&format!("{name} draft")).await;
    browser.go(&format!("{}{DRAFT}/row?record=line", demo.address)).await;
    browser.picture(&format!("{name} line")).await;
    browser.go(&format!("{}{DRAFT}/preview", demo.address)).await;
    browser.sees("as it would be").await;
    browser.picture(&format!("{name} preview")).await;
}

#[actix_web::test]
async fn a_new_part_goes_into_a_new_revision_of_a_bill() {
    let demo = Demo::start();
    let desk = Browser::open(Screen::Desk).await;
    sign_in(&desk, &demo, "owner").await;
    let number = make_part(&desk, &demo).await;
    desk.go(&format!("{}/drafts", demo.address)).await;
    desk.press("button[aria-label='Change the bill TARVET by a new draft']").await;
    desk.sees("nobody uses it yet").await;
    desk.press("a[href$='/row?record=line']").await;
    desk.retype("[name=part]", &number).await;
    desk.retype("[name=when]", "build=T99").await;
    desk.press("form.entry button.main").await;
    desk.sees("1 thing is to mend before it can be released").await;
    desk.sees("'T99' is no build").await;
    desk.press(".why a").await;
    desk.retype("[name=when]", "build=T15").await;
    desk.press("form.entry button.main").await;
    desk.sees("Its rows agree with one another").await;
    let phone = Browser::open(Screen::Phone).await;
    phone.go(&format!("{}/sign-in", demo.address)).await;
    phone.fill("[name=name]", "owner").await;
    phone.fill("[name=password]", "demo-owner").await;
    phone.press("main button").await;
    phone.sees("can leave").await;
    look_on(&phone, &demo, "e3").await;
    look_on(&desk, &demo, "e4").await;
    desk.press("form[action$='/release'] button").await;
    desk.sees("holds from").await;
    desk.picture("e5 bills").await;
    let bills = demo.api("/api/bills-of-materials").await;
    let released =
        bills.as_array().expect("bills").iter().find(|it| {
            it["code"] == "TARVET" && it["revision"] == "D" && !it["valid_from"].is_null()
        });
    let lines = released.expect("it is released")["lines"].as_array().expect("lines").clone();
    assert!(lines.iter().any(|it| it["item"] == number.as_str()), "{number} is in it");
    let proof = demo.run(&["check"]);
    assert!(proof.status.success(), "{}", String::from_utf8_lossy(&proof.stdout));
    desk.close().await;
    phone.close().await;
}
