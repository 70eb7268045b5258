//! The real binary, in a fresh folder.

mod backup;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use kitwright::demo;
use kitwright::exchange::Kind;
use kitwright::exchange::epcis::judge;

use crate::support::books::{Books, on_postgres};
use crate::support::decode::look;
use crate::support::folder::Folder;

struct Shop {
    folder: Folder,
    books: Books,
}

impl Shop {
    fn new() -> Self {
        Self { folder: Folder::new("cli"), books: Books::new("cli") }
    }

    /// A shop with the demo's catalogue, stock and orders, imported by the command line.
    fn filled() -> Self {
        let shop = Self::new();
        for kind in Kind::ALL {
            let file = shop.file(&format!("{}.csv", kind.as_str()), demo::file(kind));
            let done = shop.run(&["import", kind.as_str(), &file.display().to_string()]);
            assert!(done.status.success(), "{}", err(&done));
        }
        shop
    }

    fn path(&self) -> &Path {
        self.folder.path()
    }

    fn file(&self, name: &str, text: &str) -> PathBuf {
        let path = self.path().join(name);
        std::fs::write(&path, text).expect("the file can be written");
        path
    }

    fn run(&self, arguments: &[&str]) -> Output {
        self.run_with(arguments, "")
    }

    fn run_with(&self, arguments: &[&str], input: &str) -> Output {
        run_in(self.path(), self.books.address(), arguments, input)
    }

    fn sql(&self, statement: &str) -> Result<(), String> {
        use diesel::connection::SimpleConnection;
        self.books.connect().batch_execute(statement).map_err(|fault| fault.to_string())
    }
}

/// Runs the program in a folder, over the books at an address.
fn run_in(folder: &Path, database: &str, arguments: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_kitwright"))
        .args(arguments)
        .env("KITWRIGHT_DATABASE", database)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("it reads");
    // A program that answers without reading to the end closes its side first.
    let _ = stdin.write_all(input.as_bytes());
    drop(stdin);
    child.wait_with_output().expect("the program ends")
}

fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn a_dry_run_lists_every_fault_by_line_and_column_and_writes_nothing() {
    let shop = Shop::filled();
    let before = out(&shop.run(&["export", "orders"]));
    let heading = before.lines().next().expect("a heading").to_owned();
    let row = |number: &str, kit: &str, ski: &str| {
        format!(
            "{number},2026-11-20,2026-12-01,Ødegård,rider,,Fjellveien 3,NO,{kit},1,T15,rowan red,en,M,{ski}\n"
        )
    };
    assert_eq!(
        heading,
        "order,placed_on,promised_on,customer,channel,email,address,country,kit,quantity,build,colour,language,size,ski",
    );
    let text = format!(
        "{heading}\n{}{}{}",
        row("N-1", "TARVET", "105"),
        row("N-2", "TARVET", "100"),
        row("N-3", "TARWET", "105")
    );
    let file = shop.file("orders.csv", &text).display().to_string();
    for arguments in [vec!["import", "orders", &file, "--dry-run"], vec!["import", "orders", &file]]
    {
        let refused = shop.run(&arguments);
        assert_eq!(refused.status.code(), Some(1));
        let said = err(&refused);
        assert!(said.contains("the file has 2 faults, and nothing was imported"), "{said}");
        assert!(said.contains("line 3, column ski: '100' is no ski of kit TARVET"), "{said}");
        assert!(said.contains("line 4, column kit: there is no kit 'TARWET'"), "{said}");
        assert_eq!(out(&shop.run(&["export", "orders"])), before);
    }
    let right = format!("{heading}\n{}", row("N-1", "TARVET", "105"));
    let file = shop.file("right.csv", &right).display().to_string();
    let dry = shop.run(&["import", "orders", &file, "--dry-run"]);
    assert!(out(&dry).contains("nothing was written"), "{}", out(&dry));
    assert_eq!(out(&shop.run(&["export", "orders"])), before);
    assert!(shop.run(&["import", "orders", &file]).status.success());
    assert_ne!(out(&shop.run(&["export", "orders"])), before);
}

