//! Verification by whoever opens the box: the signed link, and what they say.

use chrono::{Days, NaiveDateTime};
use data_encoding::HEXLOWER;
use rand::RngExt;
use serde::{Deserialize, Serialize};

use crate::domain::codes::KitNumber;
use crate::domain::verification::{BoxLink, LinkKey, Outcome, ReportError, check_report};
use crate::error::Error;
use crate::store::orders::KitLineRow;
use crate::store::{Conn, Tx, kits, orders, packing, people, verification};
use crate::units::Quantity;

use super::kits::{ContentView, contents_of_kit, from_bag, strip_lines};
use super::once::{RequestKey, once};
use super::orders::StripView;
use super::picking::build_words;
use super::words;
use crate::domain::packing::{StripLine, strip};

/// How long a link opens its box page, in days from when the packing list is printed.
const LINK_DAYS: u64 = 400;

/// Makes the key with which links are signed, unless the shop has one.
///
/// # Errors
///
/// [`Error::Database`].
pub fn ensure_link_key(tx: &mut Tx<'_>) -> Result<(), Error> {
    if people::setting(tx.conn, "link key")?.is_none() {
        let key = HEXLOWER.encode(&rand::rng().random::<[u8; 32]>());
        people::put_setting(tx.conn, "link key", &key)?;
    }
    Ok(())
}

/// Loads the shop's key.
pub(super) fn key_bytes(conn: &mut Conn) -> Result<[u8; 32], Error> {
    people::setting(conn, "link key")?
        .and_then(|it| HEXLOWER.decode(it.as_bytes()).ok())
        .and_then(|it| <[u8; 32]>::try_from(it).ok())
        .ok_or_else(|| Error::Internal("the key for links is not there".to_owned()))
}

fn link_key(conn: &mut Conn) -> Result<LinkKey, Error> {
    Ok(LinkKey::new(key_bytes(conn)?))
}

/// Returns the path of the signed link that opens a kit's box page.
///
/// # Errors
///
/// [`Error::NotFound`] when there is no such kit.
pub fn link_path(conn: &mut Conn, kit: &str, now: NaiveDateTime) -> Result<String, Error> {
    let row = orders::kit(conn, kit)?.ok_or_else(|| Error::not_found("kit", kit))?;
    // The day is counted from the first of the month, so that a list printed twice in a month
    // carries the same link.
    let month = chrono::Datelike::with_day(&now.date(), 1).unwrap_or(now.date());
    let number: KitNumber = row.number.parse().map_err(|_| Error::not_found("kit", kit))?;
    let expires_on = month
        .checked_add_days(Days::new(LINK_DAYS))
        .ok_or_else(|| Error::Internal("the calendar ends".to_owned()))?;
    link_key(conn)?
        .path(&BoxLink { kit: number, expires_on })
        .ok_or_else(|| Error::Internal("the link can't be signed".to_owned()))
}

/// Returns the number of the kit that a signed link opens.
///
/// # Errors
///
/// [`Error::Link`] unless the link is right and has not expired.
pub fn open_link(
    conn: &mut Conn,
    kit: &str,
    expires_on: &str,
    tag: &str,
    now: NaiveDateTime,
) -> Result<String, Error> {
    let link = link_key(conn)?.open(kit, expires_on, tag, now.date())?;
    Ok(link.kit.to_string())
}

/// A line of the box, as the receiver sees it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BoxLineView {
    /// The line's number in the kit.
    pub line: i64,
    /// The part number.
    pub part_number: String,
    /// The base part's name.
    pub part: String,
    /// What tells it from its look-alikes.
    pub variant: String,
    /// Pieces that lie in the box.
    pub quantity: Quantity,
    /// Pieces that were left out, with the reason.
    pub short: Quantity,
    /// The reason.
    pub short_reason: String,
    /// The carton that it lies in.
    pub carton: u32,
    /// What a bag holds.
    pub contents: Vec<ContentView>,
    /// here, missing or damaged; empty before anything was said.
    pub outcome: String,
    /// How many pieces were reported.
    pub reported: Quantity,
    /// The note beside it.
    pub note: String,
}

