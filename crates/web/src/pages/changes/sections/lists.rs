//! Requirements, check list, effectivity and decisions as rows.

use serde::Serialize;

use crate::format;
use crate::pages::changes::view::RecordView;

/// One requirement.
#[derive(Serialize)]
pub(in crate::pages::changes) struct RequirementRow {
    number: String,
    item: String,
    text: String,
    verdict: Option<&'static str>,
    figure: Option<String>,
    by: Option<&'static str>,
}

/// Every requirement with its verdict.
pub(in crate::pages::changes) fn requirements(view: &RecordView) -> Vec<RequirementRow> {
    let rows = view.requirements.iter().map(|line| RequirementRow {
        number: line.requirement_no.clone(),
        item: line.item.clone(),
        text: line.text.clone(),
        verdict: line.verdict,
        figure: line.figure.clone(),
        by: line.verdict.map(|_| if line.by_figures { "by figures" } else { "by the engineer" }),
    });
    rows.collect()
}

/// One line of the check list.
#[derive(Serialize)]
pub(in crate::pages::changes) struct CriterionRow {
    question: &'static str,
    answer: &'static str,
    touched: bool,
    by: Option<&'static str>,
    reason: Option<String>,
}

/// The whole check list.
pub(in crate::pages::changes) fn criteria(view: &RecordView) -> Vec<CriterionRow> {
    let rows = view.criteria.iter().map(|line| CriterionRow {
        question: line.question,
        answer: match line.touched {
            Some(true) => "yes",
            Some(false) => "no",
            None => "not answered",
        },
        touched: line.touched == Some(true),
        by: line.by_program.then_some("the program knows this from the record's figures"),
        reason: line.reason.clone(),
    });
    rows.collect()
}

/// One line of effectivity.
#[derive(Serialize)]
pub(in crate::pages::changes) struct EffectivityRow {
    stage: &'static str,
    maker: String,
    lots: String,
    from: String,
    share: String,
}

/// As proposed, as approved, as accomplished, in this order.
pub(in crate::pages::changes) fn effectivity(view: &RecordView) -> Vec<EffectivityRow> {
    let of = |stage: &'static str| {
        view.effectivity.iter().filter(move |line| line.stage == stage).map(move |line| EffectivityRow {
            stage,
            maker: line.maker.clone().unwrap_or_else(|| "all makers".into()),
            lots: match (&line.from_lot, &line.to_lot) {
                (Some(from), Some(to)) => format!("{from} to {to}"),
                (Some(from), None) => format!("from {from}"),
                (None, Some(to)) => format!("up to {to}"),
                (None, None) => "by date".into(),
            },
            from: line.from_date.map_or_else(|| "not said".into(), format::date),
            share: format::percent(line.share_new, 0),
        })
    };
    ["proposed", "approved", "accomplished"].into_iter().flat_map(of).collect()
}

/// What the board decided.
#[derive(Serialize)]
pub(in crate::pages::changes) struct DecisionRow {
    disposition: &'static str,
    reason: String,
    conditions: Option<String>,
    signed: String,
}

/// Oldest first.
pub(in crate::pages::changes) fn decisions(view: &RecordView) -> Vec<DecisionRow> {
    let rows = view.decisions.iter().map(|decision| DecisionRow {
        disposition: match decision.disposition {
            "approve" => "approved",
            "approve with conditions" => "approved with conditions",
            "disapprove" => "disapproved",
            _ => "deferred",
        },
        reason: decision.reason.clone(),
        conditions: decision.conditions.clone(),
        signed: format!("Signed {}, {}", decision.signature, format::moment(decision.at)),
    });
    rows.collect()
}

/// What happens to issued items, in words.
pub(in crate::pages::changes) fn retrofit_words(word: &str) -> &'static str {
    match word {
        "next_lot" => "Only new lots change; unissued old stock is set aside.",
        "run_out" => "Only new lots change; what is issued and in store runs out.",
        "on_return" => "Issued items change when they come back anyway.",
        _ => "All issued items are called back.",
    }
}
