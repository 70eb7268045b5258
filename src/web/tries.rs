use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use chrono::{NaiveDateTime, TimeDelta};

/// How many wrong passwords a login may be given within [`WINDOW_MINUTES`].
const MOST: usize = 10;
const WINDOW_MINUTES: i64 = 10;

/// The wrong passwords of the last minutes, by login.
///
/// They are kept in memory only: whoever can restart the service needs no password. A login that
/// nobody has counts too, so that waiting does not tell which logins there are. The price is that
/// a stranger who knows a login can keep its owner waiting; their open sessions go on.
#[derive(Debug, Default)]
pub struct Tries(Mutex<BTreeMap<String, Vec<NaiveDateTime>>>);

impl Tries {
    /// Returns whether the login has been tried so often that it has to wait.
    pub fn must_wait(&self, login: &str, now: NaiveDateTime) -> bool {
        let mut tries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let oldest = now - TimeDelta::minutes(WINDOW_MINUTES);
        tries.retain(|_, times| {
            times.retain(|it| oldest < *it);
            !times.is_empty()
        });
        tries.get(&key(login)).is_some_and(|times| MOST <= times.len())
    }

    /// Counts a try.
    pub fn count(&self, login: &str, now: NaiveDateTime) {
        let mut tries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        tries.entry(key(login)).or_default().push(now);
    }

    /// Forgets the wrong passwords of a login that has signed in.
    pub fn forget(&self, login: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&key(login));
    }
}

fn key(login: &str) -> String {
    login.trim().to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ten_wrong_passwords_in_ten_minutes_make_that_login_wait() {
        let start: NaiveDateTime = "2026-11-25T09:00:00".parse().unwrap();
        let at = |minutes| start + TimeDelta::minutes(minutes);
        let tries = Tries::default();
        for _ in 0..9 {
            tries.count("Runa", start);
        }
        assert!(!tries.must_wait("runa", start));
        tries.count(" runa ", at(1));
        assert!(tries.must_wait("runa", at(9)));
        assert!(!tries.must_wait("odd", at(9)));
        assert!(!tries.must_wait("runa", at(10)));
    }

    #[test]
    fn a_right_password_starts_the_count_anew() {
        let now: NaiveDateTime = "2026-11-25T09:00:00".parse().unwrap();
        let tries = Tries::default();
        for _ in 0..10 {
            tries.count("runa", now);
        }
        tries.forget("runa");
        assert!(!tries.must_wait("runa", now));
    }
}
