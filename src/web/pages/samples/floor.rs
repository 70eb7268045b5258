//! Picking and packing.

use super::super::*;
use super::*;

#[test]
fn picking_lists() {
    let ready = |kit: &str, rider: &str, build: &str, note: &str| picking::ReadyKit {
        kit: kit.into(),
        order: "SO-1001".into(),
        rider: rider.into(),
        promised: day(27),
        build: build.into(),
        pieces: q(115),
        note: note.into(),
    };
    let page = picking::PickingPage {
        frame: frame(Task::Pick),
        ready: vec![
            ready("KT004127C", "Ylva Sandmo", "T15 · M · green · skis 105", ""),
            ready("KT004130V", "Eirik Dahl", "T15 · M · green", "lacks 1 × head badge"),
        ],
        held: vec![ready("KT004131T", "Ansa Brekke", "T12 · S", "lacks 1 × bag HEAD-30")],
        open: vec![picking::OpenList {
            number: "PL00311".into(),
            kits: "KT004120A for Torvin Hald".into(),
            made_by: "Odd Fjeld".into(),
            picked: q(7),
            left: q(108),
        }],
    };
    check(
        "picking",
        &page,
        &["Make a pick list", "7 pieces picked, 108 to take", "lacks 1 × bag", "Held back: 1 kit"],
    );
}

fn walk(answer: Answer, stop: Option<picking::Stop>) -> picking::WalkPage {
    let ahead = |bin: &str, variant: &str, name: &str, pieces: i64| picking::StopAhead {
        take: 7,
        bin: bin.into(),
        variant: variant.into(),
        name: name.into(),
        quantity: q(pieces),
    };
    let ahead = vec![
        ahead("B-14-2H", "300 mm", "Seat post 30.9", 4),
        ahead("B-15-1F", "firm", "Saddle", 3),
        ahead("B-16-1D", "", "Head badge", 2),
    ];
    picking::WalkPage {
        printers: printers(),
        frame: Frame { answer: Some(answer), ..frame(Task::Pick) },
        number: "PL00311".into(),
        kits: vec![picking::WalkKit {
            kit: "KT004127C".into(),
            slot: 1,
            build: "T15 · M · green".into(),
            order: "SO-1001".into(),
            untouched: true,
        }],
        strip: strip_of(5, &[13], &["step 13: 2 × pinch bolt M6×25"]),
        picked: q(70),
        all: q(220),
        ahead: if stop.is_some() { ahead } else { Vec::new() },
        stop,
    }
}

fn stop(bin_confirmed: bool, serial: bool) -> picking::Stop {
    let tote = |slot: u32, kit: &str, pieces: i64| picking::ToteShare {
        take: 4700 + i64::from(slot),
        slot,
        kit: kit.into(),
        quantity: q(pieces),
    };
    picking::Stop {
        bin: "H-04-27".into(),
        zone: "hardware".into(),
        bin_confirmed,
        part_number: "SK1074".into(),
        name: "Ski bolt, low head".into(),
        variant: "M6 × 14".into(),
        lot: "7810".into(),
        serial,
        totes: vec![tote(1, "KT004127C", 8), tote(2, "KT004128A", 8)],
    }
}

#[test]
fn a_walk() {
    let refused = || Answer::refused("wrong size: this is M6×16 Ski bolt, take M6×14 Ski bolt");
    check(
        "walk",
        &walk(refused(), Some(stop(false, false))),
        &["M6 × 14", "H-04-27", "data-scan", "3 stops to come", "Scan bin H-04-27", "Wrong size"],
    );
    let confirmed = walk(refused(), Some(stop(true, false)));
    check("walk_bin", &confirmed, &["Right bin", "name=\"bin\"", "the part or its lot"]);
    let html = walk(refused(), Some(stop(true, true))).render().unwrap();
    assert!(html.contains("Scan the serial number") && !html.contains("name=\"quantity\""));
    let done = Answer::done("1 × bag HEAD-30: into tote 4 (KT004131T)");
    check(
        "walk_over",
        &walk(done, None),
        &["The walk is over", "data-outcome=\"done\"", "/packing/KT004127C"],
    );
}

