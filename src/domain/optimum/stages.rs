use super::branch::{Stage, search};
use super::problem::Problem;
use super::reduce::{Part, reduce};

/// What one stage of a problem came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reached {
    /// What the choice is worth.
    pub worth: i64,
    /// Proved: none that does as well in the stages before is worth more.
    pub at_most: i64,
}

/// The answer to a problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Which choices are taken.
    pub chosen: Vec<bool>,
    /// What each stage came to.
    pub stages: Vec<Reached>,
    /// How many branches were looked at.
    pub nodes: u64,
    /// How much work it was: entries of tables that were computed.
    pub work: u64,
}

impl Answer {
    /// Returns whether every stage is proved to be the best.
    pub fn is_proved(&self) -> bool {
        self.stages.iter().all(|it| it.worth == it.at_most)
    }
}

/// Returns the best choice, stage by stage, or the best found with `budget` of work and the bound
/// that is proved for it.
///
/// `start` is a choice to do better than; it is passed over where it does not keep the limits. The
/// same problem always gives the same answer: work is counted, and no clock is asked.
pub fn best(problem: &Problem, start: &[bool], budget: u64) -> Answer {
    let reduced = reduce(problem);
    let mut chosen = reduced.fixed.clone();
    let start: Vec<bool> =
        (0..problem.choices).map(|it| start.get(it).copied().unwrap_or_default()).collect();
    let start = if problem.allows(&start) { start } else { vec![false; problem.choices] };
    let mut stages: Vec<Reached> =
        problem.worth(&chosen).into_iter().map(|worth| Reached { worth, at_most: worth }).collect();
    let (mut nodes, mut work) = (0, 0);
    let mut left: u64 = reduced.parts.iter().map(|it| it.weight()).sum();
    for part in &reduced.parts {
        let share = share_of(budget.saturating_sub(work), part.weight(), left);
        left -= part.weight();
        let found = of_part(part, &start, share);
        for (stage, it) in stages.iter_mut().zip(&found.stages) {
            stage.worth += it.worth;
            stage.at_most += it.at_most;
        }
        for (at, it) in part.choices.iter().zip(&found.chosen) {
            if let Some(slot) = chosen.get_mut(*at) {
                *slot = *it;
            }
        }
        nodes += found.nodes;
        work += found.work;
    }
    Answer { chosen, stages, nodes, work }
}

/// Solves the stages of one part, each with what the ones before reached as a row of its own.
fn of_part(part: &Part, start: &[bool], budget: u64) -> Answer {
    let mut rows = part.rows.clone();
    let mut chosen: Vec<bool> =
        part.choices.iter().map(|it| start.get(*it).copied().unwrap_or_default()).collect();
    // What a start leaves of a choice that goes before is mended, so that it keeps that order too.
    let mut answer = Answer { chosen: Vec::new(), stages: Vec::new(), nodes: 0, work: 0 };
    for (at, worth) in (1_u64..).zip(&part.stages) {
        let left = budget.saturating_sub(answer.work);
        let last = u64::try_from(part.stages.len()).unwrap_or(at) <= at;
        let budget = if last { left } else { left / 3 * 2 };
        let stage =
            Stage { rows: rows.clone(), worth, before: &part.before, start: chosen, budget };
        let found = search(&stage);
        chosen = found.chosen;
        let floor = worth.iter().enumerate().filter(|it| *it.1 != 0).map(|it| (it.0, -it.1));
        rows.push((floor.collect(), -found.reached));
        answer.stages.push(Reached { worth: found.reached, at_most: found.at_most });
        answer.nodes += found.nodes;
        answer.work += found.work;
    }
    answer.chosen = chosen;
    answer
}

/// Returns a part's share of the work that is left.
fn share_of(budget: u64, weight: u64, all: u64) -> u64 {
    let share = u128::from(budget) * u128::from(weight) / u128::from(all.max(1));
    u64::try_from(share).unwrap_or(u64::MAX)
}
