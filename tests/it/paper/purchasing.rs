//! Purchase orders and goods receipts, read back.

use chrono::NaiveDate;
use kitwright::domain::purchasing::UnitPrice;
use kitwright::paper::{
    Counted, GoodsReceipt, PurchaseOrder, PurchaseOrderLine, ReceivedLine, goods_receipt,
    purchase_order,
};
use kitwright::units::{Money, Quantity};

use super::samples::part;
use super::texts;
use crate::support::decode::{Seen, look};

fn day(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, month, day).expect("a day")
}

fn line(number: i64, variant: &str, pieces: i64, pack: i64, cents: i64) -> PurchaseOrderLine {
    PurchaseOrderLine {
        number,
        part_number: part("FS102"),
        supplier_item: format!("TF-60{number:03}"),
        name: "Pinch bolt, stem, zinc-nickel, patch".to_owned(),
        variant: variant.to_owned(),
        quantity: Quantity::new(pieces),
        pack: Quantity::new(pack),
        price: UnitPrice::each(Money::from_cents(cents)),
        currency: "USD".to_owned(),
        wanted_on: day(12, 9),
    }
}

fn order() -> PurchaseOrder {
    let lines = |it: &[&str]| it.iter().map(|it| (*it).to_owned()).collect();
    PurchaseOrder {
        number: "PO-26-156".to_owned(),
        shop: "Skarnholt Works".to_owned(),
        supplier: lines(&["Trennick Fasteners (TF)", "Thread Yard 8", "Trennick Quay"]),
        deliver_to: lines(&["Skarnholt Works", "Skarnveien 7", "9990 Skarnholt"]),
        ordered_on: day(11, 6),
        due_on: day(11, 27),
        printed_on: day(11, 25),
        standing: String::new(),
        note: "One lot in a box.".to_owned(),
        lines: vec![
            line(1, "M6×14", 400, 200, 17),
            line(2, "M6×25", 250, 100, 105),
            line(3, "", 3, 1, 17_800),
        ],
    }
}

fn receipt() -> GoodsReceipt {
    let counted = |good: i64, damaged: i64, difference: &str| Counted {
        at: day(11, 25).and_hms_opt(9, 5, 0).expect("a time"),
        by: "Mona Aas".to_owned(),
        delivery_note: "DN-881".to_owned(),
        good: Quantity::new(good),
        damaged: Quantity::new(damaged),
        difference: difference.to_owned(),
        note: "one box torn".to_owned(),
        identity: vec!["lot TF-7810".to_owned()],
        places: vec!["bin H-04-4Z: 797".to_owned(), "quarantine Q-01-1A: 3".to_owned()],
    };
    let line = |number: i64, counts: Vec<Counted>| ReceivedLine {
        number,
        part_number: part("FS102"),
        supplier_item: "TF-60614".to_owned(),
        name: "Pinch bolt, stem, zinc-nickel, patch".to_owned(),
        variant: "M6×14".to_owned(),
        ordered: Quantity::new(1000),
        received: Quantity::new(800),
        words: "short by 200".to_owned(),
        counts,
    };
    GoodsReceipt {
        order: "PO-26-156".to_owned(),
        shop: "Skarnholt Works".to_owned(),
        supplier: vec!["Trennick Fasteners (TF)".to_owned()],
        ordered_on: day(11, 6),
        due_on: day(11, 27),
        printed_on: day(11, 25),
        lines: vec![line(1, vec![counted(797, 3, "short by 200")]), line(2, Vec::new())],
    }
}

#[track_caller]
fn says(seen: &Seen, all: &[&str]) {
    for words in all {
        assert!(seen.words.contains(words), "'{words}' is not on the paper:\n{}", seen.words);
    }
}

/// Counts the pages of a document on which the words stand, and all of them.
fn pages_with(seen: &Seen, words: &str) -> (usize, usize) {
    let pages: Vec<&str> = seen.words.trim_end_matches('\u{c}').split('\u{c}').collect();
    (pages.iter().filter(|it| it.contains(words)).count(), pages.len())
}

