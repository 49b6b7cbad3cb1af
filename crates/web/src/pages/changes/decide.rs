//! `/changes/{no}/decide`: how the board disposes of a change, signed with a typed name and the password.

use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::change::ChangeState;
use domain::change_record::Disposition;
use domain::permission::{Act, Actor, Refusal};
use domain::proof_plan::ProofPlan;
use serde::{Deserialize, Serialize};
use store::NewDecision;

use super::load::Loaded;
use super::sample;
use crate::address;
use crate::error::AppError;
use crate::evidence;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Choice, Choices, Place, Shell};

/// The form.
#[derive(Serialize)]
pub struct DecidePage {
    shell: Shell,
    title: String,
    back: String,
    action: String,
    class: String,
    asks_first: Choices,
    asks: Vec<Ask>,
    no_password: bool,
    outlook: Option<String>,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    disposition: String,
    reason: String,
    conditions: String,
    ratio_worth_having: String,
    power: String,
    signature: String,
    password: String,
}

/// What is wrong, by field.
#[derive(Clone, Copy, Default)]
struct Faults {
    disposition: Option<&'static str>,
    reason: Option<&'static str>,
    conditions: Option<&'static str>,
    ratio_worth_having: Option<&'static str>,
    power: Option<&'static str>,
    signature: Option<&'static str>,
    password: Option<&'static str>,
}

const WRONG: &str = "This isn't your password. Nothing was decided.";

impl DecidePage {
    fn new(actor: &Actor, loaded: &Loaded, typed: &Typed, faults: Faults, has_password: bool) -> Self {
        let view = loaded.view();
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
            Ask::lines("reason", "Reason", &typed.reason).required().problem(faults.reason),
            Ask::lines("conditions", "Conditions", &typed.conditions)
                .hint("Only with an approval on conditions: one a line. The cut-in waits until each is met")
                .problem(faults.conditions),
            Ask::text("ratio_worth_having", "Worth having at", or(&typed.ratio_worth_having, "0.5"))
                .hint("Failures after over failures before. The proof after the cut-in is planned for this ratio; it counts with an approval.")
                .problem(faults.ratio_worth_having),
            Ask::text("power", "Chance of showing it, in percent", or(&typed.power, "80"))
                .hint("If the change does just that; the higher, the longer the proof takes.")
                .problem(faults.power),
            Ask::text("signature", "Your full name, as signature", &typed.signature)
                .required()
                .problem(faults.signature),
            Ask::of_kind("password", "password", "Your password, once more", "")
                .required()
                .problem(faults.password),
        ];
        Self {
            shell: Shell::inside(format!("Decide on {}", view.change_no), actor, Place::Changes),
            title: format!("{} {}", view.change_no, view.title),
            back: address::change(&view.change_no),
            action: format!("{}/decide", address::change(&view.change_no)),
            class: view.class.to_owned(),
            asks_first: Choices::one("disposition", "Disposition", options.collect())
                .problem(faults.disposition),
            asks,
            no_password: !has_password,
            outlook: loaded.result().and_then(|result| {
                super::proof::outlook(result, typed.plan().unwrap_or_default(), loaded.today)
            }),
        }
    }
}

fn or<'a>(typed: &'a str, usual: &'a str) -> &'a str {
    if typed.trim().is_empty() { usual } else { typed }
}

impl Typed {
    /// The plan of the proof; what was left empty is as usual.
    fn plan(&self) -> Result<ProofPlan, Faults> {
        let number = |text: &str| text.trim().parse::<f64>().unwrap_or(f64::NAN);
        let plan = ProofPlan {
            ratio_worth_having: number(or(&self.ratio_worth_having, "0.5")),
            power: number(or(&self.power, "80").trim_end_matches('%')) / 100.0,
        };
        plan.check().map(|()| plan).map_err(|problem| {
            if problem.field == "power" {
                return Faults { power: Some("Write a percentage from 50 to 99."), ..Faults::default() };
            }
            let says = "Write a ratio from 0.01 to 0.95, such as 0.5.";
            Faults { ratio_worth_having: Some(says), ..Faults::default() }
        })
    }

