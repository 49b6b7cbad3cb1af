//! Change records: what the engineer argues, section by section, under one version number.

mod accomplish;
mod answers;
mod cut_in;
pub(crate) mod decision;
mod documents;
mod draft;
mod edit;
mod gathered;
mod plan;
mod proposed;
mod remarks;
mod rows;
mod since;
mod text;

pub use answers::{CriterionAnswer, RequirementAnswer};
pub use decision::{Basis, Decision, NewDecision, Shown};
pub use documents::AffectedDocument;
pub use draft::NewChange;
pub use edit::RecordEdit;
pub use plan::Argued;
pub use remarks::{Enclosure, EnclosureFacts, NewEnclosure, Remark};
pub use since::NewReports;
pub use text::TextRevision;

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::change::{Change, ChangeState};
use domain::change_record::{NotAllowed, Prediction, Retrofit};
use domain::class::{Justification, Priority};
use domain::effectivity::Effectivity;
use sea_orm::entity::prelude::*;

use self::gathered::{record_of, records_of};
use crate::change;
use crate::connect::Store;
use crate::error::Result;
use crate::proof_plan::ApprovedPlan;
use crate::stored::{Stored as _, find, list};

/// A change with everything said about it.
#[derive(Clone, Debug, PartialEq)]
pub struct ChangeRecord {
    /// What a pack carries of it.
    pub change: Change,
    /// What was written here; `None` for a change that came with a pack.
    pub body: Option<RecordBody>,
    /// Where it takes effect, all three stages.
    pub effectivity: Vec<Effectivity>,
    /// The class check list, answered lines.
    pub criteria: Vec<CriterionAnswer>,
    /// Requirements that a person answered.
    pub answers: Vec<RequirementAnswer>,
    /// What the board decided, oldest first.
    pub decisions: Vec<Decision>,
    /// What it says beyond its body: part numbers, documents, costs, remarks, enclosures.
    pub argued: Argued,
    /// How it is to be proved, once it was approved.
    pub plan: Option<ApprovedPlan>,
    /// Since when it stands where it stands.
    pub since: Option<DateTime<Utc>>,
}

/// What the engineer wrote.
#[derive(Clone, Debug, PartialEq)]
pub struct RecordBody {
    /// The part and mode of the recurrence it answers.
    pub recurrence: Option<(String, String)>,
    /// Why it is needed.
    pub problem: String,
    /// What changes.
    pub description: String,
    /// Failures after, against before.
    pub prediction: Option<Prediction>,
    /// What happens to issued items.
    pub retrofit: Option<Retrofit>,
    /// ... in words.
    pub retrofit_note: Option<String>,
    /// How soon it must be decided.
    pub priority: Option<Priority>,
    /// Why it is made.
    pub justification: Option<Justification>,
    /// What it costs.
    pub cost_note: Option<String>,
    /// Who drafted it.
    pub drafted_by: Option<i64>,
    /// Their name.
    pub drafted_by_name: Option<String>,
    /// When.
    pub drafted_at: DateTime<Utc>,
    /// When it last went to the board.
    pub submitted_at: Option<DateTime<Utc>>,
    /// How often it went to the board: revision 1 is the first submission.
    pub revision: u32,
    /// Goes up with every edit; an edit names the version it started from.
    pub version: i64,
}

impl Store {
    /// A change with its record.
    pub async fn find_change_record(&self, change_no: &str) -> Result<Option<ChangeRecord>> {
        let Some(change) = self.find_change(change_no).await? else { return Ok(None) };
        Ok(Some(record_of(self.reader(), change).await?))
    }

    /// All changes with their records, in the order they came.
    pub async fn list_change_records(&self) -> Result<Vec<ChangeRecord>> {
        let snapshot = self.snapshot().await?;
        let changes = list::<change::Entity>(&snapshot).await?;
        records_of(&snapshot, changes).await
    }

    /// Changes of one part with their records, in the order they came.
    pub async fn change_records_of_part(&self, part_no: &str) -> Result<Vec<ChangeRecord>> {
        let snapshot = self.snapshot().await?;
        let rows = find::<change::Entity>().filter(change::Column::PartNo.eq(part_no)).all(&snapshot).await?;
        let changes = rows.into_iter().map(change::Entity::noun).collect::<Result<_>>()?;
        records_of(&snapshot, changes).await
    }
}

/// Where a change stands.
pub(crate) async fn state(db: &impl ConnectionTrait, change_no: &str) -> Result<ChangeState> {
    let row = need(db, change_no).await?;
    Ok(change::Entity::noun(row)?.state.unwrap_or(ChangeState::Draft))
}

/// Fails where a record is before the board or past it: what it rests on is frozen. A change without a record has none.
pub(crate) async fn need_open(db: &impl ConnectionTrait, change_no: &str) -> Result<()> {
    let from = state(db, change_no).await?;
    let written = rows::Entity::find_by_id(change_no.to_owned()).one(db).await?;
    if written.is_some() && !from.is_open() {
        return Err(NotAllowed { from, to: ChangeState::Draft }.into());
    }
    Ok(())
}

/// Who drafted each change.
pub(crate) async fn drafters(db: &impl ConnectionTrait) -> Result<HashMap<String, i64>> {
    let rows = rows::Entity::find().all(db).await?;
    Ok(rows.into_iter().filter_map(|row| Some((row.change_no, row.drafted_by?))).collect())
}

/// The visible row of a change, for a transaction that alters it.
pub(crate) async fn need(db: &impl ConnectionTrait, change_no: &str) -> Result<change::Model> {
    let row = crate::stored::find::<change::Entity>()
        .filter(change::Column::ChangeNo.eq(change_no))
        .one(db)
        .await?;
    row.ok_or_else(|| crate::error::StoreError::missing("change", change_no))
}
