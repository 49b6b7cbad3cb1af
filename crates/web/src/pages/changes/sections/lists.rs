//! Requirements, check list, effectivity and decisions as rows.

use serde::Serialize;

use crate::format;
use crate::pages::changes::view::{EffectivityView, RecordView};

/// One requirement.
#[derive(Serialize)]
pub(in crate::pages::changes) struct RequirementRow {
    pub(in crate::pages::changes) number: String,
    pub(in crate::pages::changes) item: String,
    pub(in crate::pages::changes) text: String,
    pub(in crate::pages::changes) verdict: Option<&'static str>,
    pub(in crate::pages::changes) figure: Option<String>,
    pub(in crate::pages::changes) by: Option<&'static str>,
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
    pub(in crate::pages::changes) question: &'static str,
    pub(in crate::pages::changes) answer: &'static str,
    pub(in crate::pages::changes) touched: bool,
    pub(in crate::pages::changes) by: Option<&'static str>,
    pub(in crate::pages::changes) reason: Option<String>,
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
    pub(in crate::pages::changes) stage: &'static str,
    pub(in crate::pages::changes) lines: Vec<EffectivityLine>,
}

/// One line of it.
#[derive(Serialize)]
pub(in crate::pages::changes) struct EffectivityLine {
    pub(in crate::pages::changes) maker: String,
    pub(in crate::pages::changes) lots: String,
    pub(in crate::pages::changes) from: Option<String>,
    pub(in crate::pages::changes) share: String,
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
    pub(in crate::pages::changes) disposition: &'static str,
    pub(in crate::pages::changes) reason: String,
    pub(in crate::pages::changes) conditions: Option<String>,
    pub(in crate::pages::changes) signed: String,
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
        conditions: decision.conditions.as_deref().map(in_one_line),
        signed: format!("Signed {}, {}", decision.signature, format::moment(decision.at)),
    });
    rows.collect()
}

/// Conditions as they were typed, a line each, as one sentence.
fn in_one_line(conditions: &str) -> String {
    let lines =
        conditions.lines().map(|line| line.trim().trim_end_matches('.')).filter(|line| !line.is_empty());
    format!("{}.", lines.collect::<Vec<_>>().join("; "))
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
