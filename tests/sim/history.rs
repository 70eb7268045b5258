//! One history: the same seed does the same deeds, with the same faults, and the books are compared.

use std::fmt::Write;

use kitwright::ops::RequestKey;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use crate::auditor::Auditor;
use crate::deed::{Ask, Deed, Expect, Outcome};
use crate::shop::Shop;
use crate::workload::Workload;

/// How often the books are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Watch {
    /// At the end of each day.
    EachDay,
    /// After each deed, which is slow and finds the first that is wrong.
    EachDeed,
}

/// Deeds in one day.
const DEEDS: usize = 60;

/// What has happened so far.
pub struct History {
    shop: Shop,
    auditor: Auditor,
    workload: Workload,
    dice: StdRng,
    watch: Watch,
    /// Each deed with what came of it.
    pub deeds: Vec<(Deed, Outcome)>,
    /// Deeds of a device that has lost its connection; they come later, and in another order.
    late: Vec<Deed>,
    repeats: usize,
    crashes: usize,
}

/// Lives through some days.
///
/// # Errors
///
/// What differs, with the history that led to it.
pub fn run(seed: u64, days: u64, watch: Watch) -> Result<History, String> {
    let mut history = History::new(seed, watch);
    let lived = history.live(days);
    lived.map_err(|why| history.told(&why))?;
    Ok(history)
}

/// Lives through a day in which somebody changes the books by hand.
///
/// # Errors
///
/// As [`run`].
pub fn run_tampered(seed: u64) -> Result<History, String> {
    let mut history = History::new(seed, Watch::EachDay);
    history.shop.tamper();
    let lived = history.live(1);
    lived.map_err(|why| history.told(&why))?;
    Ok(history)
}

impl History {
    fn new(seed: u64, watch: Watch) -> Self {
        Self {
            shop: Shop::new(),
            auditor: Auditor::at_the_start(),
            workload: Workload::default(),
            dice: StdRng::seed_from_u64(seed),
            watch,
            deeds: Vec::new(),
            late: Vec::new(),
            repeats: 0,
            crashes: 0,
        }
    }

    /// Returns what happened, in words.
    pub fn words(&self) -> String {
        let done = self.deeds.iter().filter(|it| it.1.done).count();
        let all = self.deeds.len();
        let left =
            self.deeds.iter().filter(|it| it.1.done && matches!(it.0.ask, Ask::HandOver { .. }));
        let runs = self.deeds.iter().filter(|it| it.1.done && matches!(it.0.ask, Ask::Make { .. }));
        format!(
            "{done} of {all} deeds done, {} sent again, {} crashes; {} kits left, {} runs made",
            self.repeats,
            self.crashes,
            left.count(),
            runs.count()
        )
    }

    fn live(&mut self, days: u64) -> Result<(), String> {
        for _ in 0..days {
            let end = self.deeds.len() + DEEDS;
            // A day on which nothing is left to do ends too.
            for _ in 0..2 * DEEDS {
                if end <= self.deeds.len() {
                    break;
                }
                self.step()?;
            }
            self.compare()?;
            self.shop.sleep();
        }
        Ok(())
    }

    fn step(&mut self) -> Result<(), String> {
        let luck: u32 = self.dice.random_range(0..100);
        if luck < 5 && !self.late.is_empty() {
            let at = self.dice.random_range(0..self.late.len());
            let late = self.late.swap_remove(at);
            return self.act(Deed { expect: Expect::Either, ..late });
        }
        if luck < 9 {
            return self.repeat();
        }
        let Some((ask, expect)) = self.workload.next(&self.shop, &self.auditor, &mut self.dice)
        else {
            return Ok(());
        };
        let key: RequestKey = format!("sim-key-{}", self.deeds.len() + self.late.len())
            .parse()
            .map_err(|fault: kitwright::error::Error| fault.to_string())?;
        let key = if self.knows(&key) {
            format!("{}-b{}", key.as_str(), self.repeats)
                .parse()
                .map_err(|fault: kitwright::error::Error| fault.to_string())?
        } else {
            key
        };
        let deed = Deed { key, ask, expect };
        if luck < 12 && !matches!(deed.ask, Ask::Import { .. }) {
            self.late.push(deed);
            return Ok(());
        }
        if luck < 15 {
            self.crashes += 1;
            self.shop.crash(&deed);
            self.compare()?;
        }
        self.act(deed)
    }

