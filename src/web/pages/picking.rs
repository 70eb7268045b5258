//! Pick lists, and the walk along one.

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::printers::print_on::PrintersAt;
use super::strip::Strip;
use super::words::{Day, count, length};
use super::{Answer, Fields, Frame, Task, Visit, refusal};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::orders::Leave;
use crate::ops::picking::{PickKitView, PickListView, PickScan, PickableView, StopView};
use crate::units::Quantity;
use crate::web::page::{self, PageError};

/// The page at `/picking`.
#[derive(Debug, Template)]
#[template(path = "picking/list.html")]
pub struct PickingPage {
    /// The page around it.
    pub frame: Frame,
    /// Kits whose parts are all held, or all but those that only look good, by promised date.
    pub ready: Vec<ReadyKit>,
    /// Kits that a part holds back, by promised date; they may be picked as far as parts go.
    pub held: Vec<ReadyKit>,
    /// Lists that somebody is walking.
    pub open: Vec<OpenList>,
}

/// A kit that can be picked.
#[derive(Debug)]
pub struct ReadyKit {
    /// The kit's number.
    pub kit: String,
    /// Its order's number.
    pub order: String,
    /// The rider's name.
    pub rider: String,
    /// The date promised.
    pub promised: Day,
    /// What is built, in words.
    pub build: String,
    /// Pieces to take.
    pub pieces: Quantity,
    /// What it lacks, in words; empty where nothing.
    pub note: String,
}

/// A list that is being picked.
#[derive(Debug)]
pub struct OpenList {
    /// The list's number.
    pub number: String,
    /// Its kits, in short.
    pub kits: String,
    /// Who made it.
    pub made_by: String,
    /// Pieces in totes.
    pub picked: Quantity,
    /// Pieces still to be taken.
    pub left: Quantity,
}

/// The page at `/picking/{number}`.
#[derive(Debug, Template)]
#[template(path = "picking/walk.html")]
pub struct WalkPage {
    /// The page around it.
    pub frame: Frame,
    /// The list's number.
    pub number: String,
    /// The list's kits: what is built for whom.
    pub kits: Vec<WalkKit>,
    /// The steps of its kits together.
    pub strip: Strip,
    /// Pieces in totes.
    pub picked: Quantity,
    /// Pieces in totes and still to be taken.
    pub all: Quantity,
    /// Where to stand now; `None` when the walk is over.
    pub stop: Option<Stop>,
    /// The stops after it, in walking order.
    pub ahead: Vec<StopAhead>,
    /// The printers that it offers.
    pub printers: PrintersAt,
}

/// A kit on the walk.
#[derive(Debug)]
pub struct WalkKit {
    /// Its number.
    pub kit: String,
    /// Its slot on the cart.
    pub slot: u32,
    /// What is built, in words.
    pub build: String,
    /// Its order's number.
    pub order: String,
    /// Whether nothing of it has been picked, so that it may come off the list.
    pub untouched: bool,
}

/// The stop where the picker stands.
#[derive(Debug)]
pub struct Stop {
    /// The bin's code.
    pub bin: String,
    /// The bin's zone.
    pub zone: String,
    /// Whether the bin has been scanned.
    pub bin_confirmed: bool,
    /// The part's number.
    pub part_number: String,
    /// The part's name.
    pub name: String,
    /// Size, length or colour: the largest thing on the page.
    pub variant: String,
    /// The lot to take from, with its last day of use; empty where none is kept.
    pub lot: String,
    /// Whether each piece has a serial number, and so a scan of its own.
    pub serial: bool,
    /// What each tote gets; the first is the one to fill now.
    pub totes: Vec<ToteShare>,
}

/// The pieces of a stop that go into one tote.
#[derive(Debug)]
pub struct ToteShare {
    /// The take's number.
    pub take: i64,
    /// The slot on the cart.
    pub slot: u32,
    /// The kit's number.
    pub kit: String,
    /// Pieces.
    pub quantity: Quantity,
}

/// A stop that is still to come.
#[derive(Debug)]
pub struct StopAhead {
    /// The take by which the stop is chosen.
    pub take: i64,
    /// The bin's code.
    pub bin: String,
    /// Size, length or colour.
    pub variant: String,
    /// The part's name.
    pub name: String,
    /// Pieces.
    pub quantity: Quantity,
}

impl Stop {
    /// Returns what goes into the next tote.
    pub fn now(&self) -> Option<&ToteShare> {
        self.totes.first()
    }

    /// Returns the pieces of all totes.
    pub fn quantity(&self) -> Quantity {
        self.totes.iter().map(|it| it.quantity).sum()
    }

