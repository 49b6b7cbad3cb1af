//! Reports that may tell of the same failure as the one on the sheet, weighed where the picture knows both.

use std::collections::HashMap;

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
/// Most reports that are shown.
const SHOWN: usize = 8;

/// The most probable of the lines. The first as they came, where the picture doesn't have the report yet.
pub(super) fn weighed(
    field: &Field,
    learned: &Learned,
    report: &Report,
    lines: &[ReportLine],
) -> Vec<Earlier> {
    let doubles = doubles_of(field, &report.report_ref);
    if doubles.is_empty() {
        return lines.iter().take(SHOWN).map(guess::line).collect();
    }
    let named = |double: Double| [double.first, double.second].map(|id| (field.report_ref(id), double));
    let by_ref: HashMap<&str, Double> = doubles.into_iter().flat_map(named).collect();
    let mut chances: Vec<(f64, &ReportLine)> = lines
        .iter()
        .filter_map(|line| {
            let double = by_ref.get(line.report.report_ref.as_str())?;
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
    chances.truncate(SHOWN);
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

#[cfg(test)]
mod tests {
    use domain::permission::Role;

    use crate::testing::books::{bring_in, leads_to, link, send, signed_in, three_answers};
    use crate::testing::{get, service, state, text};

    /// Nine others of the day are told first, with the label as it is; the double is told a day later, with the label misread.
    #[tokio::test]
    async fn the_double_stands_on_both_sheets_behind_nine_that_are_nearer_and_with_its_label_misread() {
        let state = state().await;
        bring_in(&state).await;
        let form = format!("/report/{}", link(&state, "COVE-2").await);
        let service = service(&state);
        let told = async |key: char, story: &str, on: &str, label: &str| {
            let mut answers = three_answers(key);
            answers.retain(|(field, _)| *field != "story");
            answers.extend([("story", story.to_owned()), ("found_on", on.to_owned())]);
            answers.extend([("lot_known", "read".to_owned()), ("lot_text", label.to_owned())]);
            leads_to(&send(&service, &form, "", &answers, &[]).await)
        };
        for key in "123456789".chars() {
            told(key, "buckle of the shoulder strap bent", "2026-02-20", "LH-2231").await;
        }
        let story = "front zip split behind the slider when I bent over the oar";
        told('a', story, "2026-02-20", "LH-2231").await;
        told('b', story, "2026-02-21", "LH-223I").await;
        let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
        let waiting = state.store().waiting_reports(store::Page::first(20)).await.unwrap();
        let pair: Vec<&str> = waiting
            .iter()
            .filter(|line| line.report.narrative.as_deref() == Some(story))
            .map(|line| line.report.report_ref.as_str())
            .collect();
        assert_eq!((waiting.len(), pair.len()), (11, 2));
        for (own, other) in [(pair[0], pair[1]), (pair[1], pair[0])] {
            let page = text(get(&service, &super::super::of(own), &fell).await).await;
            assert!(page.contains("May be the same failure") && page.contains(other), "{page}");
        }
    }
}
