//! Recurrences that want somebody: back after they were settled, with harm and nobody's, or new in these weeks.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use domain::analysis::{Analysis, Recurrence};
use domain::change::ChangeState;
use domain::field::{Day, Field};
use domain::recurrence::RecurrenceState;
use store::RecurrenceRecord;

use super::{Harm, Waiting};
use crate::address;
use crate::format;
use crate::pages::recurrences::{changes_on, harm_words, part_name};

/// What became a recurrence within these days is new.
const NEW_DAYS: u64 = 30;
/// More than these are counted in one line.
const MOST: usize = 5;

/// Those that want somebody, those with injuries first, as the list of recurrences has them. What a change is to cure
/// already is in hand.
pub(super) fn waiting(field: &Field, analysis: &Analysis, records: &[RecurrenceRecord]) -> Vec<Waiting> {
    let kept: HashMap<_, _> =
        records.iter().map(|r| ((r.part_no.as_str(), r.mode.as_str()), r.state)).collect();
    let new_since = analysis.as_of.checked_sub_days(Days::new(NEW_DAYS)).unwrap_or(analysis.as_of);
    let mut wanted: Vec<Waiting> = Vec::new();
    for r in &analysis.recurrences {
        let key = (&field.part_names[r.part], &*field.modes[r.mode].code);
        let state = kept.get(&key).copied().unwrap_or(RecurrenceState::Standing);
        let verb = match state {
            RecurrenceState::Back => "Look again at",
            RecurrenceState::Standing if !is_in_hand(field, r) => "Take up",
            RecurrenceState::Standing | RecurrenceState::TakenUp | RecurrenceState::Settled => continue,
        };
        let since = r.began_on().map(Day::date);
        if state == RecurrenceState::Standing && harm_words(r).is_none() && since < Some(new_since) {
            continue;
        }
        wanted.push(one(field, r, verb, since));
    }
    let further = wanted.split_off(wanted.len().min(MOST));
    wanted.extend(rest(&further));
    wanted
}

/// The line of those that have none of their own: it stands by their worst harm and their oldest wait.
fn rest(further: &[Waiting]) -> Option<Waiting> {
    let harm = further.iter().map(|one| one.harm).min()?;
    let all = format::counted(further.len() as u64, "further recurrence", "further recurrences");
    let with = |harm: Harm| {
        let count = further.iter().filter(|one| one.harm == harm).count() as u64;
        harm.word().filter(|_| count > 0).map(|word| format!("{} with {word}", format::count(count)))
    };
    let harmed = [with(Harm::Injury { read: true }), with(Harm::NearMiss { read: true })];
    let words: Vec<String> = std::iter::once(all).chain(harmed.into_iter().flatten()).collect();
    Some(Waiting {
        since: further.iter().filter_map(|one| one.since).min(),
        what: format!("Look through {}", words.join(", ")),
        about: "New in these weeks, or with harm, and nobody has taken them up.".to_owned(),
        address: "/recurrences".to_owned(),
        harm,
    })
}

/// A change is meant to cure it and has not come to nothing.
fn is_in_hand(field: &Field, r: &Recurrence) -> bool {
    let given_up = [ChangeState::Disapproved, ChangeState::Withdrawn, ChangeState::NotProved];
    changes_on(field, r).iter().any(|change| change.state.is_some_and(|state| !given_up.contains(&state)))
}

fn one(field: &Field, r: &Recurrence, verb: &str, since: Option<NaiveDate>) -> Waiting {
    let reports = format::counted(u64::from(r.reports), "relevant report", "relevant reports");
    Waiting {
        since,
        what: format!("{verb} {}: {}", part_name(field, r.part), field.modes[r.mode].name.to_lowercase()),
        about: harm_words(r).map_or_else(|| reports.clone(), |harm| format!("{reports}, {harm}")),
        address: address::recurrence(field, r.part, r.mode),
        harm: match (r.injuries, r.near_misses) {
            (1.., _) => Harm::Injury { read: true },
            (0, 1..) => Harm::NearMiss { read: true },
            (0, 0) => Harm::None,
        },
    }
}

#[cfg(test)]
mod tests {
    use domain::analysis::analyse;
    use domain::report::{Harm as Told, Report};

    use super::*;
    use crate::pages::recurrences::sample;

    fn day(month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2025, month, day).expect("a date")
    }

    #[test]
    fn it_waits_since_its_second_report_was_received_whatever_their_order_in_the_books() {
        let (field, analysis) = sample::field();
        // By the sample's days of receipt: lot TB-0418's first 45 days after 6 Jan 2025, TB-0419's first 52 days after.
        // The second in the books is TB-0418's second, 76 days after.
        assert_eq!(waiting(&field, &analysis, &[])[0].since, Some(day(2, 27)));
    }

    #[test]
    fn the_line_of_the_rest_says_their_harm_and_their_oldest_wait() {
        let mut books = sample::builder().expect("sound books");
        let found = day(6, 2);
        for mode in ["ZIP-2", "ZIP-3", "ZIP-4", "ZIP-5", "ZIP-6", "ZIP-7"] {
            let bare = Report::bare(mode, found, "COVE-2", "RC-100");
            let (part_no, mode) = (Some("RC-131".into()), Some(mode.into()));
            let hurt = Report { part_no, mode, relevant: Some(true), harm: Some(Told::Injury), ..bare };
            books.report(&hurt).expect("a sound report");
        }
        let field = books.build();
        let waiting = waiting(&field, &analyse(&field, found + Days::new(200)), &[]);
        let (rest, named) = waiting.split_last().expect("some wait");
        let injury = Harm::Injury { read: true };
        assert!(named.len() == MOST && named.iter().all(|one| one.harm == injury), "{named:?}");
        assert_eq!(rest.what, "Look through 2 further recurrences, 1 with injury, 1 with near miss");
        // The near miss of the sample is the older of the two.
        assert_eq!((rest.harm, rest.since), (injury, Some(day(2, 27))));
    }

    #[test]
    fn the_line_of_harmless_ones_says_nothing_of_harm() {
        let one = |since| Waiting {
            since: Some(since),
            what: "Take up".into(),
            about: String::new(),
            address: String::new(),
            harm: Harm::None,
        };
        let rest = rest(&[one(day(6, 2)), one(day(6, 1))]).expect("two are left");
        assert_eq!(rest.what, "Look through 2 further recurrences");
        assert_eq!((rest.harm, rest.since), (Harm::None, Some(day(6, 1))));
    }

    #[test]
    fn harm_that_nobody_has_taken_up_waits_and_what_is_taken_up_does_not() {
        let (field, analysis) = sample::field();
        let free = waiting(&field, &analysis, &[]);
        assert_eq!(free.len(), 1);
        assert!(
            free[0].harm == Harm::NearMiss { read: true }
                && free[0].what.starts_with("Take up Front slide fastener: "),
            "{free:?}"
        );
        let standing = |state| waiting(&field, &analysis, &[RecurrenceRecord { state, ..sample::record() }]);
        assert!(
            standing(RecurrenceState::TakenUp).is_empty() && standing(RecurrenceState::Settled).is_empty()
        );
        assert!(standing(RecurrenceState::Back)[0].what.starts_with("Look again at"));
    }
}
