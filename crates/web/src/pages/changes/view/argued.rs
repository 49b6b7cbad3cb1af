//! What a record says of part numbers, assemblies, stock, documents, time and cost, with its remarks and enclosures.

use chrono::{DateTime, NaiveDate, Utc};
use domain::change_record::{affected_stock, assemblies};
use domain::field::{ChangeFacts, Field, PartId};
use domain::reidentification::climb;
use domain::target_time::Edition;
use serde::Serialize;
use store::ChangeRecord;

use crate::pages::recurrences::part_name;
use crate::picture::Picture;

/// All of it.
#[derive(Clone, Debug, Default, Serialize)]
pub struct ArguedView {
    /// When a decision is due; nothing before submission or without a priority.
    pub due: Option<DueView>,
    /// Part numbers, level by level.
    pub part_numbers: Vec<LevelView>,
    /// End items in which old and new never exchange.
    pub never_restored: Vec<String>,
    /// Who signed the part numbers, and when.
    pub part_numbers_signed: Option<(String, DateTime<Utc>)>,
    /// What holds the changed part.
    pub assemblies: Vec<AssemblyView>,
    /// Stock of items that hold it.
    pub stock: Vec<StockView>,
    /// Documents that it alters.
    pub documents: Vec<DocumentView>,
    /// What things cost.
    pub costs: CostsView,
    /// Remarks, oldest first.
    pub remarks: Vec<RemarkView>,
    /// Files enclosed, oldest first.
    pub enclosures: Vec<EnclosureView>,
}

/// When a decision is due.
#[derive(Clone, Debug, Serialize)]
pub struct DueView {
    /// The edition that sets the time, and its documents.
    pub edition: (String, String),
    /// Hours from submission to decision.
    pub hours: u32,
    /// The last day in time.
    pub on: NaiveDate,
}

/// One part or assembly on the way up.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the level of the domain, which says what each is")]
pub struct LevelView {
    pub part_no: String,
    pub name: String,
    pub height: usize,
    pub interchangeable: Option<bool>,
    pub new_number_proposed: Option<bool>,
    pub new_number_decided: Option<bool>,
    pub otherwise: bool,
    pub words: Option<String>,
}

/// What holds the changed part.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the assembly of the domain, which says what each is")]
pub struct AssemblyView {
    pub part_no: String,
    pub name: String,
    pub height: usize,
}

/// Stock of one revision.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the affected stock of the domain, which says what each is")]
pub struct StockView {
    pub part_no: String,
    pub revision: Option<String>,
    pub has_change: Option<bool>,
    pub in_store: u64,
    pub on_issue: u64,
}

/// A document that is altered.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the affected document of the store, which says what each is")]
pub struct DocumentView {
    pub kind: &'static str,
    pub number: String,
    pub revision: Option<String>,
    pub note: Option<String>,
}

/// What things cost.
#[derive(Clone, Debug, Default, Serialize)]
#[expect(missing_docs, reason = "named as the costs of the domain, which says what each is")]
pub struct CostsView {
    pub currency: Option<String>,
    pub new_item: Option<f64>,
    pub conversion: Option<f64>,
    pub scrapped_item: Option<f64>,
    pub recall_months: Option<f64>,
    pub source: Option<String>,
}

/// A remark.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the remark of the store, which says what each is")]
pub struct RemarkView {
    pub by: String,
    pub at: DateTime<Utc>,
    pub words: String,
}

/// A file enclosed.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "named as the enclosure of the store, which says what each is")]
pub struct EnclosureView {
    pub id: i64,
    pub name: String,
    pub size: u64,
    pub sha256: String,
    pub by: String,
    pub at: DateTime<Utc>,
}

impl ArguedView {
    /// What is said of a change, held against the picture; `change` is the change there, once it knows it.
    pub(super) fn new(record: &ChangeRecord, picture: &Picture, change: Option<&ChangeFacts>) -> Self {
        let said = &record.argued;
        let mut view = Self {
            due: due(record),
            part_numbers_signed: said.levels_signed.clone(),
            documents: documents(record),
            costs: CostsView {
                currency: said.costs.currency.clone(),
                new_item: said.costs.new_item,
                conversion: said.costs.conversion,
                scrapped_item: said.costs.scrapped_item,
                recall_months: said.costs.recall_months,
                source: said.costs.source.clone(),
            },
            remarks: said
                .remarks
                .iter()
                .map(|r| RemarkView { by: r.by.clone(), at: r.at, words: r.words.clone() })
                .collect(),
            enclosures: enclosures(record),
            ..Self::default()
        };
        if let Some(change) = change {
            view.hold_against(record, picture, change);
        }
        view
    }

    fn hold_against(&mut self, record: &ChangeRecord, picture: &Picture, change: &ChangeFacts) {
        let field = &picture.field;
        let named = |part: PartId| (field.part_names[part].to_owned(), part_name(field, part).to_owned());
        let found = climb(field, change.from, &record.argued.levels);
        self.part_numbers = found
            .levels
            .iter()
            .map(|level| {
                let (part_no, name) = named(level.part);
                LevelView {
                    part_no,
                    name,
                    height: level.height,
                    interchangeable: level.interchangeable,
                    new_number_proposed: level.proposed,
                    new_number_decided: level.decided,
                    otherwise: level.is_otherwise(),
                    words: level.words.clone(),
                }
            })
            .collect();
        self.never_restored = found.never_restored.iter().map(|&part| named(part).0).collect();
        self.assemblies = assemblies(field, change.from)
            .into_iter()
            .map(|row| {
                let (part_no, name) = named(row.part);
                AssemblyView { part_no, name, height: row.height }
            })
            .collect();
        self.stock = stock(field, picture, change);
    }
}

fn due(record: &ChangeRecord) -> Option<DueView> {
    let body = record.body.as_ref()?;
    let (priority, submitted) = (body.priority?, body.submitted_at?);
    let edition = edition_of(record);
    Some(DueView {
        edition: (edition.name.clone(), edition.source.clone()),
        hours: edition.hours(priority),
        on: edition.due(priority, submitted, submitted.date_naive()).on,
    })
}

/// The edition of target times that a record names; the one in force where it names none.
pub(in crate::pages::changes) fn edition_of(record: &ChangeRecord) -> &'static Edition {
    let named = record.argued.priority_edition.as_deref();
    named.and_then(|name| Edition::find(name).ok()).unwrap_or_else(Edition::in_force)
}

fn stock(field: &Field, picture: &Picture, change: &ChangeFacts) -> Vec<StockView> {
    let rows = affected_stock(field, &picture.analysis.ledger, change).into_iter();
    rows.map(|row| StockView {
        part_no: field.part_names[row.part].to_owned(),
        revision: row.revision.map(|revision| field.revisions[revision].revision.to_string()),
        has_change: row.has_change,
        in_store: row.in_store,
        on_issue: row.on_issue,
    })
    .collect()
}

fn documents(record: &ChangeRecord) -> Vec<DocumentView> {
    let row = |document: &store::AffectedDocument| DocumentView {
        kind: document.kind.word(),
        number: document.number.clone(),
        revision: document.revision.clone(),
        note: document.note.clone(),
    };
    record.argued.documents.iter().map(row).collect()
}

fn enclosures(record: &ChangeRecord) -> Vec<EnclosureView> {
    let row = |file: &store::EnclosureFacts| EnclosureView {
        id: file.id,
        name: file.name.clone(),
        size: file.size,
        sha256: file.sha256.clone(),
        by: file.by.clone(),
        at: file.at,
    };
    record.argued.enclosures.iter().map(row).collect()
}
