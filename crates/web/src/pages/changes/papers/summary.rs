//! One sheet for the board: what it is about, what it costs and brings, what is still open.

use documents::{Block, Kind};
use domain::analysis::{Telling, ToldSince};
use domain::caution::Caution;

use super::blocks;
use crate::format::{self, MassUnit};
use crate::pages::changes::load::Loaded;
use crate::pages::changes::sections::{failures, lists};
use crate::pages::changes::telling::TellingWords;
use crate::pages::changes::view::{RecordView, RequirementView};
use crate::pages::changes::{sheet, side};
use crate::paper::{self, Draft};
use crate::tongue::Tongue;

/// Letters of a text on the sheet; the record has the rest.
const MOST_LETTERS: usize = 360;
/// Lines of a list on the sheet.
const MOST_LINES: usize = 4;

/// The sheet as the change stands.
pub(super) fn draft(loaded: &Loaded) -> Draft {
    let view = loaded.view();
    let written = view.written.as_ref();
    let text = |text: Option<&String>| short(text.map_or("", String::as_str));
    let left = vec![
        Block::heading("Problem"),
        Block::paragraph(text(written.map(|written| &written.problem))),
        Block::heading("What changes"),
        Block::paragraph(text(written.map(|written| &written.description))),
        Block::heading("Handling"),
        Block::Pairs { rows: handling(loaded, &view) },
    ];
    let mut right = vec![Block::heading("Effectivity"), Block::Pairs { rows: effectivity(&view) }];
    right.extend([Block::heading("Requirements"), Block::Pairs { rows: requirements(&view) }]);
    right.extend(last(loaded, &view));
    let mut body = vec![Block::Lead { text: sheet::lead(loaded, &view) }];
    body.extend(blocks::since(loaded));
    body.extend([Block::Beside { left, right }, Block::heading("Failures")]);
    body.extend(blocks::failures(&view));
    body.extend(view.failures.proof.as_ref().map(|line| {
        let (lead, rest) = failures::compared(line);
        Block::said("Proof so far:", format!("{lead} {rest}; {}", line.verdict))
    }));
    // The sheet has room for one line only, so it says this where it bears on the decision.
    let less = |told: &Telling| told.says() == ToldSince::Less;
    let falls = loaded.result().filter(|result| result.telling.as_ref().is_some_and(less));
    let words = falls.and_then(|result| TellingWords::new(&loaded.picture.field, result).lead);
    body.extend(words.map(Block::paragraph));
    body.extend([Block::heading("Mass"), Block::paragraph(mass(&view))]);
    body.push(paper::cautions(Caution::ALL));
    Draft {
        kind: Kind::Summary,
        body,
        title_block: sheet::title_block(&view, loaded.after.holder.as_deref()),
        tongue: Tongue::ENGLISH,
        what: "Board summary of a change".into(),
        note: None,
        as_of: loaded.picture.analysis.as_of,
    }
}

/// The beginning of a text, to the end of a word.
fn short(text: &str) -> String {
    let text = sheet::paragraphs(text).join(" ");
    if text.is_empty() {
        return "Not written yet.".into();
    }
    if text.chars().count() <= MOST_LETTERS {
        return text;
    }
    let cut: String = text.chars().take(MOST_LETTERS).collect();
    let whole = cut.rsplit_once(' ').map_or(cut.as_str(), |(whole, _)| whole);
    format!("{whole} \u{2026} (more in the record)")
}

fn line(text: &str) -> String {
    let cut: String = text.chars().take(MOST_LETTERS / 3).collect();
    if cut.len() < text.len() { format!("{cut} \u{2026}") } else { cut }
}

fn handling(loaded: &Loaded, view: &RecordView) -> Vec<(String, String)> {
    let mut rows = vec![("Class".to_owned(), view.class.to_owned())];
    rows.extend(
        sheet::handling(loaded, view).into_iter().map(|(word, words)| (word.to_owned(), line(&words))),
    );
    rows
}

fn effectivity(view: &RecordView) -> Vec<(String, String)> {
    let all = lists::effectivity(view, Tongue::ENGLISH);
    let stage = ["accomplished", "approved", "proposed"]
        .into_iter()
        .find_map(|s| all.iter().find(|column| column.stage == s && !column.lines.is_empty()));
    let lines =
        stage.into_iter().flat_map(|column| column.lines.iter().map(move |line| (column.stage, line)));
    let mut rows: Vec<(String, String)> = lines
        .take(MOST_LINES)
        .map(|(stage, row)| {
            let from = row.from.as_deref().unwrap_or("date not said");
            (format::titled(stage), line(&format!("{}, {}, {from}", row.maker, row.lots)))
        })
        .collect();
    if rows.is_empty() {
        rows.push(("Proposed".into(), "no lot or date yet".into()));
    }
    let retrofit = view.written.as_ref().and_then(|written| written.retrofit).map(lists::retrofit_words);
    rows.push(("Retrofit".into(), retrofit.unwrap_or("Not stated yet.").into()));
    rows
}

