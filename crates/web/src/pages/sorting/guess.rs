//! What a report may be of: modes by its words, lots by its label and unit, earlier reports by their words.

use std::collections::HashMap;

use domain::catalogue::Mode;
use domain::label::{Told, lot_candidates};
use domain::report::Report;
use domain::suggestion::{Contained, Learned, Suggestion, alike, is_everywhere};
use serde::Serialize;
use store::ReportLine;

use crate::address;
use crate::format;
use crate::pages::report::form::Offer;
use crate::picture::Picture;

/// Most suggestions, each on a number key.
const MODES: usize = 5;
/// Less probable than this, only the first is offered.
const LEAST: f64 = 0.02;
/// Most lots, on the number keys after those.
const LOTS: usize = 4;
/// Most earlier reports.
const ALIKE: usize = 4;
/// How like an earlier report has to be, as a share of weighted words.
const LIKE: f64 = 0.25;

/// What is said of words that the model never met.
pub(super) const UNKNOWN: &str = "None of its words are known yet, so that no mode is suggested by them.";

/// One choice to be taken by a key or a touch.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Guess {
    /// The number key.
    pub(super) key: usize,
    /// What it is.
    pub(super) says: String,
    /// Why it stands here.
    pub(super) why: String,
    /// The part it sets, or nothing.
    pub(super) part: String,
    /// The mode it sets, or nothing.
    pub(super) mode: String,
    /// The lot it sets, or nothing.
    pub(super) lot: String,
    /// The sheet with it filled in.
    pub(super) address: String,
}

/// What the words of a report lead to.
#[derive(Debug)]
pub(super) struct Suggested<'a> {
    /// Modes, the most probable first.
    pub(super) modes: Vec<Suggestion<'a>>,
    /// Why there are none, or none that is probable.
    pub(super) says: Option<String>,
}

/// An earlier report told in like words, or one that may be of the same failure.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Earlier {
    /// Its sheet.
    pub(super) address: String,
    /// Its reference.
    pub(super) report_ref: String,
    /// What it was sorted as.
    pub(super) sorted: String,
    /// What was told.
    pub(super) story: String,
    /// How probable it is that both tell of the same failure, where that was weighed.
    pub(super) chance: Option<String>,
}

/// Modes that the words of a report lead to, on what its item contains.
pub(super) fn suggestions<'a>(report: &Report, picture: &Picture, learned: &'a Learned) -> Suggested<'a> {
    let told = report.narrative.as_deref().unwrap_or_default();
    if !learned.knows_a_word(told) {
        // Where nothing was told that is known, one mode is as probable as the next.
        let says = Some(UNKNOWN.to_owned()).filter(|_| !told.trim().is_empty());
        return Suggested { modes: Vec::new(), says };
    }
    let field = &picture.field;
    let item = field.part_names.find(&report.item_part_no);
    let contained = item.map(|item| Contained::of(field, item)).unwrap_or_default();
    let named = report.part_no.as_ref().map(|part_no| kind(picture, part_no));
    let weight_of = |kind: &str| contained.weight(kind, named);
    let mut modes = learned.suggest(told, weight_of, MODES);
    let mut rank = 0..;
    modes.retain(|one| one.probability >= LEAST || rank.next() == Some(0));
    let lacked = learned.lacked(told, weight_of);
    Suggested { modes, says: lacked.map(|mode| wrong_item(mode, &report.item_part_no)) }
}

fn wrong_item(mode: &Mode, item: &str) -> String {
    format!(
        "Its words tell of {} {}, but {item} contains no part of the kind {}: was the right item named?",
        mode.code, mode.name, mode.kind_name
    )
}

fn parts_of<'a>(report: &'a Report, offer: &'a Offer) -> impl Iterator<Item = &'a str> {
    let item = offer.items.iter().filter(|item| item.part_no == report.item_part_no);
    let parts = item.flat_map(|item| item.parts.iter().map(|(part_no, _)| part_no.as_str()));
    parts.chain([report.item_part_no.as_str()])
}

fn kind<'a>(picture: &'a Picture, part_no: &str) -> &'a str {
    picture.field.part_names.find(part_no).map_or("", |part| picture.field.kind_of(part))
}

