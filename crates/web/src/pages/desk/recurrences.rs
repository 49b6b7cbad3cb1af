//! Recurrences that want somebody: back after they were settled, with harm and nobody's, new in these weeks, or signalled on
//! by the watch.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use domain::analysis::{Analysis, Recurrence};
use domain::change::ChangeState;
use domain::field::{Day, Field};
use domain::recurrence::RecurrenceState;
use domain::signal::KeptSignal;
use store::RecurrenceRecord;

use super::{Harm, Waiting};
use crate::address;
use crate::format;
use crate::pages::recurrences::{changes_on, harm_words, part_name};

/// What became a recurrence, or what the watch raised, within these days is new.
const NEW_DAYS: u64 = 30;
/// More than these are counted in one line.
const MOST: usize = 5;

/// Those that want somebody, those with injuries first, as the list of recurrences has them. What a change is to cure
/// already is in hand.
pub(super) fn waiting(
    field: &Field,
    analysis: &Analysis,
    records: &[RecurrenceRecord],
    signals: &[KeptSignal],
) -> Vec<Waiting> {
    let kept: HashMap<_, _> = records.iter().map(|r| ((r.part_no.as_str(), r.mode.as_str()), r)).collect();
    let new_since = analysis.as_of.checked_sub_days(Days::new(NEW_DAYS)).unwrap_or(analysis.as_of);
    let mut wanted: Vec<Waiting> = Vec::new();
    for r in &analysis.recurrences {
        let key = (&field.part_names[r.part], &*field.modes[r.mode].code);
        let record = kept.get(&key).copied();
        let state = record.map_or(RecurrenceState::Standing, |record| record.state);
        let of_this =
            |kept: &&KeptSignal| (kept.raised.of.part_no.as_str(), kept.raised.of.mode.as_str()) == key;
        let signal = signals.iter().filter(of_this).map(|kept| kept.raised_on).max();
        let settled_on = record.and_then(|record| record.settled.as_ref()).map(|kept| kept.at.date_naive());
        let verb = match state {
            RecurrenceState::Back => "Look again at",
            RecurrenceState::Settled if signal.is_some() && signal > settled_on => "Look again at",
            RecurrenceState::Standing if !is_in_hand(field, r) => "Take up",
            RecurrenceState::Standing | RecurrenceState::TakenUp | RecurrenceState::Settled => continue,
        };
        let since = r.began_on().map(Day::date);
        let is_new = since >= Some(new_since) || signal >= Some(new_since);
        if state == RecurrenceState::Standing && harm_words(r).is_none() && !is_new {
            continue;
        }
        wanted.push(one(field, r, verb, (since, signal)));
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

fn one(
    field: &Field,
    r: &Recurrence,
    verb: &str,
    (since, signal): (Option<NaiveDate>, Option<NaiveDate>),
) -> Waiting {
    let reports = format::counted(u64::from(r.reports), "relevant report", "relevant reports");
    let signals = signal.map(|day| format!("the watch raised a signal on {}", format::date(day)));
    let about: Vec<String> = [Some(reports), harm_words(r), signals].into_iter().flatten().collect();
    Waiting {
        since,
        what: format!("{verb} {}: {}", part_name(field, r.part), field.modes[r.mode].name.to_lowercase()),
        about: about.join(", "),
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
    use store::KeptSettlement;

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
        assert_eq!(waiting(&field, &analysis, &[], &[])[0].since, Some(day(2, 27)));
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
        let waiting = waiting(&field, &analyse(&field, found + Days::new(200)), &[], &[]);
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
    fn a_signal_of_the_watch_calls_until_somebody_has_it_and_again_after_it_was_settled() {
        let mut books = sample::builder().expect("sound books");
        for number in 1..3 {
            let bare = Report::bare(format!("S-{number}"), day(2, 6), "COVE-2", "RC-100");
            let (part_no, mode) = (Some("RC-131".into()), Some("ZIP-2".into()));
            let sorted = Report { part_no, mode, relevant: Some(true), ..bare };
            books.report(&sorted).expect("a sound report");
        }
        let field = books.build();
        let analysis = analyse(&field, day(12, 1));
        let called = |record: Option<RecurrenceRecord>, signals: &[KeptSignal]| {
            let record = record.map(|record| RecurrenceRecord { mode: "ZIP-2".into(), ..record });
            let all = waiting(&field, &analysis, record.as_slice(), signals);
            all.into_iter().find(|one| one.address.ends_with("ZIP-2")).map(|one| (one.what, one.about))
        };
        let signal = |raised_on| {
            let mut signal = sample::signal(raised_on);
            signal.raised.of.mode = "ZIP-2".into();
            signal
        };
        let (old, new) = (signal(day(6, 2)), signal(day(11, 20)));
        assert_eq!(called(None, &[]), None, "nobody is hurt, and it is of old");
        assert_eq!(called(None, std::slice::from_ref(&old)), None, "everybody has seen it");
        let (what, about) = called(None, &[old.clone(), new.clone()]).expect("it calls");
        assert!(
            what.starts_with("Take up ") && about.ends_with("raised a signal on 20 Nov 2025"),
            "{what}, {about}"
        );
        let with = |state| Some(RecurrenceRecord { state, ..sample::record() });
        assert_eq!(called(with(RecurrenceState::TakenUp), std::slice::from_ref(&new)), None);
        let settled = |signal: &KeptSignal| {
            let at = day(8, 1).and_hms_opt(9, 0, 0).expect("a time").and_utc();
            let record = sample::record();
            let settled = record.settled.clone().map(|settled| KeptSettlement { at, ..settled });
            let record = RecurrenceRecord { state: RecurrenceState::Settled, settled, ..record };
            called(Some(record), std::slice::from_ref(signal))
        };
        assert!(settled(&new).is_some_and(|(what, _)| what.starts_with("Look again at ")));
        assert_eq!(settled(&old), None, "it was on when it was settled");
    }

    #[test]
    fn harm_that_nobody_has_taken_up_waits_and_what_is_taken_up_does_not() {
        let (field, analysis) = sample::field();
        let free = waiting(&field, &analysis, &[], &[]);
        assert_eq!(free.len(), 1);
        assert!(
            free[0].harm == Harm::NearMiss { read: true }
                && free[0].what.starts_with("Take up Front slide fastener: "),
            "{free:?}"
        );
        let standing =
            |state| waiting(&field, &analysis, &[RecurrenceRecord { state, ..sample::record() }], &[]);
        assert!(
            standing(RecurrenceState::TakenUp).is_empty() && standing(RecurrenceState::Settled).is_empty()
        );
        assert!(standing(RecurrenceState::Back)[0].what.starts_with("Look again at"));
    }
}
