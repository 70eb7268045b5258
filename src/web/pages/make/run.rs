//! A run: what is inside, where its pieces are, and taking them apart.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;
use percent_encoding::{NON_ALPHANUMERIC, utf8_percent_encode};

use super::super::words::{Moment, count};
use super::super::{Fields, Frame, Task, Visit, refusal};
use super::serials;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::bench::{
    BackPart, KitOfRunView, LostView, RunHeadView, RunPartView, RunPlaceView, RunView, TakeApart,
};
use crate::store::{Tx, Who};
use crate::units::Quantity;
use crate::web::page::PageError;

/// The page at `/make/runs/{run}`.
#[derive(Debug, Template)]
#[template(path = "make/run.html")]
pub struct RunPage {
    /// The page around it.
    pub frame: Frame,
    /// The run's head.
    pub head: RunHeadView,
    /// When it was made.
    pub at: Moment,
    /// How its pieces are tracked.
    pub tracking: String,
    /// The parts in its pieces.
    pub parts: Vec<RunPartView>,
    /// What was lost while it was made.
    pub lost: Vec<LostView>,
    /// Pieces that lie in the house.
    pub places: Vec<RunPlaceView>,
    /// The kits that hold pieces of it.
    pub kits: Vec<KitOfRunView>,
    /// Where its pieces are, in one sentence.
    pub stands: String,
    /// Where to print its labels.
    pub labels: String,
    /// The form to take pieces apart, where the person may and pieces are left.
    pub apart: Option<ApartForm>,
}

/// The form to take pieces apart.
#[derive(Debug)]
pub struct ApartForm {
    /// Whether the form was opened.
    pub open: bool,
    /// How many pieces.
    pub pieces: Quantity,
    /// The most that are in the house.
    pub most: Quantity,
    /// The bin that they lie in.
    pub from: String,
    /// The serial numbers typed so far.
    pub serials: String,
    /// What comes back of each part and lot.
    pub rows: Vec<BackRow>,
}

/// What comes back of one part and lot.
#[derive(Debug)]
pub struct BackRow {
    /// The row's number, which names its fields.
    pub at: usize,
    /// The part as the run holds it.
    pub it: RunPartView,
    /// Whether the run drew other lots of the part as well, so that the person must say.
    pub ask: bool,
    /// To the bin.
    pub bin: String,
    /// To quarantine.
    pub quarantine: String,
    /// To scrap.
    pub scrap: String,
}

#[get("/make/runs/{run}")]
pub(in crate::web::pages) async fn get_run(
    visit: Visit,
    run: web::Path<String>,
    asked: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let pieces = asked.read("pieces", "pieces")?;
    let frame = visit.frame(Task::Make).await?;
    let run = run.into_inner();
    let view = visit.app.read(move |conn| ops::bench::run(conn, &run)).await?;
    Ok(visit.show(&run_page(&visit, frame, view, pieces, None)))
}

fn run_page(
    visit: &Visit,
    frame: Frame,
    run: RunView,
    pieces: Option<Quantity>,
    form: Option<&Fields>,
) -> RunPage {
    let most: Quantity = match run.tracking.as_str() {
        "none" => run.elsewhere,
        _ => run.places.iter().map(|it| it.quantity).sum(),
    };
    let may = visit.can(Permission::Make) && most.is_some();
    let apart = may.then(|| apart_form(&run, most, pieces, form));
    RunPage {
        frame,
        at: Moment(run.head.made_at),
        stands: stands(&run),
        labels: labels(&run),
        apart,
        head: run.head,
        tracking: run.tracking,
        parts: run.parts,
        lost: run.lost,
        places: run.places,
        kits: run.kits,
    }
}

/// Returns where the pieces of a run are, in one sentence.
fn stands(run: &RunView) -> String {
    let in_state = |state: &str| -> Quantity {
        run.kits.iter().filter(|it| it.state == state).map(|it| it.quantity).sum()
    };
    let lie: Quantity = run.places.iter().map(|it| it.quantity).sum();
    let all = [
        (lie, "on the shelf"),
        (in_state("picking"), "in totes and open cartons"),
        (in_state("sealed"), "sealed in a box"),
        (in_state("despatched"), "with riders"),
        (run.head.taken_apart, "taken apart"),
        (run.elsewhere, if run.tracking == "none" { "not told apart" } else { "scrapped or lost" }),
    ];
    let some = all.iter().filter(|it| it.0.is_some());
    let words: Vec<String> = some.map(|(many, place)| format!("{many} {place}")).collect();
    format!("{} made: {}", count(run.head.pieces, "piece", "pieces"), words.join(", "))
}

