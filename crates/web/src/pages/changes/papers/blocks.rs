//! Sections of a change as blocks, each from the rows that the page shows.

use documents::{Align, Block, Cell, Column};
use domain::caution::Caution;

use crate::format::MassUnit;
use crate::pages::changes::load::Loaded;
use crate::pages::changes::sections::failures::{self, FailureRows};
use crate::pages::changes::sections::lists::{self, EffectivityColumn, EffectivityLine};
use crate::pages::changes::sheet::paragraphs;
use crate::pages::changes::view::{EffectivityView, RecordView};
use crate::pages::changes::{side, since};
use crate::paper;
use crate::tongue::Tongue;

/// Paragraphs, or that nobody wrote them.
pub(super) fn words(tongue: Tongue, text: &str) -> Vec<Block> {
    let found = paragraphs(text);
    if found.is_empty() {
        return vec![Block::small(tongue.say("paper-not-written"))];
    }
    found.into_iter().map(Block::paragraph).collect()
}

/// Rates before and after on one scale, and what is predicted.
pub(super) fn failures(view: &RecordView) -> Vec<Block> {
    let FailureRows { axis, rows, ratio } = failures::rows(view, "paper");
    let mut blocks = Vec::new();
    if rows.is_empty() {
        blocks
            .push(Block::paragraph("No rate can be given: no issue of an item with this part is on record."));
    } else {
        let scale =
            axis.map(|axis| vec![Cell::new("Scale"), Cell::default(), Cell::chart(paper::chart(&axis))]);
        let rows = rows.into_iter().map(|row| {
            vec![Cell::strong(row.word), Cell::new(row.said), Cell::chart(paper::chart(&row.drawn))]
        });
        blocks.push(Block::Table {
            caption: Some("Failures per 1,000 item-years".into()),
            columns: vec![
                Column::content("When"),
                Column::share("Rate, interval, count and exposure", 1.0),
                Column::content("Drawn"),
            ],
            rows: scale.into_iter().chain(rows).collect(),
        });
    }
    blocks.push(Block::paragraph(ratio.unwrap_or_else(|| "Nothing is predicted yet.".into())));
    blocks
}

/// Both revisions on the bench.
pub(super) fn bench(view: &RecordView) -> Block {
    let rows = failures::bench(&view.bench).into_iter().map(|row| {
        let method = Cell::new(row.method).small(Some(row.measure));
        vec![method, Cell::new(row.before), Cell::new(row.after), Cell::new(row.laboratories)]
    });
    let rows: Vec<_> = rows.collect();
    if rows.is_empty() {
        return Block::small("No method on record tested both revisions.");
    }
    Block::Table {
        caption: Some("On the bench, same method and measure".into()),
        columns: vec![
            Column::share("Method, measure", 1.2),
            Column::share("Before", 1.4),
            Column::share("After", 1.4),
            Column::share("Laboratory", 1.0),
        ],
        rows,
    }
}

/// Grams before and after, one table for each item and configuration.
pub(super) fn masses(view: &RecordView) -> Vec<Block> {
    let unit = MassUnit::Gram;
    let tables = side::tables(&view.mass, unit).into_iter().map(|table| {
        let rows = table.rows.into_iter().map(|row| {
            let remark = [row.limit, row.missing].into_iter().flatten().reduce(|a, b| format!("{a}; {b}"));
            vec![
                Cell::strong(row.size),
                Cell::new(row.figures),
                Cell::new(row.change.unwrap_or_else(|| "not known".into())).small(remark),
                Cell::chart(paper::chart(&row.drawn)),
            ]
        });
        Block::Table {
            caption: Some(format!("{} ({})", table.caption, table.unit)),
            columns: vec![
                Column::content("Size"),
                Column { align: Align::Right, ..Column::content("Before \u{2192} after") },
                Column::share("Change with its 95 % reach; limit", 1.0),
                Column::content("Drawn"),
            ],
            rows: rows.collect(),
        }
    });
    let mut blocks: Vec<Block> = tables.collect();
    if blocks.is_empty() {
        blocks.push(Block::paragraph("No item in the books holds this part, so nothing can be weighed up."));
    }
    blocks.extend(view.mass_tariff_mean.map(|mean| Block::paragraph(side::tariff(mean, unit))));
    blocks
}

/// Every requirement with its verdict.
pub(super) fn requirements(view: &RecordView) -> Block {
    let rows = lists::requirements(view).into_iter().map(|row| {
        vec![
            Cell::code(row.number).small(Some(row.item)),
            Cell::new(row.text),
            Cell::strong(row.verdict.unwrap_or("not answered")).small(row.by.map(Into::into)),
            Cell::new(row.figure.unwrap_or_default()),
        ]
    });
    let rows: Vec<_> = rows.collect();
    if rows.is_empty() {
        return Block::paragraph("No requirement is on record for an item that holds this part.");
    }
    Block::Table {
        caption: None,
        columns: vec![
            Column::content("Number"),
            Column::share("Requirement", 1.6),
            Column::content("Verdict"),
            Column::share("Figure or statement", 1.4),
        ],
        rows,
    }
}

