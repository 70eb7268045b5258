use chrono::{NaiveDateTime, TimeDelta};

use super::JobState;
use crate::domain::queue::Pace;

/// How fast the print queue goes.
pub const PACE: Pace = Pace {
    first_pause: TimeDelta::seconds(5),
    longest_pause: TimeDelta::seconds(300),
    lease: TimeDelta::seconds(30),
};

/// How often a job is tried by itself before a person has to look.
pub const MOST_TRIES: i64 = 12;

/// How long a printer that does not answer is asked what became of a job that it took, in seconds.
const ASKED_FOR_S: i64 = 24 * 3600;
/// How long a printer is asked about a job that may have printed, in seconds.
const UNSURE_ASKED_FOR_S: i64 = 3600;

/// The longest time between two questions about a job that a printer is at.
const MOST_POLL: TimeDelta = TimeDelta::seconds(30);

/// What is known of a job after something was asked of its printer, in words for a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum News {
    /// Nothing was printed, for certain, and it may go better later.
    NotYet(String),
    /// Nothing was printed, for certain, and trying again by itself is no help.
    Refused(String),
    /// The printer has it, under its own number.
    Taken {
        /// The printer's number of the job.
        printer_job: i64,
        /// How it stands.
        words: String,
    },
    /// The printer has finished it.
    Printed(String),
    /// The printer gave it up; pages may have come out.
    Aborted(String),
    /// It was taken back at the printer.
    TakenBack(String),
    /// It may have printed.
    Unsure(String),
    /// The printer did not answer what became of a job that it took.
    NoAnswer(String),
}

/// How a job is to stand from now on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The state.
    pub state: JobState,
    /// Why, in words.
    pub words: String,
    /// When to go on with it; `None` where nothing is to be done.
    pub due_at: Option<NaiveDateTime>,
    /// Whether what was sent is as good as never sent.
    pub is_anew: bool,
    /// The printer's number of the job, where it was told now.
    pub printer_job: Option<i64>,
}

/// Returns how a job stands after news of it.
///
/// `tries` counts the one that the news is of; `begun_at` is when its document began to travel, and
/// `cancelled` whether somebody wants it back. It is sent again by itself only where nothing was
/// printed for certain.
pub fn after(
    news: News,
    tries: i64,
    begun_at: Option<NaiveDateTime>,
    cancelled: bool,
    now: NaiveDateTime,
    pace: &Pace,
) -> Change {
    let since = begun_at.map_or(TimeDelta::zero(), |it| now.signed_duration_since(it));
    let later = |least: TimeDelta| {
        let pause = (since / 2).max(least).min(pace.longest_pause);
        Some(now + pause)
    };
    let change =
        |state, words, due_at| Change { state, words, due_at, is_anew: false, printer_job: None };
    let second = TimeDelta::seconds(1);
    match news {
        News::NotYet(words) if cancelled => change(JobState::Cancelled, words, None),
        News::NotYet(words) if MOST_TRIES <= tries => Change {
            is_anew: true,
            ..change(JobState::Failed, format!("{words}; tried {tries} times"), None)
        },
        News::NotYet(words) => {
            let due = now + pace.pause(tries);
            Change { is_anew: true, ..change(JobState::Waiting, words, Some(due)) }
        }
        News::Refused(words) => Change { is_anew: true, ..change(JobState::Failed, words, None) },
        News::Taken { printer_job, words } => {
            let polled = (since / 2).clamp(second, MOST_POLL);
            let due = Some(now + if cancelled { second } else { polled });
            Change { printer_job: Some(printer_job), ..change(JobState::Taken, words, due) }
        }
        News::Printed(words) => change(JobState::Printed, words, None),
        News::Aborted(words) => change(JobState::Failed, words, None),
        News::TakenBack(words) => change(JobState::Cancelled, words, None),
        News::Unsure(words) => {
            let due =
                later(pace.first_pause).filter(|_| since < TimeDelta::seconds(UNSURE_ASKED_FOR_S));
            change(JobState::Unsure, words, due)
        }
        News::NoAnswer(words) if since < TimeDelta::seconds(ASKED_FOR_S) => {
            change(JobState::Taken, words, later(pace.first_pause))
        }
        News::NoAnswer(words) => change(JobState::Unsure, words, None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn now() -> NaiveDateTime {
        "2026-11-25T09:00:00".parse().unwrap()
    }

    fn check(news: News, tries: i64, begun_s: Option<i64>, state: JobState, due_s: Option<i64>) {
        let begun = begun_s.map(|it| now() - TimeDelta::seconds(it));
        let change = after(news.clone(), tries, begun, false, now(), &PACE);
        let due = change.due_at.map(|it| (it - now()).num_seconds());
        assert_eq!((change.state, due), (state, due_s), "{news:?} after {tries}, {begun_s:?}");
        let sent_again = matches!(news, News::NotYet(_) | News::Refused(_));
        assert_eq!(change.is_anew, sent_again, "{news:?}");
    }

    fn it(news: fn(String) -> News) -> News {
        news("why".to_owned())
    }

    #[test]
    fn what_is_certain_is_tried_with_growing_pauses_and_then_no_more() {
        for (tries, pause) in [(1, 5), (2, 10), (3, 20), (7, 300), (11, 300)] {
            check(it(News::NotYet), tries, None, JobState::Waiting, Some(pause));
        }
        check(it(News::NotYet), 12, None, JobState::Failed, None);
        check(it(News::Refused), 1, None, JobState::Failed, None);
    }

    #[test]
    fn what_is_not_certain_waits_for_a_person_and_never_to_be_sent() {
        check(it(News::Unsure), 1, Some(0), JobState::Unsure, Some(5));
        check(it(News::Unsure), 1, Some(100), JobState::Unsure, Some(50));
        check(it(News::Unsure), 1, Some(3600), JobState::Unsure, None);
        check(it(News::Aborted), 1, Some(4), JobState::Failed, None);
    }

    #[test]
    fn a_job_that_the_printer_has_is_asked_after() {
        let taken = || News::Taken { printer_job: 7, words: "printing".to_owned() };
        check(taken(), 1, Some(0), JobState::Taken, Some(1));
        check(taken(), 1, Some(10), JobState::Taken, Some(5));
        check(taken(), 1, Some(9000), JobState::Taken, Some(30));
        check(it(News::NoAnswer), 1, Some(2), JobState::Taken, Some(5));
        check(it(News::NoAnswer), 1, Some(86_399), JobState::Taken, Some(300));
        check(it(News::NoAnswer), 1, Some(86_400), JobState::Unsure, None);
    }

    #[test]
    fn a_job_that_is_wanted_back_is_not_tried_again() {
        let change = after(it(News::NotYet), 1, None, true, now(), &PACE);
        assert_eq!((change.state, change.due_at), (JobState::Cancelled, None));
        let taken = News::Taken { printer_job: 7, words: String::new() };
        let change = after(taken, 1, Some(now()), true, now(), &PACE);
        assert_eq!(
            (change.state, change.due_at),
            (JobState::Taken, Some(now() + TimeDelta::seconds(1)))
        );
    }
}
