//! What units reply to instructions: their form, by link or signed in, and the engineer's list of who has replied.

mod form;
mod list;
#[cfg(test)]
mod tests;
mod typed;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use domain::concerned::Concerned;
use domain::instruction::{Holds, Instruction};
use domain::permission::{Act, Actor, Refusal, may};
use domain::reply::{Reply, asked};
use serde::Deserialize;
use store::{Kept, OfNoLot, StoreError};

use crate::address;
use crate::error::AppError;
use crate::pages::interim::orders::{of_lots, of_no_lot};
use crate::pages::interim::plainly;
use crate::pages::records::Sent;
use crate::pages::report::door::holder;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::Faults;

pub use form::ReplyPage;
pub use list::RepliesPage;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/instructions/{number}/replies", get(list))
        .route("/unit/instructions/{number}", get(show_signed_in).post(send_signed_in))
        .route("/unit/{secret}/instructions/{number}", get(show).post(send))
}

/// The address of a unit's form, from the address of its own page.
pub(crate) fn form_of(own_page: &str, number: &str) -> String {
    format!("{own_page}/instructions/{}", address::segment(number))
}

/// What the form may begin with.
#[derive(Default, Deserialize)]
#[serde(default)]
struct Begin {
    /// The lot whose reply is to be mended; empty for all that the unit holds.
    mend: Option<String>,
}

/// Who replies for which unit, and the address of its own page.
struct At {
    tongue: Tongue,
    actor: Actor,
    unit: String,
    own_page: String,
}

async fn by_link(state: &AppState, tongue: Tongue, secret: &str) -> Result<At, AppError> {
    let (link, actor) = holder(state, secret, tongue).await?;
    may(&actor, &Act::AnswerQuestion { unit: &link.unit })?;
    Ok(At { tongue, actor, unit: link.unit, own_page: format!("/unit/{secret}") })
}

fn by_sign_in(tongue: Tongue, signed_in: SignedIn) -> Result<At, AppError> {
    let Actor::Person { unit: Some(unit), .. } = &signed_in.0 else {
        return Err(Refusal::NotYourUnit.into());
    };
    signed_in.may(&Act::AnswerQuestion { unit })?;
    let unit = unit.clone();
    Ok(At { tongue, actor: signed_in.0, unit, own_page: "/unit".to_owned() })
}

async fn show(
    State(state): State<AppState>,
    Path((secret, number)): Path<(String, String)>,
    Query(begin): Query<Begin>,
    tongue: Tongue,
) -> Result<Response, AppError> {
    let at = by_link(&state, tongue, &secret).await?;
    state.page(&page(&state, &at, &number, Shown { mend: begin.mend, ..Shown::default() }).await?)
}

async fn send(
    State(state): State<AppState>,
    Path((secret, number)): Path<(String, String)>,
    tongue: Tongue,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    take(&state, &by_link(&state, tongue, &secret).await?, &number, sent).await
}

async fn show_signed_in(
    State(state): State<AppState>,
    signed_in: SignedIn,
    tongue: Tongue,
    Path(number): Path<String>,
    Query(begin): Query<Begin>,
) -> Result<Response, AppError> {
    let shown = Shown { mend: begin.mend, ..Shown::default() };
    state.page(&page(&state, &by_sign_in(tongue, signed_in)?, &number, shown).await?)
}

async fn send_signed_in(
    State(state): State<AppState>,
    signed_in: SignedIn,
    tongue: Tongue,
    Path(number): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    take(&state, &by_sign_in(tongue, signed_in)?, &number, sent).await
}

async fn find(state: &AppState, tongue: Tongue, number: &str) -> Result<Kept<Instruction>, AppError> {
    let found = state.store().find_instruction(number).await?;
    found.ok_or_else(|| AppError::NotFound(tongue.say("wrong-instruction")))
}

/// What the books say of an instruction and a unit.
struct Asked {
    /// What it is about, in words.
    concerns: String,
    /// The items that the unit holds of it, with the lots on their labels; nothing where it holds none.
    items: Option<String>,
    /// Numbers of these lots, with how many it holds.
    lots: Vec<(String, u64)>,
    /// How many items it holds whose lot isn't known, in words; nothing where there is none.
    unknown: Option<String>,
    /// What a reply without a lot is of.
    without_lot: OfNoLot,
}

async fn asked_of(
    state: &AppState,
    tongue: Tongue,
    kept: &Kept<Instruction>,
    unit: &str,
) -> Result<Asked, AppError> {
    let picture = state.picture().await?;
    let field = &picture.field;
    let ledger = &picture.analysis.ledger;
    let of_unit = field.unit_names.find(unit);
    let own = ledger.held.iter().filter(|held| of_unit.is_some() && held.unit == of_unit);
    // A reply is an inspection for the recurrence's part, in whatever lots the unit has it.
    let part = kept.what.recurrence.as_ref().map(|(part, _)| Concerned::whole(part));
    let in_lots = part.is_some_and(|part| {
        asked(field, ledger, own.clone(), &part).into_values().any(|of| !of.lots.is_empty())
    });
    let without_lot = if in_lots { OfNoLot::TheRest } else { OfNoLot::Everything };
    let of_unit = asked(field, ledger, own, &kept.what.concerned).into_values().next().unwrap_or_default();
    let (items, unknown) = (of_lots(tongue, field, &of_unit), of_no_lot(tongue, &of_unit));
    let mut lots: Vec<(String, u64)> = Vec::new();
    for (lot, quantity) in of_unit.lots {
        let lot_no = &*field.lots[lot].lot_no;
        match lots.iter_mut().find(|(known, _)| known == lot_no) {
            // Two makers' lots of one number: the label doesn't tell them apart, so neither does the form.
            Some((_, held)) => *held += quantity,
            None => lots.push((lot_no.to_owned(), quantity)),
        }
    }
    Ok(Asked {
        concerns: plainly(tongue, Some(field), &kept.what.concerned),
        items,
        lots,
        unknown,
        without_lot,
    })
}

