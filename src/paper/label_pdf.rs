//! A PDF of many small pages, written page by page.
//!
//! A page's marks become its content stream at once, in whole micrometres under one scale; fonts
//! are subset at the end, when it is known which glyphs were used.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Write as _;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use printpdf::subset_font;

use super::PaperError;
use super::font::{font, glyph_of, printable, set_in};
use crate::domain::labels::{Mark, Weight};

/// Micrometres to points: 72 to the inch.
const SCALE: &str = ".00283464567";
const WEIGHTS: [Weight; 3] = [Weight::Regular, Weight::Bold, Weight::Mono];
/// Objects with a fixed number: the catalogue and the tree of pages.
const CATALOGUE: usize = 1;
const PAGES: usize = 2;

/// The glyphs that a font has shown, each with its character.
type Used = BTreeMap<u16, char>;

/// A PDF that grows page by page.
pub(super) struct LabelPdf {
    width_um: i64,
    height_um: i64,
    bytes: Vec<u8>,
    /// Where each object begins, from object 1.
    offsets: Vec<usize>,
    /// The page objects.
    pages: Vec<usize>,
    /// The content of the last page.
    last_content: usize,
    used: [Used; 3],
}

/// The marks of one page, as they are drawn.
pub(super) struct Page<'a> {
    content: String,
    height_um: i64,
    used: &'a mut [Used; 3],
}

impl LabelPdf {
    pub(super) fn new(width_um: i64, height_um: i64) -> Self {
        let bytes = b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n".to_vec();
        let used = Default::default();
        let offsets = vec![0; PAGES];
        Self { width_um, height_um, bytes, offsets, pages: Vec::new(), last_content: 0, used }
    }

    pub(super) const fn size(&self) -> (i64, i64) {
        (self.width_um, self.height_um)
    }

