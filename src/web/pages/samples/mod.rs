//! Every page once, with the invented shop's data: that it renders, says what it must, and
//! carries no script or style of its own. Where `KITWRIGHT_PAGES` names a folder, the pages are
//! also written there, to be looked at.

mod bench;
mod floor;

mod office;
mod outbox;
mod outside;
mod printing;
mod stock;

use askama::Template;
use chrono::{NaiveDate, NaiveDateTime};

use super::printers::print_on::PrintersAt;
use super::words::{Day, Moment};
use super::{Frame, Task, strip, today};
use crate::domain::printing::PaperKind;
use crate::ops::printers::PrinterChoice;
use crate::units::Quantity;

fn q(pieces: i64) -> Quantity {
    Quantity::new(pieces)
}

fn date(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, month, day).unwrap()
}

fn day(number: u32) -> Day {
    Day(date(11, number))
}

fn at(number: u32, hour: u32, minute: u32) -> Moment {
    let moment: NaiveDateTime = date(11, number).and_hms_opt(hour, minute, 0).unwrap();
    Moment(moment)
}

fn text(words: &[&str]) -> Vec<String> {
    words.iter().map(|it| (*it).to_owned()).collect()
}

fn frame(here: Task) -> Frame {
    Frame {
        shop: "Skarnholt Works".into(),
        person: Some("Runa Tveit".into()),
        menu: Task::menu(&Task::ALL, Some(here)),
        csrf: "token".into(),
        request_key: "view-1".into(),
        live: None,
        answer: None,
    }
}

const STEPS: [(&str, i64); 18] = [
    ("Open, count, photograph", 6),
    ("Inspect frame set", 2),
    ("Seat clamp, post, saddle", 5),
    ("Lower bearing on fork", 4),
    ("Fork through, upper bearing", 3),
    ("Spacers, bar set, cap", 7),
    ("Stem bolts, light", 3),
    ("Pegs, loose", 11),
    ("Mounts on axles", 6),
    ("Front ski", 9),
    ("Rear ski", 9),
    ("Leashes", 6),
    ("Slip joint", 4),
    ("Torsion arms", 13),
    ("Align, final preload", 0),
    ("Peg angle, final", 0),
    ("Saddle, air, rebound", 2),
    ("Final check", 3),
];

fn strip_of(full: i64, missing: &[i64], words: &[&str]) -> strip::Strip {
    let cell = |(number, (title, total)): (i64, &(&str, i64))| {
        let done =
            if number <= full { *total } else { (*total / 3) * i64::from(number == full + 1) };
        strip::StripCell {
            number,
            title: (*title).to_owned(),
            done: q(done),
            total: q(*total),
            missing: q(i64::from(missing.contains(&number))),
        }
    };
    strip::Strip { cells: (1..).zip(&STEPS).map(cell).collect(), missing_words: text(words) }
}

/// Two printers for each paper.
fn printers() -> PrintersAt {
    let choice = |number, name: &str| PrinterChoice { number, name: name.into() };
    let both = vec![choice(1, "Bench labels"), choice(2, "Office")];
    let papers = PaperKind::all().map(|it| (it.word().to_owned(), both.clone()));
    PrintersAt { choices: papers.collect(), back: "/".into() }
}

fn order(
    number: &str,
    rider: &str,
    promised: u32,
    kits: &str,
    strip: strip::Strip,
) -> today::OrderLine {
    today::OrderLine {
        number: number.into(),
        rider: rider.into(),
        promised: day(promised),
        late: promised < 25,
        kits: kits.into(),
        strip,
    }
}

/// Renders a page, checks what every page owes, and that it says `words`.
fn check(name: &str, page: &impl Template, words: &[&str]) {
    let html = checked(name, page, words);
    let posts = html.matches("method=\"post\"").count();
    assert_eq!(posts, html.matches("name=\"csrf\"").count(), "{name}: each form posts its token");
}

/// Renders a page and checks what every page owes, inside the sign-in and outside.
fn checked(name: &str, page: &impl Template, words: &[&str]) -> String {
    let html = page.render().unwrap();
    for word in words {
        assert!(html.contains(word), "{name} does not say {word:?}:\n{html}");
    }
    for foreign in ["<style", " style=", " onclick", "http://", "https://"] {
        assert!(!html.contains(foreign), "{name} carries {foreign:?}, which the policy forbids");
    }
    assert_eq!(html.matches("<h1").count(), 1, "{name} has one heading of the first rank");
    if let Ok(folder) = std::env::var("KITWRIGHT_PAGES") {
        let local = html.replace("/assets/", "");
        std::fs::write(format!("{folder}/{name}.html"), local).unwrap();
        std::fs::write(
            format!("{folder}/kitwright.css"),
            include_str!("../../assets/kitwright.css"),
        )
        .unwrap();
        std::fs::write(format!("{folder}/scan.js"), include_str!("../../assets/scan.js")).unwrap();
    }
    html
}
