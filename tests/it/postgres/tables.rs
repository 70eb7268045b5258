//! The tables of both databases, read from each one's own catalogue and compared.

use std::collections::BTreeSet;

use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::Text;
use kitwright::clock::Clock;
use kitwright::store::{Conn, Database, DatabaseUrl, take_migrations_back};

use crate::support::books::{Books, on_postgres};
use crate::support::folder::Folder;

#[derive(QueryableByName)]
struct Line {
    #[diesel(sql_type = Text)]
    line: String,
}

fn lines(conn: &mut Conn, statement: &str) -> BTreeSet<String> {
    let rows: Vec<Line> = sql_query(statement).load(conn).expect(statement);
    rows.into_iter().map(|it| it.line).collect()
}

/// New books in each database, with their tables: SQLite's and PostgreSQL's.
struct Both {
    sqlite: Conn,
    postgres: Conn,
    _folder: Folder,
    _books: Books,
}

fn both() -> Both {
    assert!(on_postgres(), "run by tests/with_postgres.sh");
    let (folder, books) = (Folder::new("both"), Books::new("both"));
    let url = DatabaseUrl::Sqlite(folder.path().join("shop.sqlite").display().to_string());
    for url in [&url, &books.url()] {
        drop(Database::open(url, Clock::System).expect("it opens"));
    }
    let (sqlite, postgres) = (url.connect().expect("it opens"), books.connect());
    Both { sqlite, postgres, _folder: folder, _books: books }
}

/// Compares what a statement for each finds.
#[track_caller]
fn same(both: &mut Both, sqlite: &str, postgres: &str) {
    let (sqlite, postgres) = (lines(&mut both.sqlite, sqlite), lines(&mut both.postgres, postgres));
    assert!(!sqlite.is_empty());
    let only = |it: &BTreeSet<String>, other| it.difference(other).cloned().collect::<Vec<_>>();
    assert_eq!(only(&sqlite, &postgres), only(&postgres, &sqlite), "only in one of them");
}

/// SQLite's tables, but its own.
const TABLES: &str = "(SELECT name, sql FROM sqlite_master WHERE type = 'table'
    AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' AND name NOT LIKE '\\_\\_diesel%' ESCAPE '\\')";

#[test]
fn each_column_is_there_in_both_with_its_type_and_default() {
    same(
        &mut both(),
        &format!(
            "SELECT t.name || '.' || c.name || ' ' || replace(c.type, 'INTEGER', 'BIGINT')
                || CASE WHEN c.\"notnull\" THEN ' NOT NULL' ELSE '' END
                || COALESCE(' DEFAULT ' || lower(c.dflt_value), '') AS line
             FROM {TABLES} t JOIN pragma_table_info(t.name) c"
        ),
        "SELECT table_name || '.' || column_name || ' '
            || CASE data_type WHEN 'timestamp without time zone' THEN 'TIMESTAMP'
                WHEN 'bytea' THEN 'BLOB'
                ELSE upper(data_type) END
            || CASE is_nullable WHEN 'NO' THEN ' NOT NULL' ELSE '' END
            || COALESCE(' DEFAULT ' || regexp_replace(column_default, '::[a-z ]+', ''), '') AS line
         FROM information_schema.columns
         WHERE table_schema = 'public' AND table_name NOT LIKE '\\_\\_diesel%'",
    );
}

#[test]
fn each_foreign_key_is_there_in_both() {
    same(
        &mut both(),
        &format!(
            "SELECT name || ' (' || group_concat(\"from\", ', ') || ') REFERENCES ' || \"table\"
                || ' (' || group_concat(\"to\", ', ') || ') ' || on_update || ' ' || on_delete AS line
             FROM (SELECT t.name, k.* FROM {TABLES} t JOIN pragma_foreign_key_list(t.name) k
                ORDER BY t.name, k.id, k.seq)
             GROUP BY name, id"
        ),
        "SELECT conrelid::regclass || ' (' || (SELECT string_agg(a.attname, ', ' ORDER BY k.no)
                FROM unnest(conkey) WITH ORDINALITY k (at, no)
                JOIN pg_attribute a ON a.attrelid = conrelid AND a.attnum = k.at)
            || ') REFERENCES ' || confrelid::regclass || ' ('
            || (SELECT string_agg(a.attname, ', ' ORDER BY k.no)
                FROM unnest(confkey) WITH ORDINALITY k (at, no)
                JOIN pg_attribute a ON a.attrelid = confrelid AND a.attnum = k.at)
            || ') ' || CASE confupdtype WHEN 'a' THEN 'NO ACTION' ELSE confupdtype::text END
            || ' ' || CASE confdeltype WHEN 'a' THEN 'NO ACTION' ELSE confdeltype::text END AS line
         FROM pg_constraint WHERE contype = 'f'",
    );
}

