//! Branch and bound for one stage of one part of a problem.
#![expect(clippy::indexing_slicing, reason = "rows and choices of one part of a problem")]

use super::bound::{Proof, Row};
use super::tableau::{End, Tableau, size};
use crate::domain::statistics::real;

/// At how many nodes a rounded choice is searched around, though it is no better than the best.
const SEARCHED_AROUND: u64 = 40;

/// What a search found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    pub(super) chosen: Vec<bool>,
    pub(super) reached: i64,
    /// Proved: nothing is worth more.
    pub(super) at_most: i64,
    pub(super) nodes: u64,
    pub(super) work: u64,
}

/// One stage of one part of a problem.
pub(super) struct Stage<'a> {
    pub(super) rows: Vec<Row>,
    pub(super) worth: &'a [i64],
    /// Pairs of choices: whoever takes the second takes the first.
    pub(super) before: &'a [(usize, usize)],
    /// A choice that keeps the rows.
    pub(super) start: Vec<bool>,
    /// How much work may be done.
    pub(super) budget: u64,
}

/// A node still to be looked at.
struct Open {
    trail: usize,
    choice: usize,
    value: bool,
    at_most: i64,
}

struct Search<'a> {
    stage: &'a Stage<'a>,
    /// The rows that each choice stands in, and what it takes there.
    columns: Vec<Vec<(usize, i64)>>,
    /// The choices that must be taken with each, and those that must be left with it.
    firsts: Vec<Vec<usize>>,
    thens: Vec<Vec<usize>>,
    fixed: Vec<Option<bool>>,
    /// The least that each row's choices take by what is fixed.
    least: Vec<i64>,
    trail: Vec<usize>,
    tableau: Tableau,
    best: Vec<bool>,
    reached: i64,
    /// All numbers of the worth are whole numbers of this.
    unit: i64,
    nodes: u64,
    work: u64,
}

/// Returns the best choice, or the best found within the budget with a bound that is proved.
pub(super) fn search(stage: &Stage<'_>) -> Found {
    let mut search = Search::new(stage);
    let at_most = search.run();
    Found {
        chosen: search.best,
        reached: search.reached,
        at_most,
        nodes: search.nodes,
        work: search.work + search.tableau.work,
    }
}

impl<'a> Search<'a> {
    fn new(stage: &'a Stage<'a>) -> Self {
        let choices = stage.worth.len();
        let mut columns = vec![Vec::new(); choices];
        for (row, (takes, _)) in stage.rows.iter().enumerate() {
            takes.iter().for_each(|(choice, amount)| columns[*choice].push((row, *amount)));
        }
        let mut firsts = vec![Vec::new(); choices];
        let mut thens = vec![Vec::new(); choices];
        for (first, then) in stage.before {
            firsts[*then].push(*first);
            thens[*first].push(*then);
        }
        let reached = worth_of(stage.worth, &stage.start);
        let least = |row: &Row| row.0.iter().map(|it| it.1.min(0)).sum();
        Self {
            columns,
            firsts,
            thens,
            fixed: vec![None; choices],
            least: stage.rows.iter().map(least).collect(),
            trail: Vec::new(),
            tableau: Tableau::new(&stage.rows, stage.worth),
            best: stage.start.clone(),
            reached,
            unit: stage.worth.iter().copied().fold(0, common).max(1),
            nodes: 0,
            work: 0,
            stage,
        }
    }

    /// Returns the bound that holds when the search ends.
    fn run(&mut self) -> i64 {
        let all: i64 = self.stage.worth.iter().sum();
        let mut open = Vec::new();
        self.look(all, &mut open);
        while let Some(next) = open.pop() {
            if self.stage.budget < self.work + self.tableau.work {
                let still = open.iter().map(|it| it.at_most).max().unwrap_or(next.at_most);
                return still.max(next.at_most).max(self.reached);
            }
            self.undo(next.trail);
            if next.at_most <= self.reached {
                continue;
            }
            if self.fix(next.choice, next.value) {
                self.look(next.at_most, &mut open);
            }
        }
        self.reached
    }

    /// Bounds a node; adds its children where it may hold something better.
    fn look(&mut self, above: i64, open: &mut Vec<Open>) {
        self.nodes += 1;
        let mut at_most = above;
        loop {
            for (choice, fixed) in self.fixed.iter().enumerate() {
                self.tableau.set(choice, *fixed);
            }
            let enough = real(self.reached + self.unit) - 1e-6;
            if let End::Infeasible(row) = self.tableau.solve(enough) {
                let none = vec![0; self.fixed.len()];
                let ray = self.tableau.ray(row);
                if Proof::new(&self.stage.rows, &none, &self.fixed, &ray).refutes() {
                    return;
                }
            }
            let multipliers = self.tableau.multipliers();
            let proof = Proof::new(&self.stage.rows, self.stage.worth, &self.fixed, &multipliers);
            self.work += proof.work;
            at_most = at_most.min(proof.at_most() / self.unit * self.unit);
            self.round();
            if at_most <= self.reached {
                return;
            }
            match self.tighten(&proof) {
                None => return,
                Some(true) => {}
                Some(false) => break,
            }
        }
        let Some((choice, value)) = self.branching() else { return };
        let trail = self.trail.len();
        open.push(Open { trail, choice, value: !value, at_most });
        open.push(Open { trail, choice, value, at_most });
    }

