//! The sentences that open a recurrence's page: what fails, since when, how many, where it sits, who could get hurt.

use std::collections::HashSet;

use domain::analysis::Recurrence;
use domain::field::Field;
use domain::risk::Severity;

use super::figures::{harm_words, part_name, titled};
use super::lot_rows::ratio_words;
use crate::format;

/// The opening of the page.
pub(crate) fn sentence(field: &Field, r: &Recurrence, severity: Severity) -> String {
    let facts = || r.report_ids.iter().map(|&id| &field.reports[id]);
    let units = facts().map(|report| report.unit).collect::<HashSet<_>>().len() as u64;
    let since = facts().map(|report| report.found_on).min().map(|day| format::date(day.date()));
    format!(
        "{}: {}. {} from {} since {}. {} {}",
        titled(part_name(field, r.part)),
        field.modes[r.mode].name,
        format::counted(u64::from(r.reports), "relevant report", "relevant reports"),
        format::counted(units, "unit", "units"),
        since.unwrap_or_else(|| "an unknown day".into()),
        concentrates(field, r),
        hurt(r, severity),
    )
}

/// Where it concentrates: observed against expected of each lot that stands out.
fn concentrates(field: &Field, r: &Recurrence) -> String {
    let flagged: Vec<_> = r.lots.iter().filter(|line| line.flagged).collect();
    let worst = flagged.iter().take(3).map(|line| {
        format!(
            "Lot {} has {} against {} expected, {}.",
            field.lots[line.lot].lot_no,
            format::counted(u64::from(line.reports), "report", "reports"),
            line.expected.map_or_else(|| "an unknown number".into(), |n| format::significant(n, 2)),
            ratio_words(line),
        )
    });
    match flagged.len() {
        0 => "No lot is shown to stand out.".to_owned(),
        1..=3 => worst.collect::<Vec<_>>().join(" "),
        more => format!("{} lots stand out; the worst: {}", more, worst.collect::<Vec<_>>().join(" ")),
    }
}

fn hurt(r: &Recurrence, severity: Severity) -> String {
    let could = format!("at severity {} a mishap means {}", severity.number(), severity.harm());
    match harm_words(r) {
        Some(words) => format!("Reported: {words}; {could}."),
        None => format!("Nobody was reported hurt; {could}."),
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample;
    use super::*;

    #[test]
    fn it_says_what_since_when_how_many_where_and_who() {
        let (field, analysis) = sample::field();
        let said = sentence(&field, &analysis.recurrences[0], Severity::Critical);
        for words in [
            "Front slide fastener: Chain split",
            "13 relevant reports from 1 unit since 15 Feb 2025",
            "Lot TB-0418 has 9 reports against",
            "near miss",
            "severity 2",
        ] {
            assert!(said.contains(words), "{words}: {said}");
        }
    }
}
