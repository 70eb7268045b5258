//! One step of the card, in one of two columns: its words under each other, drawings among them.

use super::super::canvas::{Frame, Style, Tone};
use super::super::drawing;
use super::super::flow::{BODY, Flow, HALF, SMALL};
use super::letter;
use crate::domain::card::{AirSetUp, CardJoint, CardPart, CardStep};
use crate::domain::drawing::Drawing;
use crate::domain::messages::Language;

const TITLE: Style = Style::new(4_200).bold();
const NUMBER: i64 = 9_000;
const LABEL: i64 = 19_000;
/// The width beside the labels.
const WORDS: i64 = HALF - LABEL;
/// The width that drawings are fitted into, except those that are right at their own size only.
const DRAWING: i64 = 54_000;
const AFTER_ROW: i64 = 1_200;
const AFTER_STEP: i64 = 2_600;
/// So much of a step, or all of it, begins in one column.
const KEEP: i64 = 44_000;
/// Where text begins beside a class letter, and how far what is smaller stands behind it.
const BESIDE_LETTER: i64 = 6_000;
const TAIL_GAP: i64 = 2_000;
const TORQUE: Style = Style::new(3_900).bold();

/// What a step is made of, from above.
enum Item<'a> {
    Row(Row),
    Drawing(&'a Drawing),
}

impl Item<'_> {
    fn height(&self) -> i64 {
        match self {
            Self::Row(row) => row.height(),
            Self::Drawing(drawing) => drawn_height(drawing),
        }
    }
}

/// What stands beside one label.
struct Row {
    label: &'static str,
    lines: Vec<Line>,
    marked: bool,
}

/// One line of a row, with the class letter of the part that begins on it.
struct Line {
    style: Style,
    text: String,
    /// What stands behind it, smaller.
    tail: String,
    class: Option<&'static str>,
}

impl Row {
    fn height(&self) -> i64 {
        let lines: i64 = self.lines.iter().map(|it| it.style.leading()).sum();
        lines.max(self.labels().len_um()) + AFTER_ROW
    }

    fn labels(&self) -> Labels {
        Labels(SMALL.wrap(self.label, LABEL - 500))
    }
}

/// A label in lines.
struct Labels(Vec<String>);

impl Labels {
    fn len_um(&self) -> i64 {
        i64::try_from(self.0.len()).unwrap_or(0) * SMALL.leading()
    }
}

const fn plain(style: Style, text: String) -> Line {
    Line { style, text, tail: String::new(), class: None }
}

/// Sets the paragraphs of a row in lines.
#[derive(Default)]
struct Setter {
    rows: Vec<Row>,
}

impl Setter {
    fn add(&mut self, label: &'static str, paragraphs: &[(Style, String)]) -> Option<&mut Row> {
        let set = |(style, text): &(Style, String)| {
            let lines = style.wrap(text, WORDS).into_iter();
            lines.map(|text| plain(*style, text)).collect::<Vec<_>>()
        };
        let lines: Vec<Line> = paragraphs.iter().flat_map(set).collect();
        if lines.is_empty() {
            return None;
        }
        self.rows.push(Row { label, lines, marked: false });
        self.rows.last_mut()
    }

    fn parts(&mut self, say: Language, parts: &[CardPart]) {
        let mut lines = Vec::new();
        for part in parts {
            let words = [part.name.as_str(), part.variant.as_str()];
            let words: Vec<&str> = words.into_iter().filter(|it| !it.is_empty()).collect();
            let text = format!("{} × {}", part.quantity, words.join(", "));
            let (room, first) = (WORDS - BESIDE_LETTER, lines.len());
            lines.extend(BODY.wrap(&text, room).into_iter().map(|text| plain(BODY, text)));
            let from = [part.part_number.as_str(), part.bag.as_str(), part.instead.as_str()];
            let from: Vec<&str> = from.into_iter().filter(|it| !it.is_empty()).collect();
            let from = from.join(", ");
            if let Some(it) = lines.get_mut(first) {
                it.class = Some(part.class.letter());
            }
            match lines.last_mut() {
                Some(last) if BODY.width(&last.text) + TAIL_GAP + SMALL.width(&from) <= room => {
                    last.tail = from;
                }
                _ => {
                    let style = SMALL.quiet();
                    lines.extend(style.wrap(&from, room).into_iter().map(|it| plain(style, it)));
                }
            }
        }
        if lines.is_empty() {
            self.add(say.parts(), &[(SMALL.quiet(), say.no_new_parts().to_owned())]);
        } else {
            self.rows.push(Row { label: say.parts(), lines, marked: false });
        }
    }

