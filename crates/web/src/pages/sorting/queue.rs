//! The queue as a page: reports that wait, those of danger first with their clock, then oldest wait.

use chrono::{DateTime, Utc};
use domain::handling::ReportState;
use domain::permission::Actor;
use serde::Serialize;
use store::ReportLine;

use crate::format;
use crate::templates::Page;
use crate::view::{Clock, Empty, Place, Shell};

/// The queue.
#[derive(Serialize)]
pub struct QueuePage {
    shell: Shell,
    waiting: String,
    first: String,
    rows: Vec<Row>,
    empty: Option<Empty>,
}

#[derive(Serialize)]
struct Row {
    address: String,
    report_ref: String,
    received: String,
    unit: String,
    item: String,
    story: String,
    harm: Option<&'static str>,
    clock: Option<Clock>,
    state: String,
}

impl QueuePage {
    /// The first of `waiting` reports.
    pub fn new(actor: &Actor, waiting: u64, lines: &[ReportLine], now: DateTime<Utc>) -> Self {
        let rows = lines.iter().map(|line| Row {
            address: super::of(&line.report.report_ref),
            report_ref: line.report.report_ref.clone(),
            received: format::date(line.report.received_on),
            unit: line.report.unit.clone(),
            item: line.report.item_part_no.clone(),
            story: line.report.narrative.clone().unwrap_or_default(),
            harm: line.danger.map(|danger| danger.why.word()),
            clock: line.danger.map(|danger| Clock::new(danger, now)),
            state: state(line.state, line.answer_came),
        });
        Self {
            shell: Shell::inside("Sorting", actor, Place::Sorting),
            waiting: said(waiting),
            first: lines.first().map(|line| super::of(&line.report.report_ref)).unwrap_or_default(),
            rows: rows.collect(),
            empty: (waiting == 0).then(|| Empty::rest("No report waits to be sorted.")),
        }
    }
}

fn said(waiting: u64) -> String {
    format!("{}.", format::counted(waiting, "report waits", "reports wait"))
}

/// Where it stands, where that is more than waiting.
fn state(state: ReportState, answer_came: Option<DateTime<Utc>>) -> String {
    match (state, answer_came) {
        (ReportState::Asked, _) => "asked, no answer yet".to_owned(),
        (_, Some(came)) => format!("an answer came {}", format::date(came.date_naive())),
        _ => String::new(),
    }
}

impl Page for QueuePage {
    const TEMPLATE: &'static str = "pages/sorting/queue";

    fn samples() -> Vec<Self> {
        let row = |clock: Option<Clock>| Row {
            address: "/sorting/K7M4-RT9X".into(),
            report_ref: "K7M4-RT9X".into(),
            received: "3 Mar 2026".into(),
            unit: "COVE-2".into(),
            item: "RC-100".into(),
            story: "zip bust open".into(),
            harm: clock.as_ref().map(|clock| clock.why),
            clock,
            state: state(ReportState::Asked, None),
        };
        let shell = || Shell::sample("Sorting", Place::Sorting);
        vec![
            Self {
                shell: shell(),
                waiting: said(2),
                first: "/sorting/K7M4-RT9X".into(),
                rows: vec![row(None), row(Some(Clock::sample(false))), row(Some(Clock::sample(true)))],
                empty: None,
            },
            Self {
                shell: shell(),
                waiting: said(0),
                first: String::new(),
                rows: Vec::new(),
                empty: Some(Empty::rest("No report waits.")),
            },
        ]
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn one_report_waits_and_several_wait() {
        assert_eq!(super::said(1), "1 report waits.");
        assert_eq!(super::said(1_240), "1,240 reports wait.");
    }
}
