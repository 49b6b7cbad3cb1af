//! The forms of a variance: giving it and withdrawing it.

use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::permission::{Act, Actor};
use domain::variance::{Departure, Variance};
use serde::Deserialize;

use super::{find, page_of};
use crate::error::AppError;
use crate::format;
use crate::pages::interim::{ask_concerned, read_concerned, withdraw_form, withdrawn};
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Choice, Choices, Faults, Place, Shell};

/// What a form may begin with.
#[derive(Default, Deserialize)]
#[serde(default)]
pub(super) struct Begin {
    part: String,
    lot: String,
    maker: String,
    change: String,
}

fn form(actor: &Actor, sent: &Sent, faults: Faults) -> FormPage {
    let touches = Departure::ALL
        .iter()
        .map(|one| Choice::new(one.word(), format::titled(one.word()), sent.has("touches", one.word())));
    let recurring = ["no", "yes"].map(|word| {
        let chosen = word == if sent.get("recurring") == "yes" { "yes" } else { "no" };
        Choice::new(word, format::titled(word), chosen)
    });
    let shell = Shell::inside("Write a variance down", actor, Place::Instructions);
    let form = FormPage::new(shell, "Write a variance down", ("/variances/new".into(), "Keep it"), faults)
        .about("All variances", "/variances");
    ask_concerned(form, sent)
        .ask(
            Ask::lines("departure", "The departure", sent.get("departure"))
                .required()
                .hint("Which requirement, and how the items depart from it"),
        )
        .choices(
            Choices::any("touches", "What it touches", touches.collect()).hint(
                "Safety makes it critical, anything else of these major, none minor (after MIL-STD-973)",
            ),
        )
        .ask(Ask::of_kind("number", "quantity", "For how many items", sent.get("quantity")))
        .ask(Ask::of_kind("date", "from", "From", sent.get("from")).required())
        .ask(
            Ask::of_kind("date", "expires", "Last day", sent.get("expires"))
                .hint("A quantity, a last day, or both"),
        )
        .choices(Choices::one("recurring", "Recurring", recurring.into()))
        .ask(Ask::lines("reason", "Why it is given", sent.get("reason")).required())
        .ask(Ask::text("approved_by", "Given by", sent.get("approved_by")).required())
        .ask(Ask::text("change_no", "Change that makes it needless", sent.get("change_no")).code())
}

pub(super) async fn new(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(begin): Query<Begin>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    let sent = Sent::with([
        ("part_no", begin.part),
        ("lots", begin.lot),
        ("maker", begin.maker),
        ("change_no", begin.change),
        ("from", state.today().to_string()),
    ]);
    state.page(&form(&signed_in.0, &sent, Faults::default()))
}

fn read(sent: &Sent) -> Result<Variance, Faults> {
    let mut reading = Reading::of(sent);
    let (quantity, from, expires) =
        (reading.count("quantity"), reading.needed_day("from"), reading.day("expires"));
    let read = Variance {
        concerned: read_concerned(&reading),
        departure: reading.text("departure"),
        touches: Departure::ALL.iter().copied().filter(|one| sent.has("touches", one.word())).collect(),
        quantity,
        from,
        expires,
        recurring: sent.get("recurring") == "yes",
        reason: reading.text("reason"),
        approved_by: reading.text("approved_by"),
        change_no: reading.optional("change_no"),
        withdrawn: None,
    };
    reading.end(Some(read))
}

pub(super) async fn give(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    let picture = state.picture().await?;
    let known = |new: &Variance| new.concerned.check(&picture.field).map_err(Faults::from);
    let given = match read(&sent).and_then(|new| known(&new).map(|()| new)) {
        Ok(new) => kept(state.store().add_variance(&signed_in.0, state.now(), &new).await)?,
        Err(faults) => Err(faults),
    };
    match given {
        Ok(number) => Ok(Redirect::to(&page_of(&number)).into_response()),
        Err(faults) => form(&signed_in.0, &sent, faults).refuse(&state),
    }
}

pub(super) async fn to_withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    find(&state, &number).await?;
    let of = ("variance", number.as_str());
    state.page(&withdraw_form(&signed_in.0, of, &page_of(&number), &Sent::default(), Faults::default()))
}

pub(super) async fn withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    let done = state.store().withdraw_variance(&signed_in.0, state.now(), &number, sent.get("why")).await;
    withdrawn(&state, &signed_in.0, ("variance", &number), &page_of(&number), &sent, done)
}
