//! What became of a report, in the words of those who sent it: each step with its date.

use chrono::{DateTime, Utc};
use domain::analysis::{Analysis, Recurrence};
use domain::catalogue::Catalogue;
use domain::field::Field;
use domain::handling::ReportState;
use serde::Serialize;
use store::{ChangeRecord, ReportFile};

use super::change;
use crate::pages::recurrences::part_name;
use crate::tongue::Tongue;

/// One thing that happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(super) struct Step {
    /// When, where that is on record.
    pub(super) date: Option<String>,
    /// What.
    pub(super) says: String,
    /// By which key it is told by mail once; nothing where it is no news by itself.
    #[serde(skip)]
    pub(super) news: Option<String>,
}

impl Step {
    pub(super) fn on(tongue: Tongue, date: Option<DateTime<Utc>>, says: String) -> Self {
        Self { date: date.map(|time| tongue.date(time.date_naive())), says, news: None }
    }

    /// The same, told by mail once under a key.
    pub(super) fn news(self, key: String) -> Self {
        Self { news: Some(key), ..self }
    }
}

/// What is known of one report.
#[derive(Clone, Copy)]
pub(super) struct Known<'a> {
    /// How those who sent it are spoken to.
    pub(super) tongue: Tongue,
    pub(super) field: &'a Field,
    pub(super) analysis: &'a Analysis,
    pub(super) catalogue: &'a Catalogue,
    pub(super) file: &'a ReportFile,
    /// Changes that are meant to cure what it tells of.
    pub(super) changes: &'a [ChangeRecord],
}

/// Whether a change is meant to cure what a report tells of.
pub(super) fn concerns(file: &ReportFile, record: &ChangeRecord) -> bool {
    let sorted = file.report.part_no.as_ref().zip(file.report.mode.as_ref());
    sorted.is_some_and(|(part_no, mode)| record.change.cures(part_no, mode))
}

/// What is said in place of the steps while the books are still being read: that they will stand there, where any will.
pub(super) fn awaited(tongue: Tongue, file: &ReportFile) -> Vec<Step> {
    match file.handling.state {
        ReportState::Received | ReportState::Asked => Vec::new(),
        _ => vec![Step::on(tongue, None, tongue.say("became-awaited"))],
    }
}

impl<'a> Known<'a> {
    /// Every step, in the order of the thread.
    pub(super) fn steps(self) -> Vec<Step> {
        let mut steps: Vec<Step> = self.sorted().into_iter().collect();
        if self.counts() {
            steps.push(self.others());
            steps.extend(
                self.changes.iter().flat_map(|record| change::steps(self.tongue, &self.part(), record)),
            );
        }
        steps
    }

    /// Sorted, and not left out as no failure of the equipment.
    pub(super) fn counts(self) -> bool {
        let is_sorted = matches!(self.file.handling.state, ReportState::Sorted | ReportState::Answered);
        is_sorted && self.file.report.relevant != Some(false)
    }

    fn sorted(self) -> Option<Step> {
        let (report, handling) = (&self.file.report, &self.file.handling);
        let says = match handling.state {
            ReportState::Received | ReportState::Asked => return None,
            ReportState::SetAside => {
                let reason = handling.set_aside_reason.clone();
                let reason = reason.unwrap_or_else(|| self.tongue.say("became-no-reason"));
                self.tongue.with("became-set-aside", &[("reason", reason.into())])
            }
            ReportState::Sorted | ReportState::Answered => {
                let found = self.tongue.with("became-sorted", &[("what", self.what().into())]);
                match handling.relevant_reason.as_deref().filter(|_| report.relevant == Some(false)) {
                    Some(reason) => {
                        let why = self.tongue.with("became-not-counted", &[("reason", reason.into())]);
                        format!("{found} {why}")
                    }
                    None => found,
                }
            }
        };
        // Sorted anew into the same is no news; into another mode it is.
        let of = [Some(handling.state.word()), report.part_no.as_deref(), report.mode.as_deref()];
        let key = of.into_iter().flatten().collect::<Vec<_>>().join(" ");
        let key = key.replace(ReportState::Answered.word(), ReportState::Sorted.word());
        Some(Step::on(self.tongue, handling.sorted_at, says).news(key))
    }

    /// `front slide fastener, chain split ("zip burst")`: the engineer's words, and what units call it.
    fn what(self) -> String {
        let mode = self.file.report.mode.as_deref().and_then(|code| self.catalogue.mode(code));
        let Some(mode) = mode else { return self.part() };
        let said =
            mode.field_words.first().map(|word| format!(" (\u{201c}{word}\u{201d})")).unwrap_or_default();
        // What stands in brackets is for engineers.
        let name = mode.name.split(" (").next().unwrap_or(&mode.name).to_lowercase();
        format!("{}, {name}{said}", self.part())
    }

    /// The part's plain name.
    pub(super) fn part(self) -> String {
        let part =
            self.file.report.part_no.as_deref().and_then(|part_no| self.field.part_names.find(part_no));
        part.map_or_else(|| self.tongue.say("became-part"), |part| part_name(self.field, part).to_owned())
    }

    /// The recurrence that the report belongs to.
    pub(super) fn recurrence(self) -> Option<&'a Recurrence> {
        let report = &self.file.report;
        let part = self.field.part_names.find(report.part_no.as_deref()?)?;
        let mode = self.field.find_mode(report.mode.as_deref()?)?;
        self.analysis.recurrences.iter().find(|r| r.part == part && r.mode == mode)
    }

    fn others(self) -> Step {
        let others = self.recurrence().map_or(0, |r| r.reports.saturating_sub(1));
        let says = match others {
            0 => self.tongue.say("became-alone"),
            n => {
                let count = self.tongue.count(u64::from(n) + 1);
                self.tongue.with("became-one-of", &[("count", count.into())])
            }
        };
        let step = Step::on(self.tongue, None, says);
        if others == 0 { step } else { step.news("others".to_owned()) }
    }
}
