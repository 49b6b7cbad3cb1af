//! The whole change record: every section of its sheet.

use documents::{Block, Kind};
use domain::permission::Actor;

use super::{after, argued, blocks, side_effects, weighed_up};
use crate::format;
use crate::pages::changes::after::After;
use crate::pages::changes::load::Loaded;
use crate::pages::changes::proof::ProofWords;
use crate::pages::changes::sections::argued::ArguedRows;
use crate::pages::changes::sections::{failures, lists};
use crate::pages::changes::sheet;
use crate::pages::changes::view::{RecordView, WholeView};
use crate::paper::Draft;
use crate::tongue::Tongue;

/// The record as it stands.
pub(super) fn draft(loaded: &Loaded) -> Draft {
    let whole = loaded.whole();
    let view = &whole.record;
    let written = view.written.as_ref();
    let mut body = vec![Block::Lead { text: sheet::lead(loaded, view) }];
    body.extend(blocks::since(loaded));
    let mut section = |title: &str, blocks: Vec<Block>| {
        body.push(Block::heading(title));
        body.extend(blocks);
    };
    section("Problem", blocks::words(Tongue::ENGLISH, written.map_or("", |written| &written.problem)));
    section(
        "What changes",
        blocks::words(Tongue::ENGLISH, written.map_or("", |written| &written.description)),
    );
    section("Class and handling", class(loaded, view));
    section("Mass before and after", blocks::masses(view));
    section("What the grams mean", weighed_up::grams(&whole));
    section("Failures before and after", failures_of(&whole));
    section("Requirements", vec![blocks::requirements(view)]);
    section("Effectivity and retrofit", effectivity(view));
    let rows = ArguedRows::new(&Actor::Anybody, view);
    section("Options of retrofit", weighed_up::options(&whole));
    section("Part numbers", argued::numbers(&rows));
    section("What the change reaches", argued::reaches(&rows));
    section("Proof", proof(loaded, view));
    section("Decisions", decisions(view));
    section("Frozen evidence", after::seals(&loaded.after.seals, loaded.state()));
    let following = After::new(&Actor::Anybody, loaded);
    section("Actions", after::actions(&following));
    section("Until the change reaches what is issued", after::interim(&following));
    section("Remarks and enclosures", argued::remarks(&rows));
    if loaded.is_open() {
        section("Still missing before the board can look", missing(view));
    }
    body.extend(blocks::cautions());
    body.push(Block::small(format!(
        "Figures are of the books as read on {}. Masses are in grams. Each figure opens on the record's page to what it \
         was made from.",
        format::date(loaded.picture.analysis.as_of)
    )));
    Draft {
        kind: Kind::Record,
        body,
        title_block: sheet::title_block(view, loaded.after.holder.as_deref()),
        tongue: Tongue::ENGLISH,
        what: "Engineering change record".into(),
        note: None,
        as_of: loaded.picture.analysis.as_of,
    }
}

fn class(loaded: &Loaded, view: &RecordView) -> Vec<Block> {
    let open = view.criteria.iter().any(|line| line.touched.is_none());
    let so_far = if open { ", so far: not every question is answered" } else { "" };
    let mut rows = vec![("Class".to_owned(), format!("{}{so_far}", view.class))];
    rows.extend(sheet::handling(loaded, view).into_iter().map(|(word, words)| (word.to_owned(), words)));
    let mut found = vec![Block::Pairs { rows }, blocks::criteria(view)];
    found.extend(view.contradiction.as_ref().map(|says| Block::said("Two answers differ:", says.clone())));
    found
}

fn failures_of(whole: &WholeView) -> Vec<Block> {
    let view = &whole.record;
    let mut found = blocks::failures(view);
    let source = view.failures.prediction.as_ref().map(|prediction| prediction.source.clone());
    found.extend(source.filter(|source| !source.is_empty()).map(|source| Block::said("Evidence:", source)));
    found.push(blocks::bench(view));
    found.extend(weighed_up::evidence(whole));
    found
}

fn effectivity(view: &RecordView) -> Vec<Block> {
    let written = view.written.as_ref();
    let none = || Block::small("No lot or date is proposed yet.");
    let retrofit = written.and_then(|written| written.retrofit).map(lists::retrofit_words);
    let mut found = vec![
        blocks::effectivity(Tongue::ENGLISH, blocks::every_stage(view, Tongue::ENGLISH)).unwrap_or_else(none),
        Block::said("Retrofit:", retrofit.unwrap_or("What happens to them is not stated yet.")),
    ];
    found.extend(written.and_then(|written| written.retrofit_note.clone()).map(Block::paragraph));
    found
}

fn proof(loaded: &Loaded, view: &RecordView) -> Vec<Block> {
    let mut found = match &view.failures.proof {
        None => vec![Block::paragraph("Too early: no item built to the change is in service.")],
        Some(line) => {
            let (lead, rest) = failures::compared(line);
            vec![Block::said(&lead, rest), Block::said("Verdict:", line.verdict)]
        }
    };
    found.extend((view.failures.proof.is_some() && view.failures.unread > 0).then(|| {
        let counted = format::counted(view.failures.unread, "failure", "failures");
        Block::small(format!("{counted} on neither side, for no label or record tells which."))
    }));
    found.extend(side_effects::blocks(ProofWords::new(loaded)));
    found
}

fn decisions(view: &RecordView) -> Vec<Block> {
    let rows = lists::decisions(view);
    if rows.is_empty() {
        return vec![Block::small("No decision of the board is on record.")];
    }
    let one = |row: lists::DecisionRow| {
        let conditions = row.conditions.map(|conditions| format!(" Conditions: {conditions}"));
        let text = format!("{}{} {}.", row.reason, conditions.unwrap_or_default(), row.signed);
        Block::said(format!("{}:", format::titled(row.disposition)), text)
    };
    rows.into_iter().map(one).collect()
}

fn missing(view: &RecordView) -> Vec<Block> {
    if view.missing.is_empty() {
        return vec![Block::paragraph("Nothing is missing.")];
    }
    let rows = view.missing.iter().map(|one| (format::titled(one.section), one.what.clone()));
    vec![Block::Pairs { rows: rows.collect() }]
}

#[cfg(test)]
mod tests {
    use domain::class::Criterion;

    use super::*;
    use crate::pages::changes::sample;

    #[test]
    fn a_record_whose_answers_on_exchange_differ_says_so() {
        let mut loaded = sample::loaded().remove(2);
        let told = |loaded: &Loaded| format!("{:?}", draft(loaded).body);
        let said = told(&loaded);
        assert!(said.contains("Two answers differ:") && said.contains("under part numbers RC-131"), "{said}");
        for answer in &mut loaded.record.criteria {
            answer.touched |= answer.criterion == Criterion::Interchangeability;
        }
        assert!(!told(&loaded).contains("Two answers differ:"), "both say that they don't");
        for answer in &mut loaded.record.criteria {
            answer.touched = false;
        }
        loaded.record.argued.levels.clear();
        assert!(!told(&loaded).contains("Two answers differ:"), "nobody denied it");
    }

    #[test]
    fn what_is_worked_out_on_the_page_stands_in_the_record_too() {
        let told: Vec<String> =
            sample::loaded().iter().map(|loaded| format!("{:?}", draft(loaded).body)).collect();
        for words in [
            "Within 36 months from now, against doing nothing",
            "Bounds are 90",
            "What the evidence on record comes to",
            "Fleet:",
        ] {
            assert!(told.iter().any(|told| told.contains(words)), "{words}: {told:?}");
        }
    }
}
