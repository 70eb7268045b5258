//! The whole job in headless Chromium, from an order's CSV file to the rider's word on the box.

mod chromium;
mod edits;

use std::fs;

use serde_json::Value;

use crate::support::decode::look;
use crate::support::service::Demo;
use chromium::{Browser, Screen};

/// Signs in, out of whatever session there was.
async fn sign_in(browser: &Browser, demo: &Demo, login: &str) {
    browser.forget().await;
    browser.go(&format!("{}/sign-in", demo.address)).await;
    browser.fill("[name=name]", login).await;
    browser.fill("[name=password]", &format!("demo-{login}")).await;
    browser.press("main button").await;
    browser.sees("Sign out").await;
}

/// An order file with one order: a T15 that the shop can build today.
fn order_file(demo: &Demo, ski: &str) -> String {
    let today = chrono::Utc::now().date_naive();
    let text = format!(
        "order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity,build,size,colour,ski,language\n\
         WALK-1,{today},{today},Þóra Żbik 山田,rider,,Fannbrekka 4,IS,TARVET,1,T15,M,soot black,{ski},fr\n"
    );
    let path = demo.folder().path().join(format!("orders-{ski}.csv"));
    fs::write(&path, text).expect("the file is written");
    path.display().to_string()
}

async fn import(browser: &Browser, demo: &Demo) {
    browser.go(&format!("{}/import", demo.address)).await;
    browser.press("input[name=kind][value=orders]").await;
    browser.fill("input[name=file]", &order_file(demo, "100")).await;
    browser.press("button[value=check]").await;
    browser.sees("'100' is no ski of kit TARVET").await;
    browser.picture("1 import refused").await;
    browser.go(&format!("{}/import", demo.address)).await;
    browser.press("input[name=kind][value=orders]").await;
    browser.fill("input[name=file]", &order_file(demo, "105")).await;
    browser.press("button[value=import]").await;
    browser.sees("orders: 1 imported").await;
}

fn text<'a>(value: &'a Value, field: &str) -> &'a str {
    value[field].as_str().unwrap_or_else(|| panic!("{field} is no text in {value}"))
}

/// Picks the kit by scanning, after each mistake that the page must refuse.
async fn pick(browser: &Browser, demo: &Demo, kit: &str) {
    browser.go(&format!("{}/picking", demo.address)).await;
    browser.press(&format!("input[name=kit][value={kit}]")).await;
    browser.press("form[action='/picking'] button.main").await;
    browser.sees("On paper").await;
    let list = browser.path().await.rsplit('/').next().expect("a number").to_owned();
    let view = demo.api(&format!("/api/pick-lists/{list}")).await;
    let first = &view["stops"][0];
    let last = view["stops"].as_array().expect("stops").last().expect("one").clone();
    browser.scan(text(first, "part_number"), "refused").await;
    browser.sees("scan the bin first").await;
    browser.scan(text(&last, "bin"), "refused").await;
    browser.sees("wrong bin").await;
    browser.scan(text(first, "bin"), "done").await;
    browser.scan(text(&last, "part_number"), "refused").await;
    browser.sees("wrong part").await;
    browser.scan("FR1010", "refused").await;
    browser.sees("does not match the others").await;
    browser.picture("2 pick refused").await;
    loop {
        let view = demo.api(&format!("/api/pick-lists/{list}")).await;
        let Some(stop) = view["stops"].get(0) else { break };
        if !browser.html().await.contains("name=\"bin\"") {
            browser.scan(text(stop, "bin"), "done").await;
        }
        browser.scan(&code_of(demo, stop).await, "done").await;
    }
    browser.picture("3 walk over").await;
}

/// What the label on the piece to take says.
async fn code_of(demo: &Demo, stop: &Value) -> String {
    match text(stop, "tracking") {
        "lot" => format!("1T{}", text(stop, "lot")),
        "serial" => {
            let serial = serial_in(demo, text(stop, "part_number"), text(stop, "bin")).await;
            format!("S{serial}")
        }
        _ => text(stop, "part_number").to_owned(),
    }
}

async fn serial_in(demo: &Demo, part_number: &str, place: &str) -> String {
    let part = demo.api(&format!("/api/parts/{part_number}")).await;
    let balances = part["balances"].as_array().expect("balances");
    let here = balances.iter().find(|it| text(it, "place") == place).expect("a piece here");
    text(here, "serial").to_owned()
}

