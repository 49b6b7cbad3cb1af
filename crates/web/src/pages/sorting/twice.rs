//! Reports that may tell of the same failure as the one on the sheet, weighed where the picture knows both.

use domain::doubles::{Double, by_agreement, by_words, doubles_of};
use domain::field::Field;
use domain::report::Report;
use domain::sketch::Sketch;
use domain::suggestion::Learned;
use store::ReportLine;

use super::guess::{self, Earlier};
use crate::format;

/// Less probable than this, a report isn't worth a look.
const LEAST: f64 = 0.05;

/// The lines, most probable first. As they came, where the picture doesn't have the report yet.
pub(super) fn weighed(
    field: &Field,
    learned: &Learned,
    report: &Report,
    lines: &[ReportLine],
) -> Vec<Earlier> {
    let doubles = doubles_of(field, &report.report_ref);
    if doubles.is_empty() {
        return lines.iter().map(guess::line).collect();
    }
    let mut chances: Vec<(f64, &ReportLine)> = lines
        .iter()
        .filter_map(|line| {
            let is_it = |double: &&Double| {
                [double.first, double.second].iter().any(|id| field.report_ref(*id) == line.report.report_ref)
            };
            let double = doubles.iter().find(is_it)?;
            let words = if double.words_are_in { 1.0 } else { by_words(told(report), told(&line.report)) };
            let modes = if double.modes_are_in {
                1.0
            } else {
                by_agreement(learned.agreement(words_and_mode(report), words_and_mode(&line.report)))
            };
            let odds = double.odds * words * modes;
            Some((odds / (1.0 + odds), line)).filter(|one| one.0 >= LEAST)
        })
        .collect();
    chances.sort_by(|a, b| b.0.total_cmp(&a.0));
    let earlier = |(chance, line): (f64, &ReportLine)| Earlier {
        chance: Some(format!("{} probable", format::chance(chance))),
        ..guess::line(line)
    };
    chances.into_iter().map(earlier).collect()
}

fn words_and_mode(report: &Report) -> (&str, Option<&str>) {
    (report.narrative.as_deref().unwrap_or_default(), report.mode.as_deref())
}

fn told(report: &Report) -> Sketch {
    report.narrative.as_deref().map(Sketch::of).unwrap_or_default()
}