/// Returns the address at which the labels of a run's pieces are printed.
fn labels(run: &RunView) -> String {
    let part = &run.head.part_number;
    match run.tracking.as_str() {
        "lot" => {
            let (number, copies) = (&run.head.number, run.head.pieces.min(Quantity::new(500)));
            format!("/labels?kind=lot&of={part}%2F{number}&copies={copies}")
        }
        "serial" => {
            let pieces = run.parts.iter().filter(|it| !it.piece.is_empty());
            let of: Vec<String> = pieces
                .map(|it| format!("{part}%2F{}", utf8_percent_encode(&it.piece, NON_ALPHANUMERIC)))
                .collect();
            format!("/labels?kind=serial&of={}", of.join("%0A"))
        }
        _ => format!(
            "/labels?kind=part&of={part}&copies={}",
            run.head.pieces.min(Quantity::new(500))
        ),
    }
}

fn apart_form(
    run: &RunView,
    most: Quantity,
    pieces: Option<Quantity>,
    form: Option<&Fields>,
) -> ApartForm {
    let text = |name: &str| form.map(|it| it.text(name).to_owned()).unwrap_or_default();
    let many = pieces.unwrap_or(Quantity::ONE).min(most);
    let bin = run.places.first().map(|it| it.place.clone()).unwrap_or_default();
    let rows = run.parts.iter().enumerate().map(|(at, it)| {
        let lots = run.parts.iter().filter(|other| other.part_number == it.part_number);
        let ask = it.piece.is_empty() && 1 < lots.count();
        let known = if ask || !it.piece.is_empty() {
            String::new()
        } else {
            it.each.times(many).to_string()
        };
        BackRow {
            at,
            it: it.clone(),
            ask,
            bin: form.map_or(known, |form| form.text(&format!("bin-{at}")).to_owned()),
            quarantine: text(&format!("quarantine-{at}")),
            scrap: text(&format!("scrap-{at}")),
        }
    });
    ApartForm {
        open: pieces.is_some() || form.is_some(),
        pieces: many,
        most,
        from: form.map_or(bin, |it| it.text("from").to_owned()),
        serials: text("serials"),
        rows: rows.filter(|row| row.it.piece.is_empty()).collect(),
    }
}

#[post("/make/runs/{run}")]
pub(in crate::web::pages) async fn post_apart(
    visit: Visit,
    run: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Make, &form)?;
    match taken_apart(&visit, who, &run, &form).await {
        Ok(words) => visit.go(&format!("/make/runs/{run}"), Ok(words)),
        Err(error) => {
            let answer = refusal(error)?;
            let pieces = form.pieces("pieces", "pieces").ok();
            let frame = visit.answered(Task::Make, Some(answer)).await?;
            let run = run.into_inner();
            let view = visit.app.read(move |conn| ops::bench::run(conn, &run)).await?;
            Ok(visit.show_refused(&run_page(&visit, frame, view, pieces, Some(&form))))
        }
    }
}

async fn taken_apart(visit: &Visit, who: Who, run: &str, form: &Fields) -> Result<String, Error> {
    let (key, run) = (form.key()?, run.to_owned());
    let mut apart = TakeApart {
        pieces: form.pieces("pieces", "pieces")?,
        from: form.text("from").to_owned(),
        serials: serials(form),
        back: Vec::new(),
    };
    let rows = form.all("back").filter_map(|it| it.split_once('|'));
    for (at, rest) in rows {
        let (part_number, lot) = rest.split_once('|').unwrap_or((rest, ""));
        for to in ["bin", "quarantine", "scrap"] {
            let quantity = form.pieces(&format!("{to}-{at}"), part_number)?;
            let (part_number, lot) = (part_number.to_owned(), lot.to_owned());
            apart.back.push(BackPart { part_number, lot, quantity, to: to.to_owned() });
        }
    }
    // A part with a serial number has one row: the piece's own, with one way to go.
    for it in form.all("serial-part") {
        let to = form.text("serial-to").to_owned();
        let (part_number, lot) = (it.to_owned(), String::new());
        apart.back.push(BackPart { part_number, lot, quantity: Quantity::ONE, to });
    }
    let work = move |tx: &mut Tx<'_>| ops::bench::take_apart(tx, &key, &run, &apart);
    Ok(visit.app.write(who, work).await?.words)
}