    /// Returns what to scan now, in words.
    pub fn scan_what(&self) -> String {
        match (self.bin_confirmed, self.serial) {
            (false, _) => format!("bin {}", self.bin),
            (true, true) => "the serial number".to_owned(),
            (true, false) if self.lot.is_empty() => "the part".to_owned(),
            (true, false) => "the part or its lot".to_owned(),
        }
    }
}

#[get("/picking")]
pub(super) async fn get_list(visit: Visit) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Pick)?;
    let frame = visit.live_frame(Task::Pick).await?;
    Ok(visit.show(&picking_page(&visit, frame).await?))
}

async fn picking_page(visit: &Visit, frame: Frame) -> Result<PickingPage, Error> {
    let (kits, lists) = visit
        .app
        .read(|conn| Ok((ops::picking::pickable(conn)?, ops::picking::lists(conn, true)?)))
        .await?;
    let (held, ready): (Vec<_>, Vec<_>) = kits.iter().partition(|it| it.leave == Leave::Held);
    Ok(PickingPage {
        frame,
        ready: ready.into_iter().map(ready_kit).collect(),
        held: held.into_iter().map(ready_kit).collect(),
        open: lists.into_iter().map(open_list).collect(),
    })
}

fn ready_kit(it: &PickableView) -> ReadyKit {
    let lacks: Vec<String> =
        it.alerts.iter().map(|it| format!("{} × {}", it.quantity, it.part)).collect();
    ReadyKit {
        kit: it.kit.clone(),
        order: it.order.clone(),
        rider: it.customer.clone(),
        promised: Day(it.promised_on),
        build: it.build.clone(),
        pieces: it.pieces,
        note: if lacks.is_empty() { String::new() } else { format!("lacks {}", lacks.join(", ")) },
    }
}

fn open_list(it: PickListView) -> OpenList {
    let kits: Vec<String> =
        it.kits.iter().map(|kit| format!("{} for {}", kit.kit, kit.customer)).collect();
    OpenList {
        number: it.number,
        kits: kits.join(", "),
        made_by: it.made_by,
        picked: it.picked,
        left: it.left,
    }
}

#[post("/picking")]
pub(super) async fn post_make(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Pick, &form)?;
    let key = form.key()?;
    let kits: Vec<String> = form.all("kit").map(str::to_owned).collect();
    let many = count(length(&kits), "kit", "kits");
    let made = visit.app.write(who, move |tx| ops::picking::make_list(tx, &key, &kits)).await;
    match made {
        Ok(made) => {
            let said = format!("pick list {} is made for {many}", made.number);
            visit.go(&format!("/picking/{}", made.number), Ok(said))
        }
        Err(error) => visit.go("/picking", Err(error)),
    }
}

#[get("/picking/{number}")]
pub(super) async fn get_walk(
    visit: Visit,
    number: web::Path<String>,
    asked: web::Query<Asked>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Pick)?;
    let frame = visit.live_frame(Task::Pick).await?;
    Ok(visit.show(&walk_page(&visit, frame, &number, asked.take, None).await?))
}

/// The stop that a picker chooses before its turn.
#[derive(Debug, serde::Deserialize)]
pub(super) struct Asked {
    take: Option<i64>,
}

async fn walk_page(
    visit: &Visit,
    frame: Frame,
    number: &str,
    take: Option<i64>,
    bin: Option<&str>,
) -> Result<WalkPage, Error> {
    let number = number.to_owned();
    let list = visit.app.read(move |conn| ops::picking::list(conn, &number)).await?;
    let now = now_at(&list.stops, take, bin);
    let ahead = list.stops.iter().enumerate().filter(|(at, _)| *at != now).map(|(_, it)| it);
    let back = format!("/picking/{}", list.number);
    Ok(WalkPage {
        frame,
        printers: PrintersAt::of(visit, back).await?,
        number: list.number,
        kits: list.kits.iter().map(walk_kit).collect(),
        strip: Strip::from(&list.strip),
        picked: list.picked,
        all: list.picked.plus(list.left),
        stop: list.stops.get(now).map(|it| stop(it, bin)),
        ahead: ahead.map(stop_ahead).collect(),
    })
}

/// Returns the place of the stop to show: the one chosen, else the one where the picker stands, else
/// the first of the walk.
fn now_at(stops: &[StopView], take: Option<i64>, bin: Option<&str>) -> usize {
    let chosen = |it: &StopView| it.takes.iter().any(|it| Some(it.take) == take);
    let here = |it: &StopView| Some(it.bin.as_str()) == bin;
    stops.iter().position(chosen).or_else(|| stops.iter().position(here)).unwrap_or(0)
}

