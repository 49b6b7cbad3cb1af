//! What stands beside the proof on paper: the plan, other modes, and how much units tell.

use documents::{Block, Cell, Column};

use crate::pages::changes::proof::ProofWords;

/// The blocks, in the order of the page.
pub(super) fn blocks(words: ProofWords) -> Vec<Block> {
    let mut found: Vec<Block> =
        [words.still, words.plan, words.mixed].into_iter().flatten().map(Block::paragraph).collect();
    if !words.modes.is_empty() {
        let rows = words.modes.into_iter().map(|mode| {
            let name =
                if mode.rises { Cell::strong(format!("{}: rises", mode.name)) } else { Cell::new(mode.name) };
            vec![name, Cell::new(mode.before), Cell::new(mode.after), Cell::new(mode.ratio)]
        });
        found.push(Block::Table {
            caption: Some("Other ways in which the part fails, at equal age".into()),
            columns: vec![
                Column::share("Mode", 1.0),
                Column::share("Before", 1.4),
                Column::share("After", 1.4),
                Column::share("Ratio", 1.0),
            ],
            rows: rows.collect(),
        });
    }
    found.extend(words.told.map(Block::small));
    found.extend(words.telling.lead.map(|lead| Block::said("How much of it is reported:", lead)));
    found.extend(words.telling.more.into_iter().map(Block::small));
    if !words.telling.stopped.is_empty() {
        let rows = words.telling.stopped.into_iter().map(|unit| {
            vec![Cell::new(unit.unit), Cell::new(unit.before), Cell::new(unit.found), Cell::new(unit.holds)]
        });
        found.push(Block::Table {
            caption: Some(
                "Units without a report since the cut-in, though inspections since found failures".into(),
            ),
            columns: vec![
                Column::share("Unit", 2.0),
                Column::share("Sent before", 1.0),
                Column::share("Found since", 1.0),
                Column::share("Holds now", 1.0),
            ],
            rows: rows.collect(),
        });
    }
    found.extend(
        (!words.silent.is_empty())
            .then(|| Block::said("Silent about the old part:", format!("{}.", words.silent.join(". ")))),
    );
    found
}