    fn joint(&mut self, say: Language, joint: &CardJoint) {
        let mut paragraphs =
            vec![(BODY.bold(), format!("{}{}{}", joint.name, say.colon(), joint.bolts))];
        if joint.inch_pounds.is_empty() {
            paragraphs.push((BODY, joint.newton_metres.clone()));
        } else {
            let both = format!("{} | {}", joint.newton_metres, joint.inch_pounds);
            if TORQUE.width(&both) <= WORDS {
                paragraphs.push((TORQUE, both));
            } else {
                paragraphs.push((TORQUE, joint.newton_metres.clone()));
                paragraphs.push((TORQUE, joint.inch_pounds.clone()));
            }
            let how = [&joint.pattern, &joint.condition, &joint.wrench];
            let how: Vec<&str> =
                how.into_iter().map(String::as_str).filter(|it| !it.is_empty()).collect();
            paragraphs.push((SMALL, how.join(say.semicolon())));
        }
        self.add(say.torque(), &paragraphs);
    }

    fn air(&mut self, say: Language, air: &AirSetUp) {
        let mut paragraphs = vec![(BODY.bold(), air.part.clone())];
        match &air.answer {
            Some(answer) => paragraphs.push((TORQUE, answer.clone())),
            None => {
                let row = |(riders, pressure): &(String, String)| {
                    format!("{riders}{}{pressure}", say.colon())
                };
                paragraphs.extend(air.rows.iter().map(|it| (SMALL, row(it))));
                for words in [say.written_weight(), say.written_pressure()] {
                    paragraphs.push((BODY, format!("{words} {}", "_".repeat(10))));
                }
            }
        }
        paragraphs.push((BODY.bold(), format!("{} {}.", say.never_above(), air.maximum)));
        paragraphs.push((SMALL.quiet(), format!("{}{}{}", say.source(), say.colon(), air.source)));
        self.add(say.air_pressure(), &paragraphs);
    }
}

fn items(say: Language, step: &CardStep) -> Vec<Item<'_>> {
    let mut above = Setter::default();
    if let Some(row) = above.add(say.caution(), &[(BODY, step.caution.clone())]) {
        row.marked = true;
    }
    above.parts(say, &step.parts);
    above.add(say.tools(), &words(&step.tools.join(", ")));
    let mut items: Vec<Item<'_>> = above.rows.into_iter().map(Item::Row).collect();
    items.extend(step.drawings.iter().map(Item::Drawing));
    items.extend(below(say, step).into_iter().map(Item::Row));
    items
}

/// Returns what stands below the drawings.
fn below(say: Language, step: &CardStep) -> Vec<Row> {
    let mut set = Setter::default();
    for it in &step.drawings {
        let unparted = |it: &String| (SMALL, it.replace(" mm", "\u{a0}mm"));
        let notes: Vec<(Style, String)> = it.notes.iter().map(unparted).collect();
        set.add(say.measures(), &notes);
    }
    for joint in &step.joints {
        set.joint(say, joint);
    }
    for air in &step.air {
        set.air(say, air);
    }
    if !step.air.is_empty() {
        set.add("", &[(SMALL, say.check_the_card_code().to_owned())]);
    }
    if let Some(saddle) = &step.saddle {
        let paragraphs = [(BODY.bold(), saddle.window.clone()), (SMALL, saddle.rule.clone())];
        set.add(say.saddle_height(), &paragraphs);
    }
    set.add(say.check(), &words(&step.check));
    if let Some(missing) = &step.missing {
        let text = format!("{} · {}", missing.class.letter(), missing.words);
        set.add(say.if_one_is_missing(), &[(SMALL, text)]);
    }
    set.rows
}

fn words(text: &str) -> Vec<(Style, String)> {
    if text.is_empty() { Vec::new() } else { vec![(BODY, text.to_owned())] }
}