    fn knows(&self, key: &RequestKey) -> bool {
        self.deeds.iter().any(|it| it.0.key == *key) || self.late.iter().any(|it| it.key == *key)
    }

    fn act(&mut self, deed: Deed) -> Result<(), String> {
        let outcome = self.shop.act(&deed)?;
        let unexpected = match deed.expect {
            Expect::Done => !outcome.done,
            Expect::Refusal => outcome.done,
            Expect::Either => false,
        };
        if outcome.done {
            self.auditor.note(&deed.ask, &outcome);
            self.workload.note(&deed.ask, &outcome);
        }
        let words =
            format!("{:?} was expected, and the answer was {}", deed.expect, outcome.answer);
        self.deeds.push((deed, outcome));
        if unexpected {
            return Err(words);
        }
        if self.watch == Watch::EachDeed { self.compare() } else { Ok(()) }
    }

    /// Sends again what was done before; now and then with something else under the same key.
    fn repeat(&mut self) -> Result<(), String> {
        let done: Vec<usize> = (0..self.deeds.len())
            .filter(|it| self.deeds.get(*it).is_some_and(|it| it.1.done))
            .collect();
        if done.is_empty() {
            return Ok(());
        }
        let at = done.get(self.dice.random_range(0..done.len())).copied().unwrap_or(0);
        let Some((deed, first)) = self.deeds.get(at).cloned() else { return Ok(()) };
        self.repeats += 1;
        let again = self.shop.act(&deed)?;
        // A file that only states what is so may be told in other words the second time.
        if again != first && !matches!(deed.ask, Ask::Import { .. }) {
            return Err(format!("{deed:?} was answered {first:?}, and the second time {again:?}"));
        }
        if let Ask::Correct(mut other) = deed.ask.clone() {
            other.reason.push_str(", again");
            let other = Deed { ask: Ask::Correct(other), ..deed };
            let refused = self.shop.act(&other)?;
            if refused.answer != "request_key.reused" {
                return Err(format!("another request went under {:?}: {refused:?}", other.key));
            }
        }
        if self.watch == Watch::EachDeed { self.compare() } else { Ok(()) }
    }

    /// Compares both books.
    fn compare(&self) -> Result<(), String> {
        let (ours, theirs) = (self.auditor.books(), self.shop.held());
        let mut faults: Vec<String> = self.auditor.faults().to_vec();
        for key in ours.keys().chain(theirs.keys().filter(|it| !ours.contains_key(*it))) {
            let of =
                |books: &std::collections::BTreeMap<_, i64>| books.get(key).copied().unwrap_or(0);
            if of(ours) != of(&theirs) {
                let (place, piece) = key;
                faults.push(format!(
                    "{} at {place} ({}): the auditor counts {}, the shop {}",
                    piece.part,
                    piece.identity,
                    of(ours),
                    of(&theirs)
                ));
            }
        }
        faults.extend(self.shop.findings());
        if faults.is_empty() { Ok(()) } else { Err(faults.join("\n")) }
    }

    /// Returns a difference with the history that led to it, deed by deed.
    fn told(&self, why: &str) -> String {
        let mut words = format!("{why}\nafter {}:\n", self.words());
        for (nth, (deed, outcome)) in (1..).zip(&self.deeds) {
            // Writing to a text does not fail.
            let _ = writeln!(words, "deed {nth}: {deed:?} -> {}", outcome.answer);
        }
        words
    }
}
