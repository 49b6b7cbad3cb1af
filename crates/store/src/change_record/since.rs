//! What has come in since the words of a record were written: reports that its figures don't know.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::report::Harm;
use sea_orm::entity::prelude::*;
use sea_orm::{Condition, QueryOrder as _, QuerySelect as _, QueryTrait as _};
use serde_json::Value as Json;

use super::ChangeRecord;
use crate::connect::Store;
use crate::error::Result;
use crate::read_back::Row;
use crate::stored::seen;
use crate::{journal, report};

/// Acts in the journal that write the words of a record.
const WRITTEN: [&str; 3] = ["draft", "start record", "edit words"];
/// Acts on a report by which it may come to count, or cease to.
const COUNTED: [&str; 4] = ["send", "sort", "set aside", "undo"];

/// Reports that came in, or were sorted, since the words of a record were written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NewReports {
    /// When the words were last written.
    pub since: DateTime<Utc>,
    /// Reports that count and did not then.
    pub reports: u64,
    /// ... where somebody could have been hurt.
    pub near_misses: u64,
    /// ... where somebody was.
    pub injuries: u64,
}

impl ChangeRecord {
    /// Whether a report of this part and mode is of what the change is to cure.
    fn cures(&self, part_no: &str, mode: &str) -> bool {
        let named = self.body.as_ref().and_then(|body| body.recurrence.as_ref());
        let is_named = named.is_some_and(|(part, of)| part == part_no && of == mode);
        is_named || self.change.cures(part_no, mode)
    }

    /// Reports of what the change is to cure, as rows.
    fn cured(&self) -> Condition {
        use report::Column as C;
        let modes = &self.change.modes;
        let listed = (!modes.is_empty()).then(|| C::Mode.is_in(modes.iter().map(String::as_str)));
        let of_part = Condition::all().add(C::PartNo.eq(self.change.part_no.as_str())).add_option(listed);
        let named = self.body.as_ref().and_then(|body| body.recurrence.as_ref());
        let of_named = named.map(|(part, mode)| {
            Condition::all().add(C::PartNo.eq(part.as_str())).add(C::Mode.eq(mode.as_str()))
        });
        Condition::any().add(of_part).add_option(of_named)
    }
}

impl Store {
    /// What a record's words don't know yet; nothing for a change without a record. The order of the journal tells before
    /// from after, so that a report of the same minute is not missed, and books that were brought in late count too.
    pub async fn reports_since_written(&self, record: &ChangeRecord) -> Result<Option<NewReports>> {
        let db = self.reader();
        let Some((written, since)) = written(db, &record.change.change_no).await? else { return Ok(None) };
        let imports = imports_after(db, written).await?;
        let counted = counted_before(db, written, record).await?;
        let touched = journal::Entity::find()
            .filter(after(written, "report", &COUNTED))
            .select_only()
            .column(journal::Column::Key)
            .into_query();
        let came = Condition::any()
            .add(report::Column::ImportId.is_in(imports.iter().copied()))
            .add(report::Column::ReportRef.in_subquery(touched));
        let is_relevant =
            Condition::any().add(report::Column::Relevant.is_null()).add(report::Column::Relevant.eq(true));
        let rows: Vec<(i64, String, Option<String>, Option<i64>)> = seen::<report::Entity>()
            .filter(record.cured())
            .filter(report::Column::Mode.is_not_null())
            .filter(is_relevant)
            .filter(came)
            .select_only()
            .columns([
                report::Column::Id,
                report::Column::ReportRef,
                report::Column::Harm,
                report::Column::ImportId,
            ])
            .into_tuple()
            .all(db)
            .await?;
        let mut new = NewReports { since, reports: 0, near_misses: 0, injuries: 0 };
        for (id, report_ref, harm, import_id) in rows {
            let is_brought_in = import_id.is_some_and(|id| imports.contains(&id));
            if !is_brought_in && counted.get(&report_ref).copied().unwrap_or(true) {
                continue;
            }
            new.reports += 1;
            match (Row { table: "report", id: &id }).optional_word("harm", harm.as_deref())? {
                Some(Harm::NearMiss) => new.near_misses += 1,
                Some(Harm::Injury) => new.injuries += 1,
                Some(Harm::None) | None => {}
            }
        }
        Ok(Some(new))
    }
}

/// The journal's entry by which the words of a record were last written, and when.
async fn written(db: &impl ConnectionTrait, change_no: &str) -> Result<Option<(i64, DateTime<Utc>)>> {
    let latest = journal::Entity::find()
        .filter(journal::Column::Noun.eq("change"))
        .filter(journal::Column::Key.eq(change_no))
        .filter(journal::Column::Act.is_in(WRITTEN))
        .order_by_desc(journal::Column::Id)
        .select_only()
        .columns([journal::Column::Id, journal::Column::At]);
    Ok(latest.into_tuple().one(db).await?)
}

/// Acts on one kind of thing after an entry of the journal.
fn after(entry: i64, noun: &str, acts: &[&str]) -> Condition {
    Condition::all()
        .add(journal::Column::Id.gt(entry))
        .add(journal::Column::Noun.eq(noun))
        .add(journal::Column::Act.is_in(acts.iter().copied()))
}

/// Numbers of the books that were brought in after an entry.
async fn imports_after(db: &impl ConnectionTrait, entry: i64) -> Result<Vec<i64>> {
    let keys: Vec<String> = journal::Entity::find()
        .filter(after(entry, "pack", &["import"]))
        .select_only()
        .column(journal::Column::Key)
        .into_tuple()
        .all(db)
        .await?;
    Ok(keys.iter().filter_map(|key| key.parse().ok()).collect())
}

/// Reports of what the change is to cure that were handled after an entry, each with whether it counted before.
async fn counted_before(
    db: &impl ConnectionTrait,
    entry: i64,
    record: &ChangeRecord,
) -> Result<HashMap<String, bool>> {
    let of_change = seen::<report::Entity>()
        .filter(record.cured())
        .select_only()
        .column(report::Column::ReportRef)
        .into_query();
    let acts: Vec<(String, Option<String>)> = journal::Entity::find()
        .filter(after(entry, "report", &COUNTED))
        .filter(journal::Column::Key.in_subquery(of_change))
        .order_by_asc(journal::Column::Id)
        .select_only()
        .columns([journal::Column::Key, journal::Column::Before])
        .into_tuple()
        .all(db)
        .await?;
    let mut counted = HashMap::new();
    for (report_ref, before) in acts {
        // The first act after the entry says how the report stood at the entry; one that was sent since, stood nowhere.
        counted.entry(report_ref).or_insert_with(|| before.is_some_and(|before| is_counted(record, &before)));
    }
    Ok(counted)
}

/// Whether a report counted against what the change is to cure as it stood in the journal.
fn is_counted(record: &ChangeRecord, before: &str) -> bool {
    let state: Json = serde_json::from_str(before).unwrap_or_default();
    let text = |name: &str| state["report"][name].as_str();
    let is_of_change = text("part_no").zip(text("mode")).is_some_and(|(part, mode)| record.cures(part, mode));
    is_of_change && state["report"]["relevant"].as_bool() != Some(false)
}
