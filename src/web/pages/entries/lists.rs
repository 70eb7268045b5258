//! The lists of suppliers, bins, air charts, words and rules, with the forms of each.

use actix_web::{HttpResponse, get, post, web};

use super::page::{RecordRow, RecordsPage};
use super::{
    Aim, blank, encoded, entry_page, list_of, one_of, save, shape, show_form, task_of, title_of,
};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops;
use crate::ops::catalog::{Listed, Proposals};
use crate::ops::exchange::RecordKind;
use crate::web::page::PageError;
use crate::web::pages::entries::fill::Notes;
use crate::web::pages::words::Word;
use crate::web::pages::{Choice, Fields, Task, Visit};

/// Returns the kind of record that a list's address names.
fn kind_of(list: &str) -> Result<RecordKind, Error> {
    match list {
        "suppliers" => Ok(RecordKind::Supplier),
        "bins" => Ok(RecordKind::Bin),
        "air-charts" => Ok(RecordKind::AirChart),
        "glossary" => Ok(RecordKind::Word),
        "substitutions" => Ok(RecordKind::Rule),
        "policies" => Ok(RecordKind::Policy),
        "plan" => Ok(RecordKind::PlannedMonth),
        other => Err(Error::not_found("list", other)),
    }
}

/// The most records that one page lists; others are looked for.
const MOST: usize = 500;

#[get("/{list:suppliers|bins|air-charts|glossary|substitutions|policies|plan}")]
pub(in crate::web::pages) async fn get_records(
    visit: Visit,
    list: web::Path<String>,
    wanted: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let kind = kind_of(&list)?;
    let records = visit.app.read(move |conn| ops::catalog::entries(conn, kind)).await?;
    let known = match kind {
        RecordKind::Rule => visit.app.read(ops::catalog::proposals).await?,
        _ => Proposals::default(),
    };
    let query = wanted.text("q").to_owned();
    let words: Vec<String> = query.split_whitespace().map(str::to_lowercase).collect();
    let has_all = |it: &RecordRow| {
        let text = it.cells.join(" ").to_lowercase();
        words.iter().all(|word| text.contains(word))
    };
    let rows =
        records.iter().map(|it| RecordRow { key: it.key.clone(), cells: cells(kind, it, &known) });
    let mut rows: Vec<RecordRow> = rows.filter(has_all).collect();
    let more = rows.len().saturating_sub(MOST);
    rows.truncate(MOST);
    let missing = match kind {
        RecordKind::Word => {
            let today = visit.app.now().date();
            Some(visit.app.read(move |conn| ops::translations::count(conn, today)).await?)
        }
        _ => None,
    };
    let page = RecordsPage {
        frame: visit.frame(task_of(kind)).await?,
        up: match task_of(kind) {
            Task::Reorder => Choice::new("/reorder", "Buying desk"),
            task => Choice::new(task.href(), task.words()),
        },
        title: title_of(kind),
        lead: lead(kind),
        href: list_of(kind),
        one: one_of(kind),
        may_edit: visit.can(kind.permission()),
        query,
        coded: matches!(kind, RecordKind::Supplier | RecordKind::Bin | RecordKind::AirChart),
        headings: headings(kind),
        rows,
        more,
        missing,
    };
    Ok(visit.show(&page))
}

/// Returns what such records are for; nothing where the title says it.
const fn lead(kind: RecordKind) -> Word {
    match kind {
        RecordKind::Part | RecordKind::Supplier | RecordKind::Bin => "",
        RecordKind::AirChart => {
            "The makers' tables of pressure by rider. The assembly card takes the one of the kit's own \
             fork or shock."
        }
        RecordKind::Word => {
            "What the catalogue's words are called on the assembly card and the box page in German and \
             French. Steps and joints have theirs in the bill itself."
        }
        RecordKind::Rule => {
            "Which part may stand in for which, and which takes another's place for good. What the \
             trade forbids can't be saved."
        }
        RecordKind::Policy => {
            "How each class and each part is bought. What a part's row leaves empty, its class says; \
             the class is A, B or C by a year's value, and X, Y or Z by how steady demand is."
        }
        RecordKind::PlannedMonth => {
            "The bikes that the shop means to ship in each month, and who will choose what. The demand of \
             every part follows from it."
        }
    }
}

/// Returns the headings of a list.
fn headings(kind: RecordKind) -> Vec<Word> {
    let of = |columns: &[Word]| columns.iter().map(|it| shape::heading(kind, it)).collect();
    match kind {
        RecordKind::AirChart => vec!["Code", "Is for", "Riders", "Never above", "Stated by"],
        RecordKind::Word => vec!["Text", "German", "French"],
        RecordKind::Rule => {
            vec!["Asked for", "In its place", "What it says", "Consent", "Holds", "Reason"]
        }
        RecordKind::Policy => {
            vec!["For", "Policy", "Service, %", "Levels", "Limits", "Prices", "Note"]
        }
        RecordKind::PlannedMonth => vec!["Month", "Kit", "Bikes", "Mix"],
        RecordKind::Part | RecordKind::Supplier | RecordKind::Bin => of(kind.columns()),
    }
}

