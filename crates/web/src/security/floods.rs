//! How many reports one unit link may bring in a time, from however many addresses.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use chrono::{DateTime, TimeDelta, Utc};

/// How long until a link that has brought all it may can bring as much again.
const ALL_BACK_AFTER: TimeDelta = TimeDelta::hours(1);
/// Links remembered at once; beyond it those are forgotten that may bring all again.
const MOST_LINKS: usize = 20_000;

/// When each link will have all it may bring again.
///
/// Held in memory: a restart forgets it, and a flood meets the pace of its addresses all the same.
#[derive(Debug)]
pub struct Floods {
    at_once: u32,
    full_at: Mutex<HashMap<i64, DateTime<Utc>>>,
}

impl Floods {
    /// So many at once, and as many again within the hour: a whole unit may empty its pockets after a long day out.
    pub fn new(at_once: u32) -> Self {
        Self { at_once: at_once.max(1), full_at: Mutex::default() }
    }

    /// Counts one report of a link.
    ///
    /// # Errors
    /// How long the link has to wait; such a report isn't counted.
    pub fn count(&self, link: i64, now: DateTime<Utc>) -> Result<(), TimeDelta> {
        let mut links = self.full_at.lock().unwrap_or_else(PoisonError::into_inner);
        let one_back_after =
            TimeDelta::milliseconds(ALL_BACK_AFTER.num_milliseconds() / i64::from(self.at_once));
        let full_at = links.get(&link).copied().unwrap_or(now).max(now) + one_back_after;
        let beyond = full_at - now - ALL_BACK_AFTER;
        if beyond > TimeDelta::zero() {
            return Err(beyond);
        }
        if links.len() >= MOST_LINKS && !links.contains_key(&link) {
            links.retain(|_, full_at| *full_at > now);
        }
        links.insert(link, full_at);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(1_772_539_200 + seconds, 0).unwrap()
    }

    #[test]
    fn a_link_brings_many_at_once_and_then_one_every_quarter_minute() {
        let floods = Floods::new(240);
        for _ in 0..240 {
            assert_eq!(floods.count(1, at(0)), Ok(()));
        }
        assert_eq!(floods.count(1, at(0)), Err(TimeDelta::seconds(15)));
        assert_eq!(floods.count(1, at(10)), Err(TimeDelta::seconds(5)), "asking doesn't prolong the wait");
        assert_eq!(floods.count(2, at(10)), Ok(()), "another link has its own");
        assert_eq!(floods.count(1, at(15)), Ok(()));
        assert_eq!(floods.count(1, at(15)), Err(TimeDelta::seconds(15)));
    }

    #[test]
    fn a_link_that_rested_may_bring_all_again_and_no_more() {
        let floods = Floods::new(60);
        for start in [0, 2 * 3600] {
            for _ in 0..60 {
                assert_eq!(floods.count(1, at(start)), Ok(()));
            }
            assert!(floods.count(1, at(start)).is_err());
        }
    }
}
