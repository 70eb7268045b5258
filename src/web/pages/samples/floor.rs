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
        stops: q(18),
        pieces: q(115),
        note: note.into(),
    };
    let page = picking::PickingPage {
        frame: frame(Task::Pick),
        ready: vec![
            ready("KT004127C", "Ylva Sandmo", "T15 · M · green · skis 105", ""),
            ready(
                "KT004130V",
                "Eirik Dahl",
                "T15 · M · green · skis 105",
                "3 mm spacers are out: 20+5+2+2+2 instead of 20+5+3+3",
            ),
            ready("KT004131T", "Ansa Brekke", "T12 · S · black · skis 95", ""),
        ],
        open: vec![picking::OpenList {
            id: 311,
            kits: "KT004120A, KT004121Y".into(),
            picker: "Odd Fjeld".into(),
            done: q(7),
            stops: q(22),
        }],
    };
    check("picking", &page, &["Make a pick list", "7 of 22 stops", "T15 · M · green"]);
}

fn walk(answer: Answer, stop: Option<picking::Stop>) -> picking::WalkPage {
    let ahead = |bin: &str, variant: &str, name: &str, pieces: i64| picking::StopAhead {
        bin: bin.into(),
        variant: variant.into(),
        name: name.into(),
        quantity: q(pieces),
    };
    let ahead = vec![
        ahead("B-14-2H", "300 mm", "Seat post 30.9", 4),
        ahead("B-15-1F", "firm", "Saddle", 3),
        ahead("K-01-1D", "HEAD-40", "Pre-bagged set", 3),
        ahead("K-02-1B", "HEAD-30", "Pre-bagged set", 1),
    ];
    picking::WalkPage {
        frame: frame(Task::Pick),
        id: 311,
        kits: "KT004127C, KT004128A, KT004130V, KT004131T".into(),
        strip: strip_of(5, &[13], &["Step 13: pinch bolt M6×25, 2 missing at bin H-02-1T"]),
        done: q(7),
        stops: q(22),
        answer: Some(answer),
        ahead: if stop.is_some() { ahead } else { Vec::new() },
        stop,
    }
}

#[test]
fn a_walk() {
    let tote = |tote: &str, kit: &str, pieces: i64| picking::ToteShare {
        tote: tote.into(),
        kit: kit.into(),
        quantity: q(pieces),
    };
    let stop = picking::Stop {
        line: 4711,
        bin: "H-04-27".into(),
        part_number: "SK1074".into(),
        name: "Ski bolt, low head".into(),
        variant: "M6 × 14".into(),
        quantity: q(32),
        lot: "7810".into(),
        totes: vec![
            tote("A", "KT004127C", 8),
            tote("B", "KT004128A", 8),
            tote("C", "KT004130V", 8),
            tote("D", "KT004131T", 8),
        ],
        look_alike: "×12 and ×16 look the same. Too long a bolt bottoms in the ski.".into(),
        scan_what: "the bin, then the part".into(),
    };
    let refused =
        Answer::refused("That is SK109Z, ski bolt M6×16. This stop takes M6×14 from bin H-04-27.");
    check(
        "walk",
        &walk(refused, Some(stop)),
        &["M6 × 14", "H-04-27", "data-scan", "4 stops to come"],
    );
    let done = Answer::done("Tote D: 1 bag HEAD-30.");
    check("walk_over", &walk(done, None), &["The walk is over", "data-outcome=\"done\""]);
}

fn carton_line(
    step: i64,
    number: &str,
    name: &str,
    variant: &str,
    proof: &str,
    proved: bool,
) -> packing::CartonLine {
    packing::CartonLine {
        step,
        part_number: number.into(),
        name: name.into(),
        variant: variant.into(),
        quantity: q(1),
        proof: proof.into(),
        proved,
        inversion: if step == 2 {
            "Needed at step 2, lies at the bottom: heaviest".into()
        } else {
            String::new()
        },
    }
}

