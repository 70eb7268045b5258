//! Backups: taken while the shop works, proved, restored as they were, and made by the service.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Output;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use diesel::connection::SimpleConnection;
use kitwright::clock::Clock;
use kitwright::demo;
use kitwright::exchange::Kind;
use kitwright::ops::backup::{Plan, backup, tend};
use kitwright::store::people::{next_number, user_by_login};
use kitwright::store::{Database, DatabaseUrl, Who};

use super::{err, out, run_in};
use crate::support::folder::Folder;
use crate::support::service;

/// A shop of the embedded database, whatever the run is about, with all its files in one folder.
struct Shop(Folder);

impl Shop {
    fn new() -> Self {
        Self(Folder::new("backup"))
    }

    fn filled() -> Self {
        let shop = Self::new();
        for kind in Kind::ALL {
            let file = shop.file(&format!("{}.csv", kind.as_str()), demo::file(kind));
            let done = shop.run(&["import", kind.as_str(), &file]);
            assert!(done.status.success(), "{}", err(&done));
        }
        shop
    }

    fn path(&self) -> &Path {
        self.0.path()
    }

    fn url(&self) -> DatabaseUrl {
        at(&self.path().join("shop.sqlite"))
    }

    fn file(&self, name: &str, text: &str) -> String {
        std::fs::write(self.path().join(name), text).expect("the file can be written");
        name.to_owned()
    }

    fn run(&self, arguments: &[&str]) -> Output {
        self.run_with(arguments, "")
    }

    fn run_with(&self, arguments: &[&str], input: &str) -> Output {
        run_in(self.path(), "sqlite:shop.sqlite", arguments, input)
    }
}

fn at(file: &Path) -> DatabaseUrl {
    DatabaseUrl::Sqlite(file.display().to_string())
}

fn files(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("the folder can be read");
    let names = entries.map(|it| it.expect("an entry").file_name().to_string_lossy().into_owned());
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

/// What a shop says of all that it holds.
fn exports(shop: &Shop, database: &str) -> BTreeMap<&'static str, String> {
    let export = |kind: &Kind| {
        let said = shop.run(&["export", kind.as_str(), "--database", database]);
        assert!(said.status.success(), "{}", err(&said));
        (kind.as_str(), out(&said))
    };
    Kind::ALL.iter().map(export).collect()
}

#[test]
fn a_restored_shop_is_the_one_that_was_backed_up_and_nothing_is_overwritten() {
    let shop = Shop::filled();
    let then = exports(&shop, "sqlite:shop.sqlite");
    let made = shop.run(&["backup", "copy.sqlite"]);
    assert!(made.status.success(), "{}", err(&made));
    assert!(out(&made).starts_with("copy.sqlite: "), "{}", out(&made));
    let again = shop.run(&["backup", "copy.sqlite"]);
    assert_eq!(again.status.code(), Some(1));
    assert!(
        err(&again).contains("copy.sqlite is there already: name a new file"),
        "{}",
        err(&again)
    );

    let stock = "part_number,bin,quantity,lot,use_by,serial\nPK101H,P-04-1Q,7,,,\n";
    let later = shop.file("later.csv", stock);
    assert!(shop.run(&["import", "stock", &later]).status.success());
    assert_ne!(exports(&shop, "sqlite:shop.sqlite"), then);

    let over = shop.run(&["restore", "copy.sqlite"]);
    assert_eq!(over.status.code(), Some(1));
    assert!(err(&over).contains("a restore writes over no shop"), "{}", err(&over));
    let back = shop.run(&["restore", "copy.sqlite", "--database", "sqlite:back.sqlite"]);
    assert!(back.status.success(), "{}", err(&back));
    assert_eq!(exports(&shop, "sqlite:back.sqlite"), then);
    assert!(shop.run(&["check", "--database", "sqlite:back.sqlite"]).status.success());
    let left: Vec<String> =
        files(shop.path()).into_iter().filter(|it| it.contains(".part")).collect();
    assert_eq!(left, Vec::<String>::new());
    let missing = shop.run(&["backup", "x.sqlite", "--database", "sqlite:no-such.sqlite"]);
    assert!(err(&missing).contains("there is no shop 'no-such.sqlite'"), "{}", err(&missing));
    assert!(!shop.path().join("no-such.sqlite").exists(), "a slip of the hand makes no empty shop");
}