/// Returns the cells of a record, under the headings of its list.
fn cells(kind: RecordKind, it: &Listed, known: &Proposals) -> Vec<String> {
    let text = |column: &str| it.fields.get(column).cloned().unwrap_or_default();
    let of_row = |row: Option<&std::collections::BTreeMap<String, String>>, column: &str| {
        row.and_then(|row| row.get(column)).cloned().unwrap_or_default()
    };
    match kind {
        RecordKind::AirChart => {
            let part = match text("choose") {
                choose if choose.is_empty() => text("part"),
                choose => format!("{} ({choose})", text("part")),
            };
            let (from, to) =
                (of_row(it.rows.first(), "mass_from"), of_row(it.rows.last(), "mass_to"));
            let riders = format!("{from} to {to}, in {} rows", it.rows.len());
            vec![text("chart"), part, riders, text("maximum"), text("source")]
        }
        RecordKind::Word => {
            let said = |tag: &str| {
                let row = it.rows.iter().find(|row| of_row(Some(row), "language") == tag);
                of_row(row, "words")
            };
            vec![text("text"), said("de"), said("fr")]
        }
        RecordKind::Rule => {
            let part = |number: String| {
                let words = known.numbers.iter().find(|it| it.0 == number);
                words.map_or_else(|| number.clone(), |it| format!("{number} {}", it.1))
            };
            let says = match text("direction").as_str() {
                "both ways" => format!("{}, both ways", text("kind")),
                _ => text("kind"),
            };
            let holds = match text("until").as_str() {
                "" => format!("from {}", text("valid_from")),
                "used up" => format!("from {}, once the first is used up", text("valid_from")),
                last => format!("from {} to {last}", text("valid_from")),
            };
            vec![part(text("from")), part(text("to")), says, text("consent"), holds, text("reason")]
        }
        RecordKind::Policy => policy_cells(text, known),
        RecordKind::PlannedMonth => vec![text("month"), text("kit"), text("bikes"), text("mix")],
        RecordKind::Part | RecordKind::Supplier | RecordKind::Bin => {
            kind.columns().iter().map(|it| text(it)).collect()
        }
    }
}

/// Returns the cells of a policy: what of its columns is filled, in few words.
fn policy_cells(text: impl Fn(&str) -> String, known: &Proposals) -> Vec<String> {
    let said = |columns: &[(&str, &str, &str)]| {
        let filled = columns.iter().filter(|it| !text(it.0).is_empty());
        let words =
            filled.map(|(column, before, after)| format!("{before}{}{after}", text(column)));
        words.collect::<Vec<_>>().join(", ")
    };
    let scope = text("for");
    let words = known.numbers.iter().find(|it| it.0 == scope);
    let levels = said(&[
        ("minimum", "least ", ""),
        ("maximum", "most ", ""),
        ("review_days", "review every ", " days"),
        ("container", "", " in a container"),
        ("sized_by", "sized by ", ""),
        ("variation_percent", "varies by ", " %"),
        ("left_over_cost", "left over ", ""),
        ("short_cost", "short ", ""),
        ("season_starts", "season from ", ""),
    ]);
    let limits = said(&[
        ("cover_days", "cover ", " days"),
        ("shelf_life_days", "shelf life ", " days"),
        ("room", "room ", ""),
        ("holding_percent", "keeping ", " % a year"),
    ]);
    let prices = match text("discount").as_str() {
        "" => text("prices"),
        discount => format!("{} ({discount})", text("prices")),
    };
    vec![
        words.map_or_else(|| scope.clone(), |it| format!("{scope} {}", it.1)),
        text("policy"),
        text("service_percent"),
        levels,
        limits,
        prices,
        text("note"),
    ]
}

#[get("/{list:suppliers|bins|air-charts|glossary|substitutions|policies|plan}/new")]
pub(in crate::web::pages) async fn get_new_record(
    visit: Visit,
    list: web::Path<String>,
    wanted: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    let aim = Aim { kind: kind_of(&list)?, key: None };
    visit.may(aim.kind.permission())?;
    let mut view = blank(&visit, aim.kind);
    let given = aim.kind.columns().iter().filter(|it| wanted.has(it));
    view.fields.extend(given.map(|it| ((*it).to_owned(), wanted.text(it).to_owned())));
    let frame = visit.frame(task_of(aim.kind)).await?;
    Ok(visit.show(&entry_page(&visit, frame, &aim, view, &Notes::default()).await?))
}

#[post("/{list:suppliers|bins|air-charts|glossary|substitutions|policies|plan}/new")]
pub(in crate::web::pages) async fn post_new_record(
    visit: Visit,
    list: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    save(visit, Aim { kind: kind_of(&list)?, key: None }, &form).await
}

#[get("/{list:suppliers|bins|air-charts|glossary|substitutions|policies|plan}/{key}/edit")]
pub(in crate::web::pages) async fn get_record(
    visit: Visit,
    path: web::Path<(String, String)>,
) -> Result<HttpResponse, PageError> {
    show_form(visit, Aim { kind: kind_of(&path.0)?, key: Some(&path.1) }).await
}

#[post("/{list:suppliers|bins|air-charts|glossary|substitutions|policies|plan}/{key}/edit")]
pub(in crate::web::pages) async fn post_record(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    save(visit, Aim { kind: kind_of(&path.0)?, key: Some(&path.1) }, &form).await
}

#[post("/{list:air-charts|glossary|substitutions|policies|plan}/{key}/remove")]
pub(in crate::web::pages) async fn post_remove(
    visit: Visit,
    path: web::Path<(String, String)>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let (list, record) = path.into_inner();
    let kind = kind_of(&list)?;
    let who = visit.may_post(kind.permission(), &form)?;
    let (key, version) = (form.key()?, form.read("version", "version")?.unwrap_or_default());
    let edit = format!("{}/{}/edit", list_of(kind), encoded(&record));
    let work =
        move |tx: &mut crate::store::Tx<'_>| ops::catalog::remove(tx, &key, kind, &record, version);
    match visit.app.write(who, work).await {
        Ok(words) => visit.go(list_of(kind), Ok(words)),
        Err(error) => visit.go(&edit, Err(error)),
    }
}
