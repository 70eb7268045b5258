use chrono::{Datelike, NaiveDate};

use super::Picture;
use super::canvas::{At, BOLD, Canvas, FINE, MIDDLE, Rect, round_step, scaled};
use crate::domain::drawing::{Anchor, Shade};
use crate::domain::runway::{Arrival, ArrivalKind, Runway};
use crate::units::Quantity;

/// What the picture of a runway shows.
#[derive(Debug, Clone)]
pub struct RunwayPicture<'a> {
    /// The part, in words.
    pub part: &'a str,
    /// Its walk.
    pub runway: &'a Runway,
    /// What is on its way.
    pub arrivals: &'a [Arrival],
    /// Order at or below this.
    pub reorder_point: Quantity,
    /// The first and last day of the busiest month, where it lies within the half year.
    pub busiest: Option<(NaiveDate, NaiveDate)>,
}

const LEFT: i64 = 62;
const RIGHT: i64 = 936;
const TOP: i64 = 44;
const BOTTOM: i64 = 330;
const SIZE: At = (950, 404);

/// Where days and pieces lie in the picture.
struct Frame {
    first: NaiveDate,
    days: i64,
    least: i64,
    most: i64,
}

impl Frame {
    fn of(it: &RunwayPicture<'_>) -> Self {
        let days = &it.runway.days;
        let highest = days.iter().map(|it| it.morning.max(it.high)).max().unwrap_or_default();
        let lowest = days.iter().map(|it| it.night.min(it.low)).min().unwrap_or_default();
        let most = highest.max(it.reorder_point.pieces()).max(1);
        Self {
            first: days.first().map(|it| it.on).unwrap_or_default(),
            days: i64::try_from(days.len()).unwrap_or_default(),
            // What is lacking takes a third of the height at most; below that the lines leave it.
            least: lowest.min(0).max(-most / 2),
            most,
        }
    }

    fn x(&self, day: NaiveDate) -> i64 {
        let days = (day - self.first).num_days().clamp(0, self.days);
        scaled(days, (0, self.days), (LEFT, RIGHT))
    }

    fn y(&self, level: i64) -> i64 {
        let level = level.clamp(self.least, self.most);
        scaled(self.most - level, (0, self.most - self.least), (TOP, BOTTOM))
    }

    fn next(&self, day: NaiveDate) -> i64 {
        day.succ_opt().map_or(RIGHT, |it| self.x(it))
    }
}

/// Returns the stock of a part by week as a picture: the level as a line, arrivals as its steps up,
/// expiry as its cliffs, the band around it, the reorder line, and when nothing is left.
pub fn runway(it: &RunwayPicture<'_>) -> Picture {
    let frame = Frame::of(it);
    let mut canvas = Canvas::new();
    busiest(&mut canvas, &frame, it);
    band(&mut canvas, &frame, it.runway);
    axes(&mut canvas, &frame, it.runway);
    reorder_line(&mut canvas, &frame, it.reorder_point);
    level(&mut canvas, &frame, it.runway);
    marks(&mut canvas, &frame, it);
    runs_out(&mut canvas, &frame, it.runway);
    canvas.finish(SIZE, alt(it))
}

fn alt(it: &RunwayPicture<'_>) -> String {
    let level = it.runway.days.first().map_or(0, |it| it.morning);
    let steps: Vec<String> = it
        .arrivals
        .iter()
        .map(|it| format!("{} {} on {}", it.quantity, it.kind.word(), it.on))
        .collect();
    let steps = if steps.is_empty() { "nothing".to_owned() } else { steps.join(", ") };
    format!(
        "Stock of {} by week: {level} today, reorder line at {}, arriving: {steps}. {}.",
        it.part,
        it.reorder_point,
        it.runway.runs_out.words()
    )
}

fn busiest(canvas: &mut Canvas, frame: &Frame, it: &RunwayPicture<'_>) {
    let Some((from, until)) = it.busiest else { return };
    let (left, right) = (frame.x(from), frame.next(until));
    if right <= left {
        return;
    }
    for x in [left, right] {
        canvas.dashed((x, TOP - 14), (x, BOTTOM), 3);
    }
    let rect = Rect { x: left, y: TOP - 14, width: right - left, height: 10 };
    canvas.hatch(rect, 6).outline(rect, FINE);
    let words = format!("busiest: {}", from.format("%B"));
    let (x, anchor) = if left < RIGHT - 120 { (left, Anchor::Start) } else { (right, Anchor::End) };
    canvas.words((x, TOP - 20), anchor, &words);
}

fn band(canvas: &mut Canvas, frame: &Frame, runway: &Runway) {
    let edge = |level: fn(&crate::domain::runway::DayLevel) -> i64| -> Vec<At> {
        runway.days.iter().map(|it| (frame.next(it.on), frame.y(level(it)))).collect()
    };
    let (high, mut low) = (edge(|it| it.high), edge(|it| it.low));
    canvas.line(&high, FINE).line(&low, FINE);
    low.reverse();
    let corners: Vec<At> = high.into_iter().chain(low).collect();
    canvas.area(&corners, Shade::Pale);
}

