//! A supplier's despatch advice at the desk: looked at, taken in, scanned, counted.

use kitwright::domain::people::Role::{Buyer, Owner, Receiver};

use crate::api::advices::{SSCC, advice};
use crate::support::app::TestApp;
use crate::support::desk::Desk;

#[actix_web::test]
async fn an_advice_is_looked_at_taken_in_and_fills_goods_in() {
    let app = TestApp::start();
    let buyer = Desk::sign_in(&app, Buyer).await;
    let text = advice(
        "ASN-55",
        "PO-26-156",
        &[("1", "1200", "TF-2647", ""), ("2", "1500", "TF-2650", ""), ("1", "800", "TF-2648", "")],
    );
    let looked = buyer.send_file("/goods-in/advice", "file", &text).await;
    assert_eq!(looked.status, 200, "{}", looked.words());
    looked.says("Advice ASN-55 of Trennick Fasteners").says("1200").says(SSCC).says("Take it in");
    let wrong = buyer.send_file("/goods-in/advice", "file", &text.replace("1500", "-1500")).await;
    assert_eq!(wrong.status, 422);
    wrong.says("1 fault").says("DespatchLine[2]/DeliveredQuantity").says("-1500 is below zero");
    let none = buyer.send_file("/goods-in/advice", "other", &text).await;
    none.says("choose the advice to be read");
    let document = looked.form("/goods-in/advice").fields["document"].clone();
    let taken = buyer.send_text("/goods-in/advice", "document", &document).await;
    assert_eq!(taken.path, "/goods-in/PO-26-156");
    taken.says("3500 pieces announced; nothing is booked until they are counted");
    let again = buyer.send_file("/goods-in/advice", "file", &text).await;
    again.says("was taken in on 2026-11-25 by Teodor Lindqvale: nothing was changed");

    // Whoever counts finds the box by its number, and its lot filled in.
    let receiver = Desk::sign_in(&app, Receiver).await;
    let scanned = receiver.open(&format!("/goods-in?q=00{SSCC}")).await;
    assert_eq!(scanned.path, "/goods-in/PO-26-156");
    let form = scanned.form("/goods-in/PO-26-156#line-1");
    assert_eq!((form.fields["good"].as_str(), form.fields["lot"].as_str()), ("1200", "TF-2647"));
    assert_eq!(form.fields["delivery_note"], "ASN-55");
    let booked = receiver.send(&form.fill("good", "1190")).await;
    booked.says("1190 booked").says("advice ASN-55 says 1200").says("booked");
    // The next lot of that line is filled in then.
    let form = booked.form("/goods-in/PO-26-156#line-1");
    assert_eq!((form.fields["good"].as_str(), form.fields["lot"].as_str()), ("800", "TF-2648"));
    let scanned = receiver.open(&format!("/goods-in/PO-26-156?scan=00{SSCC}")).await;
    scanned.says(&format!("All that was announced in {SSCC} has been booked"));
    let other = receiver.open(&format!("/goods-in/PO-26-162?scan=00{SSCC}")).await;
    other.says("was announced for PO-26-156: open that purchase order");
    let order = receiver.open("/goods-in/PO-26-156/order.xml").await;
    assert!(order.html.contains("<cbc:ID>PO-26-156</cbc:ID>"), "{}", order.html);
}

#[actix_web::test]
async fn what_happened_to_a_kit_is_read_and_taken_along() {
    let app = TestApp::start();
    let desk = Desk::sign_in(&app, Owner).await;
    let kit = app.kit_of("SO-26-0872").await;
    desk.open(&format!("/kits/{kit}/events")).await.says("Nothing yet");
    app.despatch("SO-26-0872").await;
    let page = desk.open(&format!("/kits/{kit}/events")).await;
    page.says("picked").says("packed and sealed").says("handed over").says("ObjectEvent, shipping");
    let events = desk.open(&format!("/kits/{kit}/events.jsonld")).await;
    assert!(events.html.contains("EPCISDocument"), "{}", events.html);
    let advice = desk.open(&format!("/kits/{kit}/despatch-advice.xml")).await;
    assert!(advice.html.contains(&format!("<cbc:ID>{kit}</cbc:ID>")), "{}", advice.html);
}
