//! Recurrences that want somebody: back after they were settled, with harm and nobody's, or new in these weeks.

use std::collections::HashMap;

use chrono::{Days, NaiveDate};
use domain::analysis::{Analysis, Recurrence};
use domain::change::ChangeState;
use domain::field::Field;
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

/// Those that want somebody, those with harm first. What a change is to cure already is in hand.
pub(super) fn waiting(field: &Field, analysis: &Analysis, records: &[RecurrenceRecord]) -> Vec<Waiting> {
    let kept: HashMap<_, _> =
        records.iter().map(|r| ((r.part_no.as_str(), r.mode.as_str()), r.state)).collect();
    let new_since = analysis.as_of.checked_sub_days(Days::new(NEW_DAYS)).unwrap_or(analysis.as_of);
    let mut wanted: Vec<Waiting> = Vec::new();
    for r in &analysis.recurrences {
        let key = (&field.part_names[r.part], &*field.modes[r.mode].code);
        let state = kept.get(&key).copied().unwrap_or(RecurrenceState::Standing);
        let since = since(field, r);
        let verb = match state {
            RecurrenceState::Back => "Look again at",
            RecurrenceState::Standing if is_in_hand(field, r) => continue,
            RecurrenceState::Standing if harm_words(r).is_some() || since >= Some(new_since) => "Take up",
            RecurrenceState::Standing | RecurrenceState::TakenUp | RecurrenceState::Settled => continue,
        };
        wanted.push(one(field, r, verb, since));
    }
    let more = wanted.len().saturating_sub(MOST) as u64;
    wanted.truncate(MOST);
    if more > 0 {
        wanted.push(Waiting {
            since: None,
            what: format!(
                "Look through {}",
                format::counted(more, "further recurrence", "further recurrences")
            ),
            about: "New in these weeks, or with harm, and nobody has taken them up.".to_owned(),
            address: "/recurrences".to_owned(),
            harm: Harm::None,
        });
    }
    wanted
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

/// The day on which it became a recurrence: of its second report, or of its only one, with harm.
fn since(field: &Field, r: &Recurrence) -> Option<NaiveDate> {
    let id = r.report_ids.get(1).or_else(|| r.report_ids.first())?;
    Some(field.reports[*id].received_on.date())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::recurrences::sample;

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