    /// Fixes what the proof forces; returns whether enough changed to bound anew, or `None` where
    /// nothing better is left.
    fn tighten(&mut self, proof: &Proof) -> Option<bool> {
        let before = self.trail.len();
        for choice in 0..self.fixed.len() {
            if self.fixed[choice].is_none()
                && let Some(value) = proof.forces(choice, self.reached + self.unit - 1)
                && !self.fix(choice, value)
            {
                return None;
            }
        }
        let free = self.fixed.iter().filter(|it| it.is_none()).count();
        Some(free / 8 < self.trail.len() - before)
    }

    /// Fixes a choice and all that follows from it; returns whether the rows can still hold.
    fn fix(&mut self, choice: usize, value: bool) -> bool {
        let mut todo = vec![(choice, value)];
        while let Some((choice, value)) = todo.pop() {
            match self.fixed[choice] {
                Some(it) if it == value => continue,
                Some(_) => return false,
                None => {}
            }
            self.fixed[choice] = Some(value);
            self.trail.push(choice);
            let with = if value { &self.firsts[choice] } else { &self.thens[choice] };
            todo.extend(with.iter().map(|it| (*it, value)));
            for (row, amount) in &self.columns[choice] {
                self.least[*row] += shift(*amount, value);
                let (takes, most) = &self.stage.rows[*row];
                let left = most - self.least[*row];
                if left < 0 {
                    return false;
                }
                if 0 < shift(*amount, value) {
                    let too_much = takes.iter().filter(|it| left < it.1.abs());
                    todo.extend(
                        too_much.filter(|it| self.fixed[it.0].is_none()).map(|it| (it.0, it.1 < 0)),
                    );
                    self.work += size(takes.len());
                }
            }
        }
        true
    }

    fn undo(&mut self, trail: usize) {
        while trail < self.trail.len() {
            let Some(choice) = self.trail.pop() else { return };
            let value = self.fixed[choice].take().unwrap_or_default();
            for (row, amount) in &self.columns[choice] {
                self.least[*row] -= shift(*amount, value);
            }
        }
    }

    /// Makes a whole choice of the relaxed one, and keeps it if it is better than the best.
    fn round(&mut self) {
        let point = self.tableau.point();
        let mut order: Vec<usize> = (0..point.len()).collect();
        order.sort_by(|a, b| {
            let by_point = point[*b].total_cmp(&point[*a]);
            by_point.then(self.stage.worth[*b].cmp(&self.stage.worth[*a])).then(a.cmp(b))
        });
        self.work += 16 * size(point.len());
        let mut chosen = vec![false; point.len()];
        let mut left: Vec<i64> = self.stage.rows.iter().map(|it| it.1).collect();
        for choice in order.iter().copied() {
            // What gives to a row that must be filled is looked at when all are chosen.
            let fits = |it: &(usize, i64)| it.1 <= left[it.0].max(0);
            if self.fixed[choice] != Some(false) && self.columns[choice].iter().all(fits) {
                chosen[choice] = true;
                self.columns[choice].iter().for_each(|it| left[it.0] -= it.1);
            }
        }
        if left.iter().any(|it| *it < 0) {
            return;
        }
        if self.nodes <= SEARCHED_AROUND || self.reached < worth_of(self.stage.worth, &chosen) {
            self.exchange(&mut chosen, &mut left, &order);
        }
        let reached = worth_of(self.stage.worth, &chosen);
        if self.reached < reached {
            (self.best, self.reached) = (chosen, reached);
        }
    }

    /// Leaves one choice for others as long as that makes the whole better.
    fn exchange(&mut self, chosen: &mut [bool], left: &mut [i64], order: &[usize]) {
        let mut better = true;
        while better {
            better = false;
            for out in 0..chosen.len() {
                if !chosen[out] {
                    continue;
                }
                chosen[out] = false;
                self.columns[out].iter().for_each(|it| left[it.0] += it.1);
                let mut gained = -self.stage.worth[out];
                let mut taken = Vec::new();
                for choice in order.iter().copied().filter(|it| *it != out) {
                    let fits = |it: &(usize, i64)| it.1 <= left[it.0].max(0);
                    if !chosen[choice] && self.columns[choice].iter().all(fits) {
                        chosen[choice] = true;
                        self.columns[choice].iter().for_each(|it| left[it.0] -= it.1);
                        gained += self.stage.worth[choice];
                        taken.push(choice);
                    }
                }
                self.work += 2 * size(chosen.len());
                if 0 < gained && left.iter().all(|it| 0 <= *it) {
                    better = true;
                    continue;
                }
                for choice in taken {
                    chosen[choice] = false;
                    self.columns[choice].iter().for_each(|it| left[it.0] += it.1);
                }
                chosen[out] = true;
                self.columns[out].iter().for_each(|it| left[it.0] -= it.1);
            }
        }
    }

    /// Returns the choice to decide next, and what to try first.
    fn branching(&self) -> Option<(usize, bool)> {
        let point = self.tableau.point();
        let undecided = (0..point.len()).filter(|it| self.fixed[*it].is_none());
        let split = |it: &usize| {
            let part = point[*it].min(1.0 - point[*it]);
            (part * 1024.0).round() * (1.0 + real(self.stage.worth[*it]))
        };
        let choice = undecided.max_by(|a, b| split(a).total_cmp(&split(b)).then(b.cmp(a)))?;
        Some((choice, 0.5 <= point[choice]))
    }
}

/// Returns by how much the least of a row grows when a choice is fixed.
fn shift(amount: i64, value: bool) -> i64 {
    if value == (0 < amount) { amount.abs() } else { 0 }
}

fn worth_of(worth: &[i64], chosen: &[bool]) -> i64 {
    worth.iter().zip(chosen).filter(|it| *it.1).map(|it| it.0).sum()
}

fn common(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { common(b, a % b) }
}
