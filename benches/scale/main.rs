//! The shop at scale: `scale FOLDER SIZE...` fills books with so many movements each, serves them by
//! the real program, and prints how long every page and list takes, how many scans a second devices
//! get through, how soon the first page is there and how much memory the service holds; then how each
//! read has grown from the first size to the last.
//!
//! `scale FOLDER SIZE` with a size below 10,000 only looks whether every page is there.
#![expect(clippy::expect_used, reason = "a measurement that fails stops")]

mod devices;
mod fill;
mod history;
mod reads;
mod service;

use std::path::{Path, PathBuf};

use fill::fill;
use reads::Took;
use service::Service;

/// Below this, nothing is measured.
const SMALL: i64 = 10_000;

/// What one size came to.
struct Figures {
    movements: i64,
    reads: Vec<(String, Took)>,
}

fn main() {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().expect("FOLDER SIZE..."));
    std::fs::create_dir_all(&folder).expect("a folder");
    let sizes: Vec<i64> = arguments.map(|it| it.parse().expect("a number of movements")).collect();
    let all: Vec<Figures> = sizes.into_iter().map(|size| measure(&folder, size)).collect();
    if 1 < all.len() {
        growth(&all);
    }
}

/// Fills books of that size, unless they are there, and measures them.
fn measure(folder: &Path, size: i64) -> Figures {
    let file = folder.join(format!("{size}.sqlite"));
    if !file.exists() {
        let filled = fill(&file, size);
        println!(
            "{}: {} movements, {} part numbers, {} kits, filled in {:.0?}; {} MB",
            file.display(),
            filled.movements,
            filled.parts,
            filled.kits,
            filled.took,
            std::fs::metadata(&file).map_or(0, |it| it.len() / 1_000_000),
        );
    }
    let service = Service::start(&file);
    println!("start to first page {:.0?}; {} kB of memory", service.first_page, service.memory());
    let times = if size < SMALL { 1 } else { 7 };
    let reads = reads::all(&service, &file, times);
    println!("{} kB of memory after {} pages and lists", service.memory(), reads.len());
    for (path, took) in &reads {
        println!("{took}  {path}");
    }
    if SMALL <= size {
        devices::all(&service, folder, &file);
        println!("{} kB of memory after the scans", service.memory());
    }
    Figures { movements: size, reads }
}

/// Prints the median of each read at each size, and how many times the first the last is.
fn growth(all: &[Figures]) {
    let (Some(first), Some(last)) = (all.first(), all.last()) else { return };
    let sizes: Vec<String> = all.iter().map(|it| format!("{:>9}", it.movements)).collect();
    println!("\nmedian in ms at so many movements\n{}    growth", sizes.join(" "));
    for (nth, (path, took)) in first.reads.iter().enumerate() {
        let at = |it: &Figures| it.reads.get(nth).map_or(0.0, |it| it.1.median);
        let medians: Vec<String> = all.iter().map(|it| format!("{:>9.1}", at(it))).collect();
        println!("{} {:>8.1}x  {path}", medians.join(" "), at(last) / took.median);
    }
}
