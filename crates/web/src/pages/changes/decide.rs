//! `/changes/{no}/decide`: how the board disposes of a change, signed with a typed name and the password.
//!
//! The form carries which record was shown, so that nobody signs a text that came in its place meanwhile.

mod typed;

use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use chrono::TimeDelta;
use domain::change::ChangeState;
use domain::change_record::Disposition;
use domain::permission::{Act, Actor, Refusal};
use domain::proof_plan::ProofPlan;
use serde::Serialize;
use store::{NewDecision, StoreError};

use self::typed::{Typed, or};
use super::load::Loaded;
use super::{sample, since};
use crate::address;
use crate::error::AppError;
use crate::evidence;
use crate::format;
use crate::pages::sign_in::{wait_words, waiting};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Caution, Choice, Choices, Faults, Place, Shell};

/// The form.
#[derive(Serialize)]
pub struct DecidePage {
    shell: Shell,
    title: String,
    back: String,
    action: String,
    class: String,
    version: i64,
    evidence: String,
    overtaken: Option<Overtaken>,
    since: Vec<Caution>,
    asks_first: Choices,
    asks: Vec<Ask>,
    no_password: bool,
    outlook: Option<String>,
}

/// The record as it stands now, where it is not the one that was shown.
#[derive(Serialize)]
struct Overtaken {
    revision: u32,
    submitted: Option<String>,
    title: String,
    revisions: String,
}

/// Who decides.
struct Decider {
    /// What they sign in with.
    name: String,
    full_name: String,
    /// The hash of the password.
    kept: Option<String>,
}

/// What the form is shown with.
enum Says {
    /// What is wrong with single fields, if anything.
    Faults(Faults),
    /// Another record has come in the place of the one that was shown.
    Overtaken,
    /// Too many wrong passwords were written; so long it takes until the next may be.
    Wait(TimeDelta),
}

const WRONG: &str = "This isn't your password. Nothing was decided.";

impl DecidePage {
    fn new(actor: &Actor, loaded: &Loaded, typed: &Typed, says: Says, decider: &Decider) -> Self {
        let (faults, is_overtaken) = match says {
            Says::Faults(faults) => (faults, false),
            Says::Overtaken => (Faults::default(), true),
            Says::Wait(wait) => (Faults::one("password", wait_words(wait)), false),
        };
        let (view, shown) = (loaded.view(), loaded.shown());
        let options = Disposition::ALL.iter().map(|disposition| {
            let says = match disposition {
                Disposition::Approve => "As drafted.",
                Disposition::ApproveWithConditions => "On the conditions written below.",
                Disposition::Disapprove => {
                    "Refused, with the reason. The engineer may write its next revision."
                }
                Disposition::Defer => "Put off, with what is still wanted. It goes back to the engineer.",
            };
            let word = disposition.word();
            Choice::new(word, format::titled(word), word == typed.disposition).hint(says)
        });
        let asks = vec![
            Ask::lines("reason", "Reason", &typed.reason).required().problem(faults.of("reason")),
            Ask::lines("conditions", "Conditions", &typed.conditions)
                .hint("Only with an approval on conditions: one a line. The cut-in waits until each is met")
                .problem(faults.of("conditions")),
            Ask::text("ratio_worth_having", "Worth having at", or(&typed.ratio_worth_having, "0.5"))
                .hint("Failures after over failures before. The proof after the cut-in is planned for this ratio; it counts with an approval.")
                .problem(faults.of("ratio_worth_having")),
            Ask::text("power", "Chance of showing it, in percent", or(&typed.power, "80"))
                .hint("If the change does just that; the higher, the longer the proof takes.")
                .problem(faults.of("power")),
            Ask::text("signature", format!("Your full name, as signature: {}", decider.full_name), &typed.signature)
                .required()
                .problem(faults.of("signature")),
            Ask::of_kind("password", "password", "Your password, once more", "")
                .required()
                .problem(faults.of("password")),
        ];
        Self {
            shell: Shell::inside(format!("Decide on {}", view.change_no), actor, Place::Changes),
            title: format!("{} {}", view.change_no, view.title),
            back: address::change(&view.change_no),
            action: format!("{}/decide", address::change(&view.change_no)),
            class: view.class.to_owned(),
            version: shown.version,
            evidence: shown.evidence.unwrap_or_default(),
            overtaken: is_overtaken.then(|| Overtaken::new(loaded)),
            since: since::told(loaded),
            asks_first: Choices::one("disposition", "Disposition", options.collect())
                .problem(faults.of("disposition")),
            asks,
            no_password: decider.kept.is_none(),
            outlook: loaded.result().and_then(|result| {
                super::proof::outlook(result, typed.plan().unwrap_or_default(), loaded.today)
            }),
        }
    }
}

impl Overtaken {
    fn new(loaded: &Loaded) -> Self {
        let (change, body) = (&loaded.record.change, loaded.record.body.as_ref());
        Self {
            revision: body.map_or(0, |body| body.revision),
            submitted: body.and_then(|body| body.submitted_at).map(format::moment),
            title: change.title.clone(),
            revisions: format!("{}/revisions", address::change(&change.change_no)),
        }
    }
}

/// The change, if it is before the board with a record and not this person's own.
async fn before_the_board(state: &AppState, signed_in: &SignedIn, no: &str) -> Result<Loaded, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let loaded = Loaded::find(state, no).await?;
    match refusal(signed_in, &loaded) {
        Some(why) => Err(why),
        None => Ok(loaded),
    }
}

