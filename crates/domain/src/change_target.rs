//! By when a change is to leave where it stands: the board's time limit, the day it was to be built from, what is due.

use chrono::{DateTime, NaiveDate, Utc};

use crate::action::Action;
use crate::change::ChangeState;
use crate::class::Priority;
use crate::effectivity::{Effectivity, Stage};
use crate::target_time::Edition;

/// What a target rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TargetRule {
    /// The time the priority gives the board.
    Priority(Priority),
    /// The day from which the board approved it to be built.
    Effectivity,
    /// The action that is due first.
    Action,
}

/// A day by which a change is to leave where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Target {
    /// The day.
    pub day: NaiveDate,
    /// What it rests on.
    pub rule: TargetRule,
}

/// The target of a change where it stands; nothing where no rule sets one.
pub fn target(
    state: ChangeState,
    (submitted_at, priority, edition): (Option<DateTime<Utc>>, Option<Priority>, &Edition),
    effectivity: &[Effectivity],
    actions: &[&Action],
) -> Option<Target> {
    match state {
        ChangeState::Submitted => {
            let (priority, submitted_at) = (priority?, submitted_at?);
            // Which day it is makes no difference to the day it is due.
            let due = edition.due(priority, submitted_at, submitted_at.date_naive());
            Some(Target { day: due.on, rule: TargetRule::Priority(priority) })
        }
        ChangeState::Approved => {
            let approved = effectivity.iter().filter(|line| line.stage == Stage::Approved);
            let built = approved.filter_map(|line| line.from_date).min();
            let due =
                actions.iter().filter(|action| action.done.is_none()).filter_map(|action| action.due).min();
            // The first day that is missed holds up the rest.
            match (built, due) {
                (Some(built), Some(due)) if due <= built => {
                    Some(Target { day: due, rule: TargetRule::Action })
                }
                (Some(built), _) => Some(Target { day: built, rule: TargetRule::Effectivity }),
                (None, due) => due.map(|day| Target { day, rule: TargetRule::Action }),
            }
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::action::ActionKind;

    fn day(month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, month, day).expect("a day")
    }

    /// 30 calendar days for an urgent change: MIL-STD-973 and MIL-HDBK-61A, from memory in design 5, 4.4.
    #[test]
    fn the_board_has_the_time_of_the_priority_from_the_submission() {
        let submitted = day(3, 1).and_hms_opt(9, 0, 0).map(|at| at.and_utc());
        let of =
            |priority| target(ChangeState::Submitted, (submitted, priority, Edition::in_force()), &[], &[]);
        assert_eq!(of(Some(Priority::Urgent)).map(|target| target.day), Some(day(3, 31)));
        assert_eq!(of(None), None);
        assert_eq!(
            target(ChangeState::Draft, (submitted, Some(Priority::Urgent), Edition::in_force()), &[], &[]),
            None
        );
    }

    #[test]
    fn an_approved_change_has_what_is_due_first() {
        let line = Effectivity {
            change_no: "2026-014".into(),
            stage: Stage::Approved,
            maker: None,
            from_lot: None,
            to_lot: None,
            share_new: 1.0,
            from_date: Some(day(6, 1)),
        };
        let action = Action {
            change_no: "2026-014".into(),
            kind: ActionKind::Drawing,
            what: "Release drawing 7".into(),
            owner: None,
            due: Some(day(4, 1)),
            done: None,
        };
        let of = |lines: &[Effectivity], actions: &[&Action]| {
            target(ChangeState::Approved, (None, None, Edition::in_force()), lines, actions)
                .map(|target| (target.day, target.rule))
        };
        assert_eq!(of(std::slice::from_ref(&line), &[&action]), Some((day(4, 1), TargetRule::Action)));
        assert_eq!(of(&[line], &[]), Some((day(6, 1), TargetRule::Effectivity)));
        assert_eq!(of(&[], &[]), None);
    }
}