/// The suggestions as choices, the most probable first.
pub(super) fn modes(
    report: &Report,
    found: &[Suggestion<'_>],
    picture: &Picture,
    offer: &Offer,
    earlier: &[ReportLine],
    like: &[&ReportLine],
) -> Vec<Guess> {
    let mut counts: HashMap<&str, u64> = HashMap::new();
    for mode in earlier.iter().filter_map(|line| line.report.mode.as_deref()) {
        *counts.entry(mode).or_default() += 1;
    }
    let guess = |one: &Suggestion<'_>| {
        let part = part_for(report, &one.mode.kind, picture, offer).unwrap_or_default();
        let before = counts.get(one.mode.code.as_str()).copied().unwrap_or_default();
        let earlier = format::counted(before, "earlier report", "earlier reports");
        mode_guess(report, one.mode, part, format!("{}, {earlier}", format::chance(one.probability)))
    };
    let mut guesses: Vec<Guess> = found.iter().map(guess).collect();
    let as_the_like = as_the_like(report, picture, like, &guesses);
    guesses.truncate(MODES - as_the_like.len().min(MODES));
    guesses.extend(as_the_like);
    guesses.truncate(MODES);
    for (index, guess) in guesses.iter_mut().enumerate() {
        guess.key = index + 1;
    }
    guesses
}

fn mode_guess(report: &Report, mode: &Mode, part: &str, why: String) -> Guess {
    let (part_to, mode_to) = (address::segment(part), address::segment(&mode.code));
    Guess {
        key: 0,
        says: format!("{} {}", mode.code, mode.name),
        why,
        address: format!("{}?part={part_to}&mode={mode_to}", super::of(&report.report_ref)),
        part: part.to_owned(),
        mode: mode.code.clone(),
        lot: String::new(),
    }
}

/// What reports told in like words were sorted as, most often first, where their words led to nothing of the kind.
fn as_the_like(report: &Report, picture: &Picture, like: &[&ReportLine], others: &[Guess]) -> Vec<Guess> {
    let mut counts: Vec<(&str, &str, u64)> = Vec::new();
    for line in like {
        let (Some(part), Some(code)) = (&line.report.part_no, &line.report.mode) else { continue };
        match counts.iter_mut().find(|one| (one.0, one.1) == (part.as_str(), code.as_str())) {
            Some(one) => one.2 += 1,
            None => counts.push((part, code, 1)),
        }
    }
    counts.sort_by_key(|one| std::cmp::Reverse(one.2));
    let new = counts.into_iter().filter(|one| others.iter().all(|other| other.mode != one.1));
    new.filter_map(|(part, code, count)| {
        let mode = picture.catalogue.modes().iter().find(|mode| mode.code == code)?;
        let told = format::counted(count, "report told in like words", "reports told in like words");
        Some(mode_guess(report, mode, part, format!("as {told}")))
    })
    .collect()
}

/// The part a mode is about: the one the unit named if it is of the kind, else the only one of the kind; the item
/// itself where the kind is found on every item and no part of its own.
fn part_for<'a>(report: &'a Report, of_kind: &str, picture: &Picture, offer: &'a Offer) -> Option<&'a str> {
    let named = report.part_no.as_deref().filter(|part_no| kind(picture, part_no) == of_kind);
    named.or_else(|| {
        let mut parts = parts_of(report, offer).filter(|part_no| kind(picture, part_no) == of_kind);
        match (parts.next(), parts.next()) {
            (None, _) => Some(report.item_part_no.as_str()).filter(|_| is_everywhere(of_kind)),
            (only, None) => only,
            _ => None,
        }
    })
}

