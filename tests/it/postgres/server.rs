use diesel::connection::SimpleConnection;
use kitwright::domain::people::Role::{Owner, Warehouse};
use kitwright::store::{Tx, Who, people};
use serde_json::json;

use crate::live::{another_mark, mark};
use crate::support::app::TestApp;
use crate::support::books::on_postgres;
use crate::support::desk::Desk;

/// Cuts every connection to the books, as a server that ends does.
fn cut(app: &TestApp) {
    let cut = "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity
        WHERE datname = current_database() AND pid <> pg_backend_pid()";
    app.home().connect().batch_execute(cut).expect("the connections are cut");
}

#[actix_web::test]
async fn a_server_that_went_away_is_found_again() {
    assert!(on_postgres(), "run by tests/with_postgres.sh");
    let first = TestApp::start();
    let second = first.beside();
    assert_eq!(first.get(Owner, "/api/orders").await.0, 200);
    cut(&first);
    for app in [&first, &second] {
        assert_eq!(app.get(Owner, "/api/orders").await.0, 200);
        let list = app.act(Warehouse, "/api/pick-lists", json!({ "kits": ["KT-none"] })).await;
        assert_eq!(list.0, 404, "{list:?}");
    }
}

#[actix_web::test]
async fn what_was_written_as_the_server_went_away_is_not_called_undone() {
    assert!(on_postgres(), "run by tests/with_postgres.sh");
    let app = TestApp::start();
    let write = |cuts: bool| {
        app.books().write(Who::Program, |tx: &mut Tx<'_>| {
            people::put_setting(tx.conn, "note", "written")?;
            if cuts {
                cut(&app);
            }
            Ok(())
        })
    };
    // The connection is cut before the server was asked to make anything last.
    let fault = write(true).expect_err("the server is gone");
    assert_eq!(fault.code(), "database", "{:?}", fault.hidden_cause());
    // It is cut by the commit itself.
    let cut_by_commit = "CREATE FUNCTION cut() RETURNS trigger LANGUAGE plpgsql
            AS 'BEGIN PERFORM pg_terminate_backend(pg_backend_pid()); RETURN NULL; END';
        CREATE CONSTRAINT TRIGGER cut AFTER INSERT OR UPDATE ON settings DEFERRABLE
            INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION cut()";
    app.home().connect().batch_execute(cut_by_commit).expect("it is made");
    let fault = write(false).expect_err("the server is gone");
    assert_eq!(fault.code(), "database.unsure", "{:?}", fault.hidden_cause());
}

#[actix_web::test]
async fn a_code_too_long_for_a_key_is_refused_with_the_way_to_mend_it() {
    assert!(on_postgres(), "run by tests/with_postgres.sh");
    let app = TestApp::start();
    // Nothing that repeats, since the server packs what does.
    let code: String = (0..3000_u32)
        .map(|it| char::from_u32(0x4E00 + it * 7919 % 20_000).expect("a character"))
        .collect();
    let heading = "code,name,email,lead_days,lead_sd_days";
    let (status, body) = app.import("suppliers", &format!("{heading}\n{code},A,,1,1\n")).await;
    assert_eq!((status, &body["code"]), (422, &json!("text.too_long")), "{body}");
}

#[actix_web::test]
async fn open_pages_look_again_after_the_server_went_away() {
    assert!(on_postgres(), "run by tests/with_postgres.sh");
    let app = TestApp::start();
    let owner = Desk::sign_in(&app, Owner).await;
    let mut stream = owner.stream("/live").await;
    // The first change of the mark says that somebody listens.
    let mut known = mark(&mut stream).await;
    let count = json!({ "line": 1, "good": 1 });
    let path = "/api/purchase-orders/PO-26-162/counts";
    for _ in 0..2 {
        cut(&app);
        known = another_mark(&mut stream, &known).await;
        assert_eq!(app.act(Owner, path, count.clone()).await.0, 201);
        known = another_mark(&mut stream, &known).await;
    }
}
