use chrono::{NaiveDateTime, TimeDelta};

use super::MessageState;
use crate::domain::queue::Pace;

/// How fast the outbox goes: after thirty tries about a day has gone by.
pub const PACE: Pace = Pace {
    first_pause: TimeDelta::seconds(30),
    longest_pause: TimeDelta::seconds(3600),
    lease: TimeDelta::seconds(30),
};

/// How often a message is tried by itself before a person has to look.
pub const MOST_TRIES: i64 = 30;

/// What is known of a message after it was tried, in words for a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum News {
    /// It may be sent again, and that may go better.
    NotYet(String),
    /// It was not taken, for certain, and trying again by itself is no help.
    Refused(String),
    /// The other side has taken it.
    Sent(String),
    /// The other side may have taken it, and would not know it again.
    Unsure(String),
}

/// How a message is to stand from now on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The state.
    pub state: MessageState,
    /// Why, in words.
    pub words: String,
    /// When to go on with it; `None` where nothing is to be done.
    pub due_at: Option<NaiveDateTime>,
}

/// Returns how a message stands after news of it; `tries` counts the one that the news is of.
pub fn after(news: News, tries: i64, now: NaiveDateTime, pace: &Pace) -> Change {
    let change = |state, words, due_at| Change { state, words, due_at };
    match news {
        News::NotYet(words) if MOST_TRIES <= tries => {
            let words = format!("{words}; tried {tries} times, and no more by itself");
            change(MessageState::Failed, words, None)
        }
        News::NotYet(words) => change(MessageState::Waiting, words, Some(now + pace.pause(tries))),
        News::Refused(words) => change(MessageState::Failed, words, None),
        News::Sent(words) => change(MessageState::Sent, words, None),
        News::Unsure(words) => change(MessageState::Unsure, words, None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(news: fn(String) -> News, tries: i64, state: MessageState, due_s: Option<i64>) {
        let now = "2026-11-25T09:00:00".parse().unwrap();
        let change = after(news("why".to_owned()), tries, now, &PACE);
        let due = change.due_at.map(|it| (it - now).num_seconds());
        assert_eq!((change.state, due), (state, due_s), "after {tries}");
        assert!(change.words.starts_with("why"), "{}", change.words);
    }

    #[test]
    fn pauses_grow_and_end() {
        for (tries, pause) in [(1, 30), (2, 60), (7, 1920), (8, 3600), (29, 3600)] {
            check(News::NotYet, tries, MessageState::Waiting, Some(pause));
        }
        check(News::NotYet, 30, MessageState::Failed, None);
        let all: i64 = (1..MOST_TRIES).map(|it| PACE.pause(it).num_minutes()).sum();
        assert!((23 * 60..25 * 60).contains(&all), "the stated end is a day, not {all} minutes");
    }

    #[test]
    fn what_is_not_certain_is_never_sent_again_by_itself() {
        check(News::Unsure, 1, MessageState::Unsure, None);
        check(News::Refused, 1, MessageState::Failed, None);
        check(News::Sent, 1, MessageState::Sent, None);
    }
}
