//! What the house makes, a run's plan, and a run.

use super::super::*;
use super::*;
use crate::ops::bench::{
    KitOfRunView, LackView, LostView, MadeView, PlanView, RunHeadView, RunPartView, RunPlaceView,
    TakeView,
};

fn head() -> RunHeadView {
    RunHeadView {
        number: "RN0000014".into(),
        part_number: "HB106L".into(),
        part: "Bag SKI".into(),
        variant: String::new(),
        bill: "SKI".into(),
        revision: "A".into(),
        pieces: q(40),
        taken_apart: q(1),
        made_at: at(24, 10, 31).0,
        by: "Odd Fjeld".into(),
    }
}

fn lack() -> LackView {
    LackView {
        part_number: "SK1074".into(),
        part: "Ski bolt M6x1.0 (x14)".into(),
        needed: q(160),
        free: q(136),
        missing: q(24),
        covered_by: Some("PO-26-156".into()),
        due_on: Some(date(12, 4)),
        words: "Ski bolt M6x1.0 (x14) (SK1074) is 24 short".into(),
    }
}

fn take(at: usize, lot: &str, quantity: i64) -> make::TakeRow {
    let it = TakeView {
        bin: "H-04-4Z".into(),
        zone: "H".into(),
        part_number: "SK1074".into(),
        part: "Ski bolt M6x1.0".into(),
        variant: "x14".into(),
        lot: lot.into(),
        tracking: "lot".into(),
        quantity: q(quantity),
        free: q(620),
    };
    make::TakeRow { at, it, taken: quantity.to_string(), lost: String::new() }
}

#[test]
fn what_is_made_and_a_plan() {
    let made = MadeView {
        part_number: "HB106L".into(),
        part: "Bag SKI".into(),
        variant: String::new(),
        on_hand: q(6),
        free: q(0),
        short: q(20),
        reorder_point: q(22),
        usual: q(40),
        possible: q(17),
        stops: vec![lack()],
        fault: String::new(),
    };
    let row = make::MadeRow { it: made, stops: today::stop_words(&lack()) };
    assert_eq!(row.offer(), q(17));
    let page = make::MakePage { frame: frame(Task::Make), parts: vec![row], runs: vec![head()] };
    check("make", &page, &["Bag SKI", "24 short, due Fri 4 Dec on PO-26-156", "RN0000014", "low"]);
    let page = make::PlanPage {
        frame: frame(Task::Make),
        plan: PlanView {
            part_number: "FK104J".into(),
            part: "Fork, cut".into(),
            variant: "T12 M".into(),
            tracking: "serial".into(),
            bill: "FORK-T12-M".into(),
            revision: "A".into(),
            bin: "F-03-15".into(),
            pieces: q(20),
            possible: q(17),
            short: q(2),
            takes: vec![take(0, "TF-2629-512", 136).it],
            lacks: vec![lack()],
            serials_of: Some("FK101P".into()),
            words: "parts for 17 of 20".into(),
        },
        lacks: vec![today::stop_words(&lack())],
        takes: vec![take(0, "TF-2629-512", 136)],
        others: vec![take(1, "TF-2643-518", 0)],
        serials: String::new(),
        reason: String::new(),
        may_make: false,
    };
    check("make plan", &page, &["Parts for 17 of 20", "Plan 17 instead", "another lot", "FK101P"]);
}

#[test]
fn a_run() {
    let part = RunPartView {
        part_number: "SK1074".into(),
        part: "Ski bolt M6x1.0".into(),
        variant: "x14".into(),
        identity: "TF-2629-512".into(),
        piece: String::new(),
        each: q(8),
        used: q(320),
        back: q(8),
        scrapped: q(0),
    };
    let back = make::run::BackRow {
        at: 0,
        it: part.clone(),
        ask: true,
        bin: String::new(),
        quarantine: String::new(),
        scrap: String::new(),
    };
    let page = make::run::RunPage {
        frame: frame(Task::Make),
        head: head(),
        at: at(24, 10, 31),
        tracking: "lot".into(),
        parts: vec![part],
        lost: vec![LostView {
            part_number: "SK1074".into(),
            part: "Ski bolt M6x1.0 (x14)".into(),
            lot: "TF-2629-512".into(),
            quantity: q(1),
            reason: "dropped".into(),
        }],
        places: vec![RunPlaceView {
            place: "K-08-1G".into(),
            kind: "bin".into(),
            serial: String::new(),
            quantity: q(8),
        }],
        kits: vec![KitOfRunView {
            kit: "KT004127C".into(),
            order: "SO-1003".into(),
            state: "despatched".into(),
            quantity: q(1),
        }],
        stands: "40 pieces made: 8 on the shelf, 31 with riders, 1 taken apart".into(),
        labels: "/labels?kind=lot&of=HB106L%2FRN0000014&copies=40".into(),
        apart: Some(make::run::ApartForm {
            open: true,
            pieces: q(1),
            most: q(8),
            from: "K-08-1G".into(),
            serials: String::new(),
            rows: vec![back],
        }),
    };
    check(
        "run",
        &page,
        &["31 with riders", "KT004127C", "which?", "dropped", "1 kit with this run"],
    );
}
