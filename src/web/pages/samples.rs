//! Every page once, with the invented shop's data: that it renders, says what it must, and
//! carries no script or style of its own. Where `KITWRIGHT_PAGES` names a folder, the pages are
//! also written there, to be looked at.

use askama::Template;
use chrono::{NaiveDate, NaiveDateTime};

use super::words::{Day, Moment};
use super::*;
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
    let html = page.render().unwrap();
    for word in words {
        assert!(html.contains(word), "{name} does not say {word:?}:\n{html}");
    }
    for foreign in ["<style", " style=", " onclick", "http://", "https://"] {
        assert!(!html.contains(foreign), "{name} carries {foreign:?}, which the policy forbids");
    }
    let posts = html.matches("method=\"post\"").count();
    assert_eq!(posts, html.matches("name=\"csrf\"").count(), "{name}: each form posts its token");
    assert_eq!(html.matches("<h1").count(), 1, "{name} has one heading of the first rank");
    if let Ok(folder) = std::env::var("KITWRIGHT_PAGES") {
        let html = html.replace("/assets/", "");
        std::fs::write(format!("{folder}/{name}.html"), html).unwrap();
        std::fs::write(format!("{folder}/kitwright.css"), include_str!("../assets/kitwright.css"))
            .unwrap();
        std::fs::write(format!("{folder}/scan.js"), include_str!("../assets/scan.js")).unwrap();
    }
}

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
        next_href: href.into(),
        next_words: words.into(),
    };
    let page = today::TodayPage {
        frame: frame(Task::Today),
        date: day(25),
        leaving: vec![
            leaving(ready, "packed, waits for the carrier", "/packing/KT004127C", "Hand over"),
            leaving(bench, "on the bench", "/packing/KT004128A", "Pack"),
            leaving(dealer, "ready to pick", "/picking", "Pick"),
        ],
        held: orders_held(),
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
        more_href: Some("/orders?after=SO-1012".into()),
    };
    check("orders", &page, &["SO-1012", "1 part<", "More orders"]);
}

#[test]
fn one_order() {
    let stage = |words, reached| orders::Stage { words, reached };
    let alert = orders::Alert {
        step: 4,
        step_title: "Lower bearing on fork".into(),
        part_number: "HB102T".into(),
        name: "Pre-bagged set".into(),
        variant: "HEAD-30".into(),
        missing: q(1),
        class: "stops the build".into(),
        covered_by: Some("PO-2031".into()),
        cover: "Fri 27 Nov, 40 of 40 still free, on".into(),
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
        strip: strip_of(3, &[4, 6], &["Step 4 and 6: bag HEAD-30, 1 missing"]),
        stages: vec![
            stage("ordered", Some(at(19, 9, 12))),
            stage("parts held", None),
            stage("picked", None),
            stage("packed", None),
            stage("handed over", None),
            stage("verified", None),
        ],
        alerts: vec![alert],
    };
    let page = orders::OrderPage {
        frame: frame(Task::Orders),
        number: "SO-1003".into(),
        rider: "Ansa Brekke".into(),
        promised: day(24),
        late: true,
        stands: "waits for parts".into(),
        kits: vec![kit],
        reports: vec![orders::ReceiverReport {
            at: at(25, 18, 40),
            kit: "KT004101R".into(),
            words: "Step 8: 1 nut M10 missing. “Bag was closed.”".into(),
            reply: "Replacement RP-0007 leaves today.".into(),
        }],
        actions: vec![orders::OrderAction {
            verb: "allocate",
            words: "Hold parts again".into(),
            explains: "Looks for free pieces, for this order first.".into(),
        }],
    };
    check(
        "order",
        &page,
        &["HEAD-30", "stops the build", "/orders/SO-1003/allocate", "Replacement"],
    );
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
            lines: q(161),
            words: "Nothing was imported: 2 lines have faults.".into(),
            faults: vec![
                fault(14, "mass_g", "“39,5” is not a number of grams. Write 39.5."),
                fault(
                    88,
                    "part_number",
                    "MT108S fails its check character. MT108R is the nearest that passes.",
                ),
            ],
        }),
    };
    check("import", &page, &["Check only", "2 faults to mend", "MT108R"]);
}

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
        more_href: None,
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
        balances: vec![
            parts::BalanceRow {
                place: "H-02-1T".into(),
                lot: "7731".into(),
                use_by: None,
                quantity: q(436),
            },
            parts::BalanceRow {
                place: "H-02-2R".into(),
                lot: "7902".into(),
                use_by: Some(Day(date(12, 31))),
                quantity: q(1000),
            },
        ],
        movements: vec![
            movement(9121, 16, "H-02-1T", "Bench 2", "list 311", true, ""),
            movement(9077, 4, "H-02-1T", "Bench 1", "list 309", false, "reversed by movement 9080"),
        ],
    };
    check("part", &page, &["M6×25", "1388", "Reverse", "reversed by movement 9080"]);
}