    /// Adds a page with what `draw` puts on it.
    pub(super) fn page(
        &mut self,
        draw: impl FnOnce(&mut Page<'_>) -> Result<(), PaperError>,
    ) -> Result<(), PaperError> {
        let content = format!("{SCALE} 0 0 {SCALE} 0 0 cm 0 g\n");
        let mut page = Page { content, height_um: self.height_um, used: &mut self.used };
        draw(&mut page)?;
        let content = page.content;
        self.last_content = self.stream("", content.as_bytes())?;
        self.page_again();
        Ok(())
    }

    /// Adds a page like the last one, which costs no further content.
    pub(super) fn page_again(&mut self) {
        let content = self.last_content;
        let page = format!("<</Type/Page/Parent {PAGES} 0 R/Contents {content} 0 R>>");
        let page = self.object(page.as_bytes());
        self.pages.push(page);
    }

    /// Writes an object and returns its number.
    fn object(&mut self, body: &[u8]) -> usize {
        self.offsets.push(self.bytes.len());
        let number = self.offsets.len();
        self.write_object(number, body);
        number
    }

    fn write_object(&mut self, number: usize, body: &[u8]) {
        self.bytes.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
        self.bytes.extend_from_slice(body);
        self.bytes.extend_from_slice(b"\nendobj\n");
    }

    /// Writes an object whose number was kept free.
    fn kept_object(&mut self, number: usize, body: &str) {
        let here = self.bytes.len();
        if let Some(offset) = self.offsets.get_mut(number - 1) {
            *offset = here;
        }
        self.write_object(number, body.as_bytes());
    }

    fn stream(&mut self, entries: &str, data: &[u8]) -> Result<usize, PaperError> {
        let mut packer = ZlibEncoder::new(Vec::new(), Compression::fast());
        let packed = packer.write_all(data).and_then(|()| packer.finish());
        let packed = packed.map_err(|_| PaperError::Font)?;
        let mut body = format!("<</Filter/FlateDecode/Length {}{entries}>>stream\n", packed.len())
            .into_bytes();
        body.extend_from_slice(&packed);
        body.extend_from_slice(b"\nendstream");
        Ok(self.object(&body))
    }

    /// Returns the whole file.
    pub(super) fn finish(mut self, title: &str) -> Result<Vec<u8>, PaperError> {
        let mut fonts = String::new();
        for (nth, used) in std::mem::take(&mut self.used).into_iter().enumerate() {
            if let Some(weight) = WEIGHTS.get(nth)
                && !used.is_empty()
            {
                let font = self.font(*weight, &used)?;
                let _ = write!(fonts, "/F{nth} {font} 0 R");
            }
        }
        let kids: String = self.pages.iter().map(|it| format!("{it} 0 R ")).collect();
        let (width, height) = (points(self.width_um), points(self.height_um));
        let tree = format!(
            "<</Type/Pages/Count {}/MediaBox[0 0 {width} {height}]/Resources<</Font<<{fonts}>>>>/Kids[{kids}]>>",
            self.pages.len()
        );
        self.kept_object(PAGES, &tree);
        self.kept_object(CATALOGUE, &format!("<</Type/Catalog/Pages {PAGES} 0 R>>"));
        let title: String = title.encode_utf16().map(|it| format!("{it:04X}")).collect();
        let info = self.object(format!("<</Title<FEFF{title}>>>").as_bytes());
        let table = self.bytes.len();
        let mut end = format!("xref\n0 {}\n0000000000 65535 f \n", self.offsets.len() + 1);
        for offset in &self.offsets {
            let _ = writeln!(end, "{offset:010} 00000 n ");
        }
        let _ = write!(
            end,
            "trailer\n<</Size {}/Root {CATALOGUE} 0 R/Info {info} 0 R>>\nstartxref\n{table}\n%%EOF\n",
            self.offsets.len() + 1
        );
        self.bytes.extend_from_slice(end.as_bytes());
        Ok(self.bytes)
    }

    /// Writes a font with the glyphs that were used, and returns its number.
    ///
    /// Content streams name glyphs by their number in the whole font; a map leads from there to
    /// the subset.
    ///
    /// # Source
    ///
    /// ISO 32000-1:2008, 9.7 (composite fonts) and 9.10.3 (ToUnicode). Measures: the tables `hhea`
    /// and `head` of DejaVu 2.37, in thousandths of an em.
    fn font(&mut self, weight: Weight, used: &Used) -> Result<usize, PaperError> {
        let whole = font(weight)?;
        let glyphs = used.iter().map(|(glyph, it)| (*glyph, it.to_string())).collect();
        let subset = subset_font(whole, &glyphs).map_err(|_| PaperError::Font)?;
        let length = format!("/Length1 {}", subset.bytes.len());
        let file = self.stream(&length, &subset.bytes)?;
        let name = format!("KITWRT+DejaVu{weight:?}");
        let descriptor = self.object(
            format!("<</Type/FontDescriptor/FontName/{name}/Flags 4/FontBBox[-1069 -525 1976 1196]/ItalicAngle 0/Ascent 928/Descent -236/CapHeight 729/StemV 120/FontFile2 {file} 0 R>>")
                .as_bytes(),
        );
        let last = used.keys().next_back().copied().unwrap_or(0);
        let mut map = Vec::new();
        for glyph in 0..=last {
            let to = subset.glyph_mapping.get(&glyph).map_or(0, |(to, _)| *to);
            map.extend_from_slice(&to.to_be_bytes());
        }
        let map = self.stream("", &map)?;
        let units = i64::from(whole.font_metrics.units_per_em).max(1);
        let mut widths = String::new();
        for glyph in used.keys() {
            let width = i64::from(whole.get_horizontal_advance(*glyph)) * 1_000 / units;
            let _ = write!(widths, "{glyph}[{width}]");
        }
        let descendant = self.object(
            format!("<</Type/Font/Subtype/CIDFontType2/BaseFont/{name}/CIDSystemInfo<</Registry(Adobe)/Ordering(Identity)/Supplement 0>>/FontDescriptor {descriptor} 0 R/W[{widths}]/CIDToGIDMap {map} 0 R>>")
                .as_bytes(),
        );
        let characters = self.stream("", to_unicode(used).as_bytes())?;
        Ok(self.object(
            format!("<</Type/Font/Subtype/Type0/BaseFont/{name}/Encoding/Identity-H/DescendantFonts[{descendant} 0 R]/ToUnicode {characters} 0 R>>")
                .as_bytes(),
        ))
    }
}

fn to_unicode(used: &Used) -> String {
    let mut map = "/CIDInit/ProcSet findresource begin 12 dict begin begincmap\n\
        /CMapName/KW def/CMapType 2 def\n1 begincodespacerange<0000><FFFF>endcodespacerange\n"
        .to_owned();
    let all: Vec<_> = used.iter().collect();
    for some in all.chunks(100) {
        let _ = writeln!(map, "{} beginbfchar", some.len());
        for (glyph, character) in some {
            let mut units = [0; 2];
            let units = character.encode_utf16(&mut units);
            let text: String = units.iter().map(|it| format!("{it:04X}")).collect();
            let _ = writeln!(map, "<{glyph:04X}><{text}>");
        }
        map.push_str("endbfchar\n");
    }
    map.push_str("endcmap CMapName currentdict/CMap defineresource pop end end");
    map
}

/// Returns a length in points, to three decimals.
fn points(um: i64) -> String {
    let thousandths = um * 72_000 / 25_400;
    format!("{}.{:03}", thousandths / 1_000, thousandths % 1_000)
}

impl Page<'_> {
    /// Draws the marks of a label whose upper left corner stands there.
    pub(super) fn draw(&mut self, marks: &[Mark], [left, top]: [i64; 2]) -> Result<(), PaperError> {
        for mark in marks {
            match mark {
                Mark::Text { x_um, baseline_um, size_um, weight, text } => {
                    self.text(left + x_um, top + baseline_um, *size_um, *weight, text);
                }
                Mark::Symbol { x_um, y_um, height_um, module_um, symbol } => {
                    for [x, y, width, height] in symbol.dark(*module_um, *height_um) {
                        self.rectangle(left + x_um + x, top + y_um + y, width, height);
                    }
                    self.content.push_str("f\n");
                }
                Mark::Box { x_um, y_um, width_um, height_um, line_um } => {
                    let (x, y) = (left + x_um, top + y_um);
                    self.rectangle(x, y, *width_um, *height_um);
                    if let Some(line) = line_um {
                        let (width, height) = (width_um - 2 * line, height_um - 2 * line);
                        self.rectangle(x + line, y + line, width, height);
                    }
                    self.content.push_str("f*\n");
                }
            }
        }
        Ok(())
    }

    fn rectangle(&mut self, x: i64, y: i64, width: i64, height: i64) {
        let y = self.height_um - y - height;
        let _ = write!(self.content, "{x} {y} {width} {height} re ");
    }

    fn text(&mut self, x: i64, baseline: i64, size: i64, weight: Weight, text: &str) {
        let weight = set_in(weight, text);
        let nth = WEIGHTS.into_iter().position(|it| it == weight).unwrap_or(0);
        let y = self.height_um - baseline;
        let _ = write!(self.content, "BT/F{nth} {size} Tf {x} {y} Td<");
        for character in printable(text).chars() {
            let glyph = glyph_of(character, weight);
            let _ = write!(self.content, "{glyph:04X}");
            if let Some(used) = self.used.get_mut(nth) {
                used.entry(glyph).or_insert(character);
            }
        }
        self.content.push_str(">Tj ET\n");
    }
}
