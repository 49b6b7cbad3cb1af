//! Whether books still balance with a pack added: what `--strict` asks before anything is written.

use std::collections::{BTreeSet, HashMap};

use chrono::NaiveDate;
use domain::event::Event;
use domain::field::{Field, FieldBuilder};
use domain::ledger::{Discrepancy, TakeOrder, fold};
use domain::movement::Movement;
use domain::pack::{Known, Record, Table};
use domain::words::Problem;
use store::Books;

use super::batch::Batch;
use super::gather::add;
use super::read::{RefusedRow, Sink, Stopped};
use super::refusal::Refusal;

/// Rows without a key, each counted: as many of a pack's as the books have are the same rows sent twice.
#[derive(Default)]
struct Ordinals(HashMap<String, usize>);

impl Ordinals {
    fn note(&mut self, row: String) {
        *self.0.entry(row).or_default() += 1;
    }

    fn is_new(&mut self, row: &str) -> bool {
        match self.0.get_mut(row) {
            Some(count) if *count > 0 => {
                *count -= 1;
                false
            }
            _ => true,
        }
    }
}

/// The ledger's side of the books, to which a pack is added.
pub(crate) struct Balance {
    known: Known,
    builder: FieldBuilder,
    before: Field,
    movements: Ordinals,
    events: Ordinals,
    unfit: Option<Problem>,
}

fn movement_key(movement: &Movement) -> String {
    movement.row_ref.clone().unwrap_or_else(|| format!("{movement:?}"))
}

fn event_key(event: &Event) -> String {
    format!("{event:?}")
}

impl Balance {
    /// Reads what the ledger rests on.
    pub(crate) async fn of(books: &Books, known: Known) -> store::Result<Self> {
        let mut builder = FieldBuilder::new(&books.catalogue().await?);
        let (movements, events) = (books.movements().await?, books.events().await?);
        let (mut seen_movements, mut seen_events) = (Ordinals::default(), Ordinals::default());
        for movement in &movements {
            seen_movements.note(movement_key(movement));
        }
        for event in &events {
            seen_events.note(event_key(event));
        }
        builder.add_kept(&books.units().await?, FieldBuilder::unit);
        builder.add_kept(&books.parts().await?, FieldBuilder::part);
        builder.add_kept(&books.components().await?, FieldBuilder::component);
        builder.add_kept(&books.lots().await?, FieldBuilder::lot);
        builder.add_kept(&books.serials().await?, FieldBuilder::serial);
        builder.add_kept(&movements, FieldBuilder::movement);
        builder.add_kept(&events, FieldBuilder::event);
        let before = builder.clone().build();
        Ok(Self { known, builder, before, movements: seen_movements, events: seen_events, unfit: None })
    }

    /// What doesn't balance with the pack's rows added and did without.
    pub(crate) fn refusals(self, today: NaiveDate) -> Vec<Refusal> {
        let file = Table::Movements.file();
        if let Some(problem) = self.unfit {
            return vec![Refusal::of_file(file, problem.to_string())];
        }
        let found = |field: &Field| -> BTreeSet<Discrepancy> {
            fold(field, today.into(), TakeOrder::OldestFirst).discrepancies.into_iter().collect()
        };
        let (before, after) = (found(&self.before), self.builder.build());
        found(&after).difference(&before).map(|one| Refusal::of_file(&file, one.in_words(&after))).collect()
    }

    fn new_rows<T: Record>(&self, rows: Vec<T>) -> Vec<T> {
        rows.into_iter().filter(|row| row.is_known(&self.known) != Some(true)).collect()
    }
}

impl Sink for Balance {
    fn take(&mut self, batch: Batch, _lines: Vec<u64>) -> Result<(), Stopped> {
        let new = match batch {
            Batch::Units(rows) => Batch::Units(self.new_rows(rows)),
            Batch::Parts(rows) => Batch::Parts(self.new_rows(rows)),
            Batch::Lots(rows) => Batch::Lots(self.new_rows(rows)),
            Batch::Movements(mut rows) => {
                rows.retain(|movement| self.movements.is_new(&movement_key(movement)));
                Batch::Movements(rows)
            }
            Batch::Events(mut rows) => {
                rows.retain(|event| self.events.is_new(&event_key(event)));
                Batch::Events(rows)
            }
            other @ (Batch::Structure(_) | Batch::Serials(_)) => other,
            _ => return Ok(()),
        };
        add(&mut self.builder, &new).map_err(|problem| {
            self.unfit = Some(problem);
            Stopped
        })
    }

    fn refuse(&mut self, _refused: RefusedRow<'_>) {}

    fn refuse_file(&mut self, _table: Table, _why: &str) {}
}
