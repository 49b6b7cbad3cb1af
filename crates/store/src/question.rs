//! Questions to units about their reports, and what they answer.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::handling::ReportState;
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::{Expr, Query, SelectStatement};
use sea_orm::{ExprTrait as _, IntoActiveModel as _, QueryOrder as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::journal::{Entry, enter, moment, named};
use crate::json;
use crate::{handling, report};

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "question")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub report_ref: String,
    pub asked_by: String,
    pub asked_at: DateTime<Utc>,
    pub question: String,
    pub answer: Option<String>,
    pub answered_at: Option<DateTime<Utc>>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// A question to the unit that reported.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// The store's number.
    pub id: i64,
    /// The report it is about.
    pub report_ref: String,
    /// Who asks.
    pub asked_by: String,
    /// When it was asked.
    pub asked_at: DateTime<Utc>,
    /// What is asked.
    pub question: String,
    /// What the unit says.
    pub answer: Option<String>,
    /// When the unit said it.
    pub answered_at: Option<DateTime<Utc>>,
}

fn question_of(row: Model) -> Question {
    let Model { id, report_ref, asked_by, asked_at, question, answer, answered_at } = row;
    Question { id, report_ref, asked_by, asked_at, question, answer, answered_at }
}

/// The questions about a report, first asked first.
pub(crate) async fn of_report(db: &impl ConnectionTrait, report_ref: &str) -> Result<Vec<Question>> {
    let rows =
        Entity::find().filter(Column::ReportRef.eq(report_ref)).order_by_asc(Column::Id).all(db).await?;
    Ok(rows.into_iter().map(question_of).collect())
}

/// The questions about each of some reports that has any, first asked first.
pub(crate) async fn of_reports(
    db: &impl ConnectionTrait,
    report_refs: &[&str],
) -> Result<HashMap<String, Vec<Question>>> {
    let of = Entity::find().filter(Column::ReportRef.is_in(report_refs.iter().copied()));
    let mut asked = HashMap::<String, Vec<Question>>::new();
    for row in of.order_by_asc(Column::Id).all(db).await? {
        asked.entry(row.report_ref.clone()).or_default().push(question_of(row));
    }
    Ok(asked)
}

/// Whether a question about a report waits for its unit's answer.
pub(crate) async fn is_open(db: &impl ConnectionTrait, report_ref: &str) -> Result<bool> {
    Ok(of_report(db, report_ref).await?.iter().any(|question| question.answer.is_none()))
}

/// Reports with an answer that came after they were last sorted or set aside, or that nobody did either with, and that nobody
/// has answered since.
pub(crate) fn answered_since_sorted() -> SelectStatement {
    const NOT_SORTED_SINCE: &str = "NOT EXISTS (SELECT 1 FROM report_handling h \
         WHERE h.report_ref = question.report_ref AND h.sorted_at >= question.answered_at) \
         AND NOT EXISTS (SELECT 1 FROM answer a \
         WHERE a.report_ref = question.report_ref AND a.at >= question.answered_at)";
    Query::select()
        .column(Column::ReportRef)
        .from(Entity)
        .and_where(Column::AnsweredAt.is_not_null())
        .and_where(Expr::cust(NOT_SORTED_SINCE))
        .to_owned()
}

/// When the unit's latest answer came, where it waits to be read: not where another one is awaited first, and not where
/// the report was sorted, set aside or answered since, which was last at `acted`, or the unit was asked on. A sorting that
/// was taken back is as if it had not been.
pub(crate) fn to_read(
    state: ReportState,
    questions: &[Question],
    acted: Option<DateTime<Utc>>,
) -> Option<DateTime<Utc>> {
    let came = questions.iter().filter_map(|question| question.answered_at).max()?;
    let is_since = |question: &Question| question.answered_at.is_none() && question.asked_at >= came;
    let is_read = acted.is_some_and(|acted| acted >= came) || questions.iter().any(is_since);
    (state != ReportState::Asked && !is_read).then_some(came)
}

impl Store {
    /// Asks the unit that reported, and gives the question's number. A report that was waiting is then `asked`. The same
    /// question while it is open is that question: nothing is asked anew.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such report.
    pub async fn ask(&self, by: &Actor, now: DateTime<Utc>, report_ref: &str, question: &str) -> Result<i64> {
        let tx = self.begin().await?;
        let of = report::need_row(&tx, report_ref).await?;
        let earlier = of_report(&tx, report_ref).await?;
        if let Some(open) = earlier.iter().find(|q| q.answer.is_none() && q.question == question) {
            return Ok(open.id);
        }
        let row = ActiveModel {
            id: NotSet,
            report_ref: Set(report_ref.to_owned()),
            asked_by: Set(named(by).0),
            asked_at: Set(moment(now)),
            question: Set(question.to_owned()),
            answer: Set(None),
            answered_at: Set(None),
        };
        let asked = Entity::insert(row).exec_with_returning(&tx).await?;
        move_on(&tx, &of, ReportState::Received, ReportState::Asked).await?;
        let id = asked.id;
        enter(&tx, by, now, Entry::new("ask", "question", report_ref).after(json::row(asked))).await?;
        tx.commit().await?;
        Ok(id)
    }

    /// A question by number.
    pub async fn find_question(&self, id: i64) -> Result<Option<Question>> {
        Ok(Entity::find_by_id(id).one(self.reader()).await?.map(question_of))
    }

    /// Questions to a unit that wait for its answer, first asked first.
    pub async fn open_questions_of(&self, unit: &str) -> Result<Vec<Question>> {
        let of_unit =
            Query::select().column("report_ref").from("report").and_where(Expr::col("unit").eq(unit)).take();
        let rows = Entity::find()
            .filter(Column::Answer.is_null())
            .filter(Column::ReportRef.in_subquery(of_unit))
            .order_by_asc(Column::Id);
        Ok(rows.all(self.reader()).await?.into_iter().map(question_of).collect())
    }

    /// Keeps what a unit says to a question; once no question is open, the report waits for the engineer again.
    ///
    /// # Errors
    /// [`StoreError::Missing`] where there is no such question; [`StoreError::Overtaken`] where it is answered.
    pub async fn answer_question(&self, by: &Actor, now: DateTime<Utc>, id: i64, answer: &str) -> Result<()> {
        let tx = self.begin().await?;
        let before = Entity::find_by_id(id).one(&tx).await?;
        let before = before.ok_or_else(|| StoreError::missing("question", id))?;
        if before.answer.is_some() {
            return Err(StoreError::Overtaken { noun: "question", key: id.to_string() });
        }
        let of = report::need_row(&tx, &before.report_ref).await?;
        let mut row = before.clone().into_active_model();
        row.answer = Set(Some(answer.to_owned()));
        row.answered_at = Set(Some(moment(now)));
        let after = row.update(&tx).await?;
        if !is_open(&tx, &of.report_ref).await? {
            move_on(&tx, &of, ReportState::Asked, ReportState::Received).await?;
        }
        let entry = Entry::new("answer", "question", &of.report_ref);
        enter(&tx, by, now, entry.before(json::row(before)).after(json::row(after))).await?;
        Ok(tx.commit().await?)
    }
}

/// Moves a report on where it stands at `from`; questions about a sorted report leave it sorted.
async fn move_on(
    db: &impl ConnectionTrait,
    of: &report::Model,
    from: ReportState,
    to: ReportState,
) -> Result<()> {
    let mut row = handling::of(db, of).await?;
    if row.state == from.word() {
        to.word().clone_into(&mut row.state);
        handling::keep(db, row).await?;
    }
    Ok(())
}
