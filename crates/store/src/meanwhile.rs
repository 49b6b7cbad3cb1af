//! What was decided about a report while somebody had its sheet open.

use chrono::{DateTime, Utc};
use serde_json::Value as Json;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal;
use crate::overtaken::About;
use crate::sorting::{SET_ASIDE, SORT, UNDO};

/// How the journal names what a unit says to a question, and what a unit is told.
const ANSWER: &str = "answer";

/// One decision about a report, or what its unit said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meanwhile {
    /// Who, as the journal names them.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// What.
    pub what: Decided,
}

/// What was decided.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Decided {
    /// It was sorted.
    Sorted {
        /// The part.
        part_no: String,
        /// The mode.
        mode: String,
    },
    /// It was set aside.
    SetAside {
        /// Why.
        reason: String,
    },
    /// The decision before was taken back.
    TakenBack,
    /// Its unit was answered.
    Answered,
    /// Its unit said something to a question.
    Heard,
}

/// What overtakes a decision about a report. Questions don't: they decide nothing, and stay whatever is decided.
pub(crate) fn about(report_ref: &str) -> About<'_> {
    About {
        noun: "report",
        nouns: &["report", "answer", "question"],
        key: report_ref,
        acts: &[SORT, SET_ASIDE, UNDO, ANSWER],
    }
}

impl Store {
    /// What was decided about a report after what was shown, in its order.
    ///
    /// # Errors
    /// [`StoreError::Corrupt`] where an entry of the journal can't be read.
    pub async fn decided_since(&self, report_ref: &str, shown: i64) -> Result<Vec<Meanwhile>> {
        let entries = about(report_ref).since(self.reader(), shown).await?;
        entries.into_iter().map(meanwhile).collect()
    }
}

fn meanwhile(entry: journal::Model) -> Result<Meanwhile> {
    let what = match (entry.noun.as_str(), entry.act.as_str()) {
        ("question", _) => Decided::Heard,
        (_, ANSWER) => Decided::Answered,
        (_, UNDO) => Decided::TakenBack,
        (_, SET_ASIDE) => Decided::SetAside { reason: after(&entry, "/handling/set_aside_reason")? },
        _ => Decided::Sorted {
            part_no: after(&entry, "/report/part_no")?,
            mode: after(&entry, "/report/mode")?,
        },
    };
    Ok(Meanwhile { by: entry.actor, at: entry.at, what })
}

/// A text of the state that an entry left.
fn after(entry: &journal::Model, pointer: &str) -> Result<String> {
    let state = entry.after.as_deref().and_then(|after| serde_json::from_str::<Json>(after).ok());
    let text = state.as_ref().and_then(|state| state.pointer(pointer)).and_then(Json::as_str);
    text.map(str::to_owned).ok_or_else(|| StoreError::Corrupt {
        table: "journal",
        column: "after",
        id: entry.id.to_string(),
    })
}
