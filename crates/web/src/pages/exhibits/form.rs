//! The forms of an exhibit: taking it in, moving it, holding it longer, releasing it.

use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::exhibit::{Exhibit, Matter, Release, Stay, hold_from};
use domain::permission::{Act, Actor};
use serde::Deserialize;

use super::{find, matter_of, page_of};
use crate::address;
use crate::error::AppError;
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::pages::recurrences::come_back;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Faults, Place, Shell};

/// The report whose item it is.
#[derive(Default, Deserialize)]
#[serde(default)]
pub(super) struct Begin {
    report: String,
}

fn shell(actor: &Actor, title: &str) -> Shell {
    Shell::inside(title, actor, Place::Instructions)
}

fn taking_in(actor: &Actor, sent: &Sent, faults: Faults) -> FormPage {
    let report = sent.get("report_ref");
    FormPage::new(
        shell(actor, "Take an item in"),
        "Take an item in",
        ("/exhibits/new".into(), "Take it in"),
        faults,
    )
    .about(format!("Report {report}"), address::report(report))
    .says("It gets the next tag number. It is held for 60 days from its receipt unless you say otherwise.")
    .ask(Ask::text("report_ref", "Report it belongs to", report).code().required())
    .ask(
        Ask::text("what", "What it is", sent.get("what"))
            .hint("The part or item, and how much of it; where two are alike, what tells them apart")
            .required(),
    )
    .ask(Ask::of_kind("date", "received_on", "Received on", sent.get("received_on")).required())
    .ask(
        Ask::text("place", "Where it is", sent.get("place"))
            .hint("So that somebody else finds it")
            .required(),
    )
    .ask(
        Ask::of_kind("date", "hold_until", "Hold until", sent.get("hold_until"))
            .hint("Left empty, 60 days from its receipt"),
    )
}

pub(super) async fn new(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(begin): Query<Begin>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepExhibits)?;
    let sent = Sent::with([("report_ref", begin.report), ("received_on", state.today().to_string())]);
    state.page(&taking_in(&signed_in.0, &sent, Faults::default()))
}

fn read(sent: &Sent) -> Result<Exhibit, Faults> {
    let mut reading = Reading::of(sent);
    let received_on = reading.needed_day("received_on");
    let hold_until = reading.day("hold_until").unwrap_or_else(|| hold_from(received_on));
    let exhibit = Exhibit {
        report_ref: reading.text("report_ref"),
        what: reading.text("what"),
        received_on,
        hold_until,
        places: vec![Stay { place: reading.text("place"), since: received_on }],
        released: None,
    };
    reading.end(Some(exhibit))
}

pub(super) async fn take_in(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepExhibits)?;
    let taken = match read(&sent) {
        Ok(new) if state.store().find_report(&new.report_ref).await?.is_none() => {
            let mut reading = Reading::of(&sent);
            reading.wrong("report_ref", "there is no such report");
            reading.end(None::<String>)
        }
        Ok(new) => kept(state.store().add_exhibit(&signed_in.0, state.now(), &new).await)?,
        Err(faults) => Err(faults),
    };
    match taken {
        Ok(number) => Ok(Redirect::to(&page_of(&number)).into_response()),
        Err(faults) => taking_in(&signed_in.0, &sent, faults).refuse(&state),
    }
}

/// Leads back to the exhibit, or shows the form again with what is wrong.
fn done(
    state: &AppState,
    number: &str,
    done: Result<(), Faults>,
    form: impl FnOnce(Faults) -> FormPage,
) -> Result<Response, AppError> {
    match done {
        Ok(()) => Ok(Redirect::to(&page_of(number)).into_response()),
        Err(faults) => form(faults).refuse(state),
    }
}

fn moving(actor: &Actor, number: &str, sent: &Sent, faults: Faults) -> FormPage {
    let page = page_of(number);
    FormPage::new(
        shell(actor, "Say where it is"),
        "Say where it is now",
        (format!("{page}/move"), "Keep it"),
        faults,
    )
    .about(format!("Exhibit {number}"), page)
    .says("Where it was stays on record.")
    .ask(Ask::text("place", "Where it is", sent.get("place")).required())
    .ask(Ask::of_kind("date", "since", "Since", sent.get("since")).required())
}