/// Returns by how much a drawing is made smaller, as a part of a whole.
fn scale(drawing: &Drawing) -> [i64; 2] {
    let fits = drawing.true_scale || drawing.width_um <= DRAWING;
    if fits { [1, 1] } else { [DRAWING, drawing.width_um] }
}

fn drawn_height(drawing: &Drawing) -> i64 {
    let [part, whole] = scale(drawing);
    let titles = i64::try_from(SMALL.wrap(&drawing.title, WORDS).len()).unwrap_or(1);
    titles * SMALL.leading() + drawing.height_um * part / whole + 2_500
}

/// Draws a step. What does not fit into the column goes on under the step's head in the next.
pub(super) fn draw(flow: &mut Flow, say: Language, step: &CardStep) {
    let items = items(say, step);
    let height: i64 = items.iter().map(Item::height).sum();
    let number = step.number.to_string();
    let titled = head_height(&step.title);
    flow.need(titled + height.min(KEEP));
    head(flow, &number, &step.title);
    for item in &items {
        if !flow.fits(item.height()) {
            let title = say.continued(&step.title);
            flow.need(head_height(&title) + item.height());
            head(flow, &number, &title);
        }
        match item {
            Item::Row(row) => draw_row(flow, row),
            Item::Drawing(it) => place(flow, it),
        }
    }
    flow.skip(AFTER_STEP);
}

fn place(flow: &mut Flow, it: &Drawing) {
    let (left, top) = (flow.left() + LABEL, flow.y());
    let [part, whole] = scale(it);
    let mut y = top;
    for line in SMALL.wrap(&it.title, WORDS) {
        flow.page().text(left, y + SMALL.ascent(), SMALL.quiet(), &line);
        y += SMALL.leading();
    }
    let x = left.min(flow.left() + HALF - it.width_um * part / whole);
    drawing::place(flow.page(), it, [x, y + 500], [part, whole]);
    flow.skip(drawn_height(it));
}

fn titles(title: &str) -> Vec<String> {
    TITLE.wrap(title, HALF - NUMBER - 2_000)
}

fn head_height(title: &str) -> i64 {
    let lines = i64::try_from(titles(title).len()).unwrap_or(1);
    3_800 + lines * TITLE.leading()
}

fn head(flow: &mut Flow, number: &str, title: &str) {
    let (left, top) = (flow.left(), flow.y());
    let page = flow.page();
    page.fill(Frame::new(left, top, HALF, 400), Tone::Ink);
    page.fill(Frame::new(left, top, NUMBER, 7_200), Tone::Ink);
    page.text_centred(left + NUMBER / 2, top + 5_100, TITLE.toned(Tone::White), number);
    let mut y = top + 1_100;
    for line in titles(title) {
        page.text(left + NUMBER + 2_000, y + TITLE.ascent(), TITLE, &line);
        y += TITLE.leading();
    }
    flow.skip(head_height(title));
}

fn draw_row(flow: &mut Flow, row: &Row) {
    let top = flow.y();
    let left = flow.left();
    for (label, nth) in row.labels().0.iter().zip(0_i64..) {
        let y = top + BODY.ascent() + nth * SMALL.leading();
        flow.page().text(left, y, SMALL.quiet(), label);
    }
    let with_letters = row.lines.iter().any(|it| it.class.is_some());
    for line in &row.lines {
        let y = flow.need(line.style.leading());
        let x = flow.left() + LABEL;
        if let Some(class) = line.class {
            letter(flow.page(), [x, y], class);
        }
        let text_x = if with_letters { x + BESIDE_LETTER } else { x };
        let base = y + line.style.ascent();
        flow.page().text(text_x, base, line.style, &line.text);
        let tail_x = text_x + line.style.width(&line.text) + TAIL_GAP;
        flow.page().text(tail_x, base, SMALL.quiet(), &line.tail);
        flow.skip(line.style.leading());
    }
    if row.marked {
        let height = flow.y() - top;
        let x = left + LABEL;
        flow.page().fill(Frame::new(x - 2_200, top + 300, 700, height - 600), Tone::Ink);
    }
    let least = top + row.labels().len_um();
    flow.skip((least - flow.y()).max(0) + AFTER_ROW);
}