/// The words of an index without what each database adds of its own.
fn plain(index: &str) -> String {
    let index = index.replace("USING btree ", "").replace("public.", "").replace("::bigint", "");
    let index = index.replace("::text", "");
    let words: String = index.chars().filter(|it| !"()\"; \n".contains(*it)).collect();
    words.to_lowercase()
}

#[test]
fn each_index_is_there_in_both() {
    let mut both = both();
    let sqlite = lines(
        &mut both.sqlite,
        "SELECT sql AS line FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL",
    );
    let postgres = lines(
        &mut both.postgres,
        "SELECT indexdef AS line FROM pg_indexes WHERE schemaname = 'public'
            AND indexname NOT IN (SELECT conname FROM pg_constraint)",
    );
    let mut sqlite: BTreeSet<String> = sqlite.iter().map(|it| plain(it)).collect();
    let postgres: BTreeSet<String> = postgres.iter().map(|it| plain(it)).collect();
    // The key of the table, which is an index in PostgreSQL alone.
    assert!(sqlite.remove("createindexcarton_ssccs_cartononcarton_ssccscarton_id"));
    assert_eq!(sqlite, postgres);
    same(
        &mut both,
        &format!(
            "SELECT t.name || ' (' || (SELECT group_concat(name, ', ')
                FROM (SELECT name FROM pragma_index_info(i.name) ORDER BY seqno)) || ')' AS line
             FROM {TABLES} t JOIN pragma_index_list(t.name) i WHERE i.origin IN ('u', 'pk')
             UNION SELECT t.name || ' (' || c.name || ')' FROM {TABLES} t
             JOIN pragma_table_info(t.name) c WHERE c.pk = 1 AND c.type = 'INTEGER'"
        ),
        "SELECT conrelid::regclass || ' (' || (SELECT string_agg(a.attname, ', ' ORDER BY k.no)
            FROM unnest(conkey) WITH ORDINALITY k (at, no)
            JOIN pg_attribute a ON a.attrelid = conrelid AND a.attnum = k.at) || ')' AS line
         FROM pg_constraint WHERE contype IN ('p', 'u')
            AND connamespace = 'public'::regnamespace AND conrelid::regclass::text NOT LIKE '\\_\\_diesel%'",
    );
}

/// Returns the text within the parentheses that open where `text` begins.
fn enclosed(text: &str) -> &str {
    let mut open = 0;
    for (at, it) in text.char_indices() {
        open += i32::from(it == '(') - i32::from(it == ')');
        if open == 0 {
            return &text[..=at];
        }
    }
    panic!("it is closed: {text}");
}

#[test]
fn each_check_is_there_in_both() {
    let mut both = both();
    let rules = "SELECT conrelid::regclass || ' ' || pg_get_constraintdef(oid) AS line
        FROM pg_constraint WHERE contype = 'c' AND conrelid::regclass::text";
    let postgres = lines(&mut both.postgres, &format!("{rules} NOT LIKE 'pg_temp.%'"));
    let tables = lines(&mut both.sqlite, &format!("SELECT sql AS line FROM {TABLES}"));
    // PostgreSQL reads SQLite's checks on a copy of the table, and words them its own way.
    for table in &tables {
        let (_, named) = table.split_once("CREATE TABLE ").expect("a table");
        let name = named.split(['(', ' ']).next().expect("a name").trim_matches('"');
        let copy = format!("CREATE TEMP TABLE {name} (LIKE public.{name})");
        both.postgres.batch_execute(&copy).expect("a copy");
        for (at, _) in table.match_indices("CHECK (") {
            let rule = enclosed(&table[at + "CHECK ".len()..]);
            let add = format!("ALTER TABLE pg_temp.{name} ADD CHECK {rule}");
            both.postgres.batch_execute(&add).expect(&add);
        }
    }
    // A temporary table hides the real one, whose name then needs its schema.
    let sqlite = lines(&mut both.postgres, &format!("{rules} NOT LIKE 'public.%'"));
    assert!(30 < sqlite.len());
    assert_eq!(sqlite, postgres);
}

