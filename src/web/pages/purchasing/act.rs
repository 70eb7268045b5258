//! What a buyer does on the page of a purchase order.

use actix_web::{HttpResponse, post, web};

use super::href;
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::RequestKey;
use crate::ops::purchasing::{self, Approve, ChargeEntry, ChaseView, Done, LineEdit, PromiseEntry};
use crate::store::Tx;
use crate::units::Money;
use crate::web::page::PageError;
use crate::web::pages::{Fields, Visit};

/// Returns the cents of an amount that was typed; nothing where nothing was. A minus makes a credit.
pub(super) fn money(form: &Fields, name: &str, words: &str) -> Result<Option<i64>, Error> {
    let text = form.text(name).trim();
    if text.is_empty() {
        return Ok(None);
    }
    let (sign, digits) = match text.strip_prefix(['-', '−']) {
        Some(digits) => (-1, digits.trim()),
        None => (1, text),
    };
    let amount = Money::parse_units(digits)
        .map_err(|fault| Error::invalid("purchasing.amount", format!("{words}: {fault}")))?;
    Ok(Some(sign * amount.cents()))
}

/// What a form asks for.
enum Act {
    Approve(Approve),
    Mail,
    Sent(String),
    Confirm(String, Vec<PromiseEntry>),
    Cancel(String),
    Line(LineEdit),
    Close(i64, String),
    Reopen(i64),
    Chase(ChaseView),
    Charge(ChargeEntry),
}

impl Act {
    fn of(form: &Fields) -> Result<Self, Error> {
        let text = |name: &str| form.text(name).to_owned();
        let line = || form.read::<i64>("line", "line").map(Option::unwrap_or_default);
        Ok(match form.text("act") {
            "approve" => {
                Self::Approve(Approve { below_minimum_agreed: form.ticked("below_minimum_agreed") })
            }
            "mail" => Self::Mail,
            "sent" => Self::Sent(text("words")),
            "confirm" => Self::Confirm(text("reference"), promises(form)?),
            "cancel" => Self::Cancel(text("words")),
            "line" => Self::Line(LineEdit {
                line: form.read("line", "line")?,
                part_number: text("part_number"),
                quantity: form.pieces("quantity", "pieces")?,
                price_cents: money(form, "price", "the price")?,
                price_per: form.read("price_per", "pieces that the price is for")?,
                wanted_on: form.read("wanted_on", "wanted by")?,
                reason: text("reason"),
            }),
            "close" => Self::Close(line()?, text("words")),
            "reopen" => Self::Reopen(line()?),
            "chase" => Self::Chase(ChaseView {
                by_mail: form.text("how") == "mail",
                words: text("words"),
                again_because: text("again_because"),
            }),
            "charge" => Self::Charge(ChargeEntry {
                delivery_note: text("delivery_note"),
                kind: text("kind"),
                amount_cents: money(form, "amount", "the amount")?.unwrap_or_default(),
                basis: text("basis"),
                document: text("document"),
            }),
            other => return Err(Error::not_found("act", other)),
        })
    }

    fn done(&self, tx: &mut Tx<'_>, key: &RequestKey, number: &str) -> Result<Done, Error> {
        match self {
            Self::Approve(it) => purchasing::approve(tx, key, number, *it),
            Self::Mail => purchasing::mail(tx, key, number),
            Self::Sent(how) => purchasing::sent(tx, key, number, how),
            Self::Confirm(reference, lines) => {
                purchasing::confirm(tx, key, number, (reference, lines))
            }
            Self::Cancel(why) => purchasing::cancel(tx, key, number, why),
            Self::Line(it) => purchasing::edit_line(tx, key, number, it),
            Self::Close(line, why) => purchasing::close_line(tx, key, number, (*line, why)),
            Self::Reopen(line) => purchasing::reopen_line(tx, key, number, *line),
            Self::Chase(it) => purchasing::chase(tx, key, number, it),
            Self::Charge(it) => purchasing::charge(tx, key, number, it),
        }
    }
}

/// Returns the promises of the lines whose day was typed.
fn promises(form: &Fields) -> Result<Vec<PromiseEntry>, Error> {
    let mut promises = Vec::new();
    for line in form.all("confirmed") {
        let day = format!("day-{line}");
        let Some(promised_on) = form.read(&day, "the day promised")? else { continue };
        let quantity = form.pieces(&format!("pieces-{line}"), "the pieces promised")?;
        let line = line.parse().map_err(|_| Error::not_found("purchase order line", line))?;
        promises.push(PromiseEntry { line, quantity, promised_on });
    }
    Ok(promises)
}

#[post("/purchasing/{number}")]
pub(crate) async fn post_act(
    visit: Visit,
    number: web::Path<String>,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::Buy, &form)?;
    let back = match form.text("back") {
        "late" => "/purchasing/late".to_owned(),
        _ => href(&number),
    };
    let said = match Act::of(&form) {
        Ok(act) => {
            let (key, number) = (form.key()?, number.into_inner());
            let work = move |tx: &mut Tx<'_>| act.done(tx, &key, &number);
            visit.app.write(who, work).await.map(|it| it.words)
        }
        Err(fault) => Err(fault),
    };
    visit.go(&back, said)
}
