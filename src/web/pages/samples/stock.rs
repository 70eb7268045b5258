//! Parts and deliveries.

use super::super::*;
use super::*;
use crate::ops::advices::{AdviceView, AnnouncedView};

fn part_row(
    number: &str,
    name: &str,
    variant: &str,
    hand: i64,
    held: i64,
    bin: &str,
) -> parts::PartRow {
    parts::PartRow {
        number: number.into(),
        name: name.into(),
        variant: variant.into(),
        on_hand: q(hand),
        reserved: q(held),
        bin: bin.into(),
    }
}

#[test]
fn parts_and_one_part() {
    let page = parts::PartsPage {
        frame: frame(Task::Parts),
        query: "ski bolt".into(),
        parts: vec![
            part_row("SK1082", "Ski bolt", "M6×12", 212, 0, "H-01-3K"),
            part_row("SK1074", "Ski bolt", "M6×14", 2_944, 96, "H-04-27"),
            part_row("SK109Z", "Ski bolt", "M6×16", 180, 0, "H-09-1C"),
            part_row("LE101J", "Leash", "", 310, 24, "B-12-2M"),
        ],
        next: Some("LE101J".into()),
        may_edit: true,
    };
    check("parts", &page, &["M6×14", "2848", "H-04-27"]);
    let page = parts::PartPage {
        frame: frame(Task::Parts),
        part: part_row("MT108R", "Pinch bolt", "M6×25", 1_436, 48, "H-02-1T"),
        on_order: q(5000),
        facts: vec![
            orders::Fact::new("Spec", "cap, hex 5, class 10.9, zinc-nickel, patch"),
            orders::Fact::new("Supplier", "Trennick Fasteners, 21 ± 6 days"),
            orders::Fact::new("Mass", "7.9 g ± 0.05 g"),
            orders::Fact::new("Step", "13, Slip joint"),
            orders::Fact::new("If missing", "stops the ride"),
            orders::Fact::new("Reorder at", "1438"),
        ],
        rules: vec!["MT108R may stand in for MT999U by the owner's standing rule".into()],
        uses: vec![parts::UseRow {
            path: vec![
                ("TARVET C".into(), "/bills/TARVET/C".into()),
                ("MOUNT A".into(), "/bills/MOUNT/A".into()),
            ],
            when: String::new(),
            quantity: q(4),
        }],
        balances: vec![parts::BalanceRow {
            place: "H-02-2R".into(),
            identity: "7902".into(),
            serial: false,
            label: Some("MT108R/7902".into()),
            use_by: Some(Day(date(12, 31))),
            quantity: q(1000),
        }],
        may_edit: true,
        changes: vec![entries::ChangeRow {
            at: at(20, 9, 12),
            by: "Runa Tveit".into(),
            field: "Costs each".into(),
            from: "0.17".into(),
            to: "0.12".into(),
        }],
        codes: vec![code_row(true)],
        correction: Some(parts::CorrectionForm {
            tracking: "lot".into(),
            places: text(&["H-02-1T", "scrap"]),
            ..parts::CorrectionForm::default()
        }),
        movements: vec![
            movement(9121, 16, "H-02-1T", "Bench 2", "list 311", true),
            movement(9077, 4, "H-02-1T", "Bench 1", "list 309", false),
        ],
    };
    check("part", &page, &["M6×25", "1388", "Reverse", "kind=lot", "Move the pieces"]);
}

fn movement(
    id: i64,
    pieces: i64,
    from: &str,
    to: &str,
    document: &str,
    reversible: bool,
) -> parts::MovementRow {
    parts::MovementRow {
        id,
        at: at(24, 10, 31),
        quantity: q(pieces),
        from: from.into(),
        to: to.into(),
        lot: "7731".into(),
        person: "Odd Fjeld".into(),
        document: document.into(),
        reversible,
    }
}

