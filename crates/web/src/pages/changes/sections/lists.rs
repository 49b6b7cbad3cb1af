//! Requirements, check list, effectivity and decisions as rows.

use serde::Serialize;

use crate::format;
use crate::pages::changes::view::{EffectivityView, RecordView};
use crate::tongue::Tongue;

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

impl EffectivityLine {
    /// All of it as one line.
    pub(in crate::pages::changes) fn in_words(&self) -> String {
        let from = self.from.as_deref().unwrap_or("date not said");
        format!("{}, {}, {from}, {}", self.maker, self.lots, self.share)
    }
}

/// As proposed, as approved, as accomplished, side by side; nothing where none has a line.
pub(in crate::pages::changes) fn effectivity(view: &RecordView, tongue: Tongue) -> Vec<EffectivityColumn> {
    if view.effectivity.is_empty() {
        return Vec::new();
    }
    let of = |stage: &'static str| EffectivityColumn {
        stage,
        lines: view
            .effectivity
            .iter()
            .filter(|line| line.stage == stage)
            .map(|line| effectivity_line(line, tongue))
            .collect(),
    };
    ["proposed", "approved", "accomplished"].into_iter().map(of).collect()
}

pub(in crate::pages::changes) fn effectivity_line(line: &EffectivityView, tongue: Tongue) -> EffectivityLine {
    let of = |key: &str, lots: &[(&str, &String)]| {
        let lots: Vec<_> = lots.iter().map(|&(name, lot)| (name, lot.as_str().into())).collect();
        tongue.with(key, &lots)
    };
    let percent = |share: f64| format::percent(share, 0);
    EffectivityLine {
        maker: line.maker.clone().unwrap_or_else(|| tongue.say("effect-all-makers")),
        lots: match (&line.from_lot, &line.to_lot) {
            (Some(from), Some(to)) if from == to => of("effect-one-lot", &[("lot", from)]),
            (Some(from), Some(to)) => of("effect-lots", &[("from", from), ("to", to)]),
            (Some(from), None) => of("effect-from-lot", &[("lot", from)]),
            (None, Some(to)) => of("effect-to-lot", &[("lot", to)]),
            (None, None) => tongue.say("effect-by-date"),
        },
        from: line.from_date.map(|day| tongue.date(day)),
        share: if line.share_new >= 1.0 {
            tongue.say("effect-all-new")
        } else {
            let shares =
                [("new", percent(line.share_new).into()), ("old", percent(1.0 - line.share_new).into())];
            tongue.with("effect-shares", &shares)
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
