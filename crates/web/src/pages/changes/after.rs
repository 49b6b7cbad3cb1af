//! What follows an approval, on the change's page: actions, what units do meanwhile, and who has the change.

use chrono::NaiveDate;
use domain::action::ActionStanding;
use domain::change::ChangeState;
use domain::instruction::{Holds, Instruction};
use domain::permission::{Act, Actor, may};
use domain::variance::Variance;
use serde::Serialize;
use store::{ChangeRecord, EvidenceSeal, Kept, KeptAction};

use super::load::Loaded;
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::interim::concerns;
use crate::state::AppState;
use crate::tongue::Tongue;

/// What is kept of it.
#[derive(Default)]
pub(super) struct Facts {
    /// Actions of the change.
    pub actions: Vec<KeptAction>,
    /// Instructions that bridge the time to it.
    pub instructions: Vec<Kept<Instruction>>,
    /// Variances that it makes needless.
    pub variances: Vec<Kept<Variance>>,
    /// What was frozen of it.
    pub seals: Vec<EvidenceSeal>,
    /// Who has it now, where it was handed over.
    pub holder: Option<String>,
    /// Whether lines as accomplished were written down here, which may be taken back.
    pub has_accomplished_here: bool,
    /// Whether specimens of the revision it proposes were.
    pub has_weighed_here: bool,
}

impl Facts {
    /// What is kept about a change.
    pub(super) async fn find(state: &AppState, record: &ChangeRecord) -> Result<Self, AppError> {
        let (store, change) = (state.store(), &record.change);
        let (no, drafted_by) =
            (change.change_no.as_str(), record.body.as_ref().and_then(|body| body.drafted_by));
        let mut instructions = store.list_instructions().await?;
        instructions.retain(|kept| kept.what.change_no.as_deref() == Some(no));
        let mut variances = store.list_variances().await?;
        variances.retain(|kept| kept.what.change_no.as_deref() == Some(no));
        let holder = match store.change_holders().await?.get(no) {
            Some(id) if Some(*id) != drafted_by => store.find_user(*id).await?.map(|user| user.full_name),
            _ => None,
        };
        let (actions, seals) = (store.list_actions(Some(no)).await?, store.evidence_seals(no).await?);
        let has_accomplished_here = !store.accomplished_here(no).await?.is_empty();
        let has_weighed_here = !store.weighed_here(&change.part_no, &change.to_revision).await?.is_empty();
        Ok(Self { actions, instructions, variances, seals, holder, has_accomplished_here, has_weighed_here })
    }
}

/// The sections.
#[derive(Serialize)]
pub(super) struct After {
    shown: bool,
    pub(super) actions: Vec<ActionRow>,
    add: Option<String>,
    pub(super) interim: Vec<InterimRow>,
    instruct: Option<String>,
    accomplish: Option<String>,
    can_take_back: bool,
    correct: Option<String>,
}

#[derive(Serialize)]
pub(super) struct ActionRow {
    pub(super) what: String,
    pub(super) kind: &'static str,
    pub(super) owner: String,
    pub(super) due: String,
    overdue: Option<String>,
    pub(super) done: Option<String>,
    pub(super) evidence: Option<String>,
    finish: Option<String>,
    assign: Option<String>,
}

#[derive(Serialize)]
pub(super) struct InterimRow {
    address: String,
    pub(super) number: String,
    pub(super) what: String,
    pub(super) concerns: String,
    pub(super) holds: &'static str,
}

impl After {
    pub(super) fn new(actor: &Actor, loaded: &Loaded) -> Self {
        let (facts, no) = (&loaded.after, &loaded.record.change.change_no);
        let is_open = loaded.state() == ChangeState::Approved || loaded.state().is_built();
        let base = address::change(no);
        let plans = is_open && may(actor, &Act::PlanActions).is_ok();
        let interim = facts.instructions.iter().map(|kept| instruction(kept, loaded.today));
        Self {
            shown: is_open || !facts.actions.is_empty(),
            actions: facts.actions.iter().map(|one| row(actor, one, loaded.today)).collect(),
            add: plans.then(|| format!("{base}/actions/new")),
            interim: interim.chain(facts.variances.iter().map(|kept| variance(kept, loaded.today))).collect(),
            instruct: may(actor, &Act::Instruct).is_ok().then(|| {
                format!(
                    "/instructions/new?change={}&part={}",
                    address::segment(no),
                    address::segment(&loaded.record.change.part_no)
                )
            }),
            accomplish: (loaded.state().is_built() && may(actor, &Act::CutIn).is_ok())
                .then(|| format!("{base}/accomplished")),
            can_take_back: facts.has_accomplished_here,
            correct: (loaded.state().has_open_cut_in() && may(actor, &Act::CutIn).is_ok())
                .then(|| format!("{base}/cut-in/correct")),
        }
    }
}

/// How an open action stands, where it is late.
pub(crate) fn overdue(one: &KeptAction, today: NaiveDate) -> Option<String> {
    match one.action.standing(today) {
        ActionStanding::Overdue { days } => {
            Some(format!("overdue by {}", format::counted(days.unsigned_abs(), "day", "days")))
        }
        ActionStanding::Done | ActionStanding::Open => None,
    }
}

fn row(actor: &Actor, one: &KeptAction, today: NaiveDate) -> ActionRow {
    let action = &one.action;
    let is_open = action.done.is_none();
    let finishes = is_open && may(actor, &Act::FinishAction { owner: action.owner }).is_ok();
    let plans = is_open && may(actor, &Act::PlanActions).is_ok();
    ActionRow {
        what: action.what.clone(),
        kind: action.kind.word(),
        owner: one.owner_name.clone().unwrap_or_else(|| "nobody yet".into()),
        due: action.due.map_or_else(|| "no day set".into(), format::date),
        overdue: overdue(one, today),
        done: action.done.as_ref().map(|done| format::date(done.on)),
        evidence: action.done.as_ref().map(|done| done.evidence.clone()),
        finish: finishes.then(|| format!("/actions/{}/done", one.id)),
        assign: plans.then(|| format!("/actions/{}/assign", one.id)),
    }
}

fn instruction(kept: &Kept<Instruction>, today: NaiveDate) -> InterimRow {
    InterimRow {
        address: format!("/instructions/{}", address::segment(&kept.number)),
        number: kept.number.clone(),
        what: kept.what.kind.order().to_owned(),
        concerns: concerns(Tongue::ENGLISH, &kept.what.concerned),
        holds: Holds::word(kept.what.holds(today)),
    }
}

fn variance(kept: &Kept<Variance>, today: NaiveDate) -> InterimRow {
    InterimRow {
        address: format!("/variances/{}", address::segment(&kept.number)),
        number: kept.number.clone(),
        what: format!("Variance, {}: {}", kept.what.class().word(), kept.what.departure),
        concerns: concerns(Tongue::ENGLISH, &kept.what.concerned),
        holds: Holds::word(kept.what.holds(today)),
    }
}
