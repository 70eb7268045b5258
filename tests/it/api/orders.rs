//! Orders: what they hold, what they lack, and what is on its way; and the whole job in one go.

use insta::assert_json_snapshot;
use kitwright::domain::people::Role::Owner;
use serde_json::{Value, json};

use crate::support::app::TestApp;
use crate::support::builders::{find, rows, text};

const HEADINGS: &str = "order,placed_on,promised_on,customer,channel,email,address,country,kit,\
    quantity,build,size,colour,ski,language\n";

/// Returns a file with one order for one kit.
fn order(number: &str, promised: &str, size: &str, colour: &str) -> String {
    format!(
        "{HEADINGS}{number},2026-11-25,{promised},Wren Hollowell,rider,wren@mail.example,\
         \"1 Larch Lane, Fernmoor\",GB,TARVET,1,T12,{size},{colour},95,en\n"
    )
}

#[actix_web::test]
async fn an_order_goes_from_its_file_to_the_carrier() {
    let app = TestApp::start();
    let (status, imported) =
        app.import("orders", &order("T-1", "2026-11-26", "M", "soot black")).await;
    assert_eq!(status, 200, "{imported}");
    assert_eq!(imported["records"], 1);
    let placed = app.look("/api/orders/T-1").await;
    assert_eq!((&placed["leave"], &placed["alerts"]), (&json!("can_leave"), &json!([])));
    let kit = app.despatch("T-1").await;
    let left = app.look("/api/orders/T-1").await;
    assert_eq!(left["leave"], "left");
    assert_eq!(left["kits"][0]["number"], kit.as_str());
    assert_eq!(left["kits"][0]["packed"], left["kits"][0]["pieces"]);
    assert_eq!(left["kits"][0]["despatched_at"], "2026-11-25T09:00:00");
    let listed = app.look("/api/orders").await;
    let last = rows(&listed).last().map(|it| &it["number"]);
    assert_eq!(last, Some(&json!("T-1")), "what has left stands behind all that is open");
    for (words, found) in [("hollowell t-1", 1), (kit.as_str(), 1), ("hollowell t-2", 0)] {
        let listed = app.look(&format!("/api/orders?q={}", words.replace(' ', "+"))).await;
        assert_eq!(rows(&listed).iter().filter(|it| it["number"] == "T-1").count(), found);
        assert!(rows(&listed).len() <= 1, "{words}");
    }
}

#[actix_web::test]
async fn a_list_of_parts_goes_on_after_the_last_of_the_one_before() {
    let app = TestApp::start();
    let all = app.look("/api/parts").await;
    let (before, after) = rows(&all).split_at(100);
    let last = text(&before[99]["part_number"]);
    assert_eq!(app.look(&format!("/api/parts?after={last}")).await, json!(after));
    let found = app.look(&format!("/api/parts?q=bolt&after={last}")).await;
    let bolts = after.iter().filter(|it| text(&it["part"]).to_lowercase().contains("bolt"));
    assert!(bolts.clone().next().is_some() && bolts.count() <= rows(&found).len());
}

#[actix_web::test]
async fn the_same_file_of_orders_is_taken_once() {
    let app = TestApp::start();
    let file = order("T-1", "2026-11-26", "M", "soot black");
    let first = app.import("orders", &file).await;
    assert_eq!(app.import("orders", &file).await, first);
    let orders = app.look("/api/orders").await;
    assert_eq!(rows(&orders).iter().filter(|it| it["number"] == "T-1").count(), 1);
}

#[actix_web::test]
async fn an_alert_names_step_class_and_the_purchase_order_that_covers_it() {
    let app = TestApp::start();
    let alerts = app.look("/api/alerts").await;
    let of_order: Vec<_> =
        rows(&alerts).iter().filter(|it| it["order"] == "SO-26-0904").cloned().collect();
    assert_json_snapshot!(find(&json!(of_order), "part_number", "FR110M"), @r#"
    {
      "cause": "not_in_stock",
      "class": "C",
      "class_words": "looks only",
      "covered_by": "PO-26-168",
      "due_on": "2026-12-01",
      "kit": "KT000050S",
      "line": 11,
      "made_here": false,
      "make_now": null,
      "note": "",
      "order": "SO-26-0904",
      "part": "Head badge",
      "part_number": "FR110M",
      "promised_on": "2026-12-18",
      "quantity": 1,
      "stand_ins": [],
      "step": 2,
      "step_title": "Look over the frame set"
    }
    "#);
    let purchase = app.look("/api/purchase-orders/PO-26-168").await;
    assert!(rows(&purchase["waited_for_by"]).contains(&json!("SO-26-0904")));
    let order = app.look("/api/orders/SO-26-0904").await;
    assert_eq!(order["leave"], "held");
    assert_eq!(rows(&order["alerts"]).len(), of_order.len());
}

#[actix_web::test]
async fn the_earlier_promise_is_served_first_though_it_came_in_later() {
    let app = TestApp::start();
    let bags = async |order: &str| {
        let order = app.look(&format!("/api/orders/{order}")).await;
        rows(&order["alerts"]).iter().filter(|it| it["part_number"] == "HB102T").count()
    };
    let served = {
        let orders = app.look("/api/orders").await;
        let last = rows(&orders).iter().rev().find(|it| {
            it["leave"] == "can_leave" && it["kits"][0]["options"][0] == json!(["build", "T12"])
        });
        text(&last.expect("an order that can leave")["number"])
    };
    assert_eq!(bags(&served).await, 0);
    let (status, body) = app.import("orders", &order("T-1", "2026-11-26", "M", "soot black")).await;
    assert_eq!(status, 200, "{body}");
    assert_eq!(bags("T-1").await, 0);
    assert_eq!(bags(&served).await, 1, "{served} gave its bag to the earlier promise");
    let before = app.look("/api/alerts").await;
    let (status, reserved) = app.post(Owner, "/api/orders/reserve", json!({})).await;
    assert_eq!(status, 200, "{reserved}");
    assert_eq!(app.look("/api/alerts").await, before, "holding anew is stable");
}

#[actix_web::test]
async fn a_cancelled_order_gives_its_stock_to_the_next_promise() {
    let app = TestApp::start();
    let waits = |orders: &Value| rows(orders).iter().filter(|it| it["leave"] == "held").count();
    let before = waits(&app.look("/api/orders").await);
    let (status, _) = app.act(Owner, "/api/orders/SO-26-0871/cancel", json!({})).await;
    assert_eq!(status, 204);
    let orders = app.look("/api/orders").await;
    assert!(waits(&orders) < before, "twelve kits' worth of parts serve others");
    assert_eq!(find(&orders, "number", "SO-26-0871")["leave"], "cancelled");
    let kit = app.kit_of("SO-26-0872").await;
    app.pick_list(&[&kit]).await;
    let (status, body) = app.act(Owner, "/api/orders/SO-26-0872/cancel", json!({})).await;
    assert_eq!((status, &body["code"]), (409, &json!("orders.begun")));
}