/// A step of the box page.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BoxStepView {
    /// The step's number.
    pub number: u32,
    /// Its title.
    pub title: String,
    /// What to check.
    pub check: String,
    /// What can hurt, and whose word counts.
    pub caution: String,
    /// Its parts and bags.
    pub lines: Vec<BoxLineView>,
    /// What it takes out of bags: the part, with the bag that holds it.
    pub from_bags: Vec<FromBagView>,
}

/// A part that a step takes out of a bag.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct FromBagView {
    /// The part in words.
    pub part: String,
    /// How many.
    pub quantity: Quantity,
    /// The bag in words.
    pub bag: String,
}

/// What a signed link opens. It names nobody.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, utoipa::ToSchema)]
pub struct BoxView {
    /// The kit.
    pub kit: String,
    /// What is built, in words.
    pub build: String,
    /// How many cartons the kit comes in.
    pub cartons: u32,
    /// Whether it has left the shop.
    pub despatched: bool,
    /// The assembly strip: pieces that the receiver has confirmed.
    pub strip: StripView,
    /// The steps that have parts.
    pub steps: Vec<BoxStepView>,
    /// Whether something was said of every line.
    pub finished: bool,
}

/// Loads what the receiver of a kit sees.
///
/// # Errors
///
/// [`Error::NotFound`].
pub fn box_page(conn: &mut Conn, number: &str) -> Result<BoxView, Error> {
    let kit = orders::kit(conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    let options = orders::options_of(conn, kit.id)?;
    let steps = kits::steps(conn, kit.bom)?;
    let cartons = packing::cartons_of(conn, &[kit.id])?.len();
    let reports = verification::reports_of(conn, &[kit.id])?;
    let lines: Vec<KitLineRow> =
        orders::lines_of(conn, &[kit.id])?.into_iter().filter(|it| it.step != 0).collect();
    let contents = contents_of_kit(conn, kit.bills_on, &lines)?;
    let mut views = Vec::new();
    let mut counted: Vec<StripLine> = Vec::new();
    for line in &lines {
        let report = reports.iter().find(|it| it.line == line.id);
        let view = BoxLineView {
            line: line.number,
            part_number: line.part_number.clone(),
            part: line.part.clone(),
            variant: line.variant_words.clone(),
            quantity: line.quantity.less(line.short),
            short: line.short,
            short_reason: line.short_reason.clone().unwrap_or_default(),
            carton: words::small(line.carton)?,
            contents: from_bag(&contents, &line.part_number).into_iter().cloned().collect(),
            outcome: report.map(|it| it.outcome.clone()).unwrap_or_default(),
            reported: report.map(|it| it.quantity).unwrap_or_default(),
            note: report.map(|it| it.note.clone()).unwrap_or_default(),
        };
        let (done, missing) = confirmed(&view);
        counted.extend(strip_lines(line, done, missing.plus(line.short), &contents)?);
        views.push((words::small(line.step)?, view));
    }
    let wanting = |it: &(u32, BoxLineView)| it.1.quantity.is_some() && it.1.outcome.is_empty();
    Ok(BoxView {
        kit: kit.number,
        build: build_words(&kit.bom_name, &options),
        cartons: words::small(i64::try_from(cartons).unwrap_or(i64::MAX))?,
        despatched: kit.state == "despatched",
        strip: strip(&steps, &counted).into(),
        finished: !views.iter().any(wanting),
        steps: steps
            .into_iter()
            .map(|step| BoxStepView {
                lines: views
                    .iter()
                    .filter(|(number, _)| *number == step.number)
                    .map(|(_, view)| view.clone())
                    .collect(),
                from_bags: from_bags(&views, step.number),
                number: step.number,
                title: step.title,
                check: step.check,
                caution: step.caution,
            })
            .filter(|it| !it.lines.is_empty() || !it.from_bags.is_empty())
            .collect(),
    })
}

fn from_bags(views: &[(u32, BoxLineView)], step: u32) -> Vec<FromBagView> {
    let held = views.iter().flat_map(|(_, line)| {
        let bag = words::part(&line.part, &line.variant);
        line.contents.iter().map(move |it| (bag.clone(), it, line.quantity))
    });
    held.filter(|(_, it, _)| it.step == step)
        .map(|(bag, it, bags)| FromBagView {
            part: it.part.clone(),
            quantity: it.quantity.times(bags),
            bag,
        })
        .collect()
}

/// Returns how many pieces of a line the receiver has confirmed, and how many are wanting.
fn confirmed(view: &BoxLineView) -> (Quantity, Quantity) {
    match view.outcome.as_str() {
        "missing" | "damaged" => (view.quantity.less(view.reported), view.reported),
        "here" => (view.quantity, Quantity::ZERO),
        _ => (Quantity::ZERO, Quantity::ZERO),
    }
}

/// What the receiver says of one line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, utoipa::ToSchema)]
pub struct LineReport {
    /// The line's number in the kit.
    pub line: i64,
    /// here, missing or damaged.
    pub outcome: String,
    /// How many pieces are missing or damaged; all where it is left out.
    pub quantity: Option<Quantity>,
    /// What they have to say.
    #[serde(default)]
    pub note: String,
}

/// Takes what the receiver says of lines; all of it, or nothing if one is wrong.
///
/// # Errors
///
/// [`ReportError`], and [`Error::Conflict`] while the kit is still in the house.
pub fn report(
    tx: &mut Tx<'_>,
    key: &RequestKey,
    number: &str,
    reports: &[LineReport],
) -> Result<(), Error> {
    once(tx, key, "verification.report", &(number, reports), |tx| take(tx, number, reports))
}

fn take(tx: &mut Tx<'_>, number: &str, reports: &[LineReport]) -> Result<(), Error> {
    let kit = orders::kit(tx.conn, number)?.ok_or_else(|| Error::not_found("kit", number))?;
    if kit.state != "despatched" {
        return Err(Error::conflict(
            "report.not_despatched",
            format!("kit {number} has not left the shop yet"),
        ));
    }
    let lines = orders::lines_of(tx.conn, &[kit.id])?;
    for it in reports {
        let outcome = Outcome::from_word(&it.outcome).ok_or_else(|| {
            Error::invalid(
                "report.outcome",
                format!("outcome: '{}' is not here, missing or damaged", it.outcome),
            )
        })?;
        let line = lines
            .iter()
            .find(|line| line.number == it.line && line.step != 0)
            .ok_or(ReportError::NotInBox)?;
        let quantity = check_report(outcome, line.packed, it.quantity, &it.note)?;
        let note = it.note.trim();
        let (word, now) = (outcome.as_str(), tx.now);
        verification::make_report(tx.conn, line.id, word, quantity, note, now)?;
    }
    Ok(())
}

/// Confirms all lines of a step that nobody has spoken of yet. Once something was said of each, it
/// is a change of mind and confirms them all.
///
/// # Errors
///
/// As [`report`].
pub fn all_here(tx: &mut Tx<'_>, key: &RequestKey, number: &str, step: u32) -> Result<(), Error> {
    once(tx, key, "verification.all_here", &(number, step), |tx| {
        let page = box_page(tx.conn, number)?;
        let steps = page.steps.iter().filter(|it| it.number == step);
        let lines: Vec<&BoxLineView> =
            steps.flat_map(|it| &it.lines).filter(|it| it.quantity.is_some()).collect();
        if lines.is_empty() {
            return Err(ReportError::NotInBox.into());
        }
        let unsaid = lines.iter().any(|it| it.outcome.is_empty());
        let reports: Vec<LineReport> = lines
            .into_iter()
            .filter(|it| !unsaid || it.outcome.is_empty())
            .map(|it| LineReport {
                line: it.line,
                outcome: Outcome::Here.as_str().to_owned(),
                quantity: None,
                note: String::new(),
            })
            .collect();
        take(tx, number, &reports)
    })
}
