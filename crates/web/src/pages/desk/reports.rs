//! Reports that wait: for the engineer to sort, those with harm each by itself; for the unit, its questions and its own.

use chrono::{DateTime, Utc};
use domain::handling::ReportState;
use store::{Mailed, ReportLine};

use super::{Entry, Harm, List, Waiting};
use crate::address;
use crate::format;
use crate::tongue::Tongue;
use crate::view::Clock;

/// Letters of a story that fit into a line.
const CLIPPED: usize = 110;

/// What waits to be sorted: `lines` are the first of the queue, `all` how many it holds.
pub(super) fn to_sort(lines: &[ReportLine], all: u64, now: DateTime<Utc>) -> Vec<Waiting> {
    let is_harm = |line: &&ReportLine| line.danger.is_some();
    let mut waiting: Vec<Waiting> = lines.iter().filter(is_harm).map(|line| one_to_sort(line, now)).collect();
    let others = all.saturating_sub(waiting.len() as u64);
    if others > 0 {
        let rest = lines.iter().filter(|line| !is_harm(line));
        waiting.push(Waiting {
            since: rest.clone().map(|line| line.report.received_on).min(),
            what: format!("Sort {}", format::counted(others, "report", "reports")),
            about: {
                let harmless = "Nobody was or could be hurt in these, as far as the units say.".to_owned();
                answers(rest).map_or_else(|| harmless.clone(), |answers| format!("{answers} {harmless}"))
            },
            address: "/sorting".to_owned(),
            harm: Harm::None,
        });
    }
    waiting
}

/// To which of these an answer came: the queue has those that wait longest.
fn answers<'a>(lines: impl Iterator<Item = &'a ReportLine>) -> Option<String> {
    let answered = lines.filter(|line| line.answer_came.is_some());
    let refs: Vec<&str> = answered.map(|line| line.report.report_ref.as_str()).collect();
    (!refs.is_empty()).then(|| format!("An answer came to {}.", Tongue::ENGLISH.listed(&refs)))
}

fn one_to_sort(line: &ReportLine, now: DateTime<Utc>) -> Waiting {
    let report = &line.report;
    Waiting {
        since: Some(report.received_on),
        what: match line.answer_came {
            Some(_) => format!("Sort report {} from {}: an answer came", report.report_ref, report.unit),
            None => format!("Sort report {} from {}", report.report_ref, report.unit),
        },
        about: {
            let story = clipped(report.narrative.as_deref().unwrap_or("Nothing was written."));
            let clock = line.danger.map(|danger| Clock::new(danger, now));
            clock.map_or_else(|| story.clone(), |clock| format!("{}. {story}", clock.says))
        },
        address: format!("/sorting/{}", address::segment(&report.report_ref)),
        harm: Harm::Unread,
    }
}

/// Mails that wait for somebody to say which unit and item they are about.
pub(super) fn mailed(oldest: Option<&Mailed>, all: u64) -> Option<Waiting> {
    oldest.map(|oldest| Waiting {
        since: Some(oldest.arrived_at.date_naive()),
        what: format!("Say what {} about", format::counted(all, "mailed report is", "mailed reports are")),
        about: "Nobody has read whether anybody was hurt in these.".to_owned(),
        address: "/reports/mailed".to_owned(),
        harm: Harm::None,
    })
}

/// Questions that wait for the unit's answer.
pub(super) fn to_answer(own: &[ReportLine]) -> Vec<Waiting> {
    let asked = own.iter().filter(|line| line.state == ReportState::Asked);
    asked
        .map(|line| Waiting {
            since: Some(line.report.received_on),
            what: format!("Answer a question about report {}", line.report.report_ref),
            about: clipped(line.report.narrative.as_deref().unwrap_or_default()),
            address: address::report(&line.report.report_ref),
            harm: Harm::None,
        })
        .collect()
}

/// The unit's own reports, the latest first.
pub(super) fn own(unit: &str, lines: &[ReportLine]) -> List {
    let entry = |line: &ReportLine| Entry {
        date: format::date(line.report.received_on),
        name: line.report.report_ref.clone(),
        address: address::report(&line.report.report_ref),
        words: format!(
            "{} ({})",
            clipped(line.report.narrative.as_deref().unwrap_or("Nothing was written.")),
            plain(line)
        ),
    };
    List {
        head: format!("Reports of {unit}"),
        entries: lines.iter().map(entry).collect(),
        none: "Your unit has sent no report yet. Its link opens the form.".to_owned(),
        more: None,
    }
}

const fn plain(line: &ReportLine) -> &'static str {
    match line.state {
        ReportState::Received if line.answer_came.is_some() => "your answer came",
        ReportState::Received => "arrived",
        ReportState::Asked => "we have a question",
        ReportState::Sorted => "looked at",
        ReportState::SetAside => "set aside",
        ReportState::Answered => "answered",
    }
}

fn clipped(story: &str) -> String {
    if story.chars().count() <= CLIPPED {
        return story.to_owned();
    }
    let head: String = story.chars().take(CLIPPED).collect();
    format!("{}\u{2026}", head.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_story_is_clipped_between_letters_of_any_tongue() {
        assert_eq!(clipped("kurz"), "kurz");
        let clip = clipped(&"ä".repeat(300));
        assert_eq!((clip.chars().count(), clip.ends_with('\u{2026}')), (CLIPPED + 1, true));
    }
}
