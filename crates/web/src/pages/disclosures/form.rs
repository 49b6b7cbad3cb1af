//! The form that drafts a disclosure.

use axum::extract::{Form, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::disclosure::{Disclosure, Removal};
use domain::permission::{Act, Actor};
use serde::Deserialize;

use super::page_of;
use crate::error::AppError;
use crate::format;
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Choice, Choices, Faults, Place, Shell};

/// The usual threshold (common practice of offices of statistics, no source).
const THRESHOLD: u32 = 5;

/// What a form may begin with.
#[derive(Default, Deserialize)]
#[serde(default)]
pub(super) struct Begin {
    part: String,
    mode: String,
}

fn form(actor: &Actor, sent: &Sent, faults: Faults) -> FormPage {
    let shell = Shell::inside("Draft a disclosure", actor, Place::Published);
    let removals = Removal::ALL.iter().map(|removal| {
        Choice::new(removal.word(), format::titled(removal.word()), sent.has("removals", removal.word()))
    });
    let mut form =
        FormPage::new(shell, "Draft a disclosure to outsiders", ("/disclosures/new".into(), "Keep the draft"), faults)
            .about("All disclosures", "/disclosures")
            .says("Outsiders get counts and, if wanted, the reporters' words without names. Small counts are withheld. Somebody else looks through it before it leaves.")
            .ask(Ask::text("part_no", "Part number", sent.get("part_no")).code().required())
            .ask(Ask::text("mode", "Code of the failure mode", sent.get("mode")).code().required())
            .ask(Ask::text("to", "For whom", sent.get("to")).required())
            .choices(
                Choices::any("removals", "What is removed", removals.collect())
                    .hint("Either the words are removed, or the names in them; give the reason below"),
            );
    for removal in Removal::ALL {
        let id = reason_of(*removal);
        let label = format!("Why {} are removed", removal.word());
        let value = sent.get(&id).to_owned();
        form = form.ask(Ask::text(id, label, value));
    }
    form.ask(
        Ask::lines("struck", "Words to strike besides", sent.get("struck"))
            .hint("Names of persons and places, one a line. Units and the people of this program are struck anyway, and mail addresses and long numbers."),
    )
    .ask(Ask::of_kind("number", "threshold", "Withhold counts below", sent.get("threshold")).required())
}

fn reason_of(removal: Removal) -> String {
    format!("why-{}", removal.word().replace(' ', "-"))
}

/// Everything is removed to begin with: who wants more to leave says so.
pub(super) async fn new(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(begin): Query<Begin>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Publish)?;
    let mut values =
        vec![("part_no", begin.part), ("mode", begin.mode), ("threshold", THRESHOLD.to_string())];
    values.extend(Removal::ALL.iter().map(|removal| ("removals", removal.word().to_owned())));
    state.page(&form(&signed_in.0, &Sent::with(values), Faults::default()))
}

fn read(sent: &Sent) -> Result<Disclosure, Faults> {
    let mut reading = Reading::of(sent);
    let threshold = reading.count("threshold");
    let removals = Removal::ALL.iter().filter(|removal| sent.has("removals", removal.word()));
    let struck = sent.get("struck").lines().map(str::trim).filter(|line| !line.is_empty());
    let read = Disclosure {
        part_no: reading.text("part_no"),
        mode: reading.text("mode"),
        to: reading.text("to"),
        removals: removals.map(|removal| (*removal, sent.get(&reason_of(*removal)).to_owned())).collect(),
        struck: struck.map(str::to_owned).collect(),
        threshold: threshold.unwrap_or_default(),
    };
    reading.end(Some(read))
}

pub(super) async fn draft(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Publish)?;
    let drafted = match read(&sent) {
        Ok(new) => kept(state.store().draft_disclosure(&signed_in.0, state.now(), &new).await)?,
        Err(faults) => Err(faults),
    };
    match drafted {
        Ok(number) => Ok(Redirect::to(&page_of(&number)).into_response()),
        Err(faults) => form(&signed_in.0, &sent, faults).refuse(&state),
    }
}
