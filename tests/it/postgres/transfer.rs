//! A shop carried over from SQLite by `kitwright move`.

use std::process::{Command, Output};
use std::sync::Arc;

use diesel::connection::SimpleConnection;
use kitwright::domain::people::Role::Owner;
use kitwright::exchange::Kind;
use serde_json::json;

use crate::support::app::TestApp;
use crate::support::books::{Books, on_postgres};

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_kitwright")).args(arguments).output().expect("it runs")
}

fn said(it: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&it.stdout), String::from_utf8_lossy(&it.stderr))
}

fn carry(from: &Books, to: &Books) -> Output {
    run(&["move", "--from", from.address(), "--to", to.address()])
}

fn export(of: &Books, kind: Kind) -> String {
    let done = run(&["export", kind.as_str(), "--database", of.address()]);
    assert!(done.status.success(), "{}", said(&done));
    said(&done)
}

#[actix_web::test]
async fn a_shop_is_carried_over_whole_and_goes_on() {
    assert!(on_postgres(), "run by tests/with_postgres.sh");
    let (old, new) = (Arc::new(Books::embedded("old")), Arc::new(Books::new("moved")));
    let app = TestApp::start_in(Arc::clone(&old));
    app.despatch("SO-26-0872").await;
    let correction = json!({
        "part_number": "PK101H", "from": "P-04-1Q", "to": "scrap", "quantity": 1,
        "reason": "naß, \"мокро\"\\ 濡れた 🛷 \u{1}",
    });
    let (status, body) = app.act(Owner, "/api/stock/corrections", correction).await;
    assert_eq!(status, 201, "{body}");

    let refused = carry(&old, &new);
    assert!(said(&refused).contains("stop the service first"), "{}", said(&refused));
    let (count, movement) = (app.count("PK101H", "P-04-1Q").await, body["movement"].clone());
    let tokens = app.tokens().clone();
    drop(app);

    let done = carry(&old, &new);
    assert!(done.status.success(), "{}", said(&done));
    assert!(said(&done).contains("are equal in both, and the books prove"), "{}", said(&done));
    for kind in Kind::ALL {
        assert_eq!(export(&old, kind), export(&new, kind), "{}", kind.as_str());
    }

    let app = TestApp::serving(Arc::clone(&new), tokens);
    assert_eq!(app.count("PK101H", "P-04-1Q").await, count);
    let back = json!({ "movement": movement });
    let (status, body) = app.act(Owner, "/api/stock/reversals", back).await;
    assert_eq!(status, 201, "{body}");
    app.despatch("SO-26-0876").await;

    let refused = carry(&old, &new);
    assert!(said(&refused).contains("the new books are not empty"), "{}", said(&refused));
}

#[test]
fn what_can_t_be_carried_over_leaves_the_new_books_empty() {
    assert!(on_postgres(), "run by tests/with_postgres.sh");
    let (old, new) = (Books::embedded("old"), Books::new("moved"));
    let refused = carry(&old, &new);
    assert!(said(&refused).contains("there is no file of books"), "{}", said(&refused));
    let filled = run(&["check", "--database", old.address()]);
    assert!(filled.status.success(), "{}", said(&filled));
    let sql = |statement: &str| old.connect().batch_execute(statement).expect(statement);
    sql(
        "INSERT INTO counters VALUES ('box', 7); INSERT INTO settings VALUES ('note', char(65, 0))",
    );
    let refused = carry(&old, &new);
    assert!(said(&refused).contains("table settings: "), "{}", said(&refused));
    sql("DELETE FROM settings; UPDATE counters SET last = 'many'");
    let refused = carry(&old, &new);
    assert!(said(&refused).contains("table counters: "), "{}", said(&refused));
    sql("UPDATE counters SET last = 8");
    let done = carry(&old, &new);
    assert!(done.status.success(), "{}", said(&done));
    assert!(said(&done).contains("1 rows of "), "{}", said(&done));
    let refused = carry(&new, &old);
    assert!(said(&refused).contains("--from is the SQLite books"), "{}", said(&refused));
}
