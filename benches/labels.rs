//! How long symbols and label pages take: `cargo bench --bench labels`.
#![expect(clippy::expect_used, reason = "a measurement that fails stops")]

use divan::Bencher;
use divan::counter::ItemsCount;
use kitwright::domain::labels::{Code128, Facts, LabelKind, Symbol, Symbology};
use kitwright::paper::{Media, labels};

fn main() {
    divan::main();
}

/// The same texts as `tests/tools/encode_rate.sh` gives to zint.
fn texts() -> Vec<String> {
    (0..1_000).map(|it| format!("SF26-{it:06}")).collect()
}

#[divan::bench]
fn code128_widths(bencher: Bencher<'_, '_>) {
    let texts = texts();
    bencher.counter(ItemsCount::new(texts.len())).bench(|| {
        for text in &texts {
            divan::black_box(text.parse::<Code128>().expect("ASCII").widths().expect("bars"));
        }
    });
}

#[divan::bench(args = [Symbology::DataMatrix, Symbology::Qr])]
fn matrix(bencher: Bencher<'_, '_>, symbology: Symbology) {
    bencher.bench(|| Symbol::of(symbology, divan::black_box("SF26-004417")).expect("a symbol"));
}

#[divan::bench(args = [1_000, 10_000], sample_count = 5)]
fn label_pages(bencher: Bencher<'_, '_>, count: u32) {
    let layout = LabelKind::Serial.layout().expect("a layout");
    let facts = |nth: u32| {
        let mut facts: Facts<'_> = LabelKind::Serial.sample();
        facts.insert("serial", format!("F26-{nth:06}"));
        facts
    };
    let facts: Vec<_> = (0..count).map(facts).collect();
    bencher
        .counter(ItemsCount::new(count))
        .bench(|| labels(&layout, &facts, &Media::Roll).expect("a PDF").len());
}
