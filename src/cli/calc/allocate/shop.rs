use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use serde::Deserialize;
use serde_json::{Value, json};

use super::super::{Fault, line};
use crate::domain::ids::VariantId;
use crate::domain::orders::{
    AtMost, Claim, OpenOrder, Plan, Pool, Source, Supply, Way, best_plan, earliest, lacking,
    promise_order, relief,
};
use crate::units::Quantity;

/// Part by part, how many pieces.
type Pieces = BTreeMap<String, Quantity>;

/// An order that leaves whole or not at all.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct OrderLine {
    order: String,
    promised_on: NaiveDate,
    /// Left out, the day on which it was promised.
    placed_on: Option<NaiveDate>,
    /// Whose overdue promises go first: the smaller goes before. Left out, 0.
    #[serde(default)]
    class: u8,
    /// Left out, 1.
    kits: Option<Quantity>,
    /// What it takes of each part.
    #[schema(value_type = std::collections::BTreeMap<String, i64>)]
    needs: Pieces,
    /// Other ways to fill it, in which parts stand in for others.
    #[serde(default)]
    #[schema(value_type = Vec<std::collections::BTreeMap<String, i64>>)]
    or: Vec<Pieces>,
}

/// The open orders and the free stock of a shop.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct ShopLine {
    today: NaiveDate,
    /// Free pieces of each part.
    #[schema(value_type = std::collections::BTreeMap<String, i64>)]
    stock: Pieces,
    #[schema(inline)]
    orders: Vec<OrderLine>,
    /// How many pieces more of a single part to try; left out, 1 and 2.
    more: Option<Vec<u32>>,
    /// How much work may be done, in entries of tables; a thousand million are about a second.
    budget: Option<u64>,
}

/// Half a second of one core.
const BUDGET: u64 = 500_000_000;

/// Numbers for names of parts.
struct Names(Vec<String>);

impl Names {
    fn of<'a>(names: impl Iterator<Item = &'a String>) -> Self {
        Self(names.cloned().collect::<BTreeSet<_>>().into_iter().collect())
    }

    fn id(&self, name: &str) -> VariantId {
        let at = self.0.iter().position(|it| it == name).unwrap_or_default();
        VariantId::from(i64::try_from(at).unwrap_or_default())
    }

    fn name(&self, id: VariantId) -> &str {
        let at = usize::try_from(i64::from(id)).unwrap_or_default();
        self.0.get(at).map(String::as_str).unwrap_or_default()
    }

    fn pool(&self, pieces: &Pieces) -> Pool {
        pieces.iter().map(|(name, it)| (self.id(name), *it)).collect()
    }
}

fn order(names: &Names, it: &OrderLine) -> OpenOrder {
    let others = it.or.iter().map(|way| {
        let stand_ins = way.keys().filter(|name| !it.needs.contains_key(*name)).count();
        Way { needs: names.pool(way), stand_ins: i64::try_from(stand_ins).unwrap_or_default() }
    });
    let own = Way { needs: names.pool(&it.needs), stand_ins: 0 };
    OpenOrder {
        promised_on: it.promised_on,
        placed_on: it.placed_on.unwrap_or(it.promised_on),
        class: it.class,
        kits: it.kits.unwrap_or(Quantity::ONE).pieces(),
        ways: std::iter::once(own).chain(others).collect(),
    }
}