#[test]
fn packing_pages() {
    let bench = |kit: &str, stands: &str, strip| packing::BenchKit {
        kit: kit.into(),
        order: "SO-1001".into(),
        rider: "Ylva Sandmo".into(),
        promised: day(25),
        build: "T15 · M · green · skis 105".into(),
        stands: stands.into(),
        strip,
    };
    let page = packing::PackingPage {
        frame: frame(Task::Pack),
        kits: vec![
            bench(
                "KT004127C",
                "both cartons sealed, waits for the carrier",
                strip_of(18, &[], &[]),
            ),
            bench("KT004128A", "carton 1 of 2 open", strip_of(9, &[], &[])),
        ],
    };
    check("packing", &page, &["both cartons sealed", "/packing/KT004127C"]);
    let bike = packing::Carton {
        id: 81,
        place: "1 of 2".into(),
        kind: "C1, bike".into(),
        code: "00 0 9521234 000004127 6".into(),
        lines: vec![
            carton_line(
                2,
                "FR105C",
                "Frame with cups",
                "M green",
                "serial FM-26-0418 scanned",
                true,
            ),
            carton_line(9, "MT1016", "Ski mount set", "front", "scanned", true),
            carton_line(
                9,
                "HB105N",
                "Pre-bagged set",
                "MOUNT",
                "seal 30118, weighed 165.6 g when made",
                true,
            ),
            carton_line(6, "BS106F", "Bar and stem", "M 45/50", "lot 220 scanned", true),
            carton_line(
                4,
                "FK107D",
                "Fork, cut",
                "T15-M 195",
                "serial of the fork not scanned",
                false,
            ),
            carton_line(4, "HB101V", "Pre-bagged set", "HEAD-40", "seal 30244 not scanned", false),
            carton_line(1, "HB108H", "Pre-bagged set", "DOC-en", "scanned", true),
        ],
        weight: "Should weigh 13.12 kg ± 0.21 kg.".into(),
        sealed: None,
        not_sealing: text(&[
            "Fork T15-M 195 has no proof: scan its serial.",
            "Bag HEAD-40 has no proof: scan its seal. 118.1 g would not show in the box's weight.",
        ]),
    };
    let skis = packing::Carton {
        id: 82,
        place: "2 of 2".into(),
        kind: "C2, skis".into(),
        code: "00 0 9521234 000004128 3".into(),
        lines: vec![
            carton_line(11, "SK104C", "Ski", "105 rear", "pair 5519, scanned", true),
            carton_line(10, "SK103E", "Ski", "105 front", "pair 5519, scanned", true),
            carton_line(
                10,
                "HB106L",
                "Pre-bagged set",
                "SKI",
                "seal 30090, weighed 177.1 g when made",
                true,
            ),
        ],
        weight: "Weighed 4.18 kg, expected 4.18 kg ± 0.14 kg.".into(),
        sealed: Some(at(25, 9, 55)),
        not_sealing: Vec::new(),
    };
    let page = packing::BenchPage {
        frame: frame(Task::Pack),
        kit: "KT004127C".into(),
        order: "SO-1001".into(),
        rider: "Ylva Sandmo".into(),
        build: "T15 · M · green · skis 105".into(),
        strip: strip_of(3, &[], &[]),
        answer: Some(Answer::done("Bar and stem M 45/50 is in carton 1. Next: fork T15-M 195.")),
        cartons: vec![bike, skis],
        unproved: vec![
            Choice::new("901", "Fork, cut, T15-M 195"),
            Choice::new("902", "Bag HEAD-40"),
        ],
        reasons: vec![
            Choice::new("follows", "Follows in a later parcel"),
            Choice::new("agreed", "Left out with the rider's consent"),
        ],
        not_leaving: text(&["Carton 1 of 2 is not sealed."]),
        handed_over: None,
    };
    check(
        "bench",
        &page,
        &["Put in in this order", "Cannot be sealed yet", "no proof:", "Ship short", "disabled"],
    );
}
