//! Reports that wait: for the engineer to sort, those with harm each by itself, and answers to read of those sorted; for
//! the unit, its questions and its own.

use chrono::{DateTime, Utc};
use domain::danger::Why;
use domain::handling::ReportState;
use domain::report::Harm as Told;
use store::{Mailed, Question, ReportLine};

use super::{Entry, Harm, List, Waiting};
use crate::address;
use crate::format;
use crate::tongue::Tongue;
use crate::view::Clock;

/// Letters of a story that fit into a line.
const CLIPPED: usize = 110;

/// What is said of the others in the queue.
const HARMLESS: &str = "Nobody was or could be hurt in these, as far as the units say.";
/// The same, where not every dangerous one was looked through.
const UNSEEN: &str =
    "More in which somebody was or could be hurt may stand among these: the queue has them first.";

/// What waits to be sorted: `lines` are the first of the queue, `all` how many it holds.
pub(super) fn to_sort(lines: &[ReportLine], all: u64, now: DateTime<Utc>) -> Vec<Waiting> {
    let is_harm = |line: &&ReportLine| line.danger.is_some();
    let mut waiting: Vec<Waiting> = lines.iter().filter(is_harm).map(|line| one_to_sort(line, now)).collect();
    let others = all.saturating_sub(waiting.len() as u64);
    if others > 0 {
        // The queue has danger first: once a line of it is harmless, so are all behind it.
        let saw_all = lines.iter().any(|line| line.danger.is_none());
        let rest = lines.iter().filter(|line| !is_harm(line));
        waiting.push(Waiting {
            since: rest.clone().map(|line| line.report.received_on).min(),
            what: format!("Sort {}", format::counted(others, "report", "reports")),
            about: {
                let says = if saw_all { HARMLESS } else { UNSEEN }.to_owned();
                answers(rest).map_or_else(|| says.clone(), |answers| format!("{answers} {says}"))
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
        harm: match line.danger.map(|danger| danger.why) {
            Some(Why::Hurt) => Harm::Injury { read: false },
            Some(Why::NearMiss) => Harm::NearMiss { read: false },
            Some(Why::Release) => Harm::Release,
            None => Harm::None,
        },
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

/// Answers that units gave about reports that were decided before: the queue doesn't have these.
pub(super) fn to_read(lines: &[ReportLine]) -> Vec<Waiting> {
    let one = |line: &ReportLine| Waiting {
        since: line.answer_came.map(|came| came.date_naive()),
        what: format!("Read what {} answered about report {}", line.report.unit, line.report.report_ref),
        about: format!(
            "It was {} before the answer came: sort it anew or answer the unit. {}",
            line.state,
            clipped(line.report.narrative.as_deref().unwrap_or("Nothing was written."))
        ),
        address: format!("/sorting/{}", address::segment(&line.report.report_ref)),
        harm: match line.report.harm {
            Some(Told::Injury) => Harm::Injury { read: true },
            Some(Told::NearMiss) => Harm::NearMiss { read: true },
            Some(Told::None) | None => Harm::None,
        },
    };
    lines.iter().map(one).collect()
}

/// Questions that wait for the unit's answer, however long ago the report was sent and wherever it stands.
pub(super) fn to_answer(open: &[Question]) -> Vec<Waiting> {
    let one = |asked: &Question| Waiting {
        since: Some(asked.asked_at.date_naive()),
        what: format!("Answer a question about report {}", asked.report_ref),
        about: clipped(&asked.question),
        address: address::report(&asked.report_ref),
        harm: Harm::None,
    };
    open.iter().map(one).collect()
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
        _ if line.answer_came.is_some() => "your answer came",
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
    use chrono::NaiveDate;
    use domain::danger::{self, QUICK_RELEASE};
    use domain::report::Report;

    use super::*;

    #[test]
    fn a_report_stands_by_the_harm_it_tells_of_and_what_was_not_looked_through_is_not_called_harmless() {
        let day = NaiveDate::from_ymd_opt(2026, 3, 2).expect("a date");
        let line = |harm, kind| {
            let report = Report { harm: Some(harm), ..Report::bare("R-1", day, "COVE-2", "RC-100") };
            let danger = danger::of(&report, kind, None);
            ReportLine { report, state: ReportState::Received, danger, answer_came: None }
        };
        let mut lines =
            vec![line(Told::NearMiss, None), line(Told::Injury, None), line(Told::None, Some(QUICK_RELEASE))];
        let waiting = to_sort(&lines, 5, DateTime::UNIX_EPOCH);
        let harms: Vec<Harm> = waiting.iter().map(|one| one.harm).collect();
        let (near, injury) = (Harm::NearMiss { read: false }, Harm::Injury { read: false });
        assert_eq!(harms, [near, injury, Harm::Release, Harm::None]);
        assert_eq!((waiting[3].what.as_str(), waiting[3].about.as_str()), ("Sort 2 reports", UNSEEN));
        lines.push(line(Told::None, None));
        assert_eq!(to_sort(&lines, 5, DateTime::UNIX_EPOCH)[3].about, HARMLESS);
    }

    #[test]
    fn a_long_story_is_clipped_between_letters_of_any_tongue() {
        assert_eq!(clipped("kurz"), "kurz");
        let clip = clipped(&"ä".repeat(300));
        assert_eq!((clip.chars().count(), clip.ends_with('\u{2026}')), (CLIPPED + 1, true));
    }
}
