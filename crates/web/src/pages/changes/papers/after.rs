//! What was frozen, what is to be done after an approval, and what units do meanwhile, as blocks.

use documents::{Block, Cell, Column};
use domain::change::ChangeState;
use store::EvidenceSeal;

use crate::format;
use crate::pages::changes::after::After;

/// Digests by which the figures can be worked out anew.
pub(super) fn seals(seals: &[EvidenceSeal], state: ChangeState) -> Vec<Block> {
    if seals.is_empty() {
        let why = match state {
            ChangeState::Draft => {
                "Nothing is frozen yet: that comes with the submission and with the decision.".to_owned()
            }
            // What came with a pack, or was submitted before evidence was kept, has none.
            state => {
                format!("Nothing is frozen of this change, which is {state}: no evidence was kept with it.")
            }
        };
        return vec![Block::small(why)];
    }
    let row = |seal: &EvidenceSeal| {
        let on = Cell::new(format::date(seal.frozen_at.date_naive()));
        vec![Cell::new(format::titled(&seal.occasion)), on, Cell::code(&*seal.digest)]
    };
    let columns = vec![Column::content("For"), Column::content("On"), Column::share("SHA-256", 1.0)];
    let rows = seals.iter().map(row).collect();
    let caption = Some("Inputs and figures as they were".into());
    vec![
        Block::Table { caption, columns, rows },
        Block::small(
            "The command \"bartack evidence verify\" works every figure out anew from them, and says which agree.",
        ),
    ]
}

/// Actions with their owners.
pub(super) fn actions(after: &After) -> Vec<Block> {
    if after.actions.is_empty() {
        return vec![Block::small("No action is on record.")];
    }
    let rows = after.actions.iter().map(|row| {
        let done = row.done.clone().unwrap_or_else(|| "open".to_owned());
        let done = Cell::new(done).small(row.evidence.clone());
        vec![Cell::new(&*row.what), Cell::new(row.kind), Cell::new(&*row.owner), Cell::new(&*row.due), done]
    });
    let columns = vec![
        Column::share("What", 1.4),
        Column::share("Kind", 0.8),
        Column::share("Owner", 0.8),
        Column::share("Due", 0.7),
        Column::share("Done", 1.0),
    ];
    vec![Block::Table { caption: None, columns, rows: rows.collect() }]
}

/// Instructions and variances tied to the change.
pub(super) fn interim(after: &After) -> Vec<Block> {
    if after.interim.is_empty() {
        return vec![Block::small("No instruction and no variance is tied to it.")];
    }
    let rows = after.interim.iter().map(|row| {
        vec![Cell::code(&*row.number), Cell::new(&*row.what), Cell::new(&*row.concerns), Cell::new(row.holds)]
    });
    let columns = vec![
        Column::content("Number"),
        Column::share("What", 1.4),
        Column::share("Concerns", 1.2),
        Column::share("Stands", 0.7),
    ];
    vec![Block::Table { caption: None, columns, rows: rows.collect() }]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_of_a_draft_is_it_said_that_freezing_comes_with_the_submission() {
        let said = |state| format!("{:?}", seals(&[], state));
        assert!(said(ChangeState::Draft).contains("comes with the submission"));
        for &state in ChangeState::ALL.iter().filter(|state| **state != ChangeState::Draft) {
            let said = said(state);
            assert!(said.contains(&format!("which is {state}")) && !said.contains("submission"), "{said}");
        }
    }
}
