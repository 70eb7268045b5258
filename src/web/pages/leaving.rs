//! Which set of whole orders leaves, what holds the rest back, and the earliest promise.

use std::collections::BTreeMap;

use actix_web::{HttpResponse, get, post, web};
use askama::Template;

use super::frame::Choice;
use super::words::{Day, Moment, count_of, money};
use super::{Fields, Frame, Task, Visit};
use crate::domain::people::Permission;
use crate::error::Error;
use crate::ops::leaving::{
    self, Allocated, DelayedView, HoldView, LeavingView, Looks, MoreView, PromiseAsk,
    PromisePartView, PromiseView,
};
use crate::units::Quantity;
use crate::web::page::PageError;

/// The page at `/leaving`.
#[derive(Debug, Template)]
#[template(path = "leaving/sets.html")]
pub struct LeavingPage {
    /// The page around it.
    pub frame: Frame,
    /// What can leave.
    pub view: LeavingView,
    /// Whether orders may leave without parts that are looks only.
    pub after: bool,
    /// Whether the person may allocate.
    pub may_allocate: bool,
}

impl LeavingPage {
    /// Returns the heading.
    pub fn heading(&self) -> String {
        let kits = kits(self.view.best.kits);
        format!("{kits} can leave today, {} in strict promise order", self.view.strict.kits)
    }

    /// Returns what is proved of the best set, in words.
    pub fn proved(&self) -> String {
        if self.view.proved {
            return "Proved: no other set of whole orders lets more leave.".to_owned();
        }
        format!(
            "The best that was found in the time there is; no set can have more than {}.",
            kits(self.view.at_most)
        )
    }

    /// Returns the choice that holds, in words.
    pub fn holds(&self) -> String {
        match &self.view.chosen {
            None => "Stock is held in promise order.".to_owned(),
            Some(it) => format!(
                "{} chose {} to be served first, {}.",
                it.by,
                count_of(&it.orders, "order", "orders"),
                Moment(it.at)
            ),
        }
    }

    /// Returns when a delayed order could leave, in words.
    pub fn until(&self, it: &DelayedView) -> String {
        match it.until {
            Some(day) if day == self.view.today => {
                "today, once the bench has made what it lacks".to_owned()
            }
            Some(day) if day <= it.promised_on => format!("{}, in time", Day(day)),
            Some(day) => format!("{}, after its promise", Day(day)),
            None => "not known: nothing is on order".to_owned(),
        }
    }

    /// Returns what some more pieces let leave, in words.
    pub fn more(&self, it: &MoreView, row: &HoldView) -> String {
        let all = row.more.last().is_some_and(|last| last == it);
        let pieces = if all { format!("all {}", it.pieces) } else { it.pieces.to_string() };
        let cost = it.cost_cents.map(|it| format!(" for {}", money(it))).unwrap_or_default();
        format!("{pieces} more{cost}")
    }

    /// Returns how many more, or fewer, leave than now.
    pub fn gain(&self, now: &i64, then: &i64) -> String {
        match then - now {
            0 => format!("{then}"),
            it => format!("{then} ({it:+})"),
        }
    }
}

fn kits(count: i64) -> String {
    super::words::count(Quantity::new(count), "kit", "kits")
}

/// The page at `/leaving/promise`.
#[derive(Debug, Template)]
#[template(path = "leaving/promise.html")]
pub struct PromisePage {
    /// The page around it.
    pub frame: Frame,
    /// The kits that can be ordered.
    pub kits: Vec<Choice>,
    /// How many are asked for.
    pub quantity: Quantity,
    /// What the kit's order must choose: the option's name, and its values.
    pub options: Vec<(String, Vec<Choice>)>,
    /// The answer, once somebody asked.
    pub promise: Option<PromiseView>,
}

impl PromisePage {
    /// Returns when a part is there, in words.
    pub fn there(&self, it: &PromisePartView) -> String {
        it.on.map_or_else(|| "not known".to_owned(), |it| Day(it).to_string())
    }

    /// Returns the day in words.
    pub fn day(&self, it: &PromiseView) -> String {
        match it.on {
            Some(day) => format!("It can be promised for {}", Day(day)),
            None => "No day can be promised".to_owned(),
        }
    }
}

