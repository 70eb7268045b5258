//! Pages that need no sign-in.

use super::super::*;
use super::*;
use crate::domain::messages::Language;
use crate::ops::kits::ContentView;
use crate::ops::orders::StripView;
use crate::ops::verification::{BoxLineView, BoxStepView, BoxView, FromBagView};

#[test]
fn sign_in_and_error() {
    let outside =
        Frame { shop: "Skarnholt Works".into(), csrf: "token".into(), ..Frame::default() };
    let refused = Answer::refused("The name or the password is wrong.");
    let page = sign_in::SignInPage {
        frame: Frame { answer: Some(refused), ..outside },
        name: "runa".into(),
        next: "/".into(),
    };
    check("sign_in", &page, &["Sign in", "value=\"runa\"", "Not done"]);
    let page = error::ErrorPage {
        frame: frame(Task::Orders),
        status: 404,
        title: "There is no order SO-1999".into(),
        words: "Numbers run from SO-1001 to SO-1042. Look for the rider's name instead.".into(),
        code: "orders.unknown".into(),
        back_href: "/orders".into(),
        back_words: "Back to Orders".into(),
    };
    check("error", &page, &["There is no order SO-1999", "Back to Orders"]);
}

fn box_view(finished: bool) -> BoxView {
    let line = |line, part: &str, variant: &str, pieces: i64, outcome: &str| BoxLineView {
        line,
        part_number: "HB104P".into(),
        part: part.into(),
        variant: variant.into(),
        quantity: q(pieces),
        short: q(0),
        short_reason: String::new(),
        carton: 1,
        contents: Vec::new(),
        outcome: outcome.into(),
        reported: q(i64::from(outcome == "missing")),
        note: if outcome == "missing" { "Bag was closed.".into() } else { String::new() },
    };
    let step = |number, title: &str, lines| BoxStepView {
        number,
        title: title.into(),
        check: "The clamp closes without force.".into(),
        caution: String::new(),
        lines,
        from_bags: Vec::new(),
    };
    let bag = BoxLineView {
        contents: vec![ContentView {
            part_number: "HS105A".into(),
            name: "Bearing, lower".into(),
            variant: "40".into(),
            part: "lower bearing".into(),
            quantity: q(1),
            step: 4,
        }],
        ..line(5, "Bag", "HEAD-40", 1, "here")
    };
    let badge = BoxLineView {
        short: q(1),
        short_reason: "follows by post".into(),
        ..line(6, "Head badge", "", 0, "")
    };
    let held = FromBagView { part: "lower bearing".into(), quantity: q(1), bag: "HEAD-40".into() };
    BoxView {
        kit: "KT004127C".into(),
        build: "Tarvet: T15, M, green, 105".into(),
        cartons: 2,
        despatched: true,
        strip: StripView::default(),
        finished,
        steps: vec![
            step(1, "Open, count", vec![line(1, "Bag", "DOC-en", 1, "here"), bag, badge]),
            step(
                3,
                "Seat clamp",
                vec![line(2, "Saddle", "firm", 1, if finished { "here" } else { "" })],
            ),
            BoxStepView { from_bags: vec![held], ..step(4, "Lower bearing", Vec::new()) },
            step(8, "Pegs, loose", vec![line(7, "Nut", "M10", 2, "missing")]),
        ],
    }
}

fn rider(view: &BoxView, change: Option<u32>) -> rider::RiderPage {
    let base = "/box/KT004127C/20271125/TAG".to_owned();
    rider::RiderPage::new(
        Language::En,
        "Skarnholt Works".into(),
        base,
        "view-1".into(),
        view,
        change,
    )
}

#[test]
fn the_rider_checks_the_box() {
    let said = [
        "All here",
        "Missing or damaged",
        "missing-2",
        "steps/3/here?language=en#step-3",
        "the manual is right",
        "1 × Head badge: “follows by post”",
        "1 × lower bearing, from HEAD-40",
        "1 × M10 Nut: missing: “Bag was closed.”",
        "in box 1",
    ];
    let html = checked("rider", &rider(&box_view(false), None), &said);
    assert!(!html.contains("csrf"), "the link alone says whose form it is");
    let anew = rider(&box_view(false), Some(8)).render().unwrap();
    assert!(anew.contains("missing-7"), "a step that was answered can be answered anew");
    checked("rider_thanks", &rider(&box_view(true), None), &["Thank you", "Do not ride before"]);
}

#[test]
fn a_box_that_is_still_here_takes_no_report() {
    let view = BoxView { despatched: false, ..box_view(false) };
    let html = checked("rider_not_sent", &rider(&view, None), &["Not sent yet"]);
    assert!(!html.contains("<form"));
}

#[test]
fn a_link_that_does_not_open() {
    let page = rider::ClosedPage {
        shop: "Skarnholt Works".into(),
        told: Language::ALL.map(|say| (say, say.link_expired())).to_vec(),
    };
    checked("closed", &page, &["does not open", "ask the shop", "zu alt", "trop ancien"]);
}
