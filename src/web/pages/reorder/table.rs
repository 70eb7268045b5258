//! A table of figures that a page shows below its picture, and gives as a file.

use actix_web::HttpResponse;
use actix_web::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION};

use crate::exchange::table::write;
use crate::web::pages::words::Word;

/// A column's heading.
#[derive(Debug, Clone)]
pub struct Head {
    /// The words.
    pub words: String,
    /// Whether numbers stand below it.
    pub number: bool,
}

/// A cell.
#[derive(Debug, Clone, Default)]
pub struct Cell {
    /// What it says.
    pub text: String,
    /// Where it leads; empty where nowhere.
    pub href: String,
}

impl Cell {
    /// Returns a cell that leads nowhere.
    pub fn new(text: impl Into<String>) -> Self {
        Self { text: text.into(), href: String::new() }
    }

    /// Returns a cell that leads to a page.
    pub fn to(text: impl Into<String>, href: String) -> Self {
        Self { text: text.into(), href }
    }
}

impl Head {
    /// Returns the class of a cell below it: numbers stand at the right, and a day or the code of a
    /// bin on one line.
    pub fn class(&self, cell: &Cell) -> Word {
        match (self.number, cell.text.contains(' ')) {
            (true, _) => "n",
            (false, false) => "whole",
            (false, true) => "",
        }
    }
}

/// A table.
#[derive(Debug, Clone)]
pub struct Table {
    /// What it holds.
    pub caption: Word,
    /// Where its file is.
    pub file: String,
    /// Its columns.
    pub heads: Vec<Head>,
    /// Its rows.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// Returns a table without rows; a column whose words begin with "#" holds numbers.
    pub fn new(caption: Word, file: String, heads: &[&str]) -> Self {
        let head = |it: &&str| match it.strip_prefix('#') {
            Some(words) => Head { words: words.to_owned(), number: true },
            None => Head { words: (*it).to_owned(), number: false },
        };
        Self { caption, file, heads: heads.iter().map(head).collect(), rows: Vec::new() }
    }

    /// Returns each cell of a row with its column's heading.
    pub fn cells<'a>(&'a self, row: &'a [Cell]) -> impl Iterator<Item = (&'a Head, &'a Cell)> {
        self.heads.iter().zip(row)
    }

    /// Returns the table as a file of that name.
    pub fn to_file(&self, name: &str) -> HttpResponse {
        let columns: Vec<&str> = self.heads.iter().map(|it| it.words.as_str()).collect();
        let texts = |row: &Vec<Cell>| row.iter().map(|it| it.text.clone()).collect();
        let rows: Vec<Vec<String>> = self.rows.iter().map(texts).collect();
        HttpResponse::Ok()
            .content_type("text/csv; charset=utf-8")
            .insert_header((CACHE_CONTROL, "no-store"))
            .insert_header((CONTENT_DISPOSITION, format!("attachment; filename=\"{name}.csv\"")))
            // The mark tells a spreadsheet that the file is UTF-8.
            .body(format!("\u{feff}{}", write(&columns, &rows)))
    }
}

/// Returns a part in words, its variant first.
pub fn part_words(part: &str, variant: &str) -> String {
    if variant.is_empty() { part.to_owned() } else { format!("{variant}, {part}") }
}