#[derive(serde::Deserialize)]
pub(super) struct Query {
    #[serde(default)]
    after: String,
}

const fn looks(after: bool) -> Looks {
    if after { Looks::SentAfter } else { Looks::WaitedFor }
}

#[get("/leaving")]
pub(super) async fn get_sets(
    visit: Visit,
    query: web::Query<Query>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let (today, after) = (visit.app.now().date(), query.after == "yes");
    let view = visit.app.read(move |conn| leaving::view(conn, today, looks(after))).await?;
    let may_allocate = visit.can(Permission::ManageOrders);
    let frame = visit.frame(Task::Today).await?;
    Ok(visit.show(&LeavingPage { frame, view, after, may_allocate }))
}

#[post("/leaving")]
pub(super) async fn post_sets(
    visit: Visit,
    form: web::Form<Fields>,
) -> Result<HttpResponse, PageError> {
    let who = visit.may_post(Permission::ManageOrders, &form)?;
    let key = form.key()?;
    let orders: Vec<String> = form.all("order").map(str::to_owned).collect();
    let after = form.text("after") == "yes";
    let work =
        move |tx: &mut crate::store::Tx<'_>| leaving::allocate(tx, &key, &orders, looks(after));
    let said = visit.app.write(who, work).await.map(|it| words(&it));
    visit.go(if after { "/leaving?after=yes" } else { "/leaving" }, said)
}

fn words(it: &Allocated) -> String {
    match it.orders {
        0 => format!("stock is held in promise order: {} pieces, {} are short", it.held, it.short),
        1 => "1 order has all its parts held".to_owned(),
        orders => format!("{orders} orders have all their parts held"),
    }
}

#[get("/leaving/promise")]
pub(super) async fn get_promise(
    visit: Visit,
    query: web::Query<Fields>,
) -> Result<HttpResponse, PageError> {
    visit.may(Permission::Look)?;
    let today = visit.app.now().date();
    let offered = visit.app.read(move |conn| leaving::kits_on_offer(conn, today)).await?;
    let asked = query.text("kit");
    let kit = offered.iter().find(|it| it.0 == asked).or_else(|| offered.first());
    let kit = kit.ok_or_else(|| Error::not_found("kit", asked))?;
    let chosen: BTreeMap<String, String> = kit
        .2
        .iter()
        .filter(|it| query.has(&it.name))
        .map(|it| (it.name.clone(), query.text(&it.name).to_owned()))
        .collect();
    let quantity = match query.has("quantity") {
        true => query.pieces("quantity", "how many kits"),
        false => Ok(Quantity::ONE),
    };
    let mut answer = None;
    let mut promise = None;
    if chosen.len() == kit.2.len() && query.has("quantity") {
        let asked = match quantity.as_ref() {
            Ok(quantity) => {
                let options = chosen.clone();
                let ask = PromiseAsk { kit: kit.0.clone(), quantity: *quantity, options };
                visit.app.read(move |conn| leaving::promise(conn, &ask, today)).await
            }
            Err(_) => {
                Err(Error::invalid("leaving.quantity", "how many kits: write a whole number"))
            }
        };
        match asked {
            Ok(it) => promise = Some(it),
            Err(error) => answer = Some(super::visit::refusal(error)?),
        }
    }
    let choice = |value: &str, words: &str, chosen: bool| Choice {
        value: value.to_owned(),
        words: words.to_owned(),
        chosen,
    };
    let page = PromisePage {
        frame: visit.answered(Task::Today, answer).await?,
        kits: offered.iter().map(|it| choice(&it.0, &it.1, it.0 == kit.0)).collect(),
        quantity: quantity.unwrap_or(Quantity::ONE),
        options: kit
            .2
            .iter()
            .map(|option| {
                let is = |value: &String| chosen.get(&option.name) == Some(value);
                let values = option.values.iter().map(|it| choice(it, it, is(it))).collect();
                (option.name.clone(), values)
            })
            .collect(),
        promise,
    };
    Ok(visit.show(&page))
}
