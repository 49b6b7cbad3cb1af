//! How often one name may be tried at the sign-in page, from however many addresses.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use chrono::{DateTime, TimeDelta, Utc};

use crate::secrets::digest_hex;

/// Wrong passwords in a row before a name has to wait.
const FREE: u32 = 5;
/// The first wait; each further wrong password doubles it.
const FIRST_WAIT: TimeDelta = TimeDelta::minutes(1);
/// The longest wait, so that nobody can be shut out of their account for long by a stranger's tries.
const LONGEST_WAIT: TimeDelta = TimeDelta::minutes(15);
/// A name that wasn't tried for so long starts anew.
const FORGOTTEN_AFTER: TimeDelta = TimeDelta::hours(12);
/// Names remembered at once; beyond it only those that wait now are, and if they are too many, none.
const MOST_NAMES: usize = 20_000;

/// Wrong passwords by name, whether or not anybody has it: a name that waits tells nothing.
///
/// Held in memory: a restart forgets it, which the pace of each address outlasts well enough.
#[derive(Debug, Default)]
pub struct Tries(Mutex<HashMap<String, Name>>);

#[derive(Clone, Copy, Debug)]
struct Name {
    wrong: u32,
    last: DateTime<Utc>,
    free_at: DateTime<Utc>,
}

impl Tries {
    /// Begins a try, which counts as wrong until [`Tries::right`] says otherwise: many at once are all counted.
    ///
    /// # Errors
    /// How long the name has to wait; such a try isn't counted.
    pub fn begin(&self, name: &str, now: DateTime<Utc>) -> Result<(), TimeDelta> {
        let mut names = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let key = key(name);
        let mut found = names.get(&key).copied().unwrap_or(Name { wrong: 0, last: now, free_at: now });
        if now - found.last > FORGOTTEN_AFTER {
            found.wrong = 0;
        }
        if found.free_at > now {
            return Err(found.free_at - now);
        }
        found.wrong = found.wrong.saturating_add(1);
        found.last = now;
        if let Some(beyond) = found.wrong.checked_sub(FREE) {
            found.free_at = now + (FIRST_WAIT * (1_i32 << beyond.min(4))).min(LONGEST_WAIT);
        }
        if names.len() >= MOST_NAMES && !names.contains_key(&key) {
            names.retain(|_, name| name.free_at > now);
            if names.len() >= MOST_NAMES {
                names.clear();
            }
        }
        names.insert(key, found);
        Ok(())
    }

    /// The password was right: the name starts anew.
    pub fn right(&self, name: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&key(name));
    }
}

/// A digest, since what is typed as a name may be a password, and may be long.
fn key(name: &str) -> String {
    digest_hex(name.trim().as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(1_772_539_200 + seconds, 0).unwrap()
    }

    #[test]
    fn the_fifth_wrong_password_makes_the_name_wait_and_each_further_one_twice_as_long() {
        let tries = Tries::default();
        for _ in 0..5 {
            assert_eq!(tries.begin("fell", at(0)), Ok(()));
        }
        assert_eq!(tries.begin(" fell ", at(1)), Err(TimeDelta::seconds(59)));
        assert_eq!(tries.begin("skerry", at(1)), Ok(()));
        assert_eq!(tries.begin("fell", at(60)), Ok(()));
        assert_eq!(tries.begin("fell", at(61)), Err(TimeDelta::seconds(119)));
        let mut now = 180;
        for _ in 0..9 {
            assert_eq!(tries.begin("fell", at(now)), Ok(()));
            now += 15 * 60;
        }
        assert_eq!(
            tries.begin("fell", at(now - 1)),
            Err(TimeDelta::seconds(1)),
            "a quarter of an hour at most"
        );
    }

    #[test]
    fn a_right_password_and_a_long_rest_start_anew() {
        let tries = Tries::default();
        for start in [0, 24 * 3600] {
            for _ in 0..5 {
                assert_eq!(tries.begin("fell", at(start)), Ok(()));
            }
            assert!(tries.begin("fell", at(start)).is_err());
        }
        tries.right("fell");
        assert_eq!(tries.begin("fell", at(24 * 3600)), Ok(()));
    }

    #[test]
    fn what_is_remembered_has_an_end() {
        let tries = Tries::default();
        for name in 0..=MOST_NAMES {
            assert_eq!(tries.begin(&name.to_string(), at(0)), Ok(()));
        }
        assert!(tries.0.lock().unwrap().len() <= MOST_NAMES);
    }
}
