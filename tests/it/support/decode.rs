//! Looks at a PDF as a reader does: pages to pictures, bar codes back to text.

use std::path::{Path, PathBuf};
use std::process::Command;

/// A bar code that a reader found.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Symbol {
    pub format: String,
    pub text: String,
}

/// What a PDF shows.
pub struct Seen {
    /// The symbols of each page, in order of their text.
    pub symbols: Vec<Vec<Symbol>>,
    /// The words of all pages.
    pub words: String,
}

/// Draws the PDF at 200 dpi, reads every bar code, and keeps PDF and pictures under `name`.
///
/// A missing tool fails the test: a bar code that nobody read proves nothing.
pub fn look(name: &str, pdf: &[u8]) -> Seen {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder for pictures");
    let file = folder.join("paper.pdf");
    std::fs::write(&file, pdf).expect("the PDF is written");
    let mut draw = Command::new("pdftoppm");
    run(draw.args(["-r", "200", "-png"]).arg(&file).arg(folder.join("page")));
    let words = run(Command::new("pdftotext").arg("-layout").arg(&file).arg("-"));
    let mut pictures: Vec<PathBuf> = std::fs::read_dir(&folder)
        .expect("pictures")
        .map(|it| it.expect("a picture").path())
        .filter(|it| it.extension().is_some_and(|it| it == "png"))
        .collect();
    pictures.sort();
    Seen { symbols: read(&pictures), words }
}

/// Returns the command that runs one of `tests/tools/` with the Python packages installed for them.
pub fn tool(script: &str) -> Command {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let tools =
        std::env::var_os("KITWRIGHT_TOOLS").map_or_else(|| root.join(".tools/venv"), PathBuf::from);
    let mut command = Command::new(tools.join("bin/python"));
    command.arg(root.join("tests/tools").join(script));
    command
}

fn read(pictures: &[PathBuf]) -> Vec<Vec<Symbol>> {
    let lines = run(tool("decode.py").args(pictures));
    let found: Vec<serde_json::Value> =
        lines.lines().map(|it| serde_json::from_str(it).expect("a line of JSON")).collect();
    let word = |it: &serde_json::Value, field: &str| it[field].as_str().expect("text").to_owned();
    let on = |picture: &PathBuf| {
        let of_page = found.iter().filter(|it| Some(word(it, "page").as_str()) == picture.to_str());
        let symbol = |it| Symbol { format: word(it, "format"), text: word(it, "text") };
        let mut symbols: Vec<Symbol> = of_page.map(symbol).collect();
        symbols.sort();
        symbols
    };
    pictures.iter().map(on).collect()
}

fn run(command: &mut Command) -> String {
    let program = command.get_program().to_string_lossy().into_owned();
    let output = command.output().unwrap_or_else(|error| {
        panic!(
            "{program} did not start ({error}). Paper is tested by reading it: install \
             poppler-utils, and zxing-cpp and pillow with `python3 -m venv .tools/venv && \
             .tools/venv/bin/pip install zxing-cpp pillow`; KITWRIGHT_TOOLS may name another venv"
        )
    });
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{program} failed: {complaint}");
    String::from_utf8(output.stdout).expect("words in UTF-8")
}
