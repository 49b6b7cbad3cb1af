//! Editing a record section by section, as long as it is being written.

mod said;

use chrono::{DateTime, Utc};
use domain::change::ChangeState as S;
use domain::change_record::{NotAllowed, Prediction, PredictionBasis, Retrofit, may_become};
use domain::class::{Class, Justification, Priority};
use domain::effectivity::{Effectivity, Stage};
use domain::permission::Actor;
use domain::reidentification::LevelAnswer;
use domain::retrofit::Costs;
use sea_orm::ActiveValue::Set;
use sea_orm::IntoActiveModel as _;
use sea_orm::entity::prelude::*;

use super::answers::{CriterionAnswer, RequirementAnswer, write_answers, write_criteria};
use super::documents::{AffectedDocument, write_documents};
use super::{plan, rows, text};
use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::evidence::{NewEvidence, freeze};
use crate::identity::Twins;
use crate::insert::prepare;
use crate::journal::{Entry, enter, moment};
use crate::stored::{Stored as _, visible};
use crate::{change, effectivity, json};

/// One section with its new content.
#[derive(Clone, Debug, PartialEq)]
pub enum RecordEdit {
    /// Why, and what changes.
    Words {
        /// Its title.
        title: String,
        /// Why it is needed.
        problem: String,
        /// What changes.
        description: String,
    },
    /// Failures after, against before.
    Prediction(Prediction),
    /// The class check list, all lines answered so far.
    Criteria(Vec<CriterionAnswer>),
    /// Requirements that a person answered.
    Requirements(Vec<RequirementAnswer>),
    /// Where it is to take effect, and what happens to issued items.
    Effectivity {
        /// Lines as proposed.
        proposed: Vec<Effectivity>,
        /// What happens to issued items.
        retrofit: Option<Retrofit>,
        /// ... in words.
        note: Option<String>,
    },
    /// How it is to be handled.
    Handling {
        /// How soon it must be decided.
        priority: Priority,
        /// Why it is made.
        justification: Justification,
        /// What it costs.
        cost_note: Option<String>,
        /// The edition of the target time.
        edition: Option<String>,
    },
    /// Which part numbers change, signed.
    Levels {
        /// The answer at each level.
        answers: Vec<LevelAnswer>,
        /// The typed name.
        signature: String,
    },
    /// Documents that it alters.
    Documents(Vec<AffectedDocument>),
    /// What things cost, for the options of retrofit.
    Costs(Costs),
}

impl RecordEdit {
    const fn section(&self) -> &'static str {
        match self {
            Self::Words { .. } => "edit words",
            Self::Prediction(_) => "edit prediction",
            Self::Criteria(_) => "edit class",
            Self::Requirements(_) => "edit requirements",
            Self::Effectivity { .. } => "edit effectivity",
            Self::Handling { .. } => "edit handling",
            Self::Levels { .. } => "edit part numbers",
            Self::Documents(_) => "edit documents",
            Self::Costs(_) => "edit costs",
        }
    }
}

impl Store {
    /// Writes one section of a record that is a draft, was put off or was refused. The first edit after a refusal makes
    /// it a draft again: its next revision.
    ///
    /// # Errors
    /// [`StoreError::Overtaken`] where somebody else edited since `version`; [`StoreError::NotAllowed`] once it is
    /// before the board or approved, which the journal keeps.
    pub async fn edit_record(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        version: i64,
        edit: &RecordEdit,
    ) -> Result<()> {
        let done = self.edit_open(by, now, change_no, version, edit).await;
        self.told_if_refused(by, now, (edit.section(), change_no), done).await
    }

    async fn edit_open(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        version: i64,
        edit: &RecordEdit,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let mut of = super::need(&tx, change_no).await?;
        let from = state_of(&of)?;
        if !from.is_open() {
            return Err(NotAllowed { from, to: S::Draft }.into());
        }
        if from == S::Disapproved {
            of = move_to(&tx, by, now, change_no, ("reopen", S::Draft)).await?;
        }
        let row = need_version(&tx, change_no, version).await?;
        let before = said::with_lines(&tx, row.clone(), edit).await?;
        let mut row = row.into_active_model();
        apply(&tx, now, &of, &mut row, edit).await?;
        row.version = Set(version + 1);
        let after = said::with_lines(&tx, row.update(&tx).await?, edit).await?;
        let entry = Entry::new(edit.section(), "change", change_no).before(before).after(after);
        enter(&tx, by, now, entry).await?;
        Ok(tx.commit().await?)
    }

    /// Puts a record before the board, in the class its check list came to. Its text is kept as a revision, with the
    /// evidence it rests on where that is given.
    ///
    /// # Errors
    /// As [`Store::edit_record`], and [`StoreError::NotAllowed`] from a state that can't be submitted.
    pub async fn submit_change(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        version: i64,
        class: Class,
        evidence: Option<&NewEvidence>,
    ) -> Result<()> {
        let tx = self.begin().await?;
        let row = need_version(&tx, change_no, version).await?;
        let mut record = row.clone().into_active_model();
        record.class = Set(Some(class.word().to_owned()));
        record.submitted_at = Set(Some(moment(now)));
        record.revision = Set(row.revision + 1);
        record.version = Set(version + 1);
        record.update(&tx).await?;
        let change = move_to(&tx, by, now, change_no, ("submit", S::Submitted)).await?;
        let revision = (change_no, row.revision + 1);
        let written = super::record_of(&tx, change::Entity::noun(change)?).await?;
        text::write(&tx, now, revision, &written.text()).await?;
        if let Some(evidence) = evidence {
            freeze(&tx, by, now, revision, evidence).await?;
        }
        Ok(tx.commit().await?)
    }

