//! What is missing before the board can look, each line leading to the section that mends it.

use domain::change::ChangeState;
use domain::permission::{Act, Actor, may};
use serde::Serialize;

use super::load::Loaded;
use super::view::MissingView;
use crate::address;

/// One line of what is missing.
#[derive(Clone, Serialize)]
pub(super) struct MissingLine {
    what: String,
    address: String,
}

/// The section of the page that a section of the gate stands in.
pub(super) fn anchor(section: &str) -> &'static str {
    match section {
        "problem" | "description" => "words",
        "failures" => "prediction",
        "requirements" => "requirements",
        "class" => "class",
        "effectivity" => "effectivity",
        _ => "handling",
    }
}

/// The lines; `editing` leads to the forms, else to the sections.
pub(super) fn lines(no: &str, missing: &[MissingView], editing: bool) -> Vec<MissingLine> {
    let line = |one: &MissingView| {
        let section = anchor(one.section);
        let address =
            if editing { format!("{}/edit/{section}", address::change(no)) } else { format!("#{section}") };
        MissingLine { what: one.what.clone(), address }
    };
    missing.iter().map(line).collect()
}

/// What the reader may do with the record from where it stands; each an address, or nothing.
#[derive(Clone, Default, Serialize)]
pub(super) struct Steps {
    /// Whether there is a step to take.
    pub any: bool,
    /// Base of the edit forms.
    pub edit: Option<String>,
    pub start: Option<String>,
    pub submit: Option<String>,
    pub withdraw: Option<String>,
    pub decide: Option<String>,
    pub own_record: bool,
    pub cut_in: Option<String>,
    pub conclude: Option<Conclude>,
    pub weigh: Option<String>,
    pub version: i64,
}

/// What the figures let an engineer record.
#[derive(Clone, Serialize)]
pub(super) struct Conclude {
    address: String,
    word: &'static str,
    to: &'static str,
}

impl Steps {
    pub(super) fn new(actor: &Actor, loaded: &Loaded) -> Self {
        use domain::change_record::{conclusion, may_become};
        let base = address::change(&loaded.record.change.change_no);
        let state = loaded.state();
        let drafts = may(actor, &Act::DraftChange).is_ok();
        let has_record = loaded.record.body.is_some();
        let step = |word: &str| format!("{base}/{word}");
        let goes = |to| has_record && may_become(state, to).is_ok();
        let decides = may(actor, &Act::DecideChange { drafted_by: loaded.drafted_by() });
        let submitted = state == ChangeState::Submitted;
        let concludes = loaded.verdict().and_then(|verdict| conclusion(state, verdict));
        let mut steps = Self {
            any: false,
            edit: (drafts && loaded.is_open()).then(|| step("edit")),
            start: (drafts && !has_record).then(|| step("start")),
            submit: (drafts && goes(ChangeState::Submitted)).then(|| step("submit")),
            withdraw: (drafts && goes(ChangeState::Withdrawn)).then(|| step("withdraw")),
            decide: (submitted && has_record && decides.is_ok()).then(|| step("decide")),
            own_record: submitted && decides == Err(domain::permission::Refusal::OwnRecord),
            cut_in: (state == ChangeState::Approved && may(actor, &Act::CutIn).is_ok())
                .then(|| step("cut-in")),
            conclude: concludes.filter(|_| may(actor, &Act::ConcludeChange).is_ok()).map(|to| Conclude {
                address: step("conclude"),
                word: to.word(),
                to: if to == ChangeState::Proved { "proved" } else { "not_proved" },
            }),
            weigh: (drafts && (loaded.is_open() || !has_record)).then(|| step("weigh")),
            version: loaded.record.body.as_ref().map_or(0, |body| body.version),
        };
        let asked = [&steps.submit, &steps.withdraw, &steps.decide, &steps.cut_in];
        steps.any = asked.into_iter().any(Option::is_some) || steps.own_record || steps.conclude.is_some();
        steps
    }
}