#[test]
fn a_purchase_order_is_read_back() {
    let seen = look("purchase-order", &purchase_order(&order()).expect("a PDF"));
    assert_eq!(texts(&seen), [["PO-26-156"]]);
    says(
        &seen,
        &[
            "Trennick Quay",
            "Skarnveien 7",
            "TF-60001",
            "M6×14",
            "2 × 200",
            "2 × 100 + 50",
            "singly",
            "USD 68.00",
            "USD 262.50",
            "USD 534.00",
            "Total USD 864.50",
            "One lot in a box.",
            "2026-12-09",
            "page 1 of 1",
        ],
    );
}

#[test]
fn amounts_are_added_for_each_currency_by_itself_and_never_wrong() {
    let mut order = order();
    order.lines[1].currency = "EUR".to_owned();
    let seen = look("purchase-order-two", &purchase_order(&order).expect("a PDF"));
    says(&seen, &["Total EUR 262.50", "Total USD 602.00"]);
    order.lines[1].price = UnitPrice::each(Money::from_cents(i64::MAX));
    let seen = look("purchase-order-huge", &purchase_order(&order).expect("a PDF"));
    says(&seen, &["Total EUR too large to add up", "Total USD 602.00"]);
}

#[test]
fn a_purchase_order_of_many_pages_repeats_its_heads() {
    let mut order = order();
    order.lines = (1..=120).map(|it| line(it, "M6×14", it, 1, 100)).collect();
    let seen = look("purchase-order-long", &purchase_order(&order).expect("a PDF"));
    let (with_heads, pages) = pages_with(&seen, "Size and description");
    assert!(4 < pages, "{pages}");
    assert_eq!(with_heads, pages, "each page has a row, so each has the heads");
    assert_eq!(pages_with(&seen, &format!("of {pages}")).0, pages);
    for number in 1..=120 {
        says(&seen, &[&format!("TF-60{number:03}")]);
    }
    says(&seen, &["Total USD 7260.00"]);
}

#[test]
fn what_the_fonts_lack_and_what_runs_from_right_to_left_is_named() {
    let mut order = order();
    order.supplier.push("רחוב הברגים 8".to_owned());
    order.note = "小 parts; Łódź, Ελλάδα, Київ".to_owned();
    order.number = "№ 7/Ö".to_owned();
    let seen = look("purchase-order-glyphs", &purchase_order(&order).expect("a PDF"));
    assert_eq!(texts(&seen), [["№ 7/Ö"]], "letters that bars lack stand in a matrix");
    says(&seen, &["not printable: U+05D1, U+05D2", "U+5C0F", "Łódź, Ελλάδα, Київ"]);
}

#[test]
fn a_goods_receipt_is_read_back() {
    let seen = look("goods-receipt", &goods_receipt(&receipt()).expect("a PDF"));
    assert_eq!(texts(&seen), [["PO-26-156"]]);
    says(
        &seen,
        &[
            "Ordered: 1000. Received: 800, 3 of them damaged. Short by 200. Their item: TF-60614.",
            "lot TF-7810",
            "quarantine Q-01-1A: 3",
            "one box torn",
            "Mona Aas",
            "2026-11-25 09:05",
            "DN-881",
            "Not counted yet",
            "1000 ordered, nothing received.",
            "Received and counted by",
        ],
    );
}

#[test]
fn a_goods_receipt_of_any_length_breaks_over_pages() {
    let mut receipt = receipt();
    let first = receipt.lines[0].clone();
    let serials = (0..300).map(|it| format!("serial PW-{it:04}"));
    receipt.lines = (1..=100).map(|number| ReceivedLine { number, ..first.clone() }).collect();
    receipt.lines[0].counts[0].identity = serials.collect();
    let seen = look("goods-receipt-long", &goods_receipt(&receipt).expect("a PDF"));
    let (with_heads, pages) = pages_with(&seen, "Lot or serial number");
    assert_eq!(pages_with(&seen, &format!("of {pages}")).0, pages);
    assert!(
        pages <= with_heads + 1,
        "{with_heads} of {pages}: only the signatures may stand alone"
    );
    says(&seen, &["1. FS1026 M6×14, Pinch bolt, stem, zinc-nickel, patch (continued)"]);
    for number in 0..300 {
        says(&seen, &[&format!("PW-{number:04}")]);
    }
}