/// What the form shows besides what is known.
#[derive(Default)]
struct Shown {
    mend: Option<String>,
    sent: Sent,
    wrong: Wrong,
}

/// Why nothing was kept; empty where it was.
#[derive(Default)]
struct Wrong {
    faults: Faults,
    /// Rows whose form didn't show what stands now for their lot.
    overtaken: Vec<usize>,
}

async fn page(state: &AppState, at: &At, number: &str, shown: Shown) -> Result<ReplyPage, AppError> {
    let kept = find(state, at.tongue, number).await?;
    let said = state.store().replies_to_instruction(number).await?;
    let replies: Vec<&Reply> = said.replies.iter().filter(|reply| reply.unit == at.unit).collect();
    let received = said.received.iter().find(|(unit, _)| *unit == at.unit).map(|(_, when)| *when);
    let asked = asked_of(state, at.tongue, &kept, &at.unit).await?;
    Ok(ReplyPage::new(form::Filled {
        tongue: at.tongue,
        kept: &kept,
        today: state.today(),
        unit: &at.unit,
        own_page: &at.own_page,
        received,
        replies: &replies,
        asked: &asked,
        mend: shown.mend.as_deref(),
        sent: &shown.sent,
        faults: &shown.wrong.faults,
        overtaken: &shown.wrong.overtaken,
    }))
}

/// Keeps what was sent: that the instruction came, or the counts of some lots. Sent once more it changes nothing.
async fn take(state: &AppState, at: &At, number: &str, sent: Sent) -> Result<Response, AppError> {
    let kept = find(state, at.tongue, number).await?;
    if kept.what.holds(state.today()) == Holds::Withdrawn {
        return Err(AppError::Unusable(at.tongue.say("wrong-instruction-over")));
    }
    state.store().receive_instruction(&at.actor, state.now(), number, &at.unit).await?;
    let wrong = match typed::replies(at.tongue, &sent, (number, &at.unit), state.today()) {
        // That it came is kept before there are figures.
        Ok(replies) if replies.is_empty() => Wrong::default(),
        Ok(replies) => keep(state, at, &kept, &sent, &replies).await?,
        Err(faults) => Wrong { faults, ..Wrong::default() },
    };
    if wrong.faults.is_empty() {
        return Ok(Redirect::to(&form_of(&at.own_page, number)).into_response());
    }
    state.refused(&page(state, at, number, Shown { mend: None, sent, wrong }).await?)
}

/// Keeps the counts of lots that the unit is asked about, or has replied for: it may have handed in since what it counted.
/// What somebody of the unit replied meanwhile is not replaced by a form that didn't show it: two may have the same link open.
/// Says what is wrong where nothing could be kept.
async fn keep(
    state: &AppState,
    at: &At,
    kept: &Kept<Instruction>,
    sent: &Sent,
    replies: &[Reply],
) -> Result<Wrong, AppError> {
    let asked = asked_of(state, at.tongue, kept, &at.unit).await?;
    let said = state.store().replies_to_instruction(&kept.number).await?.replies;
    let own: Vec<&Reply> = said.iter().filter(|reply| reply.unit == at.unit).collect();
    let is_own = |lot: &str| own.iter().any(|reply| reply.lot_no.as_deref() == Some(lot));
    let is_asked = |lot: &str| asked.lots.iter().any(|(lot_no, _)| lot_no == lot) || is_own(lot);
    if let Some(faults) = typed::not_asked(at.tongue, sent, is_asked) {
        return Ok(Wrong { faults, ..Wrong::default() });
    }
    let overtaken = typed::overtaken(sent, replies, &own);
    if !overtaken.is_empty() {
        let mut faults = Faults::default();
        for row in &overtaken {
            faults.add(typed::name("held", *row), at.tongue.say("wrong-reply-meanwhile"));
        }
        return Ok(Wrong { faults, overtaken });
    }
    match state
        .store()
        .reply_to_instruction(&at.actor, state.now(), (&kept.number, asked.without_lot), replies)
        .await
    {
        Err(StoreError::Refused(problem)) => {
            tracing::warn!(%problem, "a reply to an instruction was refused");
            Ok(Wrong { faults: Faults::one("", at.tongue.say("wrong-reply")), ..Wrong::default() })
        }
        done => Ok(done.map(|()| Wrong::default())?),
    }
}

async fn list(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let kept = find(&state, Tongue::ENGLISH, &number).await?;
    let said = state.store().replies_to_instruction(&number).await?;
    let picture = state.picture().await?;
    state.page(&RepliesPage::new(&signed_in.0, &picture, &kept, &said, state.today()))
}