#[test]
fn a_file_of_stock_taken_in_twice_is_booked_once() {
    let shop = Shop::filled();
    let before = out(&shop.run(&["export", "stock"]));
    let file = shop.path().join("stock.csv").display().to_string();
    assert!(shop.run(&["import", "stock", &file]).status.success());
    assert_eq!(out(&shop.run(&["export", "stock"])), before);
}

#[test]
fn what_is_exported_imports_again_in_an_empty_shop() {
    let (shop, copy) = (Shop::filled(), Shop::new());
    for kind in Kind::ALL {
        let text = out(&shop.run(&["export", kind.as_str()]));
        let file = copy.file(&format!("{}.csv", kind.as_str()), &text).display().to_string();
        let done = copy.run(&["import", kind.as_str(), &file]);
        assert!(done.status.success(), "{}", err(&done));
        assert_eq!(out(&copy.run(&["export", kind.as_str()])), text, "{}", kind.as_str());
    }
}

#[test]
fn a_season_replayed_is_served_better_by_the_desk_than_by_a_fixed_minimum() {
    let shop = Shop::filled();
    let done = shop.run(&["replay", "--invented", "--seed", "1"]);
    assert!(done.status.success(), "{}", err(&done));
    let said = out(&done);
    let lines: Vec<&str> = said.lines().skip_while(|it| !it.starts_with("all ")).take(3).collect();
    // Parts short, days out, pieces short, stock and orders, each at the end of its line.
    let figures = |line: &str| -> Vec<f64> {
        let words: Vec<&str> = line.split_whitespace().collect();
        words[words.len() - 5..].iter().map(|it| it.parse().expect("a figure")).collect()
    };
    let [desk, fixed, known] = [0, 1, 2].map(|at| figures(lines[at]));
    assert!(10.0 * desk[1] < fixed[1] && known[1] <= desk[1], "{said}");
    assert!(known[3] < fixed[3] && 0.0 < known[4], "{said}");
    assert!(10.0 * desk[2] < fixed[2], "{said}");
}

#[test]
fn the_proof_fails_and_names_the_row_when_a_balance_is_tampered_with() {
    let shop = Shop::filled();
    let proved = shop.run(&["check"]);
    assert_eq!(proved.status.code(), Some(0), "{}", out(&proved));
    shop.sql(
        "UPDATE balances SET quantity = quantity + 1 WHERE NOT outside AND serial_id IS NULL
         AND variant_id = (SELECT id FROM variants WHERE part_number = 'MT108R')",
    )
    .expect("a hand in the database can do this");
    let failed = shop.run(&["check"]);
    assert_eq!(failed.status.code(), Some(1));
    let said = out(&failed);
    assert!(said.contains("FAILS: each balance is what the movements add up to"), "{said}");
    assert!(said.contains("balance of MT108R at "), "{said}");
}

#[test]
fn the_database_itself_refuses_to_change_the_past() {
    let shop = Shop::filled();
    let replace = "INSERT OR REPLACE INTO movements SELECT id, variant_id, lot_id, serial_id, 9,
        from_id, to_id, at, user_id, document, kit_line_id, reverses_id, request_key
        FROM movements WHERE id = 1";
    let upsert = "INSERT INTO movements SELECT * FROM movements WHERE id = 1
        ON CONFLICT (id) DO UPDATE SET quantity = 9";
    let (replace, kept, below_zero) = if on_postgres() {
        (upsert, "a movement is never changed", "violates check constraint")
    } else {
        (replace, "a movement is never deleted", "CHECK constraint failed")
    };
    for (statement, refusal) in [
        ("DELETE FROM movements WHERE id = 1", "a movement is never deleted"),
        ("UPDATE movements SET quantity = 9 WHERE id = 1", "a movement is never changed"),
        (replace, kept),
        ("UPDATE balances SET quantity = -1 WHERE NOT outside", below_zero),
        ("DELETE FROM request_keys", "a request key is never deleted"),
        (
            "INSERT INTO movements (variant_id, quantity, from_id, to_id, at, document, request_key)
             SELECT id, 1, 1, 2, '2026-11-25 09:00:00', '', (SELECT MIN(key) FROM request_keys)
             FROM variants WHERE part_number = 'MT108R'",
            "the lot or serial that its part is tracked by",
        ),
    ] {
        let refused = shop.sql(statement).expect_err(statement);
        assert!(refused.contains(refusal), "{statement}: {refused}");
    }
    assert_eq!(shop.run(&["check"]).status.code(), Some(0));
}