fn axes(canvas: &mut Canvas, frame: &Frame, runway: &Runway) {
    let step = round_step(frame.most - frame.least, 6);
    let mut level = (frame.least / step) * step;
    while level <= frame.most {
        let y = frame.y(level);
        let width = if level == 0 { BOLD } else { 100 };
        canvas.line(&[(LEFT, y), (RIGHT, y)], width);
        canvas.words((LEFT - 6, y + 4), Anchor::End, &level.to_string());
        level += step;
    }
    if frame.least < 0 {
        let y = frame.y(0);
        let below = Rect { x: LEFT, y, width: RIGHT - LEFT, height: BOTTOM - y };
        canvas.hatch(below, 14);
        canvas.fill(Rect { x: LEFT + 6, y: BOTTOM - 20, width: 56, height: 18 }, Shade::White);
        canvas.words((LEFT + 10, BOTTOM - 6), Anchor::Start, "lacking");
    }
    canvas.line(&[(LEFT, TOP), (LEFT, BOTTOM)], MIDDLE);
    for (at, week) in runway.weeks.iter().enumerate() {
        let x = frame.x(week.monday);
        let is_named = at % 2 == 0;
        canvas.line(&[(x, BOTTOM), (x, BOTTOM + if is_named { 8 } else { 4 })], FINE);
        if is_named {
            let day = week.monday.format("%-d %b").to_string();
            canvas.small((x, BOTTOM + 22), Anchor::Middle, &day);
        }
        if week.monday.month() == 1 && week.monday.day() <= 7 {
            canvas.small((x, BOTTOM + 36), Anchor::Middle, &week.monday.year().to_string());
        }
    }
}

fn reorder_line(canvas: &mut Canvas, frame: &Frame, point: Quantity) {
    if point.is_some() {
        let y = frame.y(point.pieces());
        canvas.dashed((LEFT, y), (RIGHT, y), 8);
        ground(canvas, (RIGHT, y - 4), Anchor::End, &format!("reorder at {point}"));
    }
}

fn level(canvas: &mut Canvas, frame: &Frame, runway: &Runway) {
    let mut points = Vec::new();
    for day in &runway.days {
        points.push((frame.x(day.on), frame.y(day.morning)));
        points.push((frame.next(day.on), frame.y(day.evening)));
        points.push((frame.next(day.on), frame.y(day.night)));
    }
    canvas.line(&points, BOLD);
}

/// Writes words on a white ground, so that no line goes through them.
fn ground(canvas: &mut Canvas, (x, y): At, anchor: Anchor, text: &str) {
    let width = 7 * i64::try_from(text.chars().count()).unwrap_or_default() + 6;
    let left = match anchor {
        Anchor::Start => x - 3,
        Anchor::Middle => x - width / 2,
        Anchor::End => x - width + 3,
    };
    canvas.fill(Rect { x: left, y: y - 12, width, height: 16 }, Shade::White);
    canvas.words((x, y), anchor, text);
}

/// Names each step and cliff: what comes, how sure its day is, and what expires.
fn marks(canvas: &mut Canvas, frame: &Frame, it: &RunwayPicture<'_>) {
    let days = &it.runway.days;
    let last = days.last().map(|it| it.on).unwrap_or_default();
    for arrival in it.arrivals.iter().filter(|it| it.on <= last) {
        let x = frame.x(arrival.on);
        let morning = days.iter().find(|it| arrival.on <= it.on).map_or(0, |it| it.morning);
        let y = frame.y(morning);
        canvas.area(&[(x, y - 2), (x - 5, y + 8), (x + 5, y + 8)], Shade::Ink);
        let words = match arrival.kind {
            ArrivalKind::Confirmed => format!("+{}", arrival.quantity),
            kind => format!("+{} {}", arrival.quantity, kind.word()),
        };
        let anchor = if x < RIGHT - 130 { Anchor::Start } else { Anchor::End };
        ground(canvas, (x + 4, (y - 6).max(TOP + 10)), anchor, &words);
    }
    for expiry in &it.runway.expiries {
        let night = days.iter().find(|it| it.on == expiry.on).map_or(0, |it| it.night);
        let (x, y) = (frame.next(expiry.on), frame.y(night));
        canvas.line(&[(x - 4, y - 4), (x + 4, y + 4)], MIDDLE);
        canvas.line(&[(x - 4, y + 4), (x + 4, y - 4)], MIDDLE);
        let anchor = if x < RIGHT - 130 { Anchor::Start } else { Anchor::End };
        ground(
            canvas,
            (x + 6, (y + 16).min(BOTTOM - 4)),
            anchor,
            &format!("−{} expire", expiry.quantity),
        );
    }
}

/// Draws the day of zero, with a measure from its earliest to its latest below the axis.
fn runs_out(canvas: &mut Canvas, frame: &Frame, runway: &Runway) {
    let out = runway.runs_out;
    let y = BOTTOM + 50;
    let Some(first) = out.earliest.or(out.expected) else { return };
    let (from, to) = (frame.x(first), out.latest.map_or(RIGHT, |it| frame.x(it)));
    canvas.line(&[(from, y), (to.max(from), y)], MIDDLE);
    canvas.line(&[(from, y - 5), (from, y + 5)], MIDDLE);
    if out.latest.is_some() {
        canvas.line(&[(to, y - 5), (to, y + 5)], MIDDLE);
    } else {
        canvas.area(&[(RIGHT + 8, y), (RIGHT, y - 5), (RIGHT, y + 5)], Shade::Ink);
    }
    let Some(expected) = out.expected else { return };
    let x = frame.x(expected);
    canvas.dashed((x, frame.y(0)), (x, y), 4);
    canvas.area(&[(x, y - 5), (x + 5, y), (x, y + 5), (x - 5, y)], Shade::Ink);
    let words = format!("none left: {}", expected.format("%-d %b"));
    let anchor = if x < RIGHT - 130 { Anchor::Start } else { Anchor::End };
    canvas.strong((x, y + 20), anchor, &words);
}
