//! `/changes/{no}/cut-in/correct`: another day for a cut-in that was recorded wrongly, with the reason.

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use chrono::NaiveDate;
use domain::civil_day::is_to_come;
use domain::permission::{Act, Actor};

use super::cut_in::TO_COME;
use super::load::Loaded;
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Faults, Place, Shell};

fn form(actor: &Actor, loaded: &Loaded, sent: &Sent, faults: Faults) -> FormPage {
    let change = &loaded.record.change;
    let shell = Shell::inside(format!("Cut-in of {}", change.change_no), actor, Place::Changes);
    let action = format!("{}/cut-in/correct", address::change(&change.change_no));
    let lot = change.cut_in_lot.as_deref().unwrap_or("not on record");
    let day = change.cut_in_on.map_or_else(|| "no day".to_owned(), format::date);
    FormPage::new(shell, "Correct the day of the cut-in", (action, "Correct it"), faults)
        .about(format!("{} {}", change.change_no, change.title), address::change(&change.change_no))
        .says(format!(
            "On record: lot {lot}, {day}. The journal keeps this day beside the corrected one, and the proof is worked \
             out anew."
        ))
        .ask(Ask::of_kind("date", "cut_in_on", "From which day", sent.get("cut_in_on")).required())
        .ask(Ask::lines("reason", "Why", sent.get("reason")).required().hint("What was wrong, and what shows the right day"))
}

async fn built(state: &AppState, signed_in: &SignedIn, no: &str) -> Result<Loaded, AppError> {
    signed_in.may(&Act::CutIn)?;
    let loaded = Loaded::find(state, no).await?;
    if loaded.state().has_open_cut_in() {
        return Ok(loaded);
    }
    Err(AppError::Unusable(format!("This change is {}: there is no cut-in to correct.", loaded.state())))
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    let loaded = built(&state, &signed_in, &no).await?;
    let day = loaded.record.change.cut_in_on.map(|day| day.to_string()).unwrap_or_default();
    let begin = Sent::with([("cut_in_on", day)]);
    state.page(&form(&signed_in.0, &loaded, &begin, Faults::default()))
}

fn read(sent: &Sent, today: NaiveDate) -> Result<(NaiveDate, String), Faults> {
    let mut reading = Reading::of(sent);
    let (day, reason) = (reading.needed_day("cut_in_on"), reading.text("reason"));
    if is_to_come(day, today) {
        reading.wrong("cut_in_on", TO_COME);
    }
    if reason.is_empty() {
        reading.wrong("reason", "say why: the journal keeps it");
    }
    reading.end(Some((day, reason)))
}

pub(super) async fn keep(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    let loaded = built(&state, &signed_in, &no).await?;
    let done = match read(&sent, loaded.today) {
        Ok((day, reason)) => {
            kept(state.store().correct_cut_in(&signed_in.0, state.now(), &no, day, &reason).await)?
        }
        Err(faults) => Err(faults),
    };
    match done {
        Ok(()) => Ok(Redirect::to(&format!("{}#effectivity", address::change(&no))).into_response()),
        Err(faults) => form(&signed_in.0, &loaded, &sent, faults).refuse(&state),
    }
}