fn code_row(confirmed: bool) -> goods_in::codes::CodeRow {
    goods_in::codes::CodeRow {
        number: 3,
        code: "item TF-60614".into(),
        supplier: "Trennick Fasteners".into(),
        part_number: "SK1074".into(),
        name: "Ski bolt".into(),
        variant: "M6×14".into(),
        by: "Mona Aas".into(),
        at: at(24, 10, 31),
        confirmed,
        may_confirm: !confirmed,
        may_forget: true,
    }
}

#[test]
fn goods_in_pages() {
    let due =
        |number: &str, supplier: &str, due: u32, words: &str, waits: &str| goods_in::DueOrder {
            number: number.into(),
            supplier: supplier.into(),
            due: day(due),
            late: due < 25,
            words: words.into(),
            waited_for: waits.into(),
        };
    let page = goods_in::GoodsInPage {
        frame: frame(Task::GoodsIn),
        due: vec![
            due("PO-2028", "Quennick Frameworks", 23, "30 frames L red, nothing yet", "SO-1012"),
            due(
                "PO-2031",
                "Aldersey Bearing",
                27,
                "40 of 240 pieces here, 2 lines open",
                "SO-1003 and SO-1006",
            ),
            due("PO-2034", "Brimlow Print", 30, "100 manuals, nothing yet", ""),
        ],
        waiting: vec![code_row(false)],
        complete: vec![due("PO-2020", "Brimlow Print", 20, "1 line, 100 of 100 here", "")],
        may_take_advice: true,
    };
    check(
        "goods_in",
        &page,
        &["Aldersey Bearing", "late", "nobody", "PO-2020", "Waiting for a second person"],
    );
    let line = |line, number: &str, name: &str, variant: &str, counts: [i64; 2], track| {
        goods_in::ReceiveLine {
            line,
            part_number: number.into(),
            name: name.into(),
            variant: variant.into(),
            supplier_item: "TF-60614".into(),
            pack: "packs of 100".into(),
            ordered: q(counts[0]),
            received: q(counts[1]),
            open: counts[1] < counts[0],
            words: "short by 200".into(),
            track,
            announced: (line == 1).then(announced).into_iter().flatten().collect(),
            refused: (line == 2).then(|| Answer::refused("enter the lot")),
            typed: goods_in::Typed { bin: "H-04-27".into(), ..goods_in::Typed::default() },
        }
    };
    let page = goods_in::ReceivePage {
        frame: Frame {
            answer: Some(Answer::done("800 ski bolts M6×14 booked in, lot 7810.")),
            ..frame(Task::GoodsIn)
        },
        number: "PO-2030".into(),
        supplier: "Trennick Fasteners".into(),
        due: day(24),
        waited_for: "SO-1003".into(),
        note: "One lot in a box.".into(),
        may_book: true,
        may_buy: true,
        label: Some(goods_in::codes::LabelBox {
            answer: Answer::refused("GTIN 09520123456788 has not been seen before"),
            said: vec![goods_in::codes::SaidRow {
                title: "BATCH/LOT".into(),
                value: "7731".into(),
                identifier: "(10)".into(),
            }],
            scans: text(&["(01)09520123456788(10)7731"]),
            unknown: Some(goods_in::codes::UnknownCode {
                kind: "gtin".into(),
                code: "09520123456788".into(),
            }),
            waiting: Some(code_row(false)),
            line: Some(1),
        }),
        receipts: vec![goods_in::Receipt {
            part_number: "SK1074".into(),
            at: at(24, 10, 31),
            by: "Mona Aas".into(),
            delivery_note: "DN-881".into(),
            good: q(800),
            damaged: q(3),
            words: "short by 200: “one box torn”".into(),
        }],
        lines: vec![
            line(1, "SK1074", "Ski bolt", "M6×14", [1000, 800], goods_in::Track::Lot),
            line(2, "CO102I", "Threadlocker medium", "1 ml", [200, 0], goods_in::Track::Nothing),
            line(3, "FK102N", "Fork, uncut", "T15", [40, 41], goods_in::Track::Serial),
        ],
    };
    check(
        "receive",
        &page,
        &[
            "short by 200",
            "More of it came",
            "Use by",
            "serials",
            "DN-881",
            "H-04-27",
            "BATCH/LOT",
            "Which line is it?",
            "Enter the lot",
            "One lot in a box.",
            "goods-receipt.pdf",
            "announced by advice",
            "in <span class=\"code\">095212340000041276",
            "Fill in",
        ],
    );
}