/// Packs both cartons by scanning, and seals them once every line has its proof.
async fn pack(browser: &Browser, demo: &Demo, kit: &str) {
    browser.go(&format!("{}/packing/{kit}", demo.address)).await;
    assert!(browser.is_disabled("form[action$='/cartons/1/seal'] button").await);
    browser.scan("SK1074", "refused").await;
    browser.picture("4 bench").await;
    let view = demo.api(&format!("/api/kits/{kit}")).await;
    for carton in view["cartons"].as_array().expect("cartons") {
        let position = carton["position"].as_i64().expect("a number");
        browser.go(&format!("{}/packing/{kit}?carton={position}", demo.address)).await;
        for line in carton["lines"].as_array().expect("lines") {
            let part_number = text(line, "part_number");
            // Without a count a scan proves one piece.
            for _ in 0..line["picked"].as_i64().expect("a count") {
                browser.scan(part_number, "done").await;
            }
            if browser.text().await.to_lowercase().contains("scan its serial number") {
                let serial = serial_in(demo, part_number, kit).await;
                browser.scan(&format!("S{serial}"), "done").await;
            }
        }
        browser.press(&format!("form[action$='/cartons/{position}/seal'] button")).await;
        browser.sees("Packing list").await;
    }
    browser.picture("5 sealed").await;
}

/// Reads the packing list of each carton as a reader does; returns the link on it.
async fn read_papers(demo: &Demo, kit: &str) -> String {
    let view = demo.api(&format!("/api/kits/{kit}")).await;
    let mut links = Vec::new();
    for carton in view["cartons"].as_array().expect("cartons") {
        let position = carton["position"].as_i64().expect("a number");
        let path = format!("/api/kits/{kit}/cartons/{position}/packing-list");
        let seen = look(&format!("walk-list-{position}"), &demo.bytes(&path).await);
        let codes: Vec<&str> = seen.symbols[0].iter().map(|it| it.text.as_str()).collect();
        let [number, of_kit, link] = codes[..] else { panic!("three codes, not {codes:?}") };
        assert_eq!((number, of_kit), (text(carton, "number"), kit));
        assert!(seen.words.contains("Þóra Żbik"), "{}", seen.words);
        links.push(link.to_owned());
    }
    assert_eq!(links[0], links[1], "one link for the whole kit");
    links.remove(0)
}

/// Opens the link on the list with a phone: one part is missing, all others are here.
async fn verify(browser: &Browser, link: &str) {
    browser.go(link).await;
    browser.sees("notice").await;
    browser.press("nav.languages [lang=en]").await;
    browser.sees("manual").await;
    browser.picture("6 box page").await;
    browser.press("#step-4 details.short summary").await;
    browser.fill("#step-4 [name^=missing]", "1").await;
    browser.fill("#step-4 [name=note]", "Der Beutel war leer ✗").await;
    browser.press("#step-4 details button.main").await;
    browser.sees("Reported").await;
    browser.press_each("button.huge").await;
    browser.picture("7 box checked").await;
    let tampered = format!("{}AAAA", &link[..link.len() - 4]);
    browser.go(&tampered).await;
    browser.sees("scan the code on the packing list again").await;
}

#[actix_web::test]
async fn an_order_becomes_a_verified_box() {
    let demo = Demo::start();
    let desk = Browser::open(Screen::Desk).await;
    sign_in(&desk, &demo, "owner").await;
    import(&desk, &demo).await;
    desk.go(&format!("{}/orders/WALK-1", demo.address)).await;
    desk.sees("can leave").await;
    let order = demo.api("/api/orders/WALK-1").await;
    let kit = text(&order["kits"][0], "number").to_owned();

    sign_in(&desk, &demo, "warehouse").await;
    desk.go(&format!("{}/import", demo.address)).await;
    desk.sees("As warehouse you may not import files").await;
    pick(&desk, &demo, &kit).await;
    pack(&desk, &demo, &kit).await;
    let link = read_papers(&demo, &kit).await;
    desk.go(&format!("{}/packing/{kit}", demo.address)).await;
    desk.press("form[action$='/hand-over'] button").await;
    desk.sees("Handed over").await;

    let phone = Browser::open(Screen::Phone).await;
    verify(&phone, &link).await;

    sign_in(&desk, &demo, "owner").await;
    desk.go(&format!("{}/orders/WALK-1", demo.address)).await;
    desk.sees("Der Beutel war leer").await;
    desk.picture("8 order with report").await;
    let order = demo.api("/api/orders/WALK-1").await;
    assert_eq!(text(&order["alerts"][0], "cause"), "reported_missing");

    let proof = demo.run(&["check"]);
    assert!(proof.status.success(), "{}", String::from_utf8_lossy(&proof.stdout));
    desk.close().await;
    phone.close().await;
}
