//! What is worked out beside a record's own figures, as blocks: what the grams mean, what the evidence comes to, how the
//! options of retrofit compare.

use documents::{Align, Block, Cell, Column};

use crate::format::MassUnit;
use crate::pages::changes::sections::options::{OptionRow, OptionRows, suggested};
use crate::pages::changes::sections::weighed::WeighedRows;
use crate::pages::changes::view::WholeView;
use crate::paper;

/// What the grams mean to the fleet and to its lightest wearer.
pub(super) fn grams(view: &WholeView) -> Vec<Block> {
    let meaning = WeighedRows::new(&view.mass_meaning, MassUnit::Gram);
    let mut blocks: Vec<Block> = meaning.flags.into_iter().map(Block::paragraph).collect();
    blocks.push(meaning.fleet.map_or_else(
        || Block::small("No item in service has a size that was weighed before and after."),
        |fleet| Block::said("Fleet:", fleet),
    ));
    if !meaning.budgets.is_empty() {
        let rows = meaning.budgets.into_iter();
        let rows =
            rows.map(|row| vec![Cell::strong(row.size), Cell::new(row.lightest), Cell::new(row.share)]);
        blocks.push(Block::Table {
            caption: Some("Share of the lightest wearer's load budget (30\u{a0}% of body mass)".into()),
            columns: vec![
                Column::share("Size", 1.0),
                Column { align: Align::Right, ..Column::content("Lightest person it fits") },
                Column { align: Align::Right, ..Column::content("Of the budget") },
            ],
            rows: rows.collect(),
        });
    }
    blocks.extend(meaning.energy.map(|energy| Block::said("As an illustration:", energy)));
    blocks
}

/// What each kind of evidence on record comes to, under its own heading; nothing where there is none.
pub(super) fn evidence(view: &WholeView) -> Vec<Block> {
    let rows = suggested(&view.suggested, None).into_iter().map(|row| {
        let given = row.given.into_iter().map(|(word, words)| format!("{word}: {words}"));
        vec![Cell::strong(row.from), Cell::new(row.said).small(Some(given.collect::<Vec<_>>().join("; ")))]
    });
    let rows: Vec<_> = rows.collect();
    if rows.is_empty() {
        return Vec::new();
    }
    vec![Block::Table {
        caption: Some("What the evidence on record comes to".into()),
        columns: vec![Column::share("Evidence", 1.0), Column::share("What it says", 2.6)],
        rows,
    }]
}

/// How the options of retrofit compare, and what that rests on.
pub(super) fn options(view: &WholeView) -> Vec<Block> {
    let options = OptionRows::new(&view.record, &view.retrofit_options, MassUnit::Gram);
    if options.rows.is_empty() {
        return options.why_not.map(Block::paragraph).into_iter().collect();
    }
    let scale = options.axis.map(|axis| {
        vec![Cell::new("Scale"), Cell::chart(paper::chart(&axis)), Cell::default(), Cell::default()]
    });
    let table = Block::Table {
        caption: Some(options.caption),
        columns: vec![
            Column::share("Option", 1.0),
            Column::content("Failures avoided"),
            Column::share("What it asks for", 1.2),
            Column::share("Share with the change", 1.0),
        ],
        rows: scale.into_iter().chain(options.rows.into_iter().map(option)).collect(),
    };
    let rests = options.rests.into_iter().map(Block::small);
    std::iter::once(table).chain(rests).collect()
}

fn option(row: OptionRow) -> Vec<Cell> {
    let asks = format!("Items: {}; mass: {}; cost: {}", row.touched, row.grams, row.cost);
    vec![
        Cell::strong(row.words).small(row.chosen.then(|| "as proposed".to_owned())),
        Cell { text: row.avoided, ..Cell::chart(paper::chart(&row.drawn)) }.small(Some(row.left)),
        Cell::new(asks),
        Cell::new(row.full),
    ]
}