/// Why this person can't decide on this change where it stands.
fn refusal(signed_in: &SignedIn, loaded: &Loaded) -> Option<AppError> {
    if let Err(refusal) = signed_in.may(&Act::DecideChange { drafted_by: loaded.drafted_by() }) {
        return Some(refusal);
    }
    if loaded.state() != ChangeState::Submitted {
        return Some(AppError::Unusable(format!(
            "This change is {}: it is not before the board, or was decided already. Nothing was changed.",
            loaded.state()
        )));
    }
    loaded.record.body.is_none().then(|| {
        AppError::Unusable(
            "This change came with books and has no record to decide on. An engineer starts one on its page; \
             nothing was changed."
                .to_owned(),
        )
    })
}

impl Decider {
    async fn find(state: &AppState, actor: &Actor) -> Result<Self, AppError> {
        let Actor::Person { id, .. } = actor else { return Err(Refusal::SignInFirst.into()) };
        let user = state.store().find_user(*id).await?.ok_or(Refusal::SignInFirst)?;
        let kept = state.store().find_password(&user.name).await?.map(|(_, hash)| hash);
        Ok(Self { name: user.name, full_name: user.full_name, kept })
    }
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    let loaded = before_the_board(&state, &signed_in, &no).await?;
    let decider = Decider::find(&state, &signed_in.0).await?;
    let (typed, says) = (Typed::default(), Says::Faults(Faults::default()));
    state.page(&DecidePage::new(&signed_in.0, &loaded, &typed, says, &decider))
}

pub(super) async fn decide(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let loaded = Loaded::find_in_step(&state, &no).await?;
    if let Some(why) = refusal(&signed_in, &loaded) {
        return Err(loaded.refuse(&state, &signed_in, "decide", why).await);
    }
    let decider = Decider::find(&state, &signed_in.0).await?;
    let says = match typed.read(&decider.full_name) {
        // What else is wrong with a form about another record doesn't matter any more.
        _ if typed.shown() != loaded.shown() => Says::Overtaken,
        Err(faults) => Says::Faults(faults),
        Ok(decision) => match sign(&state, &signed_in.0, (&loaded, &typed), decision, &decider).await? {
            Some(says) => says,
            None => return Ok(Redirect::to(&address::change(&no)).into_response()),
        },
    };
    let (status, loaded, typed) = match says {
        Says::Faults(_) => (StatusCode::UNPROCESSABLE_ENTITY, loaded, typed),
        Says::Overtaken => {
            (StatusCode::CONFLICT, before_the_board(&state, &signed_in, &no).await?, typed.unsigned())
        }
        Says::Wait(wait) => {
            let page = state.page(&DecidePage::new(&signed_in.0, &loaded, &typed, says, &decider))?;
            return Ok(waiting(wait, page));
        }
    };
    let page = state.page(&DecidePage::new(&signed_in.0, &loaded, &typed, says, &decider))?;
    Ok((status, page).into_response())
}

/// Writes the decision down where the password is right and the record still is the one that was shown; else what to say.
async fn sign(
    state: &AppState,
    actor: &Actor,
    (loaded, typed): (&Loaded, &Typed),
    (decision, plan): (NewDecision, ProofPlan),
    decider: &Decider,
) -> Result<Option<Says>, AppError> {
    // Counted with the tries at the sign-in page: a screen left open is no place to guess at.
    if let Err(wait) = state.tries().begin(&decider.name, state.now()) {
        return Ok(Some(Says::Wait(wait)));
    }
    let matches = state.passwords().check(typed.password.clone(), decider.kept.clone()).await;
    if !matches.map_err(AppError::inside)? {
        return Ok(Some(Says::Faults(Faults::one("password", WRONG))));
    }
    state.tries().right(&decider.name);
    let basis = evidence::basis(&loaded.record, &loaded.picture, typed.shown(), (&decision, plan))?;
    let no = &loaded.record.change.change_no;
    match state.store().decide_change(actor, state.now(), no, &decision, &basis).await {
        Ok(()) => Ok(None),
        Err(StoreError::Overtaken { .. }) => Ok(Some(Says::Overtaken)),
        Err(error) => Err(error.into()),
    }
}

impl Page for DecidePage {
    const TEMPLATE: &'static str = "pages/changes/decide";

    fn samples() -> Vec<Self> {
        let board = sample::board();
        let loaded = sample::loaded();
        let wrong = Typed::default().read("Jon Skerry").err().unwrap_or_default();
        let of = |loaded, says, kept: Option<&str>| {
            let kept = kept.map(Into::into);
            let decider = Decider { name: "skerry".into(), full_name: "Jon Skerry".into(), kept };
            Self::new(&board, loaded, &Typed::default(), says, &decider)
        };
        let before_the_board = loaded.iter().filter(|one| one.state() == ChangeState::Submitted).take(1);
        let shown = loaded.iter().take(1).chain(before_the_board).flat_map(|loaded| {
            [
                of(loaded, Says::Faults(Faults::default()), Some("hash")),
                of(loaded, Says::Faults(wrong.clone()), None),
                of(loaded, Says::Overtaken, Some("hash")),
                of(loaded, Says::Wait(TimeDelta::minutes(1)), Some("hash")),
            ]
        });
        shown.collect()
    }
}