pub(super) async fn to_move(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepExhibits)?;
    let (kept, _) = find(&state, &number).await?;
    // East of UTC it may have come on what is tomorrow here.
    let since = kept.what.place().map_or(state.today(), |here| here.since.max(state.today()));
    let sent = Sent::with([("since", since.to_string())]);
    state.page(&moving(&signed_in.0, &number, &sent, Faults::default()))
}

pub(super) async fn move_it(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepExhibits)?;
    let mut reading = Reading::of(&sent);
    let stay = Stay { place: reading.text("place"), since: reading.needed_day("since") };
    let moved = match reading.end(Some(stay)) {
        Ok(stay) => kept(state.store().move_exhibit(&signed_in.0, state.now(), &number, &stay).await)?,
        Err(faults) => Err(faults),
    };
    done(&state, &number, moved, |faults| moving(&signed_in.0, &number, &sent, faults))
}

fn holding(actor: &Actor, number: &str, sent: &Sent, faults: Faults) -> FormPage {
    let page = page_of(number);
    FormPage::new(
        shell(actor, "Hold it longer"),
        "Hold it longer",
        (format!("{page}/hold"), "Hold it"),
        faults,
    )
    .about(format!("Exhibit {number}"), page)
    .ask(Ask::of_kind("date", "hold_until", "Hold until", sent.get("hold_until")).required())
}

pub(super) async fn to_hold(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepExhibits)?;
    find(&state, &number).await?;
    let sent = Sent::with([("hold_until", hold_from(state.today()).to_string())]);
    state.page(&holding(&signed_in.0, &number, &sent, Faults::default()))
}

pub(super) async fn hold(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepExhibits)?;
    let mut reading = Reading::of(&sent);
    let until = reading.needed_day("hold_until");
    let held = match reading.end(Some(until)) {
        Ok(until) => kept(state.store().hold_exhibit(&signed_in.0, state.now(), &number, until).await)?,
        Err(faults) => Err(faults),
    };
    done(&state, &number, held, |faults| holding(&signed_in.0, &number, &sent, faults))
}

fn releasing(actor: &Actor, number: &str, matter: Matter, sent: &Sent, faults: Faults) -> FormPage {
    let page = page_of(number);
    let form = FormPage::new(
        shell(actor, "Release it"),
        "Release it",
        (format!("{page}/release"), "Release it"),
        faults,
    )
    .about(format!("Exhibit {number}"), page)
    .ask(
        Ask::text("to", "To where or whom", sent.get("to"))
            .hint("The maker, the unit, back to stock, disposal")
            .required(),
    )
    .ask(Ask::of_kind("date", "on", "On", sent.get("on")).required());
    match matter.keeps() {
        Some(why) => form.ask(
            Ask::lines("why", "Why it goes all the same", sent.get("why"))
                .hint(format!("It is still needed: {why}."))
                .required(),
        ),
        None => form,
    }
}

pub(super) async fn to_release(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepExhibits)?;
    let (kept, _) = find(&state, &number).await?;
    let matter = matter_of(&state, &kept.what.report_ref).await?;
    let sent = Sent::with([("on", state.today().to_string())]);
    state.page(&releasing(&signed_in.0, &number, matter, &sent, Faults::default()))
}

pub(super) async fn release(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::KeepExhibits)?;
    let (exhibit, _) = find(&state, &number).await?;
    let back = come_back(&state).await?;
    let matter = state.store().matter_of(&exhibit.what.report_ref, &back).await?;
    let mut reading = Reading::of(&sent);
    let release =
        Release { to: reading.text("to"), on: reading.needed_day("on"), why: reading.optional("why") };
    let released = match reading.end(Some(release)) {
        Ok(release) => {
            let told = (&release, &back);
            kept(state.store().release_exhibit(&signed_in.0, state.now(), &number, told).await)?
        }
        Err(faults) => Err(faults),
    };
    done(&state, &number, released, |faults| releasing(&signed_in.0, &number, matter, &sent, faults))
}
