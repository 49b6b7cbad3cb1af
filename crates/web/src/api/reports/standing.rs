//! Where a report stands, as its sender may read it.

use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use store::ReportFile;
use utoipa::ToSchema;

/// A report, where it stands, and what was asked and answered.
#[derive(Serialize, ToSchema)]
#[schema(as = Report)]
pub(in crate::api) struct Standing {
    /// Its reference.
    #[schema(examples("K7M4-RT9X"))]
    report_ref: String,
    /// The receipt's code; `null` for a report that came with a pack.
    receipt_code: Option<String>,
    /// The unit that reported.
    #[schema(examples("COVE-2"))]
    unit: String,
    /// When the failure was found.
    found_on: NaiveDate,
    /// When the report arrived.
    received_on: NaiveDate,
    /// `received`, `asked` (a question is with the unit), `sorted`, `set aside` or `answered`.
    #[schema(examples("answered"))]
    state: &'static str,
    /// The end item.
    item_part_no: String,
    /// The part that failed, as the unit said or an engineer sorted it.
    part_no: Option<String>,
    /// How it failed; `null` until it is sorted.
    mode: Option<String>,
    /// Photographs kept with it.
    photos: usize,
    /// Questions to the unit, first asked first.
    questions: Vec<Exchange>,
    /// Answers to the unit, first given first.
    answers: Vec<Answer>,
}

/// A question to the unit.
#[derive(Serialize, ToSchema)]
#[schema(as = Question)]
struct Exchange {
    /// When it was asked.
    asked_at: DateTime<Utc>,
    /// What is asked.
    question: String,
    /// What the unit said.
    answer: Option<String>,
    /// When the unit said it.
    answered_at: Option<DateTime<Utc>>,
}

/// An answer to the unit.
#[derive(Serialize, ToSchema)]
struct Answer {
    /// When it was given.
    at: DateTime<Utc>,
    /// What it says.
    text: String,
}

impl Standing {
    pub(in crate::api) fn new(file: ReportFile) -> Self {
        let report = file.report;
        let questions = file.questions.into_iter().map(|asked| Exchange {
            asked_at: asked.asked_at,
            question: asked.question,
            answer: asked.answer,
            answered_at: asked.answered_at,
        });
        Self {
            report_ref: report.report_ref,
            receipt_code: file.receipt.map(|receipt| receipt.receipt_code),
            unit: report.unit,
            found_on: report.found_on,
            received_on: report.received_on,
            state: file.handling.state.word(),
            item_part_no: report.item_part_no,
            part_no: report.part_no,
            mode: report.mode,
            photos: file.photos.len(),
            questions: questions.collect(),
            answers: file.answers.into_iter().map(|a| Answer { at: a.at, text: a.text }).collect(),
        }
    }
}
