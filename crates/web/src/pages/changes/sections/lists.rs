//! Requirements, check list, effectivity and decisions as rows.

use serde::Serialize;

use crate::format;
use crate::pages::changes::view::{EffectivityView, RecordView};

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

/// One of the three records of effectivity.
#[derive(Serialize)]
pub(in crate::pages::changes) struct EffectivityColumn {
    stage: &'static str,
    lines: Vec<EffectivityLine>,
}

#[derive(Serialize)]
struct EffectivityLine {
    maker: String,
    lots: String,
    from: Option<String>,
    share: String,
}

/// As proposed, as approved, as accomplished, side by side; nothing where none has a line.
pub(in crate::pages::changes) fn effectivity(view: &RecordView) -> Vec<EffectivityColumn> {
    if view.effectivity.is_empty() {
        return Vec::new();
    }
    let of = |stage: &'static str| EffectivityColumn {
        stage,
        lines: view.effectivity.iter().filter(|line| line.stage == stage).map(effectivity_line).collect(),
    };
    ["proposed", "approved", "accomplished"].into_iter().map(of).collect()
}

fn effectivity_line(line: &EffectivityView) -> EffectivityLine {
    EffectivityLine {
        maker: line.maker.clone().unwrap_or_else(|| "all makers".into()),
        lots: match (&line.from_lot, &line.to_lot) {
            (Some(from), Some(to)) if from == to => format!("lot {from}"),
            (Some(from), Some(to)) => format!("lots {from} to {to}"),
            (Some(from), None) => format!("from lot {from}"),
            (None, Some(to)) => format!("up to lot {to}"),
            (None, None) => "by date".into(),
        },
        from: line.from_date.map(format::date),
        share: if line.share_new >= 1.0 {
            "all new".into()
        } else {
            format!(
                "{} new, {} old",
                format::percent(line.share_new, 0),
                format::percent(1.0 - line.share_new, 0)
            )
        },
    }
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