/// The class check list.
pub(super) fn criteria(view: &RecordView) -> Block {
    let rows = lists::criteria(view).into_iter().map(|row| {
        let answer = if row.touched { Cell::strong(row.answer) } else { Cell::new(row.answer) };
        let reason = Cell::new(row.reason.unwrap_or_default()).small(row.by.map(Into::into));
        vec![Cell::new(row.question), answer, reason]
    });
    Block::Table {
        caption: None,
        columns: vec![
            Column::share("Question", 1.4),
            Column::content("Answer"),
            Column::share("Reason", 1.0),
        ],
        rows: rows.collect(),
    }
}

/// Lines of effectivity, each with its stage.
pub(super) type Lines = Vec<(&'static str, EffectivityLine)>;

/// All that was proposed, approved and accomplished.
pub(super) fn every_stage(view: &RecordView, tongue: Tongue) -> Lines {
    let columns = lists::effectivity(view, tongue).into_iter();
    let lines = columns
        .flat_map(|EffectivityColumn { stage, lines }| lines.into_iter().map(move |line| (stage, line)));
    lines.collect()
}

/// What holds for each maker: what was done, else what was approved. One maker's cut-in says nothing of another's; what was
/// proposed counts only while nothing was approved.
pub(super) fn lines_in_force(view: &RecordView) -> impl Iterator<Item = &EffectivityView> {
    view.effectivity.iter().filter(move |line| !is_overtaken(view, line))
}

/// The same in words, what was done first.
pub(super) fn in_force(view: &RecordView, tongue: Tongue) -> Lines {
    let kept = RecordView { effectivity: lines_in_force(view).cloned().collect(), ..view.clone() };
    let mut lines = every_stage(&kept, tongue);
    lines.sort_by_key(|(stage, _)| *stage != "accomplished");
    lines
}

/// Whether a further stage has a line for the same maker, or for all of them.
fn is_overtaken(view: &RecordView, line: &EffectivityView) -> bool {
    let further = |other: &EffectivityView| match line.stage {
        "proposed" => other.stage != "proposed",
        "approved" => other.stage == "accomplished" && (other.maker.is_none() || other.maker == line.maker),
        _ => false,
    };
    view.effectivity.iter().any(further)
}

/// Where it takes effect.
pub(super) fn effectivity(tongue: Tongue, lines: Lines) -> Option<Block> {
    let rows = lines.into_iter().map(|(stage, line)| {
        vec![
            Cell::strong(tongue.word("stage", stage)),
            Cell::new(line.maker),
            Cell::new(line.lots),
            Cell::new(line.from.unwrap_or_else(|| tongue.say("effect-not-said"))),
            Cell::new(line.share),
        ]
    });
    let rows: Vec<_> = rows.collect();
    (!rows.is_empty()).then(|| Block::Table {
        caption: None,
        columns: vec![
            Column::content(tongue.say("fielding-as")),
            Column::share(tongue.say("fielding-maker"), 1.0),
            Column::share(tongue.say("fielding-of-lots"), 1.3),
            Column::content(tongue.say("fielding-from")),
            Column::content(tongue.say("fielding-share")),
        ],
        rows,
    })
}

/// What has come in since the figures in its words; nothing where nothing did.
pub(super) fn since(loaded: &Loaded) -> Option<Block> {
    let told = since::told(loaded);
    (!told.is_empty()).then(|| paper::as_shown(Tongue::ENGLISH, told))
}

/// All cautions, as every change document carries them.
pub(super) fn cautions() -> Vec<Block> {
    vec![Block::heading("Cautions"), paper::cautions(Caution::ALL)]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One maker has built to it, a second may, the third was only proposed; the first did not build all of its lot to it.
    #[test]
    fn what_one_maker_has_built_leaves_what_the_others_may_build() {
        let mut view = crate::pages::changes::sample::loaded().remove(5).view();
        let line = |stage, maker: Option<&str>, lot: &str, share_new| EffectivityView {
            stage,
            maker: maker.map(Into::into),
            from_lot: Some(lot.into()),
            to_lot: None,
            share_new,
            from_date: None,
        };
        view.effectivity = vec![
            line("proposed", Some("Harbour Loft"), "H-1", 1.0),
            line("proposed", Some("Fell Works"), "F-1", 1.0),
            line("approved", Some("Harbour Loft"), "H-2", 1.0),
            line("approved", Some("Tarn Seams"), "T-2", 1.0),
            line("accomplished", Some("Harbour Loft"), "H-3", 0.4),
        ];
        let told = |view: &RecordView| {
            let lines = in_force(view, Tongue::ENGLISH).into_iter();
            lines
                .map(|(stage, line)| format!("{stage} {} {} {}", line.maker, line.lots, line.share))
                .collect::<Vec<_>>()
        };
        let shares =
            format!("{} new, {} old", crate::format::percent(0.4, 0), crate::format::percent(0.6, 0));
        assert_eq!(
            told(&view),
            [
                format!("accomplished Harbour Loft from lot H-3 {shares}"),
                "approved Tarn Seams from lot T-2 all new".to_owned(),
            ]
        );
        assert_eq!(every_stage(&view, Tongue::ENGLISH).len(), 5);
        view.effectivity.push(line("accomplished", None, "A-9", 1.0));
        assert_eq!(told(&view).len(), 2, "all makers have built to it");
        view.effectivity.retain(|line| line.stage == "proposed");
        assert_eq!(told(&view).len(), 2, "nothing is approved yet");
    }
}
