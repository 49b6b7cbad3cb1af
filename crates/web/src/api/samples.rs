//! Sample answers of the document, made by the code that answers, from small invented things.

use chrono::{DateTime, NaiveDate};
use domain::analysis::{Analysis, analyse};
use domain::catalogue::Catalogue;
use domain::caution::Caution;
use domain::change::{Change as Facts, ChangeState};
use domain::field::{Field, FieldBuilder};
use domain::handling::ReportState;
use domain::lineage::Whereabouts;
use domain::part::PartRevision;
use domain::words::Problem;
use serde_json::{Value, json};
use store::{Answer, ChangeRecord, Handling, Question, ReportFile};

use super::changes::Change;
use super::lineage::{HoldersSheet, LineageSheet};
use super::lots::LotSheet;
use super::recurrences::RecurrenceEntry;
use super::reports::ReportKept;
use super::reports::new_report::NewReport;
use super::reports::photos::Kept;
use super::reports::standing::Standing;
use super::status::Status;
use crate::analyse::AnalysisView;
use crate::pages::lots::sample as lots;
use crate::pages::recurrences::sample;

const REF: &str = "K7M4-RT9X";

/// An analysis.
pub(super) fn analysis() -> Value {
    let (field, analysis) = sample::field();
    json!(AnalysisView::new(&field, &analysis))
}

/// A recurrence.
pub(super) fn recurrence() -> Value {
    let (field, analysis) = sample::field();
    let record = sample::record();
    json!(analysis.recurrences.first().map(|r| RecurrenceEntry::new(&field, r, Some(&record))))
}

/// A part of a list of recurrences.
pub(super) fn recurrences() -> Value {
    let (_, analysis) = sample::field();
    json!({ "as_of": analysis.as_of, "recurrences": [recurrence()], "next": "RC-131 ZIP-1" })
}

/// A lot.
pub(super) fn lot() -> Value {
    let (field, analysis) = sample::field();
    json!(field.lots.iter().next().map(|(id, _)| LotSheet::new(&field, &analysis, id)))
}

/// A lot's lineage.
pub(super) fn lineage() -> Value {
    let (field, analysis) = lots::field();
    json!(lots::tape(&field).map(|lot| LineageSheet::new(&field, analysis.as_of, lot)))
}

/// Who holds what was made from a lot.
pub(super) fn holders() -> Value {
    let (field, analysis) = lots::field();
    let sheet = |lot| HoldersSheet::new(&field, &Whereabouts::new(&field, &analysis.ledger, lot));
    json!(lots::tape(&field).map(sheet))
}

fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 3).unwrap_or_default()
}

fn facts() -> Facts {
    Facts {
        change_no: "2026-014".into(),
        title: "Coated slider for the front slide fastener".into(),
        part_no: "RC-131".into(),
        from_revision: "A".into(),
        to_revision: "B".into(),
        modes: vec!["ZIP-1".into()],
        state: Some(ChangeState::Submitted),
        cut_in_lot: None,
        cut_in_on: None,
    }
}

/// A field of one part and its change.
fn field() -> Result<(Field, Analysis), Problem> {
    let mut builder = FieldBuilder::new(Catalogue::shipped());
    for revision in ["A", "B"] {
        builder.part(&PartRevision {
            part_no: "RC-131".into(),
            revision: revision.into(),
            name: "Front slide fastener".into(),
            kind: "ZIP".into(),
            released_on: None,
            replaces_revision: (revision == "B").then(|| "A".into()),
            change_no: None,
            life_years: None,
        })?;
    }
    builder.change(&facts())?;
    let field = builder.build();
    let analysis = analyse(&field, day());
    Ok((field, analysis))
}

/// A change.
pub(super) fn change() -> Value {
    let change = field()
        .ok()
        .and_then(|(field, analysis)| analysis.changes.first().map(|result| Change::new(&field, result)));
    json!(change)
}

/// A part of a list of changes.
pub(super) fn changes() -> Value {
    json!({ "as_of": day(), "changes": [change()], "next": null })
}

/// Where changes stand.
pub(super) fn status() -> Value {
    json!(Status::new(vec![ChangeRecord {
        change: facts(),
        body: None,
        effectivity: Vec::new(),
        criteria: Vec::new(),
        answers: Vec::new(),
        decisions: Vec::new(),
        argued: store::Argued::default(),
        plan: None,
        since: Some(DateTime::UNIX_EPOCH),
    }]))
}

/// A report as sent.
pub(super) fn new_report() -> Value {
    json!(NewReport::sample())
}

/// A receipt.
pub(super) fn receipt() -> Value {
    json!(ReportKept {
        report_ref: REF.into(),
        receipt_code: REF.into(),
        sent_before: false,
        cautions: vec![Caution::ReportHarm.words(), Caution::OutOfUse.words()],
        follow_url: Some("https://rescue.example/follow/0a1b".into()),
    })
}

/// A report that was answered.
pub(super) fn standing() -> Value {
    let report = NewReport::sample().report(REF, "COVE-2", day()).ok();
    json!(report.map(|report| Standing::new(ReportFile {
        report,
        handling: Handling {
            state: ReportState::Answered,
            lot_text_as_sent: None,
            cause: None,
            relevant_reason: None,
            chargeable_reason: None,
            set_aside_reason: None,
            sorted_by: None,
            sorted_at: None,
        },
        danger: None,
        receipt: None,
        questions: vec![Question {
            id: 1,
            report_ref: REF.into(),
            asked_by: "Oda Fell".into(),
            asked_at: DateTime::UNIX_EPOCH,
            question: "Can you read the lot label?".into(),
            answer: Some("It says 0135.".into()),
            answered_at: Some(DateTime::UNIX_EPOCH),
        }],
        answers: vec![Answer {
            text: "A weak slider; your stock is of another lot.".into(),
            by: "Oda Fell".into(),
            at: DateTime::UNIX_EPOCH,
        }],
        photos: Vec::new(),
        upload: None,
        shown: 0,
    })))
}

/// A photograph that was kept.
pub(super) fn photo() -> Value {
    json!(Kept { report_ref: REF.into(), width: 2400, height: 1800, sent_before: false })
}
