//! The form of effectivity as proposed, and of what happens to issued items.

use chrono::NaiveDate;
use domain::change_record::Retrofit;
use domain::effectivity::{Effectivity, Stage};
use store::RecordEdit;

use super::typed::{Block, Typed};
use crate::pages::changes::load::Loaded;
use crate::pages::changes::sections::lists::retrofit_words;
use crate::view::{Ask, Choice, Choices, Faults};

/// Lines that are offered at least.
const LINES: usize = 2;

const FIELDS: [(&str, &str); 5] = [
    ("maker", "Maker (all, if left empty)"),
    ("from", "First lot"),
    ("to", "Last lot (open, if left empty)"),
    ("date", "From when"),
    ("share", "Share of each lot built to the change, in percent"),
];

fn proposed(loaded: &Loaded) -> Vec<&Effectivity> {
    loaded.record.effectivity.iter().filter(|line| line.stage == Stage::Proposed).collect()
}

/// One more line than there is, so that there is always room for another.
fn lines(loaded: &Loaded) -> usize {
    LINES.max(proposed(loaded).len() + 1)
}

pub(super) fn kept(loaded: &Loaded) -> Typed {
    let body = loaded.record.body.as_ref();
    let typed = Typed::default()
        .with_some("retrofit", body.and_then(|body| body.retrofit).map(Retrofit::word))
        .with_some("retrofit_note", body.and_then(|body| body.retrofit_note.as_ref()));
    proposed(loaded).into_iter().enumerate().fold(typed, |typed, (at, line)| {
        typed
            .with_some(format!("maker-{at}"), line.maker.as_ref())
            .with_some(format!("from-{at}"), line.from_lot.as_ref())
            .with_some(format!("to-{at}"), line.to_lot.as_ref())
            .with_some(format!("date-{at}"), line.from_date.map(|day| day.to_string()))
            .with(format!("share-{at}"), percent(line.share_new))
    })
}

/// A share as the percentage that is typed for it, without what a computer's fractions add: 0.07 is 7 and not
/// 7.000000000000001.
fn percent(share: f64) -> String {
    ((1e11 * share).round() / 1e9).to_string()
}

pub(super) fn blocks(loaded: &Loaded, typed: &Typed, faults: &Faults) -> Vec<Block> {
    let options = Retrofit::ALL.iter().map(|retrofit| {
        let word = retrofit.word();
        Choice::new(word, retrofit_words(word), typed.text("retrofit") == word)
    });
    let mut blocks = vec![
        Choices::one("retrofit", "What happens to items already issued", options.collect())
            .problem(faults.of("retrofit"))
            .into(),
        Ask::text("retrofit_note", "In words", typed.text("retrofit_note")).into(),
    ];
    for at in 0..lines(loaded) {
        blocks.push(Block::head(format!("Takes effect, line {}", at + 1)));
        for (word, label) in FIELDS {
            let field = format!("{word}-{at}");
            let kind = if word == "date" { "date" } else { "text" };
            let ask = Ask::of_kind(kind, field.clone(), label, typed.text(&field));
            let ask = if matches!(word, "from" | "to") { ask.code() } else { ask };
            blocks.push(ask.problem(faults.of(&field)).into());
        }
    }
    blocks
}

pub(super) fn read(loaded: &Loaded, typed: &Typed) -> Result<RecordEdit, Faults> {
    let mut faults = typed.too_long();
    let retrofit = match typed.text("retrofit") {
        "" => None,
        word => {
            let read = word.parse::<Retrofit>().ok();
            if read.is_none() {
                faults.add("retrofit", "Choose one of the four.");
            }
            read
        }
    };
    let no = &loaded.record.change.change_no;
    let proposed = (0..lines(loaded)).filter_map(|at| line(no, typed, at, &mut faults)).collect();
    if faults.is_empty() {
        Ok(RecordEdit::Effectivity { proposed, retrofit, note: typed.filled("retrofit_note") })
    } else {
        Err(faults)
    }
}

/// One line; nothing where it was left empty.
fn line(no: &str, typed: &Typed, at: usize, faults: &mut Faults) -> Option<Effectivity> {
    let [maker, from_lot, to_lot, date, share] =
        FIELDS.map(|(word, _)| typed.filled(&format!("{word}-{at}")));
    if [&maker, &from_lot, &to_lot, &date].into_iter().all(Option::is_none) {
        return None;
    }
    let from_date = date.and_then(|day| {
        let read = day.parse::<NaiveDate>().ok();
        if read.is_none() {
            faults.add(format!("date-{at}"), "Write a date such as 2026-03-01.");
        }
        read
    });
    if from_lot.is_none() && from_date.is_none() {
        faults.add(format!("from-{at}"), "Write the first lot, or from when.");
    }
    let percent = share.map_or(Ok(100.0), |text| text.trim_end_matches('%').trim().parse::<f64>());
    let percent = percent.ok().filter(|percent| (0.0..=100.0).contains(percent));
    if percent.is_none() {
        faults.add(format!("share-{at}"), "Write a percentage from 0 to 100.");
    }
    let line = Effectivity {
        change_no: no.to_owned(),
        stage: Stage::Proposed,
        maker,
        from_lot,
        to_lot,
        share_new: percent? / 100.0,
        from_date,
    };
    if line.check_order().is_err() {
        faults.add(format!("to-{at}"), "Write a last lot that doesn’t come before the first.");
    }
    Some(line)
}

#[cfg(test)]
mod tests {
    use super::percent;

    /// Whoever saves the form without touching the share keeps it.
    #[test]
    fn a_share_is_offered_as_it_was_typed() {
        for (share, text) in
            [(0.0, "0"), (0.07, "7"), (0.29, "29"), (0.625, "62.5"), (0.3333, "33.33"), (1.0, "100")]
        {
            assert_eq!(percent(share), text);
            assert_eq!(text.parse::<f64>().map(|percent| percent / 100.0), Ok(share));
        }
        assert_eq!(percent(1.0 / 3.0), "33.333333333");
    }
}
