//! What the board decides, bound to the record it was shown, and what the field shows of it.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::change::ChangeState;
use domain::change_record::{Disposition, after_decision};
use domain::effectivity::{Effectivity, Stage};
use domain::permission::Actor;
use domain::proof_plan::{Planned, ProofPlan};
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use super::edit::{move_to, need_version, overtaken};
use super::gathered::{ByChange, by_change};
use crate::connect::Store;
use crate::error::Result;
use crate::evidence::{NewEvidence, freeze, latest_digest};
use crate::identity::Twins;
use crate::insert::prepare;
use crate::journal::{moment, named};
use crate::read_back::Row;
use crate::stored::Stored as _;
use crate::{action, effectivity, proof_plan, user};

/// How the journal names a decision of the board on a change.
pub(crate) const DECIDE: &str = "decide";

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "change_decision")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub change_no: String,
    pub disposition: String,
    pub reason: String,
    pub conditions: Option<String>,
    pub decided_by: Option<i64>,
    pub decided_at: DateTime<Utc>,
    pub signature: String,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A decision to be written down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewDecision {
    /// How the chair disposes of it.
    pub disposition: Disposition,
    /// Why.
    pub reason: String,
    /// On what conditions.
    pub conditions: Option<String>,
    /// The typed name.
    pub signature: String,
}

/// What whoever decides had before them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shown {
    /// The version of the record.
    pub version: i64,
    /// The digest of the evidence that was frozen last, where there is any.
    pub evidence: Option<String>,
}

/// What a decision rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct Basis {
    /// The record as it was shown.
    pub shown: Shown,
    /// The evidence, frozen with the decision.
    pub evidence: NewEvidence,
    /// How the change is to be proved, if it is approved.
    pub plan: ProofPlan,
    /// What that comes to.
    pub planned: Option<Planned>,
}

/// A decision as it was written down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decision {
    /// What was decided.
    pub decided: NewDecision,
    /// By whom.
    pub by: Option<String>,
    /// When.
    pub at: DateTime<Utc>,
}

/// Decisions on changes, oldest first; `people` has everybody's name.
pub(super) async fn of_changes(
    db: &impl ConnectionTrait,
    changes: &[String],
    people: &HashMap<i64, String>,
) -> Result<ByChange<Decision>> {
    let rows = Entity::find().filter(Column::ChangeNo.is_in(changes)).order_by_asc(Column::Id);
    by_change(rows.all(db).await?, |row| {
        let disposition =
            Row { table: "change_decision", id: &row.id }.word("disposition", &row.disposition)?;
        let by = row.decided_by.and_then(|id| people.get(&id).cloned());
        let decided = NewDecision {
            disposition,
            reason: row.reason,
            conditions: row.conditions,
            signature: row.signature,
        };
        Ok((row.change_no, Decision { decided, by, at: row.decided_at }))
    })
}

/// Decisions on one change, oldest first, each written with one entry of the journal.
pub(crate) async fn of_change(db: &impl ConnectionTrait, change_no: &str) -> Result<Vec<Decision>> {
    let mut by_change = of_changes(db, &[change_no.to_owned()], &user::names(db).await?).await?;
    Ok(by_change.remove(change_no).unwrap_or_default())
}

impl Store {
    /// Disposes of a change that is before the board, and freezes the evidence it was decided on. On approval the
    /// proposed effectivity becomes the approved one, and the proof is planned.
    ///
    /// # Errors
    /// [`crate::StoreError::NotAllowed`] where it is not before the board: a change is decided once, and the journal
    /// keeps that somebody tried again. [`crate::StoreError::Overtaken`] where the record that is before the board is not
    /// the one that was shown.
    pub async fn decide_change(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        new: &NewDecision,
        basis: &Basis,
    ) -> Result<()> {
        let done = self.decide_open(by, now, change_no, new, basis).await;
        self.told_if_refused(by, now, (DECIDE, change_no), done).await
    }

    async fn decide_open(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        new: &NewDecision,
        basis: &Basis,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let to = after_decision(new.disposition);
        move_to(&tx, by, now, change_no, (DECIDE, to)).await?;
        let record = need_version(&tx, change_no, basis.shown.version).await?;
        if latest_digest(&tx, change_no).await? != basis.shown.evidence {
            return Err(overtaken(change_no));
        }
        freeze(&tx, by, now, (change_no, record.revision), &basis.evidence).await?;
        let row = ActiveModel {
            id: NotSet,
            change_no: Set(change_no.to_owned()),
            disposition: Set(new.disposition.word().to_owned()),
            reason: Set(new.reason.clone()),
            conditions: Set(new.conditions.clone()),
            decided_by: Set(named(by).1),
            decided_at: Set(moment(now)),
            signature: Set(new.signature.clone()),
        };
        Entity::insert(row).exec_without_returning(&tx).await?;
        if to == ChangeState::Approved {
            let proposed = effectivity::of_change(&tx, change_no).await?;
            let approved = proposed.into_iter().filter(|line| line.stage == Stage::Proposed);
            write_lines(&tx, approved.map(|line| Effectivity { stage: Stage::Approved, ..line })).await?;
            if let Some(conditions) = &new.conditions {
                let drafted_by = super::drafters(&tx).await?.get(change_no).copied();
                action::add_conditions(&tx, by, now, (change_no, drafted_by), conditions).await?;
            }
            proof_plan::write(&tx, by, now, change_no, (basis.plan, basis.planned)).await?;
        }
        Ok(tx.commit().await?)
    }

    /// Records what field data showed of a change that is cut in.
    ///
    /// # Errors
    /// [`crate::StoreError::NotAllowed`] where it is not cut in, or where this is on record already.
    pub async fn conclude_change(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        proved: bool,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let to = if proved { ChangeState::Proved } else { ChangeState::NotProved };
        move_to(&tx, by, now, change_no, ("conclude", to)).await?;
        Ok(tx.commit().await?)
    }
}

async fn write_lines(
    db: &impl ConnectionTrait,
    lines: impl Iterator<Item = Effectivity> + Send,
) -> Result<()> {
    let mut twins = Twins::default();
    let rows = lines.map(|line| effectivity::Entity::model(&line, None, &mut twins)).collect();
    prepare::<effectivity::Entity>(rows).insert(db).await?;
    Ok(())
}
