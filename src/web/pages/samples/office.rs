//! Orders, reordering, and the pages of whoever runs the shop.

use super::super::*;
use super::*;
use crate::ops::fit::{FindingView, FitView};

fn orders_held() -> Vec<today::HeldOrder> {
    let head = "Bag HEAD-30 ×1 (stops the build), next delivery Fri 27 Nov on PO-2031";
    let frame = "Frame L red ×1 (stops the build), nothing on order";
    let card =
        "Owner manual, German ×1 (must not leave without), next delivery Mon 30 Nov on PO-2034";
    let held = |order, words: &[&str]| today::HeldOrder { order, held_by: text(words) };
    vec![
        held(
            order(
                "SO-1003",
                "Ansa Brekke",
                24,
                "T12, S, black, skis 95",
                strip_of(3, &[4, 6], &[]),
            ),
            &[head],
        ),
        held(
            order("SO-1006", "Torvin Hald", 27, "T12, M, black, skis 105", strip_of(0, &[4], &[])),
            &[head, card],
        ),
        held(
            order("SO-1012", "Sunniva Lund", 30, "T15, L, red, skis 105", strip_of(0, &[2], &[])),
            &[frame],
        ),
    ]
}

#[test]
fn today() {
    let ready =
        order("SO-1001", "Ylva Sandmo", 25, "T15, M, green, skis 105", strip_of(18, &[], &[]));
    let bench =
        order("SO-1002", "Eirik Dahl", 25, "T15, M, green, skis 105", strip_of(9, &[], &[]));
    let dealer =
        order("SO-1009", "Lumi Ski House", 28, "12 kits of 4 builds", strip_of(0, &[], &[]));
    let leaving = |order, stands: &str, href: &str, words: &str| today::LeavingOrder {
        order,
        stands: stands.into(),
        next: Some(today::NextTask { href: href.into(), words: words.into() }),
    };
    let page = today::TodayPage {
        cards_held: Vec::new(),
        no_backup: None,
        messages: 2,
        reported: vec![today::ReportedPart {
            order: "SO-0998".into(),
            words: "kit KT003990X: 1 × Leash (LE101J), stops the ride; reported missing by the receiver".into(),
        }],
        frame: frame(Task::Today),
        date: day(25),
        leaving: vec![
            leaving(ready, "packed, waits for the carrier", "/packing/KT004127C", "Hand over"),
            leaving(bench, "on the bench", "/packing/KT004128A", "Pack"),
            leaving(dealer, "ready to pick", "/picking", "Pick"),
        ],
        held: orders_held(),
        bench: vec![today::BenchLine {
            part_number: "HB102T".into(),
            part: "Bag HEAD (30, for T12)".into(),
            short: q(3),
            possible: q(2),
            stops: "Bearing (HS105A) is 1 short, due Fri 4 Dec on PO-26-144".into(),
        }],
        worst: Some("Bag HEAD-30: one more lets 1 order leave, two more let 2. Nothing else holds back more than one.".into()),
    };
    check(
        "today",
        &page,
        &["3 orders can leave, 3 held back", "next delivery Fri 27 Nov on PO-2031"],
    );
}

#[test]
fn orders() {
    let held = orders_held().into_iter().map(|it| orders::ListedOrder {
        order: it.order,
        stands: "waits for parts".into(),
        alerts: q(1),
    });
    let page = orders::OrdersPage {
        frame: frame(Task::Orders),
        query: String::new(),
        orders: held.collect(),
        more: 12,
        may_reserve: true,
    };
    check("orders", &page, &["SO-1012", "1 part<", "12 more orders", "/orders/reserve"]);
}

