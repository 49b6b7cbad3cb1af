//! `/changes/{no}/accomplished`: which lots were in fact built to a change, and which share of each.

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::change::ChangeState;
use domain::effectivity::{Effectivity, Stage};
use domain::permission::{Act, Actor};

use super::load::Loaded;
use crate::address;
use crate::error::AppError;
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Faults, Place, Shell};

fn form(actor: &Actor, loaded: &Loaded, sent: &Sent, faults: Faults) -> FormPage {
    let change = &loaded.record.change;
    let shell = Shell::inside(format!("Accomplished of {}", change.change_no), actor, Place::Changes);
    let action = format!("{}/accomplished", address::change(&change.change_no));
    FormPage::new(shell, "Effectivity as accomplished", (action, "Keep it"), faults)
        .about(format!("{} {}", change.change_no, change.title), address::change(&change.change_no))
        .says(
            "One range of lots of one maker. A lot built partly to the change stands on neither side of the proof, \
             so write its share down as it was.",
        )
        .ask(Ask::text("maker", "Maker", sent.get("maker")).hint("Left empty, the lot numbers alone must tell"))
        .ask(Ask::text("from_lot", "First lot", sent.get("from_lot")).code())
        .ask(Ask::text("to_lot", "Last lot", sent.get("to_lot")).code().hint("Left empty, every lot after it too"))
        .ask(
            Ask::of_kind("number", "share", "Share built to the change, in percent", sent.get("share"))
                .required()
                .hint("100 for whole lots"),
        )
        .ask(Ask::of_kind("date", "from_date", "From which day", sent.get("from_date")))
}

/// A change that lots are built to.
pub(super) async fn built(state: &AppState, signed_in: &SignedIn, no: &str) -> Result<Loaded, AppError> {
    signed_in.may(&Act::CutIn)?;
    let loaded = Loaded::find(state, no).await?;
    if ChangeState::is_built(loaded.state()) {
        return Ok(loaded);
    }
    Err(AppError::Unusable(format!("This change is {}: nothing was built to it yet.", loaded.state())))
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    let loaded = built(&state, &signed_in, &no).await?;
    let begin = Sent::with([("share", "100".into())]);
    state.page(&form(&signed_in.0, &loaded, &begin, Faults::default()))
}

fn read(no: &str, sent: &Sent) -> Result<Effectivity, Faults> {
    let mut reading = Reading::of(sent);
    let share = reading.count("share").filter(|percent| *percent <= 100);
    if share.is_none() {
        reading.wrong("share", "write a whole number from 0 to 100");
    }
    let from_date = reading.day("from_date");
    let line = share.map(|percent| Effectivity {
        change_no: no.to_owned(),
        stage: Stage::Accomplished,
        maker: reading.optional("maker"),
        from_lot: reading.optional("from_lot"),
        to_lot: reading.optional("to_lot"),
        share_new: f64::from(percent) / 100.0,
        from_date,
    });
    reading.end(line)
}

pub(super) async fn keep(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    let loaded = built(&state, &signed_in, &no).await?;
    let done = match read(&no, &sent) {
        Ok(line) => kept(state.store().accomplish(&signed_in.0, state.now(), &line).await)?,
        Err(faults) => Err(faults),
    };
    match done {
        Ok(()) => Ok(Redirect::to(&format!("{}#effectivity", address::change(&no))).into_response()),
        Err(faults) => form(&signed_in.0, &loaded, &sent, faults).refuse(&state),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_that_is_no_number_is_told_once_and_beside_its_field() {
        for (typed, says) in [
            ("abc", "Write a whole number, such as 40."),
            ("", "Write a whole number from 0 to 100."),
            ("150", "Write a whole number from 0 to 100."),
        ] {
            let mut faults = read("2026-014", &Sent::with([("share", typed.into())])).expect_err(typed);
            assert_eq!(faults.take("share").as_deref(), Some(says), "{typed}");
            assert!(faults.is_empty(), "{typed}: {faults:?}");
        }
    }
}