fn movement(
    id: i64,
    pieces: i64,
    from: &str,
    to: &str,
    document: &str,
    reversible: bool,
    note: &str,
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
        note: note.into(),
    }
}

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
    };
    check("goods_in", &page, &["Aldersey Bearing", "late", "nobody"]);
    let line = |id, number: &str, name: &str, variant: &str, counts: [i64; 3], track| {
        goods_in::ReceiveLine {
            id,
            part_number: number.into(),
            name: name.into(),
            variant: variant.into(),
            supplier_item: "TF-60614".into(),
            pack: "packs of 100".into(),
            ordered: q(counts[0]),
            received: q(counts[1]),
            damaged: q(counts[2]),
            track,
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
        lines: vec![
            line(1, "SK1074", "Ski bolt", "M6×14", [1000, 800, 0], goods_in::Track::Lot),
            line(
                2,
                "CO102I",
                "Threadlocker medium",
                "1 ml",
                [200, 0, 0],
                goods_in::Track::LotAndUseBy,
            ),
            line(3, "FK102N", "Fork, uncut", "T15", [40, 41, 2], goods_in::Track::Serial),
        ],
    };
    check(
        "receive",
        &page,
        &["200 short of the 1000 ordered", "1 over the 40 ordered; 2 more", "Use by", "serials"],
    );
}

#[test]
fn reorder_page() {
    let row = |number: &str, name: &str, variant: &str, counts: [i64; 5], because: &str| {
        reorder::ReorderRow {
            part_number: number.into(),
            name: name.into(),
            variant: variant.into(),
            on_hand: q(counts[0]),
            needed: q(counts[1]),
            on_order: q(counts[2]),
            point: q(counts[3]),
            suggested: q(counts[4]),
            because: because.into(),
        }
    };
    let page = reorder::ReorderPage {
        frame: frame(Task::Reorder),
        suppliers: vec![
            reorder::SupplierNeeds {
                supplier: "Trennick Fasteners".into(),
                terms: "21 ± 6 days · least order $500".into(),
                parts: vec![
                    row(
                        "MT108R",
                        "Pinch bolt",
                        "M6×25",
                        [1436, 48, 0, 1438, 5000],
                        "35.4 a day for 21 ± 6 days needs 1438 at 99.9 %. 5000 costs 0.12 each instead of 0.17 and lasts 1.0 year.",
                    ),
                    row(
                        "SK1074",
                        "Ski bolt",
                        "M6×14",
                        [2844, 96, 0, 2876, 5000],
                        "70.8 a day for 21 ± 6 days needs 2876 at 99.9 %.",
                    ),
                ],
            },
            reorder::SupplierNeeds {
                supplier: "Aldersey Bearing".into(),
                terms: "35 ± 7 days".into(),
                parts: vec![row(
                    "HS105A",
                    "Bearing, lower",
                    "30",
                    [1, 9, 0, 120, 200],
                    "8 orders wait for it. One pack is 50, the least order 200.",
                )],
            },
        ],
    };
    check("reorder", &page, &["Make purchase orders", "1438", "quantity-MT108R"]);
}

