//! Checks on the source itself: layers, subjects, sizes, and what nobody uses.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// What each top-level module may use, itself aside.
const LAYERS: [(&str, &[&str]); 15] = [
    ("units", &[]),
    ("domain", &["units"]),
    ("clock", &[]),
    ("exchange", &["domain", "units"]),
    ("paper", &["domain", "units"]),
    ("printer", &["domain", "units"]),
    ("courier", &["domain", "units"]),
    ("error", &["domain", "exchange"]),
    ("store", &["clock", "domain", "error", "exchange", "units"]),
    ("ops", &["courier", "domain", "error", "exchange", "paper", "printer", "store", "units"]),
    ("jobs", &["courier", "domain", "error", "ops", "printer", "store"]),
    ("demo", &["domain", "error", "exchange", "ops", "store"]),
    ("web", &["domain", "error", "exchange", "ops", "paper", "store", "units"]),
    (
        "cli",
        &[
            "clock", "demo", "domain", "error", "jobs", "ops", "exchange", "paper", "store",
            "units", "web",
        ],
    ),
    ("main", &["cli"]),
];

/// Lines of one source file, tests in it included.
const MOST_LINES: usize = 500;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("the folder can be read") {
        let path = entry.expect("the entry can be read").path();
        if path.is_dir() {
            found.extend(files(&path, ending));
        } else if path.extension().is_some_and(|it| it == ending) {
            found.push(path);
        }
    }
    found.sort();
    found
}

fn sources() -> Vec<(String, String)> {
    let src = root().join("src");
    files(&src, "rs")
        .into_iter()
        .map(|path| {
            let text = fs::read_to_string(&path).expect("the file is text");
            let name = path.strip_prefix(&src).expect("it lies in src").display().to_string();
            (name, text)
        })
        .collect()
}

/// Returns the names that follow `start` in a text: `crate::store::kits` gives `store` for `crate::`.
fn names_after<'a>(text: &'a str, start: &str) -> BTreeSet<&'a str> {
    text.split(start)
        .skip(1)
        .map(|rest| {
            let end = rest.find(|it: char| !it.is_alphanumeric() && it != '_');
            &rest[..end.unwrap_or(rest.len())]
        })
        .filter(|it| !it.is_empty())
        .collect()
}

/// Returns the code of a file without its comments, whose examples may name anything.
fn code(text: &str) -> String {
    text.lines().filter(|it| !it.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

#[test]
fn each_layer_uses_only_those_below_it() {
    let layers: BTreeMap<&str, &[&str]> = LAYERS.into_iter().collect();
    let mut faults = Vec::new();
    for (name, text) in sources().iter().filter(|(name, _)| name != "lib.rs") {
        let layer = name.split(['/', '.']).next().expect("a name has a start");
        let Some(allowed) = layers.get(layer) else {
            faults.push(format!("{name}: no layer is named for it"));
            continue;
        };
        for used in names_after(&code(text), "crate::") {
            let known = layers.contains_key(used);
            if known && used != layer && !allowed.contains(&used) {
                faults.push(format!("{name} uses {used}"));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn only_the_store_knows_diesel_and_only_the_web_knows_actix() {
    let mut faults = Vec::new();
    for (name, text) in sources() {
        let code = code(&text);
        let may_diesel = ["store/", "units/", "domain/ids.rs", "error.rs"];
        if code.contains("diesel::") && !may_diesel.iter().any(|it| name.starts_with(it)) {
            faults.push(format!("{name} uses diesel"));
        }
        let may_actix = ["web/", "cli/serve.rs"];
        if code.contains("actix_web::") && !may_actix.iter().any(|it| name.starts_with(it)) {
            faults.push(format!("{name} uses actix-web"));
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn each_subject_of_the_domain_uses_only_those_listed_before_it() {
    let list = fs::read_to_string(root().join("src/domain/mod.rs")).expect("it is there");
    let order: Vec<&str> =
        list.lines().filter_map(|it| it.strip_prefix("pub mod ")?.strip_suffix(';')).collect();
    let place = |subject: &str| order.iter().position(|it| *it == subject);
    let mut faults = Vec::new();
    for (name, text) in sources() {
        let Some(rest) = name.strip_prefix("domain/") else { continue };
        let subject = rest.split(['/', '.']).next().expect("a name has a start");
        for used in names_after(&code(&text), "crate::domain::") {
            if place(subject) < place(used) {
                faults.push(format!("{name} uses {used}, which stands after it"));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn no_file_is_too_long_to_take_in() {
    let long: Vec<String> = sources()
        .iter()
        .map(|(name, text)| (name, text.lines().count()))
        .filter(|(name, lines)| MOST_LINES < *lines && *name != "store/schema.rs")
        .map(|(name, lines)| format!("{name}: {lines} lines"))
        .collect();
    assert!(long.is_empty(), "split along the domain: {long:#?}");
}

#[test]
fn nothing_is_left_unfinished_or_silenced() {
    let marks = ["TODO", "FIXME", "#[allow(", "#![allow(", "#[ignore", "unimplemented!", "todo!("];
    let mut found = Vec::new();
    for (name, text) in sources() {
        for (at, line) in text.lines().enumerate() {
            if marks.iter().any(|mark| line.contains(mark)) {
                found.push(format!("{name}:{}: {}", at + 1, line.trim()));
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn each_template_is_used() {
    let templates = root().join("templates");
    let all: Vec<String> = sources()
        .into_iter()
        .map(|(_, text)| text)
        .chain(files(&templates, "html").iter().map(|it| fs::read_to_string(it).expect("text")))
        .collect();
    let unused: Vec<String> = files(&templates, "html")
        .iter()
        .map(|it| it.strip_prefix(&templates).expect("it lies there").display().to_string())
        .filter(|name| !all.iter().any(|text| text.contains(&format!("\"{name}\""))))
        .collect();
    assert!(unused.is_empty(), "{unused:?}");
}

#[test]
fn both_databases_have_the_same_migrations() {
    let names = |database: &str| -> Vec<String> {
        let folder = root().join("migrations").join(database);
        let mut names: Vec<String> = fs::read_dir(folder)
            .expect("the folder can be read")
            .map(|it| it.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    };
    assert_eq!(names("sqlite"), names("postgres"));
}
