//! One step of the card: words at the left, drawings at the right.

use super::super::canvas::{Frame, Style, Tone};
use super::super::drawing;
use super::super::flow::{BODY, Flow, LEFT, RIGHT, SMALL, WIDTH};
use super::letter;
use crate::domain::card::{AirSetUp, CardJoint, CardPart, CardStep};
use crate::domain::drawing::Drawing;
use crate::domain::messages::Language;

const HEAD: i64 = 10_500;
const LABEL: i64 = 26_000;
/// The width that drawings are fitted into, except those that are right at their own size only.
const DRAWING: i64 = 62_000;
const BETWEEN: i64 = 5_000;
const AFTER_ROW: i64 = 1_700;
/// Where text begins beside a class letter, and how far what is smaller stands behind it.
const BESIDE_LETTER: i64 = 6_500;
const TAIL_GAP: i64 = 2_000;
const TORQUE: Style = Style::new(3_900).bold();

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
        self.lines.iter().map(|it| it.style.leading()).sum::<i64>() + AFTER_ROW
    }
}

const fn plain(style: Style, text: String) -> Line {
    Line { style, text, tail: String::new(), class: None }
}

/// Sets the paragraphs of a row in lines.
struct Setter {
    width: i64,
    rows: Vec<Row>,
}

impl Setter {
    fn add(&mut self, label: &'static str, paragraphs: &[(Style, String)]) -> Option<&mut Row> {
        let width = self.width;
        let set = |(style, text): &(Style, String)| {
            let lines = style.wrap(text, width).into_iter();
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
            let (room, first) = (self.width - BESIDE_LETTER, lines.len());
            lines.extend(BODY.wrap(&text, room).into_iter().map(|text| plain(BODY, text)));
            let from = [part.part_number.as_str(), part.bag.as_str()];
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
        let mut paragraphs = vec![(BODY.bold(), format!("{}: {}", joint.name, joint.bolts))];
        if joint.inch_pounds.is_empty() {
            paragraphs.push((BODY, joint.newton_metres.clone()));
        } else {
            let both = format!("{} | {}", joint.newton_metres, joint.inch_pounds);
            if TORQUE.width(&both) <= self.width {
                paragraphs.push((TORQUE, both));
            } else {
                paragraphs.push((TORQUE, joint.newton_metres.clone()));
                paragraphs.push((TORQUE, joint.inch_pounds.clone()));
            }
            let how = [&joint.pattern, &joint.condition, &joint.wrench];
            let how: Vec<&str> =
                how.into_iter().map(String::as_str).filter(|it| !it.is_empty()).collect();
            paragraphs.push((SMALL, how.join("; ")));
        }
        self.add(say.torque(), &paragraphs);
    }

    fn air(&mut self, say: Language, air: &AirSetUp) {
        let mut paragraphs = vec![(BODY.bold(), air.part.clone())];
        match &air.answer {
            Some(answer) => paragraphs.push((TORQUE, answer.clone())),
            None => {
                let row = |(riders, pressure): &(String, String)| format!("{riders}:  {pressure}");
                paragraphs.extend(air.rows.iter().map(|it| (SMALL, row(it))));
                let blank = "_".repeat(10);
                let (weight, pressure) = (say.written_weight(), say.written_pressure());
                paragraphs.push((BODY, format!("{weight} {blank}  {pressure} {blank}")));
            }
        }
        paragraphs.push((BODY.bold(), format!("{} {}.", say.never_above(), air.maximum)));
        paragraphs.push((SMALL.quiet(), format!("{}: {}", say.source(), air.source)));
        self.add(say.air_pressure(), &paragraphs);
    }
}

fn rows(say: Language, step: &CardStep, width: i64) -> Vec<Row> {
    let mut set = Setter { width, rows: Vec::new() };
    set.parts(say, &step.parts);
    set.add(say.tools(), &words(&step.tools.join(", ")));
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
    if let Some(row) = set.add(say.caution(), &[(BODY, step.caution.clone())]) {
        row.marked = true;
    }
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
    SMALL.leading() + drawing.height_um * part / whole + 3_000
}

/// Draws a step; it stands on one page unless it is longer than one.
pub(super) fn draw(flow: &mut Flow, say: Language, step: &CardStep) {
    let side = step.drawings.iter().map(|it| it.width_um * scale(it)[0] / scale(it)[1]).max();
    let left = side.map_or(WIDTH, |it| WIDTH - it - BETWEEN);
    let rows = rows(say, step, left - LABEL);
    let words: i64 = rows.iter().map(Row::height).sum();
    let drawn: i64 = step.drawings.iter().map(drawn_height).sum();
    let top = flow.need(HEAD + words.max(drawn) + 4_000);
    head(flow, step, top);
    let mut y = flow.y();
    let x = RIGHT - side.unwrap_or(0);
    for it in &step.drawings {
        flow.page().text(x, y + SMALL.ascent(), SMALL.quiet(), &it.title);
        drawing::place(flow.page(), it, [x, y + SMALL.leading() + 800], scale(it));
        y += drawn_height(it);
    }
    for row in &rows {
        draw_row(flow, row);
    }
    flow.skip((y - flow.y()).max(0) + 3_500);
}

fn head(flow: &mut Flow, step: &CardStep, top: i64) {
    let style = Style::new(4_700).bold();
    let page = flow.page();
    page.fill(Frame::new(LEFT, top, WIDTH, 400), Tone::Ink);
    page.fill(Frame::new(LEFT, top, 10_000, 8_000), Tone::Ink);
    let number = style.toned(Tone::White);
    page.text_centred(LEFT + 5_000, top + 5_700, number, &step.number.to_string());
    page.text(LEFT + 13_000, top + 5_900, style, &step.title);
    flow.skip(HEAD);
}

fn draw_row(flow: &mut Flow, row: &Row) {
    let room = 250_000;
    let y = flow.need(row.height().min(room));
    let label = SMALL.quiet();
    flow.page().text(LEFT, y + BODY.ascent(), label, row.label);
    let x = LEFT + LABEL;
    let with_letters = row.lines.iter().any(|it| it.class.is_some());
    for line in &row.lines {
        let y = flow.need(line.style.leading());
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
        let height = flow.y() - y;
        flow.page().fill(Frame::new(x - 2_200, y + 300, 700, height - 600), Tone::Ink);
    }
    flow.skip(AFTER_ROW);
}
