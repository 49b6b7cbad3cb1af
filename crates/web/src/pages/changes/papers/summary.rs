//! One sheet for the board: what it is about, what it costs and brings, what is still open.

use documents::{Block, Kind};
use domain::analysis::{Telling, ToldSince};
use domain::caution::Caution;

use super::blocks;
use crate::format::{self, MassUnit};
use crate::pages::changes::load::Loaded;
use crate::pages::changes::sections::{failures, lists};
use crate::pages::changes::telling::TellingWords;
use crate::pages::changes::view::RecordView;
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
    let mut body = vec![Block::Lead { text: sheet::lead(loaded, &view) }, Block::Beside { left, right }];
    body.push(Block::heading("Failures"));
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
    let all = lists::effectivity(view);
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
    let number =
        |verdict: Option<&'static str>| view.requirements.iter().filter(move |line| line.verdict == verdict);
    let mut rows: Vec<(String, String)> = ["met", "not met", "can't tell", "not affected"]
        .into_iter()
        .filter_map(|verdict| {
            let lines: Vec<_> = number(Some(verdict)).collect();
            let names: Vec<&str> = lines.iter().map(|line| line.requirement_no.as_str()).collect();
            let tells =
                matches!(verdict, "not met" | "can't tell").then(|| format!(": {}", names.join(", ")));
            let said = line(&format!("{}{}", format::count(lines.len() as u64), tells.unwrap_or_default()));
            (!lines.is_empty()).then(|| (format::titled(verdict), said))
        })
        .collect();
    let open = number(None).count() as u64;
    if open > 0 {
        rows.push(("Not answered".into(), format::count(open)));
    }
    if rows.is_empty() {
        rows.push(("None".into(), "is on record for an item that holds this part".into()));
    }
    rows
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
