//! Whose others said an action is while somebody had its form open, said above the form.

use domain::action::Action;
use store::{Kept, User};

use crate::format;
use crate::view::Faults;

/// Who gave it to whom meanwhile, a sentence each, and what to do now.
pub(super) fn told(since: &[Kept<Action>], owners: &[User]) -> Faults {
    let mut faults = Faults::default();
    for one in since {
        let owner = owners.iter().find(|owner| Some(owner.id) == one.what.owner);
        let whose = match (owner, one.what.owner) {
            (Some(owner), _) => owner.full_name.as_str(),
            (None, Some(_)) => "somebody else",
            (None, None) => "nobody yet",
        };
        let due =
            one.what.due.map_or_else(|| "without a day".into(), |day| format!("due {}", format::date(day)));
        let at = format::moment(one.at);
        faults.add("", format::sentence(&format!("{} gave this action to {whose}, {due}, on {at}", one.by)));
    }
    let onward =
        "Below stands what you chose; nothing of it was kept. Send it again where it is right all the same.";
    faults.add("", onward);
    faults
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;
    use domain::action::ActionKind;

    use super::*;

    #[test]
    fn each_is_named_with_whom_they_gave_it_to_and_until_when() {
        let left = |owner, due: Option<&str>| Kept {
            number: "7".into(),
            what: Action {
                change_no: "2026-014".into(),
                kind: ActionKind::Drawing,
                what: "Release drawing 7".into(),
                owner,
                due: due.map(|day| day.parse().unwrap()),
                done: None,
            },
            by: "Oda Fell".into(),
            at: DateTime::from_timestamp(1_772_539_200, 0).unwrap(),
        };
        let told = told(&[left(Some(9), Some("2026-06-20")), left(None, None)], &[]).rest();
        assert_eq!(
            told[..2],
            [
                "Oda Fell gave this action to somebody else, due 20 Jun 2026, on 3 Mar 2026, 12:00 UTC.",
                "Oda Fell gave this action to nobody yet, without a day, on 3 Mar 2026, 12:00 UTC.",
            ]
        );
        assert!(told[2].starts_with("Below stands what you chose"), "{told:?}");
    }
}