    /// Gives a change up whose record still is the one that was shown: of this version, and standing where it stood. One
    /// that is given up already stays so.
    ///
    /// # Errors
    /// [`StoreError::Overtaken`] where it was edited, decided or moved on since; [`StoreError::NotAllowed`] once it is cut
    /// in or was refused; [`StoreError::Missing`] where there is no such record.
    pub async fn withdraw_change(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        (version, stood): (i64, S),
    ) -> Result<()> {
        let tx = self.begin().await?;
        need_version(&tx, change_no, version).await?;
        let stands = state_of(&super::need(&tx, change_no).await?)?;
        if stands == S::Withdrawn {
            return Ok(());
        }
        if stands != stood {
            return Err(overtaken(change_no));
        }
        move_to(&tx, by, now, change_no, ("withdraw", S::Withdrawn)).await?;
        Ok(tx.commit().await?)
    }
}

async fn apply(
    db: &impl ConnectionTrait,
    now: DateTime<Utc>,
    of: &change::Model,
    row: &mut rows::ActiveModel,
    edit: &RecordEdit,
) -> Result<()> {
    match edit {
        RecordEdit::Words { title, problem, description } => {
            row.problem = Set(problem.clone());
            row.description = Set(description.clone());
            let mut change = of.clone().into_active_model();
            change.title = Set(title.clone());
            change.update(db).await?;
        }
        RecordEdit::Prediction(prediction) => {
            prediction.check()?;
            row.prediction_basis = Set(Some(PredictionBasis::word(prediction.basis).to_owned()));
            row.ratio_low = Set(Some(prediction.ratio_low));
            row.ratio_best = Set(Some(prediction.ratio_best));
            row.ratio_high = Set(Some(prediction.ratio_high));
            row.prediction_source = Set(Some(prediction.source.clone()));
        }
        RecordEdit::Criteria(answers) => write_criteria(db, &of.change_no, answers).await?,
        RecordEdit::Requirements(answers) => write_answers(db, &of.change_no, answers).await?,
        RecordEdit::Effectivity { proposed, retrofit, note } => {
            row.retrofit = Set(retrofit.map(|retrofit| retrofit.word().to_owned()));
            row.retrofit_note = Set(note.clone());
            effectivity::Entity::delete_many()
                .filter(effectivity::Column::ChangeNo.eq(&of.change_no))
                .filter(effectivity::Column::Stage.eq(Stage::Proposed.word()))
                .filter(visible("effectivity"))
                .exec(db)
                .await?;
            let mut twins = Twins::default();
            let lines = proposed.iter().map(|line| {
                let line =
                    Effectivity { change_no: of.change_no.clone(), stage: Stage::Proposed, ..line.clone() };
                line.check()?;
                line.check_order()?;
                Ok(effectivity::Entity::model(&line, None, &mut twins))
            });
            prepare::<effectivity::Entity>(lines.collect::<Result<_>>()?).insert(db).await?;
        }
        RecordEdit::Levels { answers, signature } => {
            plan::write_levels(db, now, &of.change_no, answers, signature).await?;
        }
        RecordEdit::Documents(documents) => write_documents(db, &of.change_no, documents).await?,
        RecordEdit::Costs(costs) => plan::write_costs(db, &of.change_no, costs).await?,
        RecordEdit::Handling { priority, justification, cost_note, edition } => {
            if let Some(edition) = edition {
                plan::write_edition(db, &of.change_no, edition).await?;
            }
            row.priority = Set(Some(priority.word().to_owned()));
            row.justification = Set(Some(justification.word().to_owned()));
            row.cost_note = Set(cost_note.clone());
        }
    }
    Ok(())
}

/// The record, if nobody has changed it since this version.
pub(super) async fn need_version(
    db: &impl ConnectionTrait,
    change_no: &str,
    version: i64,
) -> Result<rows::Model> {
    let row = rows::Entity::find_by_id(change_no).one(db).await?;
    let row = row.ok_or_else(|| StoreError::missing("change record", change_no))?;
    if row.version == version { Ok(row) } else { Err(overtaken(change_no)) }
}

/// Somebody else changed the record meanwhile.
pub(super) fn overtaken(change_no: &str) -> StoreError {
    StoreError::Overtaken { noun: "change record", key: change_no.to_owned() }
}

pub(super) fn state_of(row: &change::Model) -> Result<S> {
    Ok(change::Entity::noun(row.clone())?.state.unwrap_or(S::Draft))
}

/// Moves a change from one state to another and writes it down.
pub(super) async fn move_to(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    change_no: &str,
    (act, to): (&str, S),
) -> Result<change::Model> {
    let before = super::need(db, change_no).await?;
    may_become(state_of(&before)?, to)?;
    let mut row = before.clone().into_active_model();
    row.state = Set(Some(to.word().to_owned()));
    let after = row.update(db).await?;
    let entry = Entry::new(act, "change", change_no);
    enter(db, by, now, entry.before(json::row(before)).after(json::row(after.clone()))).await?;
    Ok(after)
}
