//! One sheet for the board: what it is about, what it costs and brings, what is still open.

use documents::{Block, Kind};
use domain::analysis::{Telling, ToldSince};
use domain::caution::Caution;
use domain::change::ChangeState;

use super::blocks;
use crate::format::{self, MassUnit};
use crate::pages::changes::load::Loaded;
use crate::pages::changes::sections::{failures, lists};
use crate::pages::changes::telling::TellingWords;
use crate::pages::changes::view::{MassLine, RecordView, RequirementView};
use crate::pages::changes::{sheet, side};
use crate::paper::{self, Draft};
use crate::tongue::Tongue;

/// Letters of a text on the sheet; the record has the rest.
const MOST_LETTERS: usize = 360;
/// Lines of a list on the sheet.
const MOST_LINES: usize = 4;
/// Sizes whose grams are given one by one.
const MOST_SIZES: usize = 8;

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
    body.push(Block::heading("Mass"));
    body.extend(mass(&view));
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
        sheet::handling(loaded, view).into_iter().map(|(word, words)| (word.to_owned(), short(&words))),
    );
    rows
}

/// Lots, dates and shares are what the board decides on: none of them is cut.
fn effectivity(view: &RecordView) -> Vec<(String, String)> {
    let lines = blocks::in_force(view, Tongue::ENGLISH);
    let more = lines.len().saturating_sub(MOST_LINES) as u64;
    let mut rows: Vec<(String, String)> = lines
        .into_iter()
        .take(MOST_LINES)
        .map(|(stage, row)| (format::titled(stage), row.in_words()))
        .collect();
    if rows.is_empty() {
        rows.push(("Proposed".into(), "no lot or date yet".into()));
    }
    rows.extend((more > 0).then(|| {
        (String::new(), format!("and {} more, in the record", format::counted(more, "line", "lines")))
    }));
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
    let mut row = |word: &str, said: String| rows.push((format::titled(word), said));
    let met = of(Some("met"));
    if !met.is_empty() {
        row("met", counted(&met));
    }
    // What is not met, or can't be told, is what the board asks about first: each in its own line, with its figure.
    for verdict in ["not met", "can't tell"] {
        let lines = of(Some(verdict));
        for one in lines.iter().take(MOST_LINES) {
            row(verdict, in_words(one));
        }
        let more = lines.get(MOST_LINES..).unwrap_or_default();
        if !more.is_empty() {
            row(verdict, format!("and {}", named(more)));
        }
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

/// A requirement with its words and the figure that it fails by.
fn in_words(one: &RequirementView) -> String {
    let said = format!("requirement {}: {}", one.requirement_no, line(&one.text));
    match &one.figure {
        Some(figure) => format!("{} ({})", said.trim_end_matches('.'), short(figure).trim_end_matches('.')),
        None => said,
    }
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
    let mut blocks = vec![Block::heading("Decision")];
    match lists::decisions(view).pop() {
        Some(row) => {
            let signed = format!("{}.", row.signed);
            blocks.push(Block::said(format!("{}.", format::titled(row.disposition)), signed));
            // Conditions bind whoever goes on, so that they are whole; the reason gives way.
            blocks.extend(row.conditions.map(|conditions| Block::said("Conditions:", conditions)));
            blocks.push(Block::said("Reason:", short(&row.reason)));
        }
        None => blocks.push(Block::small(undecided(loaded.state()))),
    }
    blocks
}

/// A change that came with a pack may be far past a decision that nobody recorded here.
fn undecided(state: ChangeState) -> String {
    match state {
        ChangeState::Draft | ChangeState::Submitted => "The board has not decided yet.".to_owned(),
        state => format!("The change is {state}; no decision of the board is on record here."),
    }
}

/// The mean over the sizes, else what is known of each size with its limit.
fn mass(view: &RecordView) -> Vec<Block> {
    let unit = MassUnit::Gram;
    if let Some(mean) = view.mass_tariff_mean {
        return vec![Block::paragraph(side::tariff(mean, unit))];
    }
    let is_known = |line: &&MassLine| line.before_g.is_some() || line.after_g.is_some();
    let (known, unknown): (Vec<&MassLine>, Vec<&MassLine>) = view.mass.iter().partition(is_known);
    if known.is_empty() {
        return vec![Block::paragraph("No grams can be given: no size is weighed.")];
    }
    let kind = |line: &MassLine| (line.item.clone(), line.configuration.clone());
    let several = view.mass.windows(2).any(|two| kind(&two[0]) != kind(&two[1]));
    let rows = known.iter().take(MOST_SIZES).filter_map(|line| weighed(line, unit, several)).collect();
    let mut blocks = vec![Block::Pairs { rows }];
    let more = known.len().saturating_sub(MOST_SIZES) as u64;
    blocks.extend((more > 0).then(|| {
        Block::small(format!("and {} more, in the record", format::counted(more, "size", "sizes")))
    }));
    let names: Vec<String> = unknown.iter().map(|line| size_name(line, several)).collect();
    blocks.extend((!names.is_empty()).then(|| Block::said("Not weighed:", format!("{}.", names.join("; ")))));
    let is_whole = view.mass.iter().all(|line| line.before_g.is_some() && line.after_g.is_some());
    let why = if is_whole { "" } else { ": not every one is weighed before and after" };
    blocks.push(Block::small(format!("No mean over the sizes can be given{why}.")));
    blocks
}

fn size_name(line: &MassLine, several: bool) -> String {
    let size = line.size.as_deref().unwrap_or("all sizes");
    let of = [Some(line.item.as_str()), line.configuration.as_deref()].into_iter().flatten();
    if several { of.chain([size]).collect::<Vec<_>>().join(", ") } else { size.to_owned() }
}

/// Grams of one size before and after, how sure the change is, and the limit.
fn weighed(line: &MassLine, unit: MassUnit, several: bool) -> Option<(String, String)> {
    let row = side::tables(std::slice::from_ref(line), unit).pop()?.rows.pop()?;
    let change = row.change.unwrap_or_else(|| "change not known".into());
    let said = [Some(format!("{} {}, {change}", row.figures, unit.word())), row.limit, row.missing];
    Some((size_name(line, several), said.into_iter().flatten().collect::<Vec<_>>().join("; ")))
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
                    let caution = "Caution { word: \"Caution\", harm: true, words: \"Since this was written on 3 Mar 2026: \
                                   5 more reports, of them 3 with harm";
                    assert!(body.contains(caution) && body.find(caution) < body.find("Beside"), "{body}");
                }
                None => assert!(!body.contains("Since this was written"), "{body}"),
            }
        }
    }

    #[test]
    fn what_is_not_met_or_cant_be_told_is_named_with_its_words_and_its_figure() {
        let mut view = crate::pages::changes::sample::loaded().remove(3).view();
        let verdicts = [
            (Some("not met"), Some("1,874 g \u{b1} 9 g M, against 1,850 g")),
            (Some("can't tell"), Some("6.3 (3.3 to 12.1) against 12.")),
            (Some("met"), None),
        ];
        assert_eq!(view.requirements.len(), verdicts.len());
        for (line, (verdict, figure)) in view.requirements.iter_mut().zip(verdicts) {
            (line.verdict, line.figure) = (verdict, figure.map(str::to_owned));
        }
        let pair = |word: &str, said: &str| (word.to_owned(), said.to_owned());
        assert_eq!(
            requirements(&view),
            [
                pair("Met", "1 requirement"),
                pair(
                    "Not met",
                    "requirement 3.2: Requirement 3.2 in words (1,874 g \u{b1} 9 g M, against 1,850 g)"
                ),
                pair(
                    "Can't tell",
                    "requirement 3.4: Requirement 3.4 in words (6.3 (3.3 to 12.1) against 12)"
                ),
            ]
        );
    }

    /// Each is longer than the sheet gives a reason.
    #[test]
    fn conditions_lots_and_dates_are_whole_and_the_reason_gives_way() {
        let mut loaded = crate::pages::changes::sample::loaded().remove(5);
        let conditions: Vec<String> = (1..=3)
            .map(|at| format!("Condition {at}: {}until it is shown {at}", "weigh every size, ".repeat(12)))
            .collect();
        let decided = &mut loaded.record.decisions[0].decided;
        decided.conditions = Some(conditions.join("\n"));
        decided.reason = format!("{} and so on.", "The bench shows enough. ".repeat(40));
        let maker = "Tarnside Closures and Narrow Fabrics ".repeat(4);
        for line in &mut loaded.record.effectivity {
            line.maker = Some(maker.clone());
            line.from_lot = Some("TB-0977".into());
            line.from_date = chrono::NaiveDate::from_ymd_opt(2026, 3, 28);
        }
        let drawn = draft(&loaded);
        let said = format!("{:?}", drawn.body);
        for condition in &conditions {
            assert!(said.contains(condition.as_str()), "{condition}: {said}");
        }
        assert!(said.contains("TB-0977") && said.contains("28 Mar 2026, all new"), "{said}");
        assert!(said.contains("(more in the record)") && !said.contains("and so on"), "{said}");
        let framed = paper::framed(&crate::config::Config::read(&|_| None).unwrap().documents, drawn);
        let file = documents::pdf(&framed).unwrap();
        assert_eq!(String::from_utf8_lossy(&file).matches("/Type/Page/").count(), 1);
    }

    #[test]
    fn lines_of_effectivity_beyond_the_sheets_are_counted() {
        let mut view = crate::pages::changes::sample::loaded().remove(5).view();
        let line = view.effectivity.iter().find(|line| line.stage == "accomplished").unwrap().clone();
        view.effectivity = vec![line; MOST_LINES + 2];
        assert!(effectivity(&view).contains(&(String::new(), "and 2 lines more, in the record".to_owned())));
    }

    #[test]
    fn that_the_board_has_not_decided_is_said_only_before_it_could() {
        assert_eq!(undecided(ChangeState::Submitted), "The board has not decided yet.");
        let cut_in = sample_without_record();
        let said = format!("{:?}", draft(&cut_in).body);
        assert!(said.contains("The change is cut in; no decision of the board is on record here."), "{said}");
        assert!(!said.contains("has not decided yet"), "{said}");
    }

    /// A change that came with a pack, cut in, and has no record.
    fn sample_without_record() -> Loaded {
        crate::pages::changes::sample::loaded().remove(0)
    }

    #[test]
    fn sizes_that_are_weighed_keep_their_grams_where_others_are_not() {
        let mut view = crate::pages::changes::sample::loaded().remove(3).view();
        let size = |name: &str, grams: Option<(f64, f64)>| MassLine {
            item: "RC-100".into(),
            size: Some(name.into()),
            configuration: None,
            before_g: grams.map(|grams| grams.0),
            before_reach_g: None,
            after_g: grams.map(|grams| grams.1),
            after_reach_g: None,
            delta_g: grams.map(|grams| grams.1 - grams.0),
            delta_reach_g: Some(12.0),
            delta_percent: None,
            limit: Some((1850.0, "3.2".into())),
            unweighed: Vec::new(),
        };
        view.mass_tariff_mean = None;
        view.mass = vec![size("short", Some((1900.0, 1874.0))), size("long", None), size("tall", None)];
        let said = format!("{:?}", mass(&view)).replace("\\u{a0}", " ");
        assert!(said.contains("(\"short\", \"1,900 \u{2192} 1,874 g, \u{2212}26 g"), "{said}");
        assert!(
            said.contains("at most 1,850 g, requirement 3.2") && said.contains("\"long; tall.\""),
            "{said}"
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
