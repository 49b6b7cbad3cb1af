//! Everything said about many changes, read table by table and put together in memory: a list costs as many readings as a
//! single record.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::change::Change;
use domain::effectivity::Effectivity;
use sea_orm::entity::prelude::*;

use super::{
    Argued, ChangeRecord, CriterionAnswer, Decision, RecordBody, RequirementAnswer, answers, decision, plan,
    rows,
};
use crate::error::Result;
use crate::proof_plan::ApprovedPlan;
use crate::{effectivity, proof_plan, user};

/// Changes asked for in one statement: databases take only so many values.
const AT_ONCE: usize = 1_000;

/// What several rows of a table say, by the number of the change.
pub(super) type ByChange<T> = HashMap<String, Vec<T>>;

/// Rows by the number of their change, each change's in the order in which they came.
pub(super) fn by_change<R, T>(rows: Vec<R>, read: impl Fn(R) -> Result<(String, T)>) -> Result<ByChange<T>> {
    let mut by_change = ByChange::new();
    for row in rows {
        let (change_no, said) = read(row)?;
        by_change.entry(change_no).or_default().push(said);
    }
    Ok(by_change)
}

/// What was read, by the number of the change.
struct Gathered {
    bodies: HashMap<String, RecordBody>,
    effectivity: ByChange<Effectivity>,
    criteria: ByChange<CriterionAnswer>,
    answers: ByChange<RequirementAnswer>,
    decisions: ByChange<Decision>,
    argued: HashMap<String, Argued>,
    plans: HashMap<String, ApprovedPlan>,
    since: HashMap<String, DateTime<Utc>>,
}

impl Gathered {
    async fn read(db: &impl ConnectionTrait, changes: &[String]) -> Result<Self> {
        let people = user::names(db).await?;
        let lines = effectivity::of_changes(db, changes).await?;
        Ok(Self {
            bodies: rows::bodies_of(db, changes, &people).await?,
            effectivity: by_change(lines, |line| Ok((line.change_no.clone(), line)))?,
            criteria: answers::criteria_of(db, changes).await?,
            answers: answers::answers_of(db, changes).await?,
            decisions: decision::of_changes(db, changes, &people).await?,
            argued: plan::argued(db, changes).await?,
            plans: proof_plan::of_changes(db, changes).await?,
            since: rows::stand_since(db, changes).await?,
        })
    }

    /// What was read of one change, taken out.
    fn take(&mut self, change: Change) -> ChangeRecord {
        let no = change.change_no.as_str();
        ChangeRecord {
            body: self.bodies.remove(no),
            effectivity: self.effectivity.remove(no).unwrap_or_default(),
            criteria: self.criteria.remove(no).unwrap_or_default(),
            answers: self.answers.remove(no).unwrap_or_default(),
            decisions: self.decisions.remove(no).unwrap_or_default(),
            argued: self.argued.remove(no).unwrap_or_default(),
            plan: self.plans.remove(no),
            since: self.since.remove(no),
            change,
        }
    }
}

/// Everything said about a change.
pub(super) async fn record_of(db: &impl ConnectionTrait, change: Change) -> Result<ChangeRecord> {
    let no = change.change_no.clone();
    Ok(Gathered::read(db, &[no]).await?.take(change))
}

/// Everything said about some changes, in their order.
pub(super) async fn records_of(db: &impl ConnectionTrait, changes: Vec<Change>) -> Result<Vec<ChangeRecord>> {
    let mut records = Vec::with_capacity(changes.len());
    let mut rest = changes.into_iter();
    loop {
        let changes: Vec<Change> = rest.by_ref().take(AT_ONCE).collect();
        if changes.is_empty() {
            return Ok(records);
        }
        let numbers: Vec<String> = changes.iter().map(|change| change.change_no.clone()).collect();
        let mut gathered = Gathered::read(db, &numbers).await?;
        records.extend(changes.into_iter().map(|change| gathered.take(change)));
    }
}