fn requirements(view: &RecordView) -> Vec<(String, String)> {
    let of = |verdict: Option<&str>| -> Vec<&RequirementView> {
        view.requirements.iter().filter(|line| line.verdict == verdict).collect()
    };
    let counted =
        |lines: &[&RequirementView]| format::counted(lines.len() as u64, "requirement", "requirements");
    let mut rows = Vec::new();
    let mut row = |word: &str, said: String| rows.push((format::titled(word), line(&said)));
    let met = of(Some("met"));
    if !met.is_empty() {
        row("met", counted(&met));
    }
    // What is not met is what the board asks about first, so each is named in its own line.
    let not_met = of(Some("not met"));
    for one in not_met.iter().take(MOST_LINES) {
        row("not met", format!("requirement {}: {}", one.requirement_no, one.text));
    }
    let more = not_met.get(MOST_LINES..).unwrap_or_default();
    if !more.is_empty() {
        row("not met", format!("and {}", named(more)));
    }
    let cant_tell = of(Some("can't tell"));
    if !cant_tell.is_empty() {
        row("can't tell", named(&cant_tell));
    }
    for (word, verdict) in [("not affected", Some("not affected")), ("not answered", None)] {
        let lines = of(verdict);
        if !lines.is_empty() {
            row(word, counted(&lines));
        }
    }
    if rows.is_empty() {
        rows.push(("None".into(), "is on record for an item that holds this part".into()));
    }
    rows
}

/// Requirements by their numbers: `requirements 3.2, 3.9`.
fn named(lines: &[&RequirementView]) -> String {
    let numbers: Vec<&str> = lines.iter().map(|line| line.requirement_no.as_str()).collect();
    let noun = if lines.len() == 1 { "requirement" } else { "requirements" };
    format!("{noun} {}", numbers.join(", "))
}

/// What is still missing, else what was decided last.
fn last(loaded: &Loaded, view: &RecordView) -> Vec<Block> {
    if loaded.is_open() && !view.missing.is_empty() {
        let shown =
            view.missing.iter().take(MOST_LINES).map(|one| (format::titled(one.section), line(&one.what)));
        let mut blocks = vec![Block::heading("Still missing"), Block::Pairs { rows: shown.collect() }];
        let more = view.missing.len().saturating_sub(MOST_LINES) as u64;
        blocks.extend((more > 0).then(|| Block::small(format!("and {} more", format::count(more)))));
        return blocks;
    }
    let decided = lists::decisions(view).pop().map(|row| {
        let conditions = row.conditions.map(|conditions| format!(" Conditions: {conditions}"));
        let text = line(&format!("{}{}", row.reason, conditions.unwrap_or_default()));
        Block::said(format!("{}:", format::titled(row.disposition)), format!("{text} {}.", row.signed))
    });
    let none = || Block::small("The board has not decided yet.");
    vec![Block::heading("Decision"), decided.unwrap_or_else(none)]
}

fn mass(view: &RecordView) -> String {
    let unit = MassUnit::Gram;
    match view.mass_tariff_mean {
        Some(mean) => side::tariff(mean, unit),
        None => "A mean over the sizes can't be given: not every size is weighed before and after.".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn harm_that_came_in_since_stands_above_the_rest_as_a_caution() {
        use crate::pages::changes::sample;
        let said = |loaded: &Loaded| format!("{:?}", draft(loaded).body);
        for loaded in sample::loaded() {
            let body = said(&loaded);
            match loaded.since.map(|new| new.near_misses + new.injuries) {
                Some(0) => assert!(body.contains("5 more reports, none of them with harm."), "{body}"),
                Some(_) => {
                    let caution = "Caution { word: \"Caution\", harm: true, words: \"Since these figures of 3 Mar 2026: \
                                   5 more reports, of them 3 with harm";
                    assert!(body.contains(caution) && body.find(caution) < body.find("Beside"), "{body}");
                }
                None => assert!(!body.contains("Since these figures"), "{body}"),
            }
        }
    }

    #[test]
    fn what_is_not_met_is_named_with_its_words() {
        let mut view = crate::pages::changes::sample::loaded().remove(3).view();
        let verdicts = [Some("not met"), Some("can't tell"), Some("met")];
        assert_eq!(view.requirements.len(), verdicts.len());
        for (line, verdict) in view.requirements.iter_mut().zip(verdicts) {
            line.verdict = verdict;
        }
        let pair = |word: &str, said: &str| (word.to_owned(), said.to_owned());
        assert_eq!(
            requirements(&view),
            [
                pair("Met", "1 requirement"),
                pair("Not met", "requirement 3.2: Requirement 3.2 in words."),
                pair("Can't tell", "requirement 3.4"),
            ]
        );
    }

    #[test]
    fn a_long_text_ends_with_a_whole_word_and_says_where_the_rest_is() {
        let long = "seam after seam ".repeat(60);
        let cut = short(&long);
        assert!(
            cut.chars().count() < MOST_LETTERS + 40 && cut.ends_with("\u{2026} (more in the record)"),
            "{cut}"
        );
        assert_eq!(short(" It splits.\nAgain. "), "It splits. Again.");
    }
}