    fn read(&self, full_name: &str) -> Result<(NewDecision, ProofPlan), Faults> {
        let disposition = self.disposition.parse::<Disposition>().ok();
        let conditions = self.conditions.trim();
        let on_conditions = disposition == Some(Disposition::ApproveWithConditions);
        let same_name = words(&self.signature) == words(full_name);
        let faults = Faults {
            disposition: disposition.is_none().then_some("Choose how the board disposes of it."),
            reason: self.reason.trim().is_empty().then_some("Say why: the record keeps it for good."),
            conditions: match (on_conditions, conditions.is_empty()) {
                (true, true) => Some("Write the conditions of the approval."),
                (false, false) => {
                    Some("Conditions belong to an approval on conditions. Choose it, or clear this.")
                }
                _ => None,
            },
            signature: (!same_name).then_some("Write your full name as it stands at the head of this page."),
            ..self.plan().err().unwrap_or_default()
        };
        let wrong = [faults.disposition, faults.reason, faults.conditions, faults.signature];
        match (disposition, self.plan()) {
            (Some(disposition), Ok(plan)) if wrong.iter().all(Option::is_none) => {
                let decision = NewDecision {
                    disposition,
                    reason: self.reason.trim().to_owned(),
                    conditions: (!conditions.is_empty()).then(|| conditions.to_owned()),
                    signature: self.signature.trim().to_owned(),
                };
                Ok((decision, plan))
            }
            _ => Err(faults),
        }
    }
}

/// A name without regard to case and blanks.
fn words(name: &str) -> Vec<String> {
    name.split_whitespace().map(str::to_lowercase).collect()
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

/// The number, full name and password hash of who decides.
async fn decider(state: &AppState, actor: &Actor) -> Result<(String, Option<String>), AppError> {
    let Actor::Person { id, .. } = actor else { return Err(Refusal::SignInFirst.into()) };
    let user = state.store().find_user(*id).await?.ok_or(Refusal::SignInFirst)?;
    let kept = state.store().find_password(&user.name).await?.map(|(_, hash)| hash);
    Ok((user.full_name, kept))
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    let loaded = before_the_board(&state, &signed_in, &no).await?;
    let (_, kept) = decider(&state, &signed_in.0).await?;
    let (typed, faults) = (Typed::default(), Faults::default());
    state.page(&DecidePage::new(&signed_in.0, &loaded, &typed, faults, kept.is_some()))
}

pub(super) async fn decide(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let loaded = Loaded::find(&state, &no).await?;
    if let Some(why) = refusal(&signed_in, &loaded) {
        return Err(loaded.refuse(&state, &signed_in, "decide", why).await);
    }
    let (full_name, kept) = decider(&state, &signed_in.0).await?;
    let has_password = kept.is_some();
    let read = typed.read(&full_name);
    let faults = match read {
        Ok((decision, plan)) => {
            let matches = state.passwords().check(typed.password.clone(), kept).await;
            if matches.map_err(AppError::inside)? {
                let basis = evidence::basis(&loaded.record, &loaded.picture, &decision, plan)?;
                state.store().decide_change(&signed_in.0, state.now(), &no, &decision, &basis).await?;
                return Ok(Redirect::to(&address::change(&no)).into_response());
            }
            Faults { password: Some(WRONG), ..Faults::default() }
        }
        Err(faults) => faults,
    };
    let page = state.page(&DecidePage::new(&signed_in.0, &loaded, &typed, faults, has_password))?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

impl Page for DecidePage {
    const TEMPLATE: &'static str = "pages/changes/decide";

    fn samples() -> Vec<Self> {
        let board = sample::board();
        let loaded = sample::loaded();
        let wrong = Typed::default().read("Jon Skerry").err().unwrap_or_default();
        let of = |loaded, faults, known| Self::new(&board, loaded, &Typed::default(), faults, known);
        let one = loaded.iter().take(1);
        one.flat_map(|loaded| [of(loaded, Faults::default(), true), of(loaded, wrong, false)]).collect()
    }
}
