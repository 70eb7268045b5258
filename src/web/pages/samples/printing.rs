//! Printers, the print queue, and the question before a second print.

use super::super::*;
use super::*;
use crate::ops::printers::{PrinterEntry, TriedView};
use crate::ops::printing::PrintJobView;

#[test]
fn printers_named_and_tried() {
    let page = printers::PrintersPage {
        frame: frame(Task::Labels),
        printers: vec![printers::PrinterLine {
            number: 1,
            name: "Bench labels".into(),
            uri: "ipp://printer.local:631/ipp/print".into(),
            media: "100 × 50 mm".into(),
            first_for: "kit label".into(),
            also: String::new(),
            retired: true,
        }],
        may_change: true,
    };
    check("printers", &page, &["Bench labels", "in use no more", "Try it"]);
    let ticks = |word, words, takes| printers::PaperTick { word, words, takes, first: takes };
    let page = printers::PrinterPage {
        frame: frame(Task::Labels),
        number: Some(1),
        entry: PrinterEntry { name: "Bench labels".into(), ..PrinterEntry::default() },
        papers: vec![ticks("kit", "kit label", true), ticks("bin", "bin label", false)],
        tried: Some(TriedView {
            ready: false,
            words: text(&["the printer shows a certificate that the owner has not confirmed"]),
            certificate: Some("AB:CD".into()),
        }),
    };
    check("printer", &page, &["It can’t be printed on now", "AB:CD", "They are the same"]);
}

#[test]
fn the_print_queue_asks_whoever_can_look() {
    let job = |number, state: &str, words: &str| PrintJobView {
        number,
        printer: 1,
        printer_name: "Bench labels".into(),
        title: "kit label KT004127C".into(),
        state: state.into(),
        state_words: state.into(),
        words: words.into(),
        tries: 2,
        due_at: Some(at(25, 10, 42).0),
        printer_job: None,
        asked_at: at(25, 10, 41).0,
        asked_by: None,
        changed_at: at(25, 10, 41).0,
        may_cancel: state == "waiting",
        may_retry: state == "waiting",
        needs_answer: state == "unsure",
    };
    let page = printers::queue::QueuePage {
        frame: frame(Task::Labels),
        jobs: vec![
            job(2, "unsure", "the answer broke off").into(),
            job(1, "waiting", "nothing listens there").into(),
        ],
    };
    let words = ["is it on paper?", "It did print", "Try now", "the next time at 10:42:00 UTC"];
    check("print-queue", &page, &words);
    let page = printers::print_on::AgainPage {
        frame: frame(Task::Labels),
        words: "It was asked for already at 10:42 UTC".into(),
        action: "/print",
        fields: vec![("of".into(), "KT004127C\n\"quoted\"".into())],
        back: "/packing".into(),
    };
    check("printed-already", &page, &["Print it again", "KT004127C\n&#34;quoted&#34;"]);
}