#[test]
fn each_trigger_is_there_in_both() {
    let mut both = both();
    let sqlite = lines(
        &mut both.sqlite,
        "SELECT substr(sql, instr(sql, name) + length(name) + 1) AS line
         FROM sqlite_master WHERE type = 'trigger'",
    );
    let head = |it: &String| it.split_whitespace().take(4).collect::<Vec<_>>().join(" ");
    let sqlite: BTreeSet<String> = sqlite.iter().map(head).collect();
    let postgres = lines(
        &mut both.postgres,
        "SELECT action_timing || ' ' || event_manipulation || ' ON ' || event_object_table AS line
         FROM information_schema.triggers",
    );
    assert!(8 < sqlite.len());
    assert_eq!(sqlite, postgres);
}

/// All that PostgreSQL's migrations make.
const MADE: &str = "SELECT 'table ' || oid::regclass AS line FROM pg_class
        WHERE relkind IN ('r', 'v', 'S') AND relnamespace = 'public'::regnamespace
            AND relname NOT LIKE '\\_\\_diesel%'
    UNION ALL SELECT 'column ' || attrelid::regclass || '.' || attname || ' '
        || format_type(atttypid, atttypmod) || ' ' || attcollation::regcollation || ' '
        || attnotnull::text
        FROM pg_attribute JOIN pg_class t ON t.oid = attrelid
        WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace AND attnum > 0
            AND NOT attisdropped AND relname NOT LIKE '\\_\\_diesel%'
    UNION ALL SELECT 'constraint ' || conrelid::regclass || ' ' || pg_get_constraintdef(oid)
        FROM pg_constraint WHERE connamespace = 'public'::regnamespace
            AND conrelid::regclass::text NOT LIKE '\\_\\_diesel%'
    UNION ALL SELECT 'index ' || indexdef FROM pg_indexes
        WHERE schemaname = 'public' AND tablename NOT LIKE '\\_\\_diesel%'
    UNION ALL SELECT 'trigger ' || pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal
    UNION ALL SELECT 'function ' || pg_get_functiondef(oid) FROM pg_proc
        WHERE pronamespace = 'public'::regnamespace";

#[test]
fn migrations_go_up_down_and_up_again() {
    assert!(on_postgres(), "run by tests/with_postgres.sh");
    let books = Books::new("store");
    let open = || drop(Database::open(&books.url(), Clock::System).expect("it opens"));
    open();
    let first = lines(&mut books.connect(), MADE);
    assert!(first.iter().any(|it| it.starts_with("trigger CREATE TRIGGER movements_no_delete")));
    take_migrations_back(&mut books.connect()).expect("down");
    assert_eq!(lines(&mut books.connect(), MADE), BTreeSet::new());
    open();
    assert_eq!(lines(&mut books.connect(), MADE), first);
}

#[test]
fn every_text_sorts_by_code_point_and_every_foreign_key_has_an_index() {
    let mut both = both();
    let otherwise = "SELECT attrelid::regclass || '.' || attname AS line
        FROM pg_attribute JOIN pg_class t ON t.oid = attrelid
        WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace AND attnum > 0
            AND relname NOT LIKE '\\_\\_diesel%' AND attcollation NOT IN (0, '\"C\"'::regcollation)";
    assert_eq!(lines(&mut both.postgres, otherwise), BTreeSet::new());
    let bare = "SELECT conrelid::regclass || ' ' || pg_get_constraintdef(oid) AS line
        FROM pg_constraint WHERE contype = 'f' AND NOT EXISTS (
            SELECT 1 FROM pg_index WHERE indrelid = conrelid AND indkey[0] = conkey[1])";
    assert_eq!(lines(&mut both.postgres, bare), BTreeSet::new());
}
