//! What can be said of a problem before anything is searched.

use std::collections::{BTreeMap, BTreeSet};

use super::bound::Row;
use super::problem::Problem;

/// Choices that share limits, directly or through others.
pub(super) struct Part {
    /// Where each choice stands in the problem.
    pub(super) choices: Vec<usize>,
    pub(super) rows: Vec<Row>,
    pub(super) stages: Vec<Vec<i64>>,
    /// Pairs of choices of which the second is never taken without the first.
    pub(super) before: Vec<(usize, usize)>,
}

impl Part {
    /// Returns by how much a part is harder than others.
    pub(super) fn weight(&self) -> u64 {
        let size = self.choices.len() * (1 + self.rows.len());
        u64::try_from(size).unwrap_or(u64::MAX)
    }
}

/// A problem in independent parts.
pub(super) struct Reduced {
    /// Which choices are taken for certain; all that stand in a part are left open here.
    pub(super) fixed: Vec<bool>,
    /// The parts, the smallest first.
    pub(super) parts: Vec<Part>,
}

/// Returns the problem without what can't be chosen, what binds nothing, and what is chosen in any
/// case; in independent parts.
pub(super) fn reduce(problem: &Problem) -> Reduced {
    let possible = possible(problem);
    let rows = binding(problem, &possible);
    let mut stands_in: Vec<Vec<(usize, i64)>> = vec![Vec::new(); problem.choices];
    for (row, (takes, _)) in rows.iter().enumerate() {
        for (choice, amount) in takes {
            if let Some(it) = stands_in.get_mut(*choice) {
                it.push((row, *amount));
            }
        }
    }
    let fixed = possible
        .iter()
        .zip(&stands_in)
        .map(|(possible, stands_in)| *possible && stands_in.is_empty())
        .collect();
    let mut parts: Vec<Part> = apart(&rows, &stands_in)
        .into_iter()
        .map(|choices| part(problem, &rows, &stands_in, choices))
        .collect();
    parts.sort_by_key(|it| (it.weight(), it.choices.first().copied()));
    Reduced { fixed, parts }
}

/// Returns which choices keep each limit by themselves.
fn possible(problem: &Problem) -> Vec<bool> {
    let mut possible = vec![true; problem.choices];
    for limit in &problem.limits {
        let mut taken: BTreeMap<usize, i64> = BTreeMap::new();
        for (choice, amount) in &limit.takes {
            *taken.entry(*choice).or_default() += amount;
        }
        for (choice, amount) in taken {
            if let Some(it) = possible.get_mut(choice).filter(|_| limit.most < amount) {
                *it = false;
            }
        }
    }
    possible
}

/// Returns the limits that can bind, over possible choices alone, each said once and in its
/// smallest numbers.
fn binding(problem: &Problem, possible: &[bool]) -> Vec<Row> {
    let mut least: BTreeMap<Vec<(usize, i64)>, i64> = BTreeMap::new();
    for limit in &problem.limits {
        let mut takes: BTreeMap<usize, i64> = BTreeMap::new();
        for (choice, amount) in &limit.takes {
            if 0 < *amount && possible.get(*choice).copied().unwrap_or_default() {
                *takes.entry(*choice).or_default() += amount;
            }
        }
        let all: i64 = takes.values().sum();
        if all <= limit.most {
            continue;
        }
        let unit = takes.values().copied().fold(0, common);
        let takes: Vec<_> = takes.into_iter().map(|(at, it)| (at, it / unit)).collect();
        let most = least.entry(takes).or_insert(limit.most / unit);
        *most = (*most).min(limit.most / unit);
    }
    least.into_iter().collect()
}

fn common(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { common(b, a % b) }
}

/// Returns the choices that hang together by limits, group by group.
fn apart(rows: &[Row], stands_in: &[Vec<(usize, i64)>]) -> Vec<Vec<usize>> {
    let mut seen: BTreeSet<usize> = BTreeSet::new();
    let mut seen_rows: BTreeSet<usize> = BTreeSet::new();
    let mut groups = Vec::new();
    for (first, rows_of) in stands_in.iter().enumerate() {
        if rows_of.is_empty() || !seen.insert(first) {
            continue;
        }
        let mut group = BTreeSet::new();
        let mut todo = vec![first];
        while let Some(choice) = todo.pop() {
            group.insert(choice);
            for (row, _) in stands_in.get(choice).into_iter().flatten() {
                if seen_rows.insert(*row) {
                    let takes = rows.get(*row).map(|it| &it.0).into_iter().flatten();
                    todo.extend(takes.map(|it| it.0).filter(|it| seen.insert(*it)));
                }
            }
        }
        groups.push(group.into_iter().collect());
    }
    groups
}

fn part(
    problem: &Problem,
    rows: &[Row],
    stands_in: &[Vec<(usize, i64)>],
    choices: Vec<usize>,
) -> Part {
    let place: BTreeMap<usize, usize> = choices.iter().copied().zip(0..).collect();
    let rows: Vec<Row> = rows
        .iter()
        .filter_map(|(takes, most)| {
            let takes: Option<Vec<_>> =
                takes.iter().map(|(it, amount)| Some((*place.get(it)?, *amount))).collect();
            Some((takes?, *most))
        })
        .collect();
    let of = |stage: &Vec<i64>| {
        choices.iter().map(|it| stage.get(*it).copied().unwrap_or_default()).collect()
    };
    let stages: Vec<Vec<i64>> = problem.stages.iter().map(of).collect();
    let takes: Vec<&[(usize, i64)]> = choices
        .iter()
        .map(|it| stands_in.get(*it).map(Vec::as_slice).unwrap_or_default())
        .collect();
    let before = before(&takes, &stages);
    Part { choices, rows, stages, before }
}

/// Returns pairs of choices of which the first takes no more than the second of any row and is
/// worth no less in any stage; of two that are alike, the first in the list goes first.
fn before(takes: &[&[(usize, i64)]], stages: &[Vec<i64>]) -> Vec<(usize, usize)> {
    let worth = |at: usize| stages.iter().map(move |it| it.get(at).copied().unwrap_or_default());
    let mut pairs = Vec::new();
    for (first, its) in takes.iter().enumerate() {
        for (then, others) in takes.iter().enumerate() {
            let no_less = || worth(first).zip(worth(then)).all(|it| it.1 <= it.0);
            let alike = || its == others && worth(first).eq(worth(then));
            if first != then && within(its, others) && no_less() && (first < then || !alike()) {
                pairs.push((first, then));
            }
        }
    }
    pairs
}

/// Returns whether each amount stands in the other list, and is no more there. Both are in the
/// order of rows.
fn within(its: &[(usize, i64)], others: &[(usize, i64)]) -> bool {
    let mut others = others.iter();
    its.iter().all(|(row, amount)| {
        others.find(|it| *row <= it.0).is_some_and(|it| it.0 == *row && *amount <= it.1)
    })
}