#[test]
fn a_line_that_is_wrong_does_not_stop_the_others() {
    let shop = Shop::new();
    // ISO/IEC 7064:2003's own example for MOD 37,36, from memory; and GS1's GTIN-13 example body,
    // recomputed with python-stdnum 2.2.
    let lines = "{\"kind\":\"MOD 37,36\",\"body\":\"A12425GABC1234002\"}\n{oops\n\
        {\"kind\":\"GTIN-13\",\"body\":\"629104150021\"}\n{\"kind\":\"GTIN-13\",\"full\":\"952O891467588\"}\n";
    let answer = shop.run_with(&["calc", "check-digit"], lines);
    assert!(answer.status.success());
    let said = out(&answer);
    let lines: Vec<&str> = said.lines().collect();
    assert_eq!(lines[0], r#"{"check_digit":"M","full":"A12425GABC1234002M"}"#);
    assert!(lines[1].starts_with(r#"{"error":{"code":"calc.json""#), "{}", lines[1]);
    assert_eq!(lines[2], r#"{"check_digit":"3","full":"6291041500213"}"#);
    assert!(lines[3].starts_with(r#"{"reason":"#) && lines[3].ends_with(r#""valid":false}"#));
    let schema = out(&shop.run(&["calc", "code128", "--schema"]));
    assert!(schema.contains("\"$schema\"") && schema.contains("\"text\""), "{schema}");
}

#[test]
fn check_digits_of_places_shipments_and_services_agree_with_outside_programs() {
    // Ran: biip 5.2.0 and python-stdnum 2.2 agree on each.
    let cases = [
        ("GLN", "999999999999", "4"),
        ("GSIN", "9524553810962153", "8"),
        ("GSRN", "95211812355491184", "1"),
        ("SSCC", "09526061984604754", "2"),
    ];
    let shop = Shop::new();
    for (kind, body, check) in cases {
        let line = format!("{{\"kind\":\"{kind}\",\"body\":\"{body}\"}}\n");
        let full = format!("{{\"kind\":\"{kind}\",\"full\":\"{body}{check}\"}}\n");
        let wrong = format!("{{\"kind\":\"{kind}\",\"full\":\"{body}{check}0\"}}\n");
        let said = out(&shop.run_with(&["calc", "check-digit"], &format!("{line}{full}{wrong}")));
        let lines: Vec<&str> = said.lines().collect();
        assert!(lines[0].contains(&format!("\"check_digit\":\"{check}\"")), "{kind}: {said}");
        assert_eq!(lines[1], r#"{"valid":true}"#, "{kind}");
        assert!(lines[2].contains("\"valid\":false"), "{kind}: {said}");
    }
}

#[test]
fn a_database_address_without_its_kind_makes_no_empty_shop() {
    let shop = Shop::new();
    let refused = shop.run(&["check", "--database", "shop.db"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(err(&refused).contains("write sqlite:FILE"), "{}", err(&refused));
    assert!(!shop.path().join("shop.db").exists());
}

#[test]
fn labels_are_printed_from_the_books() {
    let shop = Shop::filled();
    let pdf = shop.path().join("labels.pdf");
    let name = pdf.display().to_string();
    let done = shop.run(&["print", "part", "SK1074", "HS104C", "--out", &name]);
    assert!(done.status.success(), "{}", err(&done));
    let seen = look("cli-labels", &std::fs::read(&pdf).expect("the PDF is there"));
    let codes: Vec<&str> = seen.symbols.iter().flatten().map(|it| it.text.as_str()).collect();
    assert_eq!(codes, ["SK1074", "HS104C"]);
    let refused = shop.run(&["print", "part", "XX999X", "--out", &name]);
    assert!(err(&refused).contains("there is no part number 'XX999X'"), "{}", err(&refused));
}

#[test]
fn a_purchase_order_and_a_goods_receipt_are_printed_from_the_books() {
    let shop = Shop::filled();
    let pdf = shop.path().join("paper.pdf");
    let name = pdf.display().to_string();
    for (kind, words) in [("purchase-order", "Total 265.00"), ("goods-receipt", "Not counted yet")]
    {
        let done = shop.run(&["print", kind, "PO-26-165", "--out", &name]);
        assert!(done.status.success(), "{}", err(&done));
        let seen = look(&format!("cli-{kind}"), &std::fs::read(&pdf).expect("the PDF is there"));
        assert_eq!(seen.symbols[0][0].text, "PO-26-165");
        assert!(seen.words.contains(words), "{kind}: {}", seen.words);
    }
    let refused = shop.run(&["print", "purchase-order", "PO-0", "--out", &name]);
    assert!(err(&refused).contains("there is no purchase order 'PO-0'"), "{}", err(&refused));
}

#[test]
fn people_are_added_with_a_password_from_standard_input() {
    let shop = Shop::new();
    let add = ["user", "add", "ada", "--name", "Ада Ødegård 山", "--role", "owner"];
    let short = shop.run_with(&add, "short\n");
    assert!(err(&short).contains("10 to 200 characters"), "{}", err(&short));
    assert!(shop.run_with(&add, "long enough to hold\n").status.success());
    let twice = shop.run_with(&add, "long enough to hold\n");
    assert!(err(&twice).contains("login 'ada' is taken"), "{}", err(&twice));
    let listed = out(&shop.run(&["user", "list"]));
    assert_eq!(listed, "ada\towner\tАда Ødegård 山\tactive\n");
    assert!(shop.run(&["user", "disable", "ada"]).status.success());
    assert!(out(&shop.run(&["user", "list"])).contains("disabled"));
}

#[test]
fn events_and_orders_go_out_and_a_suppliers_advice_comes_in() {
    let shop = Shop::filled();
    let first = shop.run(&["export", "events", "--limit", "100"]);
    assert!(first.status.success(), "{}", err(&first));
    let events: serde_json::Value = serde_json::from_str(&out(&first)).expect("JSON");
    assert_eq!(judge(&events), Vec::<String>::new());
    let told = err(&first);
    let (_, cursor) = told.trim().split_once("--since ").expect("where to go on");
    assert_eq!(cursor, "100.0");
    let again = shop.run(&["export", "events", "--limit", "100"]);
    let again: serde_json::Value = serde_json::from_str(&out(&again)).expect("JSON");
    assert_eq!(again["epcisBody"], events["epcisBody"], "the same events under the same numbers");

    let order = shop.run(&["export", "ubl-order", "PO-26-156"]);
    assert!(out(&order).contains("<cbc:ID>PO-26-156</cbc:ID>"), "{}", err(&order));
    assert!(!out(&order).contains("PriceAmount"), "nobody has said in which currency prices are");
    let unnamed = shop.run(&["export", "despatch-advice"]);
    assert!(err(&unnamed).contains("name the kit"), "{}", err(&unnamed));
    let named = shop.run(&["export", "parts", "SK1074"]);
    assert!(err(&named).contains("leave SK1074 out"), "{}", err(&named));

    let text = crate::api::advices::advice("A1", "PO-26-156", &[("1", "2100", "L-1", "")]);
    let file = shop.file("advice.xml", &text).display().to_string();
    let looked = shop.run(&["import", "despatch-advice", &file, "--dry-run"]);
    assert!(out(&looked).contains("this was a dry run"), "{}", err(&looked));
    let taken = shop.run(&["import", "despatch-advice", &file]);
    for words in ["2100 × SK1074, lot L-1", "100 more than was ordered", "2100 pieces announced"] {
        assert!(out(&taken).contains(words), "{}{}", out(&taken), err(&taken));
    }
    let again = shop.run(&["import", "despatch-advice", &file]);
    assert!(out(&again).contains("was taken in on"), "{}", out(&again));
    let file = shop.file("wrong.xml", &text.replace("2100", "-1")).display().to_string();
    let wrong = shop.run(&["import", "despatch-advice", &file]);
    assert!(!wrong.status.success() && err(&wrong).contains("-1 is below zero"), "{}", err(&wrong));
}
