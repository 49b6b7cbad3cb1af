//! A record as the journal keeps it with an edit: its row, and the lines of the edited section, which stand in other tables.

use domain::effectivity::Stage;
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;
use serde_json::Value as Json;

use super::RecordEdit;
use crate::change_record::answers::{criterion, requirement};
use crate::change_record::plan::{level, of_change};
use crate::change_record::{documents, need, rows};
use crate::error::Result;
use crate::stored::find;
use crate::{effectivity, json};

/// Columns that say nothing of a line: they are given anew with each edit, or are those of the record.
const LEFT_OUT: [&str; 3] = ["id", "change_no", "identity"];

/// The row of a record with what the section of an edit says beside it, as it stands now.
pub(super) async fn with_lines(
    db: &impl ConnectionTrait,
    row: rows::Model,
    edit: &RecordEdit,
) -> Result<Json> {
    let lines = lines(db, &row.change_no, edit).await?;
    let mut record = json::row(row);
    if let Json::Object(record) = &mut record {
        record.extend(lines.into_iter().map(|(name, said)| (name.to_owned(), said)));
    }
    Ok(record)
}

/// What a section says beside the record's row, by name.
async fn lines(
    db: &impl ConnectionTrait,
    change_no: &str,
    edit: &RecordEdit,
) -> Result<Vec<(&'static str, Json)>> {
    Ok(match edit {
        RecordEdit::Prediction(_) => Vec::new(),
        RecordEdit::Words { .. } => vec![("title", Json::from(need(db, change_no).await?.title))],
        RecordEdit::Criteria(_) => {
            use criterion::{Column, Entity};
            let of = Entity::find().filter(Column::ChangeNo.eq(change_no)).order_by_asc(Column::Id);
            let rows = of.all(db).await?.into_iter();
            vec![("criteria", listed(rows.map(|row| (row.criterion.clone(), json::row(row)))))]
        }
        RecordEdit::Requirements(_) => {
            use requirement::{Column, Entity};
            let of = Entity::find().filter(Column::ChangeNo.eq(change_no)).order_by_asc(Column::Id);
            let rows = of.all(db).await?.into_iter();
            vec![("requirements", listed(rows.map(|row| (row.requirement_no.clone(), json::row(row)))))]
        }
        RecordEdit::Effectivity { .. } => {
            use effectivity::{Column, Entity};
            let of = find::<Entity>().filter(Column::ChangeNo.eq(change_no));
            let rows = of.filter(Column::Stage.eq(Stage::Proposed.word())).all(db).await?;
            vec![("effectivity", listed(numbered(rows.into_iter().map(json::row))))]
        }
        RecordEdit::Levels { .. } => {
            use level::{Column, Entity};
            let of = Entity::find().filter(Column::ChangeNo.eq(change_no)).order_by_asc(Column::Id);
            let rows = of.all(db).await?.into_iter();
            let levels = listed(rows.map(|row| (row.part_no.clone(), json::row(row))));
            vec![("part_numbers", levels), ("plan", plan(db, change_no).await?)]
        }
        RecordEdit::Documents(_) => {
            use documents::{Column, Entity};
            let of = Entity::find().filter(Column::ChangeNo.eq(change_no)).order_by_asc(Column::Id);
            vec![("documents", listed(numbered(of.all(db).await?.into_iter().map(json::row))))]
        }
        RecordEdit::Costs(_) | RecordEdit::Handling { .. } => vec![("plan", plan(db, change_no).await?)],
    })
}

/// The edition, the signature under the part numbers, and the costs: one row, which isn't there before the first of them.
async fn plan(db: &impl ConnectionTrait, change_no: &str) -> Result<Json> {
    let row = of_change::Entity::find_by_id(change_no).one(db).await?;
    Ok(row.map_or(Json::Null, |row| bare(json::row(row))))
}

/// Lines that have no name of their own, by their place.
fn numbered(lines: impl Iterator<Item = Json>) -> impl Iterator<Item = (String, Json)> {
    lines.zip(1_u32..).map(|(line, place)| (place.to_string(), line))
}

/// Lines by name.
fn listed(lines: impl Iterator<Item = (String, Json)>) -> Json {
    Json::Object(lines.map(|(name, line)| (name, bare(line))).collect())
}

/// A line without what only the database knows it by.
fn bare(mut line: Json) -> Json {
    if let Json::Object(columns) = &mut line {
        columns.retain(|column, _| !LEFT_OUT.contains(&column.as_str()));
    }
    line
}
