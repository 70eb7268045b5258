//! The migration that gives each revision of a bill a row of its own keeps what a shop holds.

use diesel::migration::{Migration, MigrationConnection, MigrationSource};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::Text;
use diesel::sqlite::Sqlite;
use diesel_migrations::{FileBasedMigrations, MigrationHarness};

const SHOP: &str = "
    INSERT INTO parts VALUES (1, 'Bolt');
    INSERT INTO variants VALUES (7, 1, 'AB001K', '', '', '', 1, 0, '', 'none', 'S', NULL, NULL, 1, 1,
        1, 1, 1, NULL);
    INSERT INTO boms VALUES (3, 'BIKE', 'C', 'A bike', NULL), (4, 'BAG', 'A', 'A bag', 7);
    INSERT INTO bom_options VALUES (1, 3, 1, 'size', 'M|L');
    INSERT INTO bom_steps VALUES (1, 3, 1, 'Open', '', '');
    INSERT INTO bom_lines VALUES (1, 3, 10, 1, 'BAG', '', '', 2, 1), (2, 4, 10, 1, 'AB001K', '', '', 2, 1);
    INSERT INTO orders VALUES (5, 'SO-1', '2026-03-04', '2026-04-01', 'Wren', 'rider', '', 'Lane', 'GB');
    INSERT INTO kits VALUES (6, 'KT1', 5, 1, 1, 3, 'C', 'open', NULL, NULL);
";

const DUMP: &str = "
    SELECT group_concat(text, char(10)) AS text FROM (
        SELECT 'bom ' || id || ' ' || code || ' ' || revision || ' ' || COALESCE(makes_variant_id, '-')
            AS text FROM boms
        UNION ALL SELECT 'option ' || bom_id || ' ' || name FROM bom_options
        UNION ALL SELECT 'step ' || bom_id || ' ' || title FROM bom_steps
        UNION ALL SELECT 'line ' || bom_id || ' ' || item FROM bom_lines
        UNION ALL SELECT 'kit ' || bom_id || ' ' || number FROM kits)";

#[derive(QueryableByName)]
struct Row {
    #[diesel(sql_type = Text)]
    text: String,
}

fn text(conn: &mut SqliteConnection, statement: &str) -> String {
    sql_query(statement).get_result::<Row>(conn).expect(statement).text
}

fn complaints(conn: &mut SqliteConnection) -> usize {
    let rows: Vec<Row> =
        sql_query("SELECT \"table\" AS text FROM pragma_foreign_key_check").load(conn).unwrap();
    rows.len()
}

type Step = Box<dyn Migration<Sqlite>>;

/// Returns empty books, the migrations before this one, and this one.
fn books() -> (SqliteConnection, Vec<Step>, Step) {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/migrations/sqlite");
    let mut all: Vec<Step> = FileBasedMigrations::from_path(folder).unwrap().migrations().unwrap();
    all.sort_by_key(|it| it.name().to_string());
    let at = all.iter().position(|it| it.name().to_string().ends_with("000006_revisions"));
    let this = all.swap_remove(at.unwrap());
    all.truncate(at.unwrap());
    let mut conn = SqliteConnection::establish(":memory:").unwrap();
    sql_query("PRAGMA foreign_keys = ON").execute(&mut conn).unwrap();
    conn.setup().unwrap();
    (conn, all, this)
}

#[test]
fn bills_and_what_hangs_on_them_survive_up_down_and_up() {
    let (mut conn, earlier, this) = books();
    earlier.iter().for_each(|it| drop(conn.run_migration(it.as_ref()).unwrap()));
    diesel::connection::SimpleConnection::batch_execute(&mut conn, SHOP).unwrap();
    let before = text(&mut conn, DUMP);
    assert_eq!(before.lines().count(), 7, "{before}");
    conn.run_migration(this.as_ref()).unwrap();
    assert_eq!((text(&mut conn, DUMP), complaints(&mut conn)), (before.clone(), 0));
    let since = "SELECT valid_from || ' ' || (SELECT bills_on FROM kits) AS text FROM boms";
    assert_eq!(text(&mut conn, since), "2026-03-04 2026-03-04");
    conn.revert_migration(this.as_ref()).unwrap();
    assert_eq!((text(&mut conn, DUMP), complaints(&mut conn)), (before.clone(), 0));
    conn.run_migration(this.as_ref()).unwrap();
    assert_eq!((text(&mut conn, DUMP), complaints(&mut conn)), (before, 0));
}

#[test]
fn further_revisions_keep_their_kits_on_the_way_back() {
    let (mut conn, earlier, this) = books();
    earlier.iter().for_each(|it| drop(conn.run_migration(it.as_ref()).unwrap()));
    conn.run_migration(this.as_ref()).unwrap();
    let shop = "INSERT INTO boms VALUES (3, 'BIKE', 'B', '2026-01-01', 'A bike', NULL),
            (4, 'BIKE', 'C', '2026-06-01', 'A bike', NULL), (5, 'BIKE', 'D', NULL, 'A bike', NULL);
        INSERT INTO orders VALUES (5, 'SO-1', '2026-03-04', '2026-04-01', 'Wren', 'rider', '', '', 'GB');
        INSERT INTO kits VALUES (6, 'KT1', 5, 1, 1, 3, 'B', 'open', NULL, NULL, '2026-03-04');";
    diesel::connection::SimpleConnection::batch_execute(&mut conn, shop).unwrap();
    conn.revert_migration(this.as_ref()).unwrap();
    let codes = "SELECT group_concat(code, ', ') AS text FROM (SELECT code FROM boms ORDER BY id)";
    assert_eq!(text(&mut conn, codes), "BIKE (revision B), BIKE, BIKE (revision D)");
    assert_eq!(complaints(&mut conn), 0);
}
