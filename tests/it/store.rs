//! The embedded database's own tables.

mod group;
mod revisions;

use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::Text;
use kitwright::clock::Clock;
use kitwright::store::{Database, DatabaseUrl, take_migrations_back};

use crate::support::folder::Folder;

#[derive(QueryableByName)]
struct Name {
    #[diesel(sql_type = Text)]
    name: String,
}

fn names(conn: &mut kitwright::store::Conn, statement: &str) -> Vec<String> {
    let rows: Vec<Name> = sql_query(statement).load(conn).expect(statement);
    rows.into_iter().map(|it| it.name).collect()
}

fn tables(url: &DatabaseUrl) -> Vec<String> {
    let mut conn = url.connect().expect("it opens");
    names(
        &mut conn,
        "SELECT type || ' ' || name || ' ' || COALESCE(sql, '') AS name FROM sqlite_master
         WHERE name NOT LIKE 'sqlite_%' AND name NOT LIKE '__diesel%' ORDER BY type, name",
    )
}

#[test]
fn migrations_go_up_down_and_up_again() {
    let folder = Folder::new("store");
    let url = DatabaseUrl::Sqlite(folder.path().join("shop.sqlite").display().to_string());
    drop(Database::open(&url, Clock::System).expect("it opens"));
    let first = tables(&url);
    assert!(first.iter().any(|it| it.starts_with("trigger movements_no_delete")));
    take_migrations_back(&mut url.connect().expect("it opens")).expect("down");
    assert_eq!(tables(&url), Vec::<String>::new());
    drop(Database::open(&url, Clock::System).expect("it opens again"));
    assert_eq!(tables(&url), first);
}

#[test]
fn each_foreign_key_has_an_index_that_begins_with_it() {
    let folder = Folder::new("store");
    let url = DatabaseUrl::Sqlite(folder.path().join("shop.sqlite").display().to_string());
    drop(Database::open(&url, Clock::System).expect("it opens"));
    let mut conn = url.connect().expect("it opens");
    let bare = names(
        &mut conn,
        "SELECT t.name || '.' || k.\"from\" AS name
         FROM sqlite_master t JOIN pragma_foreign_key_list(t.name) k
         WHERE t.type = 'table' AND k.seq = 0 AND NOT EXISTS (
             SELECT 1 FROM pragma_index_list(t.name) i JOIN pragma_index_info(i.name) c
             WHERE c.seqno = 0 AND c.name = k.\"from\")
         ORDER BY 1",
    );
    assert_eq!(bare, Vec::<String>::new());
}