fn walk_kit(it: &PickKitView) -> WalkKit {
    let (kit, slot) = (it.kit.clone(), it.slot);
    let untouched = !it.picked.is_some();
    WalkKit { kit, slot, build: it.build.clone(), order: it.order.clone(), untouched }
}

fn stop(it: &StopView, bin: Option<&str>) -> Stop {
    let use_by = it.use_by.map(|day| format!(", use by {day}")).unwrap_or_default();
    Stop {
        bin: it.bin.clone(),
        zone: it.zone.clone(),
        bin_confirmed: bin == Some(it.bin.as_str()),
        part_number: it.part_number.clone(),
        name: it.part.clone(),
        variant: it.variant.clone(),
        lot: it.lot.as_ref().map(|lot| format!("{lot}{use_by}")).unwrap_or_default(),
        serial: it.tracking == "serial",
        totes: it
            .takes
            .iter()
            .map(|take| ToteShare {
                take: take.take,
                slot: take.slot,
                kit: take.kit.clone(),
                quantity: take.quantity,
            })
            .collect(),
    }
}

fn stop_ahead(it: &StopView) -> StopAhead {
    StopAhead {
        take: it.takes.first().map_or(0, |it| it.take),
        bin: it.bin.clone(),
        variant: it.variant.clone(),
        name: it.part.clone(),
        quantity: it.quantity,
    }
}

/// Takes a scan; the page that answers it is the page of the next one.
#[post("/picking/{number}")]
pub(super) async fn post_scan(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Pick, &form)?;
    let (bin, take) = (form.text("bin").to_owned(), form.read("take", "take")?);
    let scanned = take_scan(&visit, who, &number, &form).await;
    let (answer, bin) = match scanned {
        Ok(answer) => (Answer::from(&answer), answer.bin),
        Err(error) => (refusal(error)?, Some(bin)),
    };
    let frame = visit.answered(Task::Pick, Some(answer)).await?;
    Ok(page::ok(&walk_page(&visit, frame, &number, take, bin.as_deref()).await?))
}

async fn take_scan(
    visit: &Visit,
    who: crate::store::Who,
    number: &str,
    form: &Fields,
) -> Result<ops::ScanAnswer, Error> {
    let (key, number) = (form.key()?, number.to_owned());
    let scan = PickScan {
        code: form.text("scan").to_owned(),
        take: form.read("take", "take")?,
        bin: Some(form.text("bin")).filter(|it| !it.is_empty()).map(str::to_owned),
        quantity: form.read("quantity", "pieces")?,
    };
    visit.app.write(who, move |tx| ops::picking::scan(tx, &key, &number, &scan)).await
}

#[post("/picking/{number}/short")]
pub(super) async fn post_bin_short(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Pick, &form)?;
    let said = correct_bin(&visit, who, &number, &form).await;
    visit.go(&format!("/picking/{number}"), said)
}

async fn correct_bin(
    visit: &Visit,
    who: crate::store::Who,
    number: &str,
    form: &Fields,
) -> Result<String, Error> {
    let (key, number) = (form.key()?, number.to_owned());
    let take = form.read("take", "take")?;
    let there = form.pieces("there", "pieces that are there")?;
    let work = move |tx: &mut crate::store::Tx<'_>| {
        ops::picking::bin_holds_less(tx, &key, &number, take, there)
    };
    Ok(visit.app.write(who, work).await?.words)
}

/// Takes a kit off the list, as long as nothing of it has been picked.
#[post("/picking/{number}/take-off")]
pub(super) async fn post_take_off(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Pick, &form)?;
    let (key, kit) = (form.key()?, form.text("kit").to_owned());
    let work = move |tx: &mut crate::store::Tx<'_>| ops::picking::take_off(tx, &key, &kit);
    match visit.app.write(who, work).await {
        Ok(done) => visit.go("/picking", Ok(done.words)),
        Err(error) => visit.go(&format!("/picking/{number}"), Err(error)),
    }
}

#[get("/picking/{number}/pick-list.pdf")]
pub(super) async fn get_paper(
    visit: Visit,
    number: web::Path<String>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let (number, today) = (number.into_inner(), visit.app.now().date());
    let name = format!("{number}.pdf");
    let bytes = visit.app.read(move |conn| ops::labels::pick_list(conn, &number, today)).await?;
    Ok(page::pdf(&name, bytes))
}