#[test]
fn labels_and_people() {
    let page = labels::LabelsPage {
        frame: frame(Task::Labels),
        kinds: vec![
            Choice::new("part", "Part").chosen(),
            Choice::new("bin", "Bin"),
            Choice::new("bag", "Bag"),
            Choice::new("carton", "Carton"),
            Choice::new("tote", "Tote"),
        ],
        of: "MT108R\nSK1074".into(),
        copies: q(2),
        papers: vec![
            Choice::new("roll-60x40", "Roll, 60 × 40 mm").chosen(),
            Choice::new("roll-100x150", "Roll, 100 × 150 mm"),
            Choice::new("sheet-a4-24", "Sheet A4, 24 labels"),
        ],
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
            may: "pick and pack".into(),
            last_heard: Some(at(25, 9, 1)),
            active: true,
        }],
        new_token: Some("kw_7Q2F-demonstration-only".into()),
    };
    check("people", &page, &["Odd Fjeld", "shown this once", "/people/mona/enable"]);
}

fn rider(finished: bool) -> rider::RiderPage {
    let line = |id, name: &str, variant: &str, pieces: i64, lies: &str| rider::RiderLine {
        id,
        name: name.into(),
        variant: variant.into(),
        quantity: q(pieces),
        lies_in: lies.into(),
    };
    let step = |number, title: &str, lines, state| rider::RiderStep {
        number,
        title: title.into(),
        lines,
        state,
    };
    let missing = text(&["1 nut M10 is missing. “Bag was closed.”"]);
    rider::RiderPage {
        shop: "Skarnholt Works".into(),
        contact: "Skarnholt Works answers 08 to 20. Have the kit number at hand.".into(),
        base: "/k/KT004127C/9f2c".into(),
        csrf: "token".into(),
        request_key: "view-1".into(),
        kit: "KT004127C".into(),
        build: "Tarvet T15, frame M, green, skis 105".into(),
        boxes: "Two boxes belong to it: 1 of 2 and 2 of 2.".into(),
        cautions: text(&[
            "Steering, ski bolts and air springs can hurt you when they fail. The component maker's manual in the DOC bag wins over this page.",
            "Do not ride with a part missing, and let a qualified mechanic check your first build.",
            "Ask the lift operator whether and how the bike may ride the lift.",
        ]),
        strip: strip_of(
            2,
            if finished { &[8] } else { &[] },
            if finished { &["Step 8: nut M10, 1 missing"] } else { &[] },
        ),
        answer: (!finished).then(|| Answer::done("Step 2 is all here. Next: step 3.")),
        steps: vec![
            step(
                1,
                "Open, count, photograph",
                vec![line(1, "Bag of papers", "DOC-en", 1, "on top of box 1")],
                rider::StepState::AllHere,
            ),
            step(
                3,
                "Seat clamp, post, saddle",
                vec![
                    line(2, "Seat post 30.9", "300 mm", 1, "box 1, second layer"),
                    line(3, "Saddle", "firm", 1, "box 1, second layer"),
                    line(4, "Seat clamp", "green", 1, "bag SEAT"),
                ],
                if finished { rider::StepState::AllHere } else { rider::StepState::Open },
            ),
            step(
                8,
                "Pegs, loose",
                vec![
                    line(5, "Foot peg", "left", 1, "box 1"),
                    line(6, "Foot peg", "right", 1, "box 1"),
                    line(7, "Nut, prevailing torque", "M10", 2, "bag PEG"),
                ],
                rider::StepState::Reported(missing),
            ),
        ],
        finished,
        replies: text(&[
            "1 nut M10 leaves today by express. It stops the ride: do not ride before it is fitted.",
        ]),
    }
}

#[test]
fn the_rider_checks_the_box() {
    check(
        "rider",
        &rider(false),
        &["All here", "Missing or damaged", "missing-2", "steps/3/here", "wins over this page"],
    );
    check("rider_thanks", &rider(true), &["Thank you", "leaves today by express"]);
}