#[test]
fn what_is_no_sound_backup_is_not_restored() {
    let shop = Shop::filled();
    shop.file("words.csv", &"no shop at all\n".repeat(200));
    shop.file("empty.sqlite", "");
    assert!(shop.run(&["backup", "tampered.sqlite"]).status.success());
    let url = at(&shop.path().join("tampered.sqlite"));
    let tamper = "UPDATE balances SET quantity = quantity + 1 WHERE id =
        (SELECT MIN(id) FROM balances WHERE NOT outside AND serial_id IS NULL)";
    url.connect().expect("it opens").batch_execute(tamper).expect("a hand can do this");
    for (file, why) in [
        ("words.csv", "this is no backup of a shop"),
        ("empty.sqlite", "this is no backup of a shop"),
        ("tampered.sqlite", "it does not prove: balance of "),
        ("nowhere.sqlite", "No such file"),
    ] {
        let refused = shop.run(&["restore", file, "--database", "sqlite:back.sqlite"]);
        assert_eq!(refused.status.code(), Some(1), "{file}");
        let said = err(&refused);
        assert!(said.contains("nothing was restored") && said.contains(why), "{file}: {said}");
        let left = files(shop.path());
        assert!(!left.iter().any(|it| it.starts_with("back.sqlite")), "{left:?}");
    }
    shop.url().connect().expect("it opens").batch_execute(tamper).expect("a hand can do this");
    let refused = shop.run(&["backup", "copy.sqlite"]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(err(&refused).contains("the copy does not prove: balance of "), "{}", err(&refused));
    assert!(!files(shop.path()).iter().any(|it| it.starts_with("copy.sqlite")));
}

#[test]
fn a_backup_shows_one_moment_of_a_shop_that_writes_on() {
    let shop = Shop::new();
    let url = shop.url();
    let books = Database::open(&url, Clock::System).expect("it opens");
    let pair = |books: &Database| {
        books.write(Who::Program, |tx| {
            Ok((next_number(tx.conn, "left")?, next_number(tx.conn, "right")?))
        })
    };
    pair(&books).expect("it writes");
    let over = AtomicBool::new(false);
    std::thread::scope(|scope| {
        let writer = scope.spawn(|| {
            while !over.load(Ordering::SeqCst) {
                pair(&books).expect("it writes on");
            }
        });
        for nth in 0..5 {
            let file = shop.path().join(format!("copy{nth}.sqlite"));
            let before = pair(&books).expect("it writes").0;
            backup(&url, &file).expect("a backup");
            let after = pair(&books).expect("it writes").0;
            let copy = Database::open(&at(&file), Clock::System).expect("it opens");
            let (left, right) = pair(&copy).expect("it writes");
            assert_eq!(left, right, "half of a write is in the copy");
            assert!(before < left && left <= after, "{before} {left} {after}");
        }
        over.store(true, Ordering::SeqCst);
        writer.join().expect("it writes to the end");
    });
}

#[test]
fn backups_are_made_when_due_and_the_newest_are_kept() {
    let shop = Shop::filled();
    let url = shop.url();
    let folder = shop.path().join("backups");
    let plan = Plan { folder: folder.clone(), every: chrono::Duration::hours(6), keep: 2 };
    let time = |hour: u32| format!("2026-11-25T{hour:02}:00:00").parse().expect("a time");
    let made = |hour: u32| tend(&url, &plan, time(hour)).expect("it is tended").is_some();
    assert_eq!([0, 5, 6, 7, 12].map(made), [true, false, true, false, true]);
    std::fs::write(folder.join("notes.txt"), "not a backup").expect("it is written");
    assert!(made(18));
    let left =
        ["kitwright-20261125T120000Z.sqlite", "kitwright-20261125T180000Z.sqlite", "notes.txt"];
    assert_eq!(files(&folder), left);
    let broken = Plan { folder: folder.join("notes.txt"), ..plan };
    let error = tend(&url, &broken, time(23)).expect_err("a file is no folder");
    assert_eq!(error.code(), "backup.folder");
    assert_eq!(files(&folder), left, "nothing is taken away unless a new one was made");
}

fn serve(shop: &Shop, folder: &str) -> (service::Program, String) {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_kitwright"));
    command.args(["serve", "--listen", "127.0.0.1:0", "--database", "sqlite:shop.sqlite"]);
    command.args(["--backup-to", folder]).current_dir(shop.path());
    service::start(&mut command, |line| Some(line.split_once("serves at ")?.1.to_owned()))
}

/// Waits until something has come about by itself.
fn until(what: &str, mut is_so: impl FnMut() -> bool) {
    let end = Instant::now() + Duration::from_secs(30);
    while !is_so() {
        assert!(Instant::now() < end, "{what} did not come about");
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn the_service_makes_backups_by_itself() {
    let shop = Shop::filled();
    let (_service, _) = serve(&shop, "backups");
    let folder = shop.path().join("backups");
    let whole = |it: &String| it.starts_with("kitwright-") && it.ends_with(".sqlite");
    until("a backup", || folder.exists() && files(&folder).iter().any(whole));
    let name = files(&folder).into_iter().find(whole).expect("a backup");
    let back = shop.run(&["restore", &format!("backups/{name}"), "--database", "sqlite:b.sqlite"]);
    assert!(back.status.success(), "{}", err(&back));
}

#[actix_web::test]
async fn a_backup_that_failed_is_told_to_the_owner_alone() {
    let shop = Shop::filled();
    for role in ["owner", "buyer"] {
        let add = ["user", "add", role, "--name", role, "--role", role];
        let added = shop.run_with(&add, "a long enough password\n");
        assert!(added.status.success(), "{}", err(&added));
    }
    let url = shop.url();
    let mut conn = url.connect().expect("it opens");
    assert!(user_by_login(&mut conn, "owner").expect("it reads").is_some());
    let (_service, address) = serve(&shop, "stock.csv");
    for (role, told) in [("owner", true), ("buyer", false)] {
        let client = reqwest::Client::builder().cookie_store(true).build().expect("a client");
        let form = format!("name={role}&password=a+long+enough+password&next=");
        let form = client.post(format!("{address}/sign-in")).body(form);
        let form = form.header("content-type", "application/x-www-form-urlencoded");
        let page = form.send().await.expect("an answer").text().await.expect("a page");
        assert!(page.contains("Sign out"), "{page}");
        let today = client.get(format!("{address}/")).send().await.expect("an answer");
        let today = today.text().await.expect("a page");
        assert_eq!(today.contains("The last backup failed"), told, "{today}");
    }
}
