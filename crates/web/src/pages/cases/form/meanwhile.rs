//! What others wrote on a case while somebody had its form open, said above the form.

use chrono::NaiveDate;
use store::{CaseWriting, User};

use crate::format;
use crate::view::Faults;

/// The longest value told, in characters; the case's page has the whole.
const LONGEST: usize = 300;

/// Who wrote what meanwhile, a sentence a writing, and what to do now.
pub(super) fn told(since: &[CaseWriting], owners: &[User]) -> Faults {
    let mut faults = Faults::default();
    for writing in since {
        let changed: Vec<String> =
            writing.changed.iter().filter_map(|(column, value)| said(column, value, owners)).collect();
        let what = if changed.is_empty() { "nothing was changed".to_owned() } else { changed.join("; ") };
        let says = format!("{} wrote on this case {}: {what}", writing.by, format::moment(writing.at));
        faults.add("", format::sentence(&says));
    }
    faults.add("", "Below stands what you typed: put in what is to stay of the other, and send it again.");
    faults
}

/// One thing that was changed, named as the form names it; nothing for what the form doesn't show.
fn said(column: &str, value: &str, owners: &[User]) -> Option<String> {
    let name = match column {
        "about" => "what is suspected",
        "notice_on" => "the day of the notice",
        "reply_due" => "the day the reply is due",
        "sample_maker" => "specimens to the maker",
        "sample_ours" => "specimens to us",
        "sample_referee" => "specimens to a referee",
        "replied_on" => "the day of the reply",
        "reply" => "the reply",
        "result" => "what the samples came to",
        "settled_on" => "the day of the settlement",
        "settlement" => "the settlement",
        "owner_id" => "who has it",
        _ => return None,
    };
    let owner = || owners.iter().find(|owner| column == "owner_id" && owner.id.to_string() == value);
    let value = match value.parse::<NaiveDate>() {
        Ok(day) => format::date(day),
        Err(_) => owner().map_or_else(|| short(value), |owner| owner.full_name.clone()),
    };
    Some(if value.is_empty() {
        format!("{name} was taken out")
    } else {
        format!("{name} is now “{value}”")
    })
}

fn short(value: &str) -> String {
    let mut short: String = value.chars().take(LONGEST).collect();
    if short.len() < value.len() {
        short.push_str(" ...");
    }
    short
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;

    use super::*;

    #[test]
    fn each_writing_is_a_sentence_that_names_what_the_form_shows() {
        let changed = [("reply", "We test ours."), ("reply_due", "2026-06-20"), ("result", ""), ("id", "7")];
        let since = CaseWriting {
            by: "Oda Fell".into(),
            at: DateTime::from_timestamp(1_772_539_200, 0).unwrap(),
            changed: changed.map(|(column, value)| (column.to_owned(), value.to_owned())).into(),
        };
        let told = told(&[since], &[]).rest();
        assert_eq!(
            told[0],
            "Oda Fell wrote on this case 3 Mar 2026, 12:00 UTC: the reply is now “We test ours.”; the day the \
             reply is due is now “20 Jun 2026”; what the samples came to was taken out."
        );
        assert!(told[1].starts_with("Below stands what you typed"), "{told:?}");
    }
}
