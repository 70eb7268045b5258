use serde::Deserialize;
use serde_json::{Value, json};

use super::super::figure::{Figure, number};
use super::super::{Fault, line};
use crate::domain::optimum::{Limit, Problem, best, count_worth};
use crate::domain::orders;
use crate::units::{Quantity, Ratio};

/// What may be spent on one line: some ten seconds, for the hardest of the published cases.
const BUDGET: u64 = 20_000_000_000;

/// Things taken whole or not at all, worth something, under limits.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct ChoiceLine {
    /// What each is worth.
    #[schema(value_type = Vec<f64>)]
    profit: Vec<Figure>,
    /// Limit by limit, what each takes of it.
    r#use: Vec<Vec<i64>>,
    /// How much there is of each limit.
    stock: Vec<i64>,
    /// The case's name, passed over.
    #[serde(default, rename = "problem")]
    _problem: Value,
    /// How much work may be done, in entries of tables; a thousand million are about a second.
    budget: Option<u64>,
}

/// Orders that leave whole, worth something, and parts that are scarce.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct KitsLine {
    /// What each order is worth; 1 for each counts orders.
    #[schema(value_type = Vec<f64>)]
    weight: Vec<Figure>,
    /// Part by part, what each order takes of it.
    r#use: Vec<Vec<i64>>,
    /// How much there is of each part.
    stock: Vec<i64>,
    /// How many orders there are, passed over.
    #[serde(default, rename = "orders")]
    _orders: Value,
    /// How many parts there are, passed over.
    #[serde(default, rename = "parts")]
    _parts: Value,
    /// Where the weights come from, passed over.
    #[serde(default, rename = "weight_rule")]
    _weight_rule: Value,
    /// How much work may be done, in entries of tables; a thousand million are about a second.
    budget: Option<u64>,
}

/// Orders that are served in turn.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct StrictLine {
    /// Part by part, what each order takes of it.
    r#use: Vec<Vec<i64>>,
    /// How much there is of each part.
    stock: Vec<i64>,
}

/// One bill and its stock.
#[derive(Debug, Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
pub(in crate::cli::calc) struct BillLine {
    /// Pieces of each part in one kit.
    bom: Vec<Quantity>,
    /// Pieces of each part there are.
    stock: Vec<Quantity>,
}

