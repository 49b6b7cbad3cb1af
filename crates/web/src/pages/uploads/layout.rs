//! What the columns of a list mean: proposed, chosen by the sender, and remembered for the next list.

use std::collections::BTreeMap;

use domain::permission::Actor;
use domain::upload::{Column, DateOrder, Told, order_told, plain_heading, propose};
use serde::{Deserialize, Serialize};

use super::sender::Sender;
use crate::error::AppError;
use crate::pages::records::Sent;
use crate::secrets::digest_hex;
use crate::state::AppState;
use crate::upload::Table;

/// Headings that are remembered of one sender.
const MOST_REMEMBERED: usize = 200;

/// What the columns mean.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Layout {
    /// For each heading what it says, if anything of ours.
    pub(super) columns: Vec<Option<Column>>,
    /// In which order dates are written, where that was said.
    pub(super) order: Option<DateOrder>,
    /// The unit of every row, where the sender chose one.
    pub(super) unit: String,
}

/// What is remembered of a sender's lists.
#[derive(Default, Serialize, Deserialize)]
struct Remembered {
    columns: BTreeMap<String, String>,
    order: Option<String>,
}

fn setting(sender: &Sender) -> String {
    format!("list layout {}", sender.key)
}

async fn remembered(state: &AppState, sender: &Sender) -> Result<Remembered, AppError> {
    let kept = state.store().find_setting(&setting(sender)).await?;
    // A layout that can't be read is as good as none: the sender chooses again.
    Ok(kept.and_then(|kept| serde_json::from_str(&kept).ok()).unwrap_or_default())
}

impl Layout {
    /// As the sender chose, or as proposed where nothing was chosen yet.
    pub(super) async fn of(
        state: &AppState,
        sender: &Sender,
        table: &Table,
        sent: &Sent,
    ) -> Result<Self, AppError> {
        let unit = sender.unit.clone().unwrap_or_else(|| sent.get("unit").to_owned());
        if sent.get("chosen") == "yes" {
            let chosen = |at: usize| sent.get(&format!("c{at}")).parse().ok();
            let mut columns: Vec<Option<Column>> = (0..table.headings.len()).map(chosen).collect();
            if sender.unit.is_some() {
                forget_unit(&mut columns);
            }
            return Ok(
                Self { columns, order: None, unit }.with_order(table, || sent.get("order").parse().ok())
            );
        }
        let known = remembered(state, sender).await?;
        let learned = known.columns.into_iter().map(|(heading, word)| (heading, word.parse().ok())).collect();
        let mut columns = propose(&table.headings, &learned);
        if sender.unit.is_some() {
            forget_unit(&mut columns);
        }
        // What was said last time is proposed where the dates themselves leave it open.
        let last_time = || known.order.and_then(|word| word.parse().ok());
        Ok(Self { columns, order: None, unit }.with_order(table, last_time))
    }

    /// With the order in which the dates of a list are written: as they tell it, else as it was said.
    fn with_order(self, table: &Table, said: impl FnOnce() -> Option<DateOrder>) -> Self {
        let order = match self.told(table) {
            Told::By(order) => Some(order),
            Told::Either => said(),
            Told::NotNeeded | Told::Mixed => None,
        };
        Self { order, ..self }
    }

    /// Where a column stands.
    pub(super) fn place(&self, column: Column) -> Option<usize> {
        self.columns.iter().position(|chosen| *chosen == Some(column))
    }

    /// A column that two headings were chosen for.
    pub(super) fn double(&self) -> Option<Column> {
        let count = |column| self.columns.iter().filter(|chosen| **chosen == Some(column)).count();
        Column::ALL.iter().copied().find(|column| count(*column) > 1)
    }

    /// Columns without which no row can be read.
    pub(super) fn missing(&self) -> Vec<Column> {
        let lacks = |column: &Column| column.is_needed() && self.place(*column).is_none();
        Column::ALL.iter().copied().filter(lacks).collect()
    }

    /// What the dates of a list tell of their order.
    pub(super) fn told(&self, table: &Table) -> Told {
        let Some(place) = self.place(Column::FoundOn) else { return Told::NotNeeded };
        let cells = table.rows.iter().filter_map(|row| row.cells.as_ref().ok()?.get(place));
        order_told(cells.map(String::as_str))
    }

    /// By which a sending is held against what was looked at.
    pub(super) fn seen(&self) -> String {
        digest_hex(format!("{:?}", (&self.columns, self.order, &self.unit)).as_bytes())
    }

    /// Remembers it for the sender's next list.
    pub(super) async fn remember(
        &self,
        state: &AppState,
        by: &Actor,
        sender: &Sender,
        table: &Table,
    ) -> Result<(), AppError> {
        let mut known = remembered(state, sender).await?;
        for (heading, column) in table.headings.iter().zip(&self.columns) {
            let heading = plain_heading(heading);
            let has_room = known.columns.contains_key(&heading) || known.columns.len() < MOST_REMEMBERED;
            if !heading.is_empty() && has_room {
                known.columns.insert(heading, column.map_or("", Column::word).to_owned());
            }
        }
        known.order = self.order.map(|order| order.word().to_owned()).or(known.order);
        let text = serde_json::to_string(&known).map_err(AppError::inside)?;
        Ok(state.store().set_setting(by, state.now(), &setting(sender), &text).await?)
    }
}

/// A unit's own list is of that unit, whatever a column says.
fn forget_unit(columns: &mut [Option<Column>]) {
    for column in columns {
        *column = column.filter(|column| *column != Column::Unit);
    }
}
