//! When units heard of their reports: the first thing that they could read of what a person did, and the final answer.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::handling::ReportState;
use domain::waiting::Heard;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::SelectStatement;
use sea_orm::{QueryOrder as _, QuerySelect as _, QueryTrait as _};

use crate::connect::Store;
use crate::error::Result;
use crate::{answer, handling, intake, journal, question, upload_row};

/// Acts on a report that its unit can read of.
const READ: [&str; 2] = ["sort", "set aside"];

/// The first moment of each report, of rows that come in the order of time.
fn first_of(rows: Vec<(String, DateTime<Utc>)>) -> HashMap<String, DateTime<Utc>> {
    let mut first = HashMap::new();
    for (report_ref, at) in rows {
        first.entry(report_ref).or_insert(at);
    }
    first
}

/// Reports that arrived here since a moment: nothing is read of others, however long the books are.
fn sent_since(since: DateTime<Utc>) -> SelectStatement {
    let sent = intake::Entity::find().filter(intake::Column::SentAt.gte(since));
    sent.select_only().column(intake::Column::ReportRef).into_query()
}

impl Store {
    /// What was heard of each report that arrived here since a moment; imported reports have no such moment, and are left
    /// out. The journal says when a report was first sorted or set aside, whatever was decided later.
    pub async fn heard_since(&self, since: DateTime<Utc>) -> Result<Vec<Heard>> {
        let snapshot = self.snapshot().await?;
        // What a sender took back with its list was never for anybody to answer.
        let taken_back = upload_row::Entity::find()
            .filter(upload_row::Column::Withdrawn.eq(true))
            .select_only()
            .column(upload_row::Column::ReportRef)
            .into_query();
        let sent: Vec<(String, DateTime<Utc>)> = intake::Entity::find()
            .filter(intake::Column::SentAt.gte(since))
            .filter(intake::Column::ReportRef.not_in_subquery(taken_back))
            .select_only()
            .columns([intake::Column::ReportRef, intake::Column::SentAt])
            .into_tuple()
            .all(&snapshot)
            .await?;
        if sent.is_empty() {
            return Ok(Vec::new());
        }
        let read = first_of(
            journal::Entity::find()
                .filter(journal::Column::Noun.eq("report"))
                .filter(journal::Column::Key.in_subquery(sent_since(since)))
                .filter(journal::Column::Act.is_in(READ))
                .filter(journal::Column::At.gte(since))
                .order_by_asc(journal::Column::Id)
                .select_only()
                .columns([journal::Column::Key, journal::Column::At])
                .into_tuple()
                .all(&snapshot)
                .await?,
        );
        let asked = first_of(
            question::Entity::find()
                .filter(question::Column::AskedAt.gte(since))
                .order_by_asc(question::Column::Id)
                .select_only()
                .columns([question::Column::ReportRef, question::Column::AskedAt])
                .into_tuple()
                .all(&snapshot)
                .await?,
        );
        let answers: Vec<(String, DateTime<Utc>)> = answer::Entity::find()
            .filter(answer::Column::At.gte(since))
            .order_by_asc(answer::Column::Id)
            .select_only()
            .columns([answer::Column::ReportRef, answer::Column::At])
            .into_tuple()
            .all(&snapshot)
            .await?;
        let ended: Vec<(String, String, Option<DateTime<Utc>>)> = handling::Entity::find()
            .filter(handling::Column::ReportRef.in_subquery(sent_since(since)))
            .filter(
                handling::Column::State.is_in([ReportState::Answered.word(), ReportState::SetAside.word()]),
            )
            .select_only()
            .columns([handling::Column::ReportRef, handling::Column::State, handling::Column::SortedAt])
            .into_tuple()
            .all(&snapshot)
            .await?;
        let ended: HashMap<String, (String, Option<DateTime<Utc>>)> =
            ended.into_iter().map(|(of, state, at)| (of, (state, at))).collect();
        let answered = first_of(answers.clone());
        // An answer before the sorting is one on the way: the final one is the first that came after.
        let final_answer = first_of(
            answers.into_iter().filter(|(of, at)| read.get(of).is_none_or(|read| at >= read)).collect(),
        );
        let heard = |(of, sent): (String, DateTime<Utc>)| {
            let first = [&read, &asked, &answered].into_iter().filter_map(|at| at.get(&of).copied()).min();
            let last = ended.get(&of).and_then(|(state, sorted_at)| {
                if state == ReportState::Answered.word() {
                    final_answer.get(&of).or_else(|| answered.get(&of)).copied()
                } else {
                    *sorted_at
                }
            });
            Heard { sent, first, last }
        };
        Ok(sent.into_iter().map(heard).collect())
    }
}