fn carton_line(line: i64, step: u32, name: &str, variant: &str, done: bool) -> packing::CartonLine {
    packing::CartonLine {
        line,
        step,
        part_number: "MT1016".into(),
        name: name.into(),
        variant: variant.into(),
        class: "stops the build".into(),
        quantity: q(1),
        packed: q(i64::from(done)),
        in_tote: q(i64::from(!done)),
        lacking: q(0),
        short: q(0),
        proof: if done { "1 of 1 scanned in".into() } else { "1 in the tote".into() },
        proved: done,
        holds: if name == "Bag" { "1 × lower bearing (step 4)".into() } else { String::new() },
    }
}

fn packing_page(handed_over: bool) -> packing::BenchPage {
    let lacking = packing::CartonLine {
        in_tote: q(0),
        lacking: q(1),
        proof: "1 not picked".into(),
        ..carton_line(5, 1, "Head badge", "", false)
    };
    let bike = packing::Carton {
        position: 1,
        of: 2,
        number: "CN0000003R".into(),
        lines: vec![
            carton_line(1, 0, "Carton", "C1 bike", true),
            carton_line(2, 9, "Ski mount set", "front", true),
            carton_line(3, 4, "Fork, cut", "T15-M 195", false),
            carton_line(4, 4, "Bag", "HEAD-40", false),
            lacking,
        ],
        weight: "By the catalogue it weighs 13.12 kg.".into(),
        sealed: None,
        not_sealing: text(&["T15-M 195 Fork: 1 of 1 not scanned into the carton"]),
    };
    let skis = packing::Carton {
        position: 2,
        of: 2,
        number: "CN0000004P".into(),
        lines: vec![carton_line(6, 11, "Ski", "105 rear", true)],
        weight: "By the catalogue it weighs 4.18 kg.".into(),
        sealed: Some("25 Nov 09:55 UTC by Odd Fjeld".into()),
        not_sealing: Vec::new(),
    };
    packing::BenchPage {
        printers: printers(),
        frame: frame(Task::Pack),
        kit: "KT004127C".into(),
        card_held: Vec::new(),
        order: "SO-1001".into(),
        rider: "Ylva Sandmo".into(),
        build: "T15 · M · green · skis 105".into(),
        strip: strip_of(3, &[], &[]),
        packing: if handed_over { None } else { Some(1) },
        cartons: vec![bike, skis],
        not_leaving: text(&["carton 1 of 2 is not sealed"]),
        handed_over: handed_over.then(|| at(25, 14, 0)),
        begun: true,
    }
}

#[test]
fn packing_pages() {
    let page = packing::PackingPage {
        frame: frame(Task::Pack),
        kits: vec![packing::BenchKit {
            kit: "KT004127C".into(),
            order: "SO-1001".into(),
            rider: "Ylva Sandmo".into(),
            promised: day(25),
            build: "T15 · M · green · skis 105".into(),
            stands: "sealed: hand it to the carrier".into(),
            strip: strip_of(18, &[], &[]),
        }],
    };
    check("packing", &page, &["hand it to the carrier", "/packing/KT004127C", "name=\"code\""]);
    let said = [
        "Put in in this order",
        "Cannot be sealed yet",
        "no proof yet:",
        "lines/5/ship-short",
        "lines/2/take-out",
        "lines/3/put-back",
        "cartons/2/packing-list.pdf",
        "disabled",
    ];
    check("bench", &packing_page(false), &said);
    let left = packing_page(true).render().unwrap();
    assert!(left.contains("left with the carrier on 25 Nov 14:00"));
    assert!(!left.contains("take-out") && !left.contains("data-scan-field"));
}