fn announced_view(number: i64, booked: bool) -> AnnouncedView {
    AnnouncedView {
        announced: number,
        advice: "ASN-55".into(),
        order: "PO-2030".into(),
        line: 1,
        part_number: "SK1074".into(),
        part: "Ski bolt (M6×14)".into(),
        quantity: q(200),
        lot: "TF-2647".into(),
        use_by: Some(date(11, 30)),
        serials: Vec::new(),
        unit: "095212340000041276".into(),
        booked,
    }
}

fn announced() -> Vec<goods_in::Announced> {
    let of = |number, booked| goods_in::Announced::of(announced_view(number, booked));
    vec![of(1, true), goods_in::Announced { filled: true, ..of(2, false) }, of(3, false)]
}

#[test]
fn a_despatch_advice_before_it_is_taken_in() {
    let report = goods_in::advice::AdviceReport {
        file: "asn-55.xml".into(),
        faults: Vec::new(),
        view: Some(AdviceView {
            number: "ASN-55".into(),
            supplier_code: "TF".into(),
            supplier: "Trennick Fasteners".into(),
            issued_on: date(11, 24),
            known: false,
            words: String::new(),
            lines: vec![announced_view(1, false)],
            notes: text(&["SK1074: 2100 are announced, and 2000 are still to come"]),
        }),
        document: "PGE+".into(),
    };
    let page = goods_in::advice::AdvicePage { frame: frame(Task::GoodsIn), report: Some(report) };
    check("advice", &page, &["ASN-55", "Take it in", "2100 are announced", "TF-2647"]);
    let faults = vec![import::ImportFault {
        line: 34,
        column: "DespatchLine[1]/DeliveredQuantity".into(),
        message: "-8 is below zero".into(),
    }];
    let report = goods_in::advice::AdviceReport {
        file: "asn-56.xml".into(),
        faults,
        view: None,
        document: String::new(),
    };
    let page = goods_in::advice::AdvicePage { frame: frame(Task::GoodsIn), report: Some(report) };
    check("advice_faults", &page, &["asn-56.xml", "1 fault", "-8 is below zero", "DespatchLine"]);
}

#[test]
fn what_happened_to_a_kit() {
    let row = |hour, what: &str, place: &str, goods: &[&str], told: &str| events::EventRow {
        at: at(25, hour, 5),
        what: what.into(),
        goods: text(goods),
        place: place.into(),
        told: told.into(),
    };
    let packed = ["8 × SK1074, lot TF-2647", "2 × LE101J, lot L-1", "1 × PK101H", "1 × DO101P"];
    let page = events::KitEventsPage {
        frame: frame(Task::Orders),
        kit: "KT004127C".into(),
        order: "SO-1001".into(),
        rider: "Ylva Sandmo".into(),
        build: "T15, M, green".into(),
        has_left: true,
        events: vec![
            row(8, "picked", "H-04-4Z", &packed[..1], "ObjectEvent, picking"),
            row(9, "packed and sealed", "carton CN1", &packed, "AggregationEvent, packing"),
            row(10, "handed over", "to the carrier", &["carton CN1"], "ObjectEvent, shipping"),
        ],
    };
    check("events", &page, &["packed and sealed", "EPCIS 2.0", "UBL 2.1", "4 parts", "picking"]);
}
