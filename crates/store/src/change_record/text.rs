//! The text of a record line by line, and its revisions as they were put before the board.

use chrono::{DateTime, Utc};
use domain::effectivity::{Effectivity, Stage};
use domain::evidence::TextLine;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use super::{Argued, ChangeRecord};
use crate::connect::Store;
use crate::error::Result;
use crate::journal::moment;
use crate::read_back::Row;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "change_revision")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub change_no: String,
    pub revision: i64,
    pub document: String,
    pub submitted_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// The text of a record as it was put before the board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextRevision {
    /// Its number: 1 is the first submission.
    pub revision: u32,
    /// When it was submitted.
    pub submitted_at: DateTime<Utc>,
    /// The text.
    pub text: Vec<TextLine>,
}

impl ChangeRecord {
    /// What was written into the record, line by line; what was left empty has no line.
    pub fn text(&self) -> Vec<TextLine> {
        let mut lines = Vec::new();
        let mut add = |section: &str, field: &str, text: Option<String>| {
            if let Some(text) = text.filter(|text| !text.trim().is_empty()) {
                lines.push(TextLine { section: section.to_owned(), field: field.to_owned(), text });
            }
        };
        let words = "Problem and description";
        add(words, "Title", Some(self.change.title.clone()));
        let body = self.body.as_ref();
        add(words, "Problem", body.map(|body| body.problem.clone()));
        add(words, "What changes", body.map(|body| body.description.clone()));
        if let Some(prediction) = body.and_then(|body| body.prediction.as_ref()) {
            let section = "Failures after, against before";
            add(section, "Rests on", Some(prediction.basis.word().to_owned()));
            add(section, "Share left, low end", Some(prediction.ratio_low.to_string()));
            add(section, "Share left, best guess", Some(prediction.ratio_best.to_string()));
            add(section, "Share left, high end", Some(prediction.ratio_high.to_string()));
            add(section, "Evidence", Some(prediction.source.clone()));
        }
        for answer in &self.answers {
            let note = answer.note.as_ref().map(|note| format!(": {note}")).unwrap_or_default();
            let text = format!("{}{note}", answer.verdict);
            add("Requirements", &answer.requirement_no, Some(text));
        }
        for answer in &self.criteria {
            let reason = answer.reason.as_ref().map(|reason| format!(": {reason}")).unwrap_or_default();
            let text = format!("{}{reason}", if answer.touched { "yes" } else { "no" });
            add("Class", answer.criterion.word(), Some(text));
        }
        let section = "Effectivity and retrofit";
        let proposed = self.effectivity.iter().filter(|line| line.stage == Stage::Proposed);
        for (at, line) in proposed.enumerate() {
            add(section, &format!("Takes effect, line {}", at + 1), Some(said(line)));
        }
        add(
            section,
            "Issued items",
            body.and_then(|body| body.retrofit).map(|one| one.word().replace('_', " ")),
        );
        add(section, "Issued items, in words", body.and_then(|body| body.retrofit_note.clone()));
        let section = "Handling";
        let priority = body.and_then(|body| body.priority).map(|one| one.words().to_owned());
        add(section, "Priority", priority);
        let justification = body.and_then(|body| body.justification).map(|one| one.words().to_owned());
        add(section, "Justification", justification);
        add(section, "Cost", body.and_then(|body| body.cost_note.clone()));
        lines.extend(argued(&self.argued));
        lines
    }
}

/// What a record says beyond its body.
fn argued(argued: &Argued) -> Vec<TextLine> {
    let line = |section: &str, field: String, text: String| TextLine { section: section.into(), field, text };
    let levels = argued.levels.iter().map(|level| {
        let exchange = if level.interchangeable { "exchanges" } else { "does not exchange" };
        let number = if level.new_number { "new number" } else { "keeps its number" };
        line("Part numbers", level.part_no.clone(), format!("{exchange}, {number}: {}", level.words))
    });
    let documents = argued.documents.iter().map(|one| {
        let more = [&one.revision, &one.note].into_iter().flatten().cloned().collect::<Vec<_>>().join(", ");
        line("Documents", format!("{} {}", one.kind, one.number), more)
    });
    let costs = &argued.costs;
    let money = [
        ("A new item", costs.new_item),
        ("A conversion", costs.conversion),
        ("A scrapped item", costs.scrapped_item),
        ("Months of a recall", costs.recall_months),
    ];
    let money = money.into_iter().filter_map(|(field, number)| {
        Some(line("Costs", field.into(), format!("{} {}", number?, costs.currency.as_deref().unwrap_or(""))))
    });
    let enclosures = argued
        .enclosures
        .iter()
        .map(|one| line("Enclosures", one.name.clone(), format!("SHA-256 {}", one.sha256)));
    levels.chain(documents).chain(money).chain(enclosures).collect()
}

fn said(line: &Effectivity) -> String {
    let maker = line.maker.as_deref().unwrap_or("all makers");
    let lots = match (&line.from_lot, &line.to_lot) {
        (Some(from), Some(to)) => format!(", lots {from} to {to}"),
        (Some(from), None) => format!(", from lot {from}"),
        (None, Some(to)) => format!(", up to lot {to}"),
        (None, None) => String::new(),
    };
    let date = line.from_date.map(|day| format!(", from {day}")).unwrap_or_default();
    format!("{maker}{lots}{date}, {} % of each lot", 100.0 * line.share_new)
}

/// Keeps the text of a revision in the transaction of its submission.
pub(super) async fn write(
    db: &impl ConnectionTrait,
    now: DateTime<Utc>,
    (change_no, revision): (&str, i64),
    text: &[TextLine],
) -> Result<()> {
    let lines: Vec<[&str; 3]> =
        text.iter().map(|line| [&line.section, &line.field, &line.text].map(String::as_str)).collect();
    let row = ActiveModel {
        id: NotSet,
        change_no: Set(change_no.to_owned()),
        revision: Set(revision),
        document: Set(serde_json::json!(lines).to_string()),
        submitted_at: Set(moment(now)),
    };
    Entity::insert(row).exec_without_returning(db).await?;
    Ok(())
}

/// When a record first went before the board.
pub(super) async fn first_submission(
    db: &impl ConnectionTrait,
    change_no: &str,
) -> Result<Option<DateTime<Utc>>> {
    let first = Entity::find().filter(Column::ChangeNo.eq(change_no)).order_by_asc(Column::Revision);
    Ok(first.one(db).await?.map(|row| row.submitted_at))
}

impl Store {
    /// The revisions of a record that were put before the board, the first one first.
    pub async fn list_text_revisions(&self, change_no: &str) -> Result<Vec<TextRevision>> {
        let select = Entity::find().filter(Column::ChangeNo.eq(change_no)).order_by_asc(Column::Revision);
        select.all(self.reader()).await?.into_iter().map(revision_of).collect()
    }
}

fn revision_of(row: Model) -> Result<TextRevision> {
    let read = Row { table: "change_revision", id: &row.id };
    let lines: Vec<[String; 3]> =
        serde_json::from_str(&row.document).map_err(|_| read.corrupt("document"))?;
    let line = |[section, field, text]: [String; 3]| TextLine { section, field, text };
    Ok(TextRevision {
        revision: read.number("revision", row.revision)?,
        submitted_at: row.submitted_at,
        text: lines.into_iter().map(line).collect(),
    })
}
