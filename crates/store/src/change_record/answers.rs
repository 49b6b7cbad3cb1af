//! Answers to the class check list and to requirements that only a person can judge.

use domain::change_record::{RequirementCheck, Verdict};
use domain::class::Criterion;
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use super::gathered::{ByChange, by_change};
use crate::error::Result;
use crate::read_back::Row;

/// One line of the class check list, answered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CriterionAnswer {
    /// The criterion.
    pub criterion: Criterion,
    /// Whether the change touches it.
    pub touched: bool,
    /// Why.
    pub reason: Option<String>,
}

/// A requirement, answered by a person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RequirementAnswer {
    /// Its number.
    pub requirement_no: String,
    /// How it fares.
    pub verdict: Verdict,
    /// Why.
    pub note: Option<String>,
}

pub(super) mod criterion {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "change_criterion")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub change_no: String,
        pub criterion: String,
        pub touched: bool,
        pub reason: Option<String>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

pub(super) mod requirement {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "change_answer")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub change_no: String,
        pub requirement_no: String,
        pub verdict: String,
        pub note: Option<String>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

pub(super) async fn criteria_of(
    db: &impl ConnectionTrait,
    changes: &[String],
) -> Result<ByChange<CriterionAnswer>> {
    use criterion::Column as C;
    let rows = criterion::Entity::find().filter(C::ChangeNo.is_in(changes)).order_by_asc(C::Id);
    let mut answers = by_change(rows.all(db).await?, |row| {
        let criterion = Row { table: "change_criterion", id: &row.id }.word("criterion", &row.criterion)?;
        Ok((row.change_no, CriterionAnswer { criterion, touched: row.touched, reason: row.reason }))
    })?;
    for answers in answers.values_mut() {
        answers.sort_by_key(|answer| answer.criterion);
    }
    Ok(answers)
}

pub(super) async fn answers_of(
    db: &impl ConnectionTrait,
    changes: &[String],
) -> Result<ByChange<RequirementAnswer>> {
    use requirement::Column as C;
    let rows = requirement::Entity::find().filter(C::ChangeNo.is_in(changes)).order_by_asc(C::Id);
    let mut answers = by_change(rows.all(db).await?, |row| {
        let verdict = Row { table: "change_answer", id: &row.id }.word("verdict", &row.verdict)?;
        let (requirement_no, note) = (row.requirement_no, row.note);
        Ok((row.change_no, RequirementAnswer { requirement_no, verdict, note }))
    })?;
    for answers in answers.values_mut() {
        answers.sort_by(|a, b| a.requirement_no.cmp(&b.requirement_no));
    }
    Ok(answers)
}

/// Replaces the whole check list.
pub(super) async fn write_criteria(
    db: &impl ConnectionTrait,
    change_no: &str,
    answers: &[CriterionAnswer],
) -> Result<()> {
    use sea_orm::ActiveValue::{NotSet, Set};
    criterion::Entity::delete_many().filter(criterion::Column::ChangeNo.eq(change_no)).exec(db).await?;
    let rows = answers.iter().map(|answer| criterion::ActiveModel {
        id: NotSet,
        change_no: Set(change_no.to_owned()),
        criterion: Set(answer.criterion.word().to_owned()),
        touched: Set(answer.touched),
        reason: Set(answer.reason.clone()),
    });
    criterion::Entity::insert_many(rows).exec_without_returning(db).await?;
    Ok(())
}

/// Replaces all answers to requirements.
pub(super) async fn write_answers(
    db: &impl ConnectionTrait,
    change_no: &str,
    answers: &[RequirementAnswer],
) -> Result<()> {
    use sea_orm::ActiveValue::{NotSet, Set};
    for answer in answers {
        RequirementCheck::check_statement(answer.verdict, answer.note.as_deref())?;
    }
    requirement::Entity::delete_many().filter(requirement::Column::ChangeNo.eq(change_no)).exec(db).await?;
    let rows = answers.iter().map(|answer| requirement::ActiveModel {
        id: NotSet,
        change_no: Set(change_no.to_owned()),
        requirement_no: Set(answer.requirement_no.clone()),
        verdict: Set(answer.verdict.word().to_owned()),
        note: Set(answer.note.clone()),
    });
    requirement::Entity::insert_many(rows).exec_without_returning(db).await?;
    Ok(())
}
