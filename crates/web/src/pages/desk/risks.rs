//! The open recurrences of highest risk, for whoever judges severity: what may hurt somebody stands near the top of the desk,
//! whether or not anything of it waits today.

use std::collections::HashMap;

use domain::analysis::Analysis;
use domain::field::Field;
use domain::recurrence::RecurrenceState;
use domain::risk::{RiskLevel, Severity};
use serde::Serialize;
use store::RecurrenceRecord;

use crate::address;
use crate::format;
use crate::pages::recurrences::{harm_words, part_name, risk_of};

/// A few lines, so that what waits begins on the first screen of a phone; the list of recurrences has them all.
const SHOWN: usize = 3;

/// The worst of what is open.
#[derive(Clone, Serialize)]
pub(super) struct Risks {
    pub(super) lines: Vec<RiskLine>,
    /// How many more are open.
    pub(super) more: Option<String>,
}

/// One recurrence.
#[derive(Clone, Serialize)]
pub(super) struct RiskLine {
    pub(super) address: String,
    pub(super) part_no: String,
    /// Part and mode by name.
    pub(super) name: String,
    pub(super) harm: Option<String>,
    pub(super) risk: String,
    pub(super) owner: String,
}

/// Those that are not settled, the highest risk first: as a person judged it, else as the figures have it. Of the same
/// risk those come first that stand first in the list of recurrences.
pub(super) fn open(field: &Field, analysis: &Analysis, records: &[RecurrenceRecord]) -> Option<Risks> {
    let kept: HashMap<_, _> = records.iter().map(|r| ((r.part_no.as_str(), r.mode.as_str()), r)).collect();
    let mut open: Vec<((Option<RiskLevel>, Severity), RiskLine)> = Vec::new();
    for r in &analysis.recurrences {
        let (part_no, mode) = (&field.part_names[r.part], &field.modes[r.mode]);
        let record = kept.get(&(part_no, &*mode.code)).copied();
        if record.is_some_and(|record| record.state == RecurrenceState::Settled) {
            continue;
        }
        let risk = risk_of(field, r, record);
        let line = RiskLine {
            address: address::recurrence(field, r.part, r.mode),
            part_no: part_no.to_owned(),
            name: format!("{}: {}", format::titled(part_name(field, r.part)), mode.name.to_lowercase()),
            harm: harm_words(r),
            risk: risk.words(),
            owner: record.and_then(|record| record.owner.clone()).unwrap_or_else(|| "nobody yet".to_owned()),
        };
        open.push(((risk.level(), risk.severity), line));
    }
    // A level that isn't known stands behind every known one.
    open.sort_by_key(|((level, severity), _)| (level.is_none(), *level, *severity));
    let more = open.len().saturating_sub(SHOWN) as u64;
    let lines: Vec<RiskLine> = open.into_iter().take(SHOWN).map(|(_, line)| line).collect();
    (!lines.is_empty()).then(|| Risks {
        lines,
        more: (more > 0)
            .then(|| format::counted(more, "further open recurrence", "further open recurrences")),
    })
}

impl Risks {
    /// For the desk's samples.
    pub(super) fn sample(full: bool) -> Self {
        let line = |harm: Option<&str>| RiskLine {
            address: "/recurrences/RC-131/ZIP-1".into(),
            part_no: "RC-131".into(),
            name: "Front slide fastener: chain split".into(),
            harm: harm.map(str::to_owned),
            risk: "Serious (2C)".into(),
            owner: "Oda Fell".into(),
        };
        let more = full.then(|| "3 further open recurrences".to_owned());
        Self { lines: vec![line(Some("1 injury")), line(None)], more }
    }
}

#[cfg(test)]
mod tests {
    use chrono::{Days, NaiveDate};
    use domain::analysis::analyse;
    use domain::report::Report;
    use domain::risk::Level;
    use store::Judgement;

    use super::*;
    use crate::pages::recurrences::sample;

    #[test]
    fn what_is_open_stands_with_risk_and_owner_and_what_is_settled_does_not() {
        let (field, analysis) = sample::field();
        let record = sample::record();
        let risks = open(&field, &analysis, std::slice::from_ref(&record)).expect("one is open");
        let line = &risks.lines[0];
        assert_eq!(
            (line.risk.as_str(), line.address.as_str()),
            ("Serious (2C)", "/recurrences/RC-131/ZIP-1")
        );
        assert_eq!(Some(&line.owner), record.owner.as_ref());
        assert!(risks.more.is_none());
        let nobodys = open(&field, &analysis, &[]).expect("one is open");
        assert!(nobodys.lines[0].owner == "nobody yet" && nobodys.lines[0].risk.ends_with("not yet judged"));
        let settled = RecurrenceRecord { state: RecurrenceState::Settled, ..record };
        assert!(open(&field, &analysis, &[settled]).is_none());
    }

    #[test]
    fn the_highest_risk_comes_first_and_the_rest_is_counted() {
        let mut books = sample::builder().expect("sound books");
        let day = NaiveDate::from_ymd_opt(2025, 6, 2).expect("a date");
        for mode in ["ZIP-2", "ZIP-3", "ZIP-4", "ZIP-5", "ZIP-6", "ZIP-7"] {
            for number in 0..2 {
                let bare = Report::bare(format!("{mode}-{number}"), day, "COVE-2", "RC-100");
                let (part_no, mode, relevant) = (Some("RC-131".into()), Some(mode.into()), Some(true));
                books.report(&Report { part_no, mode, relevant, ..bare }).expect("a sound report");
            }
        }
        let field = books.build();
        let analysis = analyse(&field, day + Days::new(200));
        let judged = |mode: &str, severity, level| RecurrenceRecord {
            mode: mode.into(),
            judgement: sample::record().judgement.map(|made| Judgement {
                severity,
                probability: Some(level),
                ..made
            }),
            ..sample::record()
        };
        let records = [
            judged("ZIP-1", Severity::Negligible, Level::E),
            judged("ZIP-2", Severity::Marginal, Level::A),
            judged("ZIP-3", Severity::Catastrophic, Level::C),
            judged("ZIP-4", Severity::Critical, Level::C),
            judged("ZIP-5", Severity::Marginal, Level::D),
            judged("ZIP-6", Severity::Negligible, Level::A),
            judged("ZIP-7", Severity::Marginal, Level::E),
        ];
        let risks = open(&field, &analysis, &records).expect("they are open");
        // Levels by MIL-STD-882E, Table III.
        let said: Vec<&str> = risks.lines.iter().map(|line| line.risk.as_str()).collect();
        assert_eq!(said, ["High (1C)", "Serious (2C)", "Serious (3A)"]);
        assert_eq!(risks.more.as_deref(), Some("4 further open recurrences"));
    }
}