pub(super) fn knapsack(value: Value) -> Result<Value, Fault> {
    let ChoiceLine { profit, r#use, stock, budget, .. } = line(value)?;
    solve(&profit, &r#use, &stock, budget)
}

pub(super) fn kit_allocation(value: Value) -> Result<Value, Fault> {
    let KitsLine { weight, r#use, stock, budget, .. } = line(value)?;
    solve(&weight, &r#use, &stock, budget)
}

fn solve(
    worth: &[Figure],
    takes: &[Vec<i64>],
    stock: &[i64],
    budget: Option<u64>,
) -> Result<Value, Fault> {
    let (worth, unit) = whole(worth)?;
    let problem = Problem::new(worth.len(), limits(takes, stock, worth.len())?, vec![worth])?;
    let answer = best(&problem, &[], budget.unwrap_or(BUDGET).min(BUDGET));
    let reached = answer.stages.first().map_or((0, 0), |it| (it.worth, it.at_most));
    let value = |it: i64| Ratio::whole(it).over(Ratio::whole(unit)).map_or(Value::Null, number);
    let first_come = problem.worth(&in_turn(&problem, takes, stock));
    Ok(json!({
        "value": value(reached.0),
        "bound": value(reached.1),
        "optimum": if answer.is_proved() { value(reached.0) } else { Value::Null },
        "proved": answer.is_proved(),
        "one_optimal_choice": places(&answer.chosen),
        "number_of_optima": answer.is_proved().then(|| count_worth(&problem, reached.0)).flatten(),
        "first_come_value": first_come.first().map(|it| value(*it)),
        "nodes": answer.nodes,
    }))
}

/// Returns figures as whole numbers of the smallest decimal that they share, and how many of it
/// make one.
fn whole(figures: &[Figure]) -> Result<(Vec<i64>, i64), Fault> {
    for places in 0..=6 {
        let unit = 10_i64.pow(places);
        let exact = |it: &Figure| {
            let scaled = it.ratio().times(Ratio::whole(unit))?;
            (scaled.denominator() == 1).then(|| i64::try_from(scaled.numerator()).ok())?
        };
        if let Some(whole) = figures.iter().map(exact).collect() {
            return Ok((whole, unit));
        }
    }
    let message = "what each is worth has six decimals at most, and is below 9,000 million";
    Err(Fault::new("allocate.worth", message))
}

fn limits(takes: &[Vec<i64>], stock: &[i64], choices: usize) -> Result<Vec<Limit>, Fault> {
    let wrong = takes.iter().position(|it| it.len() != choices);
    if wrong.is_some() || takes.len() != stock.len() {
        let (rows, stock) = (takes.len(), stock.len());
        let message = format!(
            "use has {rows} rows for {stock} of stock, and each row has one number for each of the \
             {choices} choices: mend {}",
            wrong.map_or("the number of rows".to_owned(), |it| format!("row {it}")),
        );
        return Err(Fault::new("allocate.shape", message));
    }
    let limit = |(row, most): (&Vec<i64>, &i64)| Limit {
        takes: row.iter().copied().enumerate().filter(|it| it.1 != 0).collect(),
        most: *most,
    };
    Ok(takes.iter().zip(stock).map(limit).collect())
}

/// Returns which are taken if each in turn takes what it needs.
fn in_turn(problem: &Problem, takes: &[Vec<i64>], stock: &[i64]) -> Vec<bool> {
    let choices = takes.first().map_or_else(|| problem.worth(&[]).len(), Vec::len);
    let mut left = stock.to_vec();
    let needs = |choice: usize| takes.iter().map(move |it| it.get(choice).copied().unwrap_or(0));
    let mut take = |choice| {
        let fits = left.iter().zip(needs(choice)).all(|it| it.1 <= *it.0);
        if fits {
            left.iter_mut().zip(needs(choice)).for_each(|it| *it.0 -= it.1);
        }
        fits
    };
    (0..choices).map(&mut take).collect()
}

fn places(chosen: &[bool]) -> Vec<usize> {
    chosen.iter().enumerate().filter(|it| *it.1).map(|it| it.0).collect()
}

pub(super) fn strict_sequence(value: Value) -> Result<Value, Fault> {
    let StrictLine { r#use, stock } = line(value)?;
    let choices = r#use.first().map_or(0, Vec::len);
    let problem = Problem::new(choices, limits(&r#use, &stock, choices)?, Vec::new())?;
    let chosen = in_turn(&problem, &r#use, &stock);
    let taken =
        |row: &Vec<i64>| -> i64 { row.iter().zip(&chosen).filter(|it| *it.1).map(|it| it.0).sum() };
    let left: Vec<i64> = r#use.iter().zip(&stock).map(|(row, most)| most - taken(row)).collect();
    Ok(json!({ "ships": places(&chosen), "left": left }))
}

pub(super) fn kits_buildable(value: Value) -> Result<Value, Fault> {
    let BillLine { bom, stock } = line(value)?;
    if bom.len() != stock.len() {
        let message = format!(
            "bom has {} numbers and stock {}: name one of each a part",
            bom.len(),
            stock.len()
        );
        return Err(Fault::new("allocate.shape", message));
    }
    let lines: Vec<_> = bom.into_iter().zip(stock).collect();
    let (kits, limiting) = orders::buildable(&lines)
        .ok_or_else(|| Fault::new("allocate.bill", "the bill asks for no piece at all"))?;
    Ok(json!({ "kits": kits, "limiting": limiting }))
}
