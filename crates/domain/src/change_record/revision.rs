//! The letter of the next revision of a part.

use crate::change::ChangeState;
use crate::field::{Field, PartId, RevisionId};

/// Letters not used for revisions, since they are taken for digits or other letters (drawing practice as in
/// ASME Y14.35, from memory).
const UNUSED: [char; 6] = ['I', 'O', 'Q', 'S', 'X', 'Z'];

/// The revision after this one: `A` to `B`, `H` to `J`, `Y` to `AA`. Anything that isn't such a letter gets the
/// next free number behind it (`3` to `4`, `B2` to `B3`, `draft` to `draft2`).
pub fn next_revision(revision: &str) -> String {
    let letters: Vec<char> = revision.chars().collect();
    if !letters.is_empty() && letters.iter().all(char::is_ascii_uppercase) {
        return next_letters(letters);
    }
    let digits = revision.chars().rev().take_while(char::is_ascii_digit).count();
    let (head, tail) = revision.split_at(revision.len() - digits);
    let number: u64 = tail.parse().unwrap_or(1);
    format!("{head}{}", number + 1)
}

/// What a new change of a part would go from and to: from the latest revision that things are made to, to the next one
/// that nobody has taken. A revision that is only proposed by a change not built yet is nothing to start from.
///
/// `None` for a part without such a revision.
pub fn suggested_revisions(field: &Field, part: PartId) -> Option<(String, String)> {
    let revisions = &field.parts[part].revisions;
    let only_proposed = |revision: RevisionId| {
        field
            .changes
            .rows()
            .iter()
            .any(|change| change.to == revision && !change.state.is_some_and(ChangeState::is_built))
            && !field.lots.rows().iter().any(|lot| lot.revision == revision)
    };
    let from = revisions.iter().rev().find(|&&revision| !only_proposed(revision))?;
    let name = |revision: RevisionId| &*field.revisions[revision].revision;
    let mut to = next_revision(name(*from));
    while revisions.iter().any(|&revision| name(revision) == to) {
        to = next_revision(&to);
    }
    Some((name(*from).to_owned(), to))
}

fn next_letters(mut letters: Vec<char>) -> String {
    let used: Vec<char> = ('A'..='Z').filter(|c| !UNUSED.contains(c)).collect();
    for at in (0..letters.len()).rev() {
        if let Some(next) = used.iter().find(|c| **c > letters[at]) {
            letters[at] = *next;
            return letters.into_iter().collect();
        }
        letters[at] = 'A';
    }
    letters.push('A');
    letters.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::change::Change;
    use crate::nouns::{builder, change, part};

    #[test]
    fn letters_that_look_like_digits_are_skipped() {
        let next = ["A", "H", "N", "P", "R", "W", "Y", "AY"].map(next_revision);
        assert_eq!(next, ["B", "J", "P", "R", "T", "Y", "AA", "BA"]);
    }

    #[test]
    fn a_second_draft_starts_from_what_is_made_and_takes_a_letter_nobody_has() {
        let mut b = builder();
        for revision in ["A", "B"] {
            b.part(&part("ZIP-9", revision, "ZIP")).expect("new");
        }
        let draft = Change { state: Some(ChangeState::Draft), ..change("2026-001", "ZIP-9") };
        let part = |field: &Field| field.part_names.find("ZIP-9").expect("known");
        let without = b.clone().build();
        let made = ("B".to_owned(), "C".to_owned());
        assert_eq!(suggested_revisions(&without, part(&without)), Some(made));
        b.change(&draft).expect("known revisions");
        let with = b.build();
        let proposed = ("A".to_owned(), "C".to_owned());
        assert_eq!(suggested_revisions(&with, part(&with)), Some(proposed));
    }

    #[test]
    fn other_styles_count_on() {
        assert_eq!(["3", "B2", "draft", ""].map(next_revision), ["4", "B3", "draft2", "2"]);
    }
}