/// Lots the report may be of, on the keys after `used` others.
pub(super) fn lots(report: &Report, label: &str, picture: &Picture, used: usize) -> Vec<Guess> {
    let field = &picture.field;
    let (Some(item), Some(unit)) =
        (field.part_names.find(&report.item_part_no), field.unit_names.find(&report.unit))
    else {
        return Vec::new();
    };
    let told = Told { item, unit, found_on: report.found_on.into(), label };
    let found = lot_candidates(field, &picture.analysis.ledger, told, LOTS);
    found
        .into_iter()
        .enumerate()
        .map(|(index, one)| {
            let lot_no = field.lots[one.lot].lot_no.to_string();
            let near = match one.differs {
                None => String::new(),
                Some(0) => "as the label reads".to_owned(),
                Some(n) => format!("{} from the label", format::counted(n as u64, "sign", "signs")),
            };
            let held = match field.lots[one.lot].made_on {
                Some(made_on) if made_on.date() > report.found_on => "not made yet on that day",
                _ if one.held => "held by the unit that day",
                _ => "not held by the unit that day",
            };
            Guess {
                key: used + index + 1,
                why: [near.as_str(), held]
                    .into_iter()
                    .filter(|s| !s.is_empty())
                    .collect::<Vec<_>>()
                    .join(", "),
                address: format!("{}?lot={}", super::of(&report.report_ref), address::segment(&lot_no)),
                says: lot_no.clone(),
                part: String::new(),
                mode: String::new(),
                lot: lot_no,
            }
        })
        .collect()
}

/// A line of a list of reports.
pub(super) fn line(line: &ReportLine) -> Earlier {
    let sorted = [&line.report.part_no, &line.report.mode].into_iter().flatten().cloned();
    Earlier {
        address: super::of(&line.report.report_ref),
        report_ref: line.report.report_ref.clone(),
        sorted: sorted.collect::<Vec<_>>().join(" "),
        story: line.report.narrative.clone().unwrap_or_default(),
        chance: None,
    }
}

/// Earlier reports told in like words.
pub(super) fn told_alike<'a>(report: &Report, earlier: &'a [ReportLine]) -> Vec<&'a ReportLine> {
    let others: Vec<&ReportLine> =
        earlier.iter().filter(|line| line.report.report_ref != report.report_ref).collect();
    let told: Vec<&str> =
        others.iter().map(|line| line.report.narrative.as_deref().unwrap_or_default()).collect();
    let found = alike(report.narrative.as_deref().unwrap_or_default(), &told, LIKE, ALIKE);
    found.into_iter().map(|index| others[index]).collect()
}

#[cfg(test)]
mod tests {
    use domain::permission::Role;
    use store::Page as Rows;

    use super::UNKNOWN;
    use crate::testing::books::{bring_in, link, send, signed_in, three_answers};
    use crate::testing::{get, service, state, text};

    /// The sheet of a report in these words, on an item of which the books know a slide fastener and a release cable.
    async fn sheet_of(story: &str) -> String {
        let state = state().await;
        bring_in(&state).await;
        let form = format!("/report/{}", link(&state, "COVE-2").await);
        let service = service(&state);
        let mut answers = three_answers('a');
        answers.retain(|(field, _)| *field != "story");
        answers.push(("story", story.to_owned()));
        send(&service, &form, "", &answers, &[]).await;
        let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
        let waiting = state.store().waiting_reports(Rows::first(1)).await.unwrap();
        text(get(&service, &super::super::of(&waiting[0].report.report_ref), &fell).await).await
    }

    #[tokio::test]
    async fn words_that_tell_of_what_the_item_does_not_contain_are_asked_about() {
        let page = sheet_of("frame tube bent at the bottom").await;
        let asked = "Its words tell of FRM-3 Permanent bend, but RC-100 contains no part of the kind Pack frame \
                     (external): was the right item named?";
        assert!(page.contains(asked), "{page}");
        assert!(!page.contains(r#"data-mode="FRM-"#), "{page}");
        let page = sheet_of("zipper split climbing out of the boat").await;
        assert!(!page.contains("was the right item named"), "{page}");
    }

    #[tokio::test]
    async fn words_that_are_not_known_lead_to_no_mode_and_it_is_said() {
        for story in ["ok", "zamek pękł"] {
            let page = sheet_of(story).await;
            assert!(page.contains(UNKNOWN) && !page.contains("data-mode="), "{story}: {page}");
        }
        let page = sheet_of("zipper split climbing out of the boat").await;
        assert!(!page.contains(UNKNOWN) && page.contains(r#"data-mode="ZIP-1""#), "{page}");
    }
}