#[test]
fn one_order() {
    let stage =
        |words, reached, how_far: &str| orders::Stage { words, reached, how_far: how_far.into() };
    let alert = orders::Alert {
        step: 4,
        step_title: "Lower bearing on fork".into(),
        part_number: "HB102T".into(),
        part: "HEAD-30 Bag".into(),
        missing: q(1),
        class: "stops the build".into(),
        cause: "not in stock".into(),
        covered_by: Some("PO-2031".into()),
        cover: "due Fri 27 Nov on PO-2031".into(),
        stand_ins: Vec::new(),
    };
    let kit = orders::OrderedKit {
        number: "KT004129X".into(),
        build: "Tarvet T12".into(),
        options: vec![
            orders::Fact::new("Frame size", "S"),
            orders::Fact::new("Colour", "black"),
            orders::Fact::new("Skis", "95 cm"),
            orders::Fact::new("Papers", "English"),
        ],
        bill: ("TARVET revision B".into(), "/bills/TARVET/B".into()),
        newer: true,
        in_place: vec!["1 × Saddle (soft) (SE1059) stands in for Saddle (firm) (SE104B)".into()],
        exchangeable: true,
        strip: strip_of(3, &[4, 6], &["Step 4 and 6: bag HEAD-30, 1 missing"]),
        stages: vec![
            stage("parts held", false, "1 piece short"),
            stage("handed over", true, "25 Nov 14:05 UTC"),
        ],
        alerts: vec![alert],
        fit: orders::FitPanel::of(&FitView {
            words: "does not fit: 1 rule, fits: 1 rule".into(),
            findings: vec![
                finding("crown race and crown seat", "does not fit", "race 40, crown seat 30"),
                finding("stem and handlebar", "fits", "both 31.8 mm"),
            ],
        }),
        next: Some(today::NextTask { href: "/picking".into(), words: "Pick".into() }),
        box_link: orders::BoxLink::new(
            "shop.example",
            "/box/KT004129X/20271125/TAG".into(),
            "30 of 32 lines confirmed, 1 missing".into(),
        )
        .ok(),
    };
    let page = orders::OrderPage {
        printers: printers(),
        may_cancel: true,
        frame: frame(Task::Orders),
        number: "SO-1003".into(),
        rider: "Ansa Brekke".into(),
        promised: day(24),
        late: true,
        stands: "waits for parts".into(),
        facts: vec![orders::Fact::new("Goes to", "Fjellveien 1, NO")],
        kits: vec![kit],
    };
    check(
        "order",
        &page,
        &[
            "HEAD-30",
            "stops the build",
            "/goods-in/PO-2031",
            "30 of 32 lines",
            "class=\"qr\"",
            "<h3>Does not fit</h3>",
            "race 40, crown seat 30",
            "Fit <small>does not fit: 1 rule, fits: 1 rule</small>",
        ],
    );
}

fn finding(rule: &str, verdict: &str, reason: &str) -> FindingView {
    FindingView {
        rule: rule.into(),
        verdict: verdict.into(),
        reason: reason.into(),
        source: "common practice, no source".into(),
        documents: vec!["drawing QF-101".into()],
        parts: Vec::new(),
    }
}

#[test]
fn import_with_faults() {
    let fault = |line, column: &str, message: &str| import::ImportFault {
        line,
        column: column.into(),
        message: message.into(),
    };
    let page = import::ImportPage {
        frame: frame(Task::Import),
        kinds: vec![
            Choice::new("parts", "Parts").chosen(),
            Choice::new("suppliers", "Suppliers"),
            Choice::new("bins", "Bins"),
            Choice::new("stock", "Stock counts"),
            Choice::new("kits", "Kits and steps"),
            Choice::new("orders", "Orders"),
            Choice::new("purchase-orders", "Purchase orders"),
        ],
        report: Some(import::ImportReport {
            file: "parts-november.csv".into(),
            kind: "parts".into(),
            words: "Nothing was imported: 2 lines have faults.".into(),
            faults: vec![
                fault(14, "mass_g", "“39,5” is not a number of grams. Write 39.5."),
                fault(
                    88,
                    "part_number",
                    "MT108S fails its check character. MT108R is the nearest that passes.",
                ),
            ],
            changes: None,
        }),
    };
    check("import", &page, &["Check only", "2 faults to mend", "MT108R"]);
}

#[test]
fn labels_and_people() {
    let page = labels::LabelsPage {
        frame: frame(Task::Labels),
        kinds: vec![
            Choice::new("part", "Part").chosen(),
            Choice::new("bin", "Bin"),
            Choice::new("carton", "Carton"),
        ],
        of: "MT108R\nSK1074".into(),
        copies: "2".into(),
        note: String::new(),
        papers: vec![Choice::new("roll", "Roll").chosen(), Choice::new("a4", "A4 sheets")],
        columns: "3".into(),
        rows: "7".into(),
        sheet: String::new(),
        start: "1".into(),
        takers: vec![Choice::new("1", "Bench labels")],
        look: None,
    };
    check("labels", &page, &["Make the PDF", "MT108R\nSK1074"]);
    let person = |name: &str, called: &str, role: &str, active| people::Person {
        name: name.into(),
        called: called.into(),
        role: role.into(),
        active,
    };
    let page = people::PeoplePage {
        frame: frame(Task::People),
        people: vec![
            person("runa", "Runa Tveit", "owner", true),
            person("odd", "Odd Fjeld", "picker and packer", true),
            person("mona", "Mona Aas", "goods in", false),
        ],
        roles: vec![
            Choice::new("picker", "Picker and packer").chosen(),
            Choice::new("buyer", "Reorder desk"),
        ],
        devices: vec![people::Device {
            id: 3,
            name: "Scanner at bench 1".into(),
            acts_for: "odd".into(),
            made: at(25, 9, 1),
            active: true,
        }],
        new_token: Some("kw_7Q2F-demonstration-only".into()),
        called: String::new(),
        name: String::new(),
    };
    check("people", &page, &["Odd Fjeld", "shown this once", "/people/mona/enable"]);
}