pub(super) fn orders(value: Value) -> Result<Value, Fault> {
    let ShopLine { today, stock, orders: lines, more, budget } = line(value)?;
    let wanted =
        lines.iter().flat_map(|it| it.needs.keys().chain(it.or.iter().flat_map(|it| it.keys())));
    let names = Names::of(stock.keys().chain(wanted));
    let free = names.pool(&stock);
    let orders: Vec<OpenOrder> = lines.iter().map(|it| order(&names, it)).collect();
    let budget = budget.unwrap_or(BUDGET);
    let strict = promise_order(&orders, &free);
    let best = best_plan(&orders, &free, today, budget)?;
    let steps: Vec<i64> = more.unwrap_or_else(|| vec![1, 2]).into_iter().map(i64::from).collect();
    let relief = relief(&orders, &free, &best.plan, &steps, budget)?;
    let plan = |plan: &Plan| {
        let leaves: Vec<&str> = names_of(&lines, |at| plan.leaves(at));
        json!({ "leave": leaves, "kits": plan.kits(&orders) })
    };
    let left = best.plan.left(&orders, &free);
    let delayed: Vec<Value> = (0..lines.len())
        .filter(|it| strict.leaves(*it) && !best.plan.leaves(*it))
        .filter_map(|at| Some((lines.get(at)?, orders.get(at)?)))
        .map(|(line, order)| {
            let lacks: Vec<Value> = lacking(order, &left)
                .iter()
                .map(|it| json!({ "part": names.name(it.variant), "pieces": it.quantity }))
                .collect();
            json!({ "order": line.order, "lacks": lacks })
        })
        .collect();
    let holds: Vec<Value> = relief
        .iter()
        .map(|it| {
            let more: Vec<Value> = it
                .more
                .iter()
                .map(|it| json!({ "pieces": it.pieces, "strict": it.strict, "best": at_most(it.best) }))
                .collect();
            json!({ "part": names.name(it.variant), "more": more })
        })
        .collect();
    let mut answer = plan(&best.plan);
    if let Some(object) = answer.as_object_mut() {
        object.insert("proved".to_owned(), json!(best.is_proved()));
        object.insert("at_most".to_owned(), json!(best.kits.at_most));
        object.insert("nodes".to_owned(), json!(best.nodes));
    }
    Ok(json!({
        "best": answer,
        "strict": plan(&strict),
        "only_best": names_of(&lines, |at| best.plan.leaves(at) && !strict.leaves(at)),
        "delayed": delayed,
        "holds_back": holds,
    }))
}

fn names_of(lines: &[OrderLine], which: impl Fn(usize) -> bool) -> Vec<&str> {
    let named = lines.iter().enumerate().filter(|it| which(it.0));
    named.map(|it| it.1.order.as_str()).collect()
}

fn at_most(it: AtMost) -> Value {
    json!({ "kits": it.reached, "at_most": it.at_most })
}

/// Pieces promised to an order that waits for them.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct ClaimLine {
    part: String,
    on: NaiveDate,
    #[schema(value_type = i64)]
    pieces: Quantity,
}

/// Pieces on an open purchase order.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct SupplyLine {
    purchase_order: String,
    part: String,
    due_on: NaiveDate,
    #[schema(value_type = i64)]
    pieces: Quantity,
}

/// A new order, what is promised already, and what is on its way.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct PromiseLine {
    today: NaiveDate,
    #[schema(value_type = std::collections::BTreeMap<String, i64>)]
    needs: Pieces,
    /// Free pieces of each part.
    #[schema(value_type = std::collections::BTreeMap<String, i64>)]
    stock: Pieces,
    #[serde(default)]
    #[schema(inline)]
    promised: Vec<ClaimLine>,
    #[serde(default)]
    #[schema(inline)]
    coming: Vec<SupplyLine>,
    /// The day on which a part would come if it were ordered today.
    #[serde(default)]
    arrives: BTreeMap<String, NaiveDate>,
}

pub(super) fn promise(value: Value) -> Result<Value, Fault> {
    let it: PromiseLine = line(value)?;
    let named = it.promised.iter().map(|it| &it.part).chain(it.coming.iter().map(|it| &it.part));
    let named = named.chain(it.needs.keys()).chain(it.stock.keys()).chain(it.arrives.keys());
    let names = Names::of(named);
    let claim =
        |it: &ClaimLine| Claim { variant: names.id(&it.part), on: it.on, quantity: it.pieces };
    let supply = |it: &SupplyLine| Supply {
        purchase_order: it.purchase_order.clone(),
        variant: names.id(&it.part),
        due_on: it.due_on,
        quantity: it.pieces,
    };
    let promise = earliest(
        &names.pool(&it.needs),
        &names.pool(&it.stock),
        &it.promised.iter().map(claim).collect::<Vec<_>>(),
        &it.coming.iter().map(supply).collect::<Vec<_>>(),
        &it.arrives.iter().map(|(name, day)| (names.id(name), *day)).collect(),
        it.today,
    );
    let parts: Vec<Value> = promise
        .parts
        .iter()
        .map(|it| {
            let from = match &it.source {
                Source::Stock => json!("stock"),
                Source::PurchaseOrder { number, .. } => json!(number),
                Source::ToOrder => json!("to order"),
            };
            json!({ "part": names.name(it.variant), "on": it.on, "from": from })
        })
        .collect();
    Ok(json!({ "on": promise.on, "parts": parts }))
}
