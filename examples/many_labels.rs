//! Writes a PDF of many labels, no two alike: `many_labels COUNT FILE`. Prints how long it took and
//! the most memory that the process held.
#![expect(clippy::expect_used, reason = "a measurement that fails stops")]

use std::time::Instant;

use kitwright::domain::codes::check_char;
use kitwright::domain::labels::{Facts, LabelKind};
use kitwright::paper::{Media, labels};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let count: u32 = arguments.next().and_then(|it| it.parse().ok()).expect("COUNT");
    let file = arguments.next().expect("FILE");
    let layout = LabelKind::Serial.layout().expect("a layout");
    let facts = |nth: u32| -> Facts<'static> {
        let body = format!("FK{:03}", nth % 1_000);
        let check = check_char(&body).expect("digits and capitals");
        Facts::from([
            ("part_number", format!("{body}{check}")),
            ("name", "Fork, air, 120 mm, tapered steerer, uncut".to_owned()),
            ("variant", format!("{} mm", 200 + nth % 90)),
            ("serial", format!("F26-{nth:06}")),
        ])
    };
    let start = Instant::now();
    let facts: Vec<_> = (0..count).map(facts).collect();
    let pdf = labels(&layout, &facts, &Media::Roll).expect("a PDF");
    let took = start.elapsed();
    std::fs::write(&file, &pdf).expect("the file is written");
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|it| it.strip_prefix("VmHWM:")).unwrap_or("?").trim();
    println!("{count} labels, {} kB of PDF, in {took:.2?}; peak memory {peak}", pdf.len() / 1_000);
}
