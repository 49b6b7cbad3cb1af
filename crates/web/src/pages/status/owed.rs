//! Who owes the next step of a change, what it is, and by when it is to be taken.

use std::collections::HashMap;

use chrono::NaiveDate;
use domain::action::Action;
use domain::change::Wait;
use domain::change_target::{Target, TargetRule, target};
use domain::target_time::Edition;
use store::KeptAction;

use super::line::Line;
use crate::error::AppError;
use crate::format;
use crate::state::AppState;

/// Who has what to do.
#[derive(Default)]
pub(crate) struct Duties {
    actions: Vec<KeptAction>,
    holders: HashMap<String, i64>,
    names: HashMap<i64, String>,
}

/// The next step of a change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Owed {
    /// What is to be done.
    pub(crate) next: String,
    /// By whom; nobody where nothing is left.
    pub(crate) who: String,
    /// By when.
    pub(crate) target: Option<Target>,
    /// The edition of the board's time.
    pub(crate) edition: &'static Edition,
}

impl Duties {
    /// Everybody's.
    pub(crate) async fn find(state: &AppState) -> Result<Self, AppError> {
        let users = state.store().list_users().await?;
        Ok(Self {
            actions: state.store().list_actions(None).await?,
            holders: state.store().change_holders().await?,
            names: users.into_iter().map(|user| (user.id, user.full_name)).collect(),
        })
    }

    /// The next step of a change.
    pub(crate) fn of(&self, line: &Line<'_>) -> Owed {
        let change_no = &line.record.change.change_no;
        let mut open: Vec<&KeptAction> = self
            .actions
            .iter()
            .filter(|one| one.action.change_no == *change_no && one.action.done.is_none())
            .collect();
        // What has no day is done after what has one.
        open.sort_by_key(|one| (one.action.due.is_none(), one.action.due, one.id));
        let body = line.record.body.as_ref();
        let submitted = body.and_then(|body| body.submitted_at);
        let named = line.record.argued.priority_edition.as_deref();
        let edition = named.and_then(|name| Edition::find(name).ok()).unwrap_or_else(Edition::in_force);
        let actions: Vec<&Action> = open.iter().map(|one| &one.action).collect();
        let priority = body.and_then(|body| body.priority);
        let target = target(line.state, (submitted, priority, edition), &line.record.effectivity, &actions);
        let wait = line.wait();
        if let (Some(Wait::CutIn), Some(first)) = (wait, open.first()) {
            let who = first.owner_name.clone().unwrap_or_else(|| "nobody yet".to_owned());
            return Owed { next: first.action.what.clone(), who, target, edition };
        }
        let holder = self.holders.get(change_no).and_then(|id| self.names.get(id)).cloned();
        let who = match wait {
            None => "nobody".to_owned(),
            Some(Wait::Answer | Wait::NextStep | Wait::Draft) => {
                holder.unwrap_or_else(|| "the engineer".to_owned())
            }
            Some(Wait::Settlement) => {
                let owner = line.unsettled.as_ref().and_then(|unsettled| unsettled.owner.clone());
                owner.unwrap_or_else(|| "nobody yet".to_owned())
            }
            Some(wait) => wait.whom().to_owned(),
        };
        let next = match &line.unsettled {
            Some(unsettled) => unsettled.step(),
            None => wait.map_or("nothing", Wait::what).to_owned(),
        };
        Owed { next, who, target, edition }
    }
}

impl Owed {
    /// By when, in words, and whether it is past.
    pub(crate) fn target_words(&self, today: NaiveDate) -> Option<(String, bool)> {
        let Target { day, rule } = self.target?;
        let by = match rule {
            TargetRule::Priority(priority) => {
                let days = format::counted(u64::from(self.edition.days(priority)), "day", "days");
                format!("{days} for {}", priority.words())
            }
            TargetRule::Effectivity => "as approved".to_owned(),
            TargetRule::Action => "as the action is due".to_owned(),
        };
        let late = (today - day).num_days();
        Some(if late > 0 {
            let days = format::counted(late.unsigned_abs(), "day", "days");
            (format!("{days} past its target of {}, {by}", format::date(day)), true)
        } else {
            (format!("target {}, {by}", format::date(day)), false)
        })
    }
}

#[cfg(test)]
mod tests {
    use domain::change::ChangeState;
    use store::ChangeRecord;

    use super::super::line::Unsettled;
    use super::*;
    use crate::testing::change_record;

    fn line(record: &ChangeRecord) -> Line<'_> {
        let state = record.change.state.unwrap();
        Line { record, state, since: None, result: None, risk: None, unsettled: None }
    }

    #[test]
    fn an_approved_change_owes_its_first_open_action_and_its_owner_is_named() {
        let day = |day| NaiveDate::from_ymd_opt(2026, 3, day).unwrap();
        let one = |id, what: &str, due, owner_name: Option<&str>| KeptAction {
            id,
            action: Action {
                change_no: "2026-014".into(),
                kind: domain::action::ActionKind::Drawing,
                what: what.into(),
                owner: None,
                due,
                done: None,
            },
            owner_name: owner_name.map(Into::into),
            at: chrono::DateTime::from_timestamp(1_771_000_000, 0).unwrap(),
        };
        let actions = vec![one(1, "Spares", None, None), one(2, "Drawing", Some(day(1)), Some("Oda Fell"))];
        let duties = Duties { actions, ..Duties::default() };
        let approved = change_record(ChangeState::Approved);
        let owed = duties.of(&line(&approved));
        assert_eq!((owed.next.as_str(), owed.who.as_str()), ("Drawing", "Oda Fell"));
        let says = owed.target_words(day(4)).unwrap();
        assert_eq!(says, ("3 days past its target of 1 Mar 2026, as the action is due".to_owned(), true));
    }

    #[test]
    fn a_draft_is_owed_by_who_has_it_and_a_proved_change_by_nobody() {
        let holders = HashMap::from([("2026-014".to_owned(), 7)]);
        let duties =
            Duties { holders, names: HashMap::from([(7, "Tove Bight".to_owned())]), ..Duties::default() };
        assert_eq!(duties.of(&line(&change_record(ChangeState::Draft))).who, "Tove Bight");
        let done = duties.of(&line(&change_record(ChangeState::Proved)));
        assert_eq!((done.next.as_str(), done.who.as_str(), done.target), ("nothing", "nobody", None));
    }

    #[test]
    fn a_proved_change_owes_the_settlement_of_its_recurrence_and_its_owner_is_named() {
        let proved = change_record(ChangeState::Proved);
        let unsettled = |owner: Option<&str>, is_back| Unsettled {
            what: "front slide fastener: chain split".into(),
            address: "/recurrences/RC-131/ZIP-1".into(),
            owner: owner.map(Into::into),
            owner_id: owner.map(|_| 1),
            is_back,
        };
        let owed = |unsettled| {
            let line = Line { unsettled: Some(unsettled), ..line(&proved) };
            assert_eq!(line.wait(), Some(Wait::Settlement));
            let owed = Duties::default().of(&line);
            (owed.next, owed.who)
        };
        let settle = "settle the recurrence of front slide fastener: chain split";
        assert_eq!(owed(unsettled(Some("Oda Fell"), false)), (settle.into(), "Oda Fell".into()));
        let (again, who) = owed(unsettled(None, true));
        assert!(again.starts_with("look again at the recurrence") && who == "nobody yet", "{again}, {who}");
    }
}
