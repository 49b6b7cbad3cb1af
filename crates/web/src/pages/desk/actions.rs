//! Actions that wait for their owner: what is to be done for a change, and how late it is.

use chrono::NaiveDate;
use store::KeptAction;

use super::{Harm, Waiting};
use crate::format;
use crate::pages::changes::after::overdue;

/// Open actions of one person.
pub(super) fn waiting(person: i64, actions: &[KeptAction], today: NaiveDate) -> Vec<Waiting> {
    let own = actions.iter().filter(|one| one.action.owner == Some(person) && one.action.done.is_none());
    own.map(|one| Waiting {
        since: Some(one.at.date_naive()),
        what: format!("Act for change {}: {}", one.action.change_no, one.action.kind.word()),
        about: about(one, today),
        address: format!("/actions/{}/done", one.id),
        harm: Harm::None,
    })
    .collect()
}

fn about(one: &KeptAction, today: NaiveDate) -> String {
    let what = one.action.what.trim_end_matches('.');
    match (overdue(one, today), one.action.due) {
        (Some(late), Some(due)) => {
            format!("{what}. {}: it was due {}.", format::titled(&late), format::date(due))
        }
        (_, Some(due)) => format!("{what}. Due {}.", format::date(due)),
        (_, None) => format!("{what}."),
    }
}

#[cfg(test)]
mod tests {
    use domain::action::{Action, ActionKind, Done};

    use super::*;

    #[test]
    fn only_what_is_open_and_their_own_waits_for_somebody_and_lateness_is_said() {
        let day = |day| NaiveDate::from_ymd_opt(2026, 3, day).unwrap();
        let one = |id, owner, done| KeptAction {
            id,
            action: Action {
                change_no: "2026-014".into(),
                kind: ActionKind::Drawing,
                what: "Release drawing 7.".into(),
                owner,
                due: Some(day(1)),
                done,
            },
            owner_name: None,
            at: chrono::DateTime::from_timestamp(1_771_000_000, 0).unwrap(),
        };
        let done = Done { on: day(2), evidence: "DR-7".into() };
        let all =
            [one(1, Some(7), None), one(2, Some(8), None), one(3, None, None), one(4, Some(7), Some(done))];
        let waiting = waiting(7, &all, day(3));
        assert_eq!(waiting.len(), 1);
        assert_eq!(waiting[0].about, "Release drawing 7. Overdue by 2 days: it was due 1 Mar 2026.");
        assert_eq!(waiting[0].address, "/actions/1/done");
    }
}
