//! The forms of a case: opening one, and writing on what came since.
//!
//! Who writes on a case writes on what the form showed: its address carries which writing that was, so that nothing that
//! came in between is overwritten unseen.

mod meanwhile;

use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use chrono::{Days, NaiveDate};
use domain::maker_case::{CaseResult, MakerCase, SampleSplit};
use domain::permission::{Act, Actor};
use serde::Deserialize;
use store::{Kept, StoreError, User};

use super::{none, page_of};
use crate::error::AppError;
use crate::format;
use crate::pages::actions::{owner_of, owner_select, owners};
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Choice, Choices, Faults, Place, Shell};

/// Days a maker is usually given for the reply; the form begins with them.
const USUAL_REPLY_DAYS: u64 = 30;

/// Which writing on a case its form shows, as the store numbers them.
#[derive(Deserialize)]
pub(super) struct Seen {
    /// None was seen where it is left out.
    #[serde(default)]
    shown: i64,
}

/// Which lot, where a form begins.
#[derive(Default, Deserialize)]
#[serde(default)]
pub(super) struct Begin {
    lot: String,
    maker: String,
}

fn form(shell: Shell, heading: String, to: (String, &'static str), sent: &Sent, faults: Faults) -> FormPage {
    FormPage::new(shell, heading, to, faults)
        .ask(Ask::lines("about", "What is suspected", sent.get("about")).required())
        .ask(Ask::of_kind("date", "notice_on", "Notice given on", sent.get("notice_on")).required())
        .ask(Ask::of_kind("date", "reply_due", "Reply due", sent.get("reply_due")).required())
        .ask(Ask::of_kind("number", "sample_maker", "Specimens to the maker", sent.get("sample_maker")))
        .ask(Ask::of_kind("number", "sample_ours", "Specimens to us", sent.get("sample_ours")))
        .ask(Ask::of_kind("number", "sample_referee", "Specimens to a referee", sent.get("sample_referee")))
}

fn new_form(actor: &Actor, owners: &[User], sent: &Sent, faults: Faults) -> FormPage {
    let shell = Shell::inside("Open a case", actor, Place::Instructions);
    form(shell, "Open a case with a maker".into(), ("/cases/new".into(), "Open it"), sent, faults)
        .ask(Ask::text("lot_no", "Lot", sent.get("lot_no")).code().required())
        .ask(Ask::text("maker", "Maker", sent.get("maker")).required())
        .select(owner_select(owners, sent.get("owner")))
}

pub(super) async fn new(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(begin): Query<Begin>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::JudgeLot)?;
    let due = state.today().checked_add_days(Days::new(USUAL_REPLY_DAYS)).unwrap_or_else(|| state.today());
    let me = if let Actor::Person { id, .. } = &signed_in.0 { id.to_string() } else { String::new() };
    let sent = Sent::with([
        ("lot_no", begin.lot),
        ("maker", begin.maker),
        ("notice_on", state.today().to_string()),
        ("reply_due", due.to_string()),
        ("owner", me),
    ]);
    state.page(&new_form(&signed_in.0, &owners(&state).await?, &sent, Faults::default()))
}

fn read(sent: &Sent, owners: &[User], of: Option<&MakerCase>) -> Result<MakerCase, Faults> {
    let mut reading = Reading::of(sent);
    let dated = |on: Option<NaiveDate>, words: String| match (on, words.is_empty()) {
        (None, true) => None,
        (on, _) => Some((on, words)),
    };
    let (notice_on, reply_due) = (reading.needed_day("notice_on"), reading.needed_day("reply_due"));
    let (replied_on, settled_on) = (reading.day("replied_on"), reading.day("settled_on"));
    let reply = dated(replied_on, reading.text("reply"));
    let settlement = dated(settled_on, reading.text("settlement"));
    for (step, day) in [(&reply, "replied_on"), (&settlement, "settled_on")] {
        if step.as_ref().is_some_and(|(on, _)| on.is_none()) {
            reading.wrong(day, "write the day it was said");
        }
    }
    let result = if sent.get("result").is_empty() { None } else { reading.word::<CaseResult>("result") };
    let samples = SampleSplit {
        maker: reading.count("sample_maker").unwrap_or_default(),
        ours: reading.count("sample_ours").unwrap_or_default(),
        referee: reading.count("sample_referee").unwrap_or_default(),
    };
    let with_day =
        |step: Option<(Option<NaiveDate>, String)>| step.and_then(|(on, words)| Some((on?, words)));
    let owner = owner_of(&mut reading, owners);
    let case = MakerCase {
        lot_no: of.map_or_else(|| reading.text("lot_no"), |case| case.lot_no.clone()),
        maker: of.map_or_else(|| reading.text("maker"), |case| case.maker.clone()),
        about: reading.text("about"),
        notice_on,
        reply_due,
        reply: with_day(reply),
        samples,
        result,
        settlement: with_day(settlement),
        owner,
    };
    reading.end(Some(case))
}

pub(super) async fn open(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::JudgeLot)?;
    let owners = owners(&state).await?;
    let opened = match read(&sent, &owners, None) {
        Ok(case) => match state.store().open_case(&signed_in.0, state.now(), &case).await {
            Err(StoreError::Missing { .. }) => {
                let why = "no lot of this maker in the books has this number";
                Err(domain::words::Problem::new("lot_no", why).into())
            }
            other => kept(other)?,
        },
        Err(faults) => Err(faults),
    };
    match opened {
        Ok(number) => Ok(Redirect::to(&page_of(&number)).into_response()),
        Err(faults) => new_form(&signed_in.0, &owners, &sent, faults).refuse(&state),
    }
}

fn edit_form(
    actor: &Actor,
    (kept, shown): &(Kept<MakerCase>, i64),
    owners: &[User],
    sent: &Sent,
    faults: Faults,
) -> FormPage {
    let shell = Shell::inside(format!("Write on case {}", kept.number), actor, Place::Instructions);
    let results = CaseResult::ALL.iter().map(|result| {
        Choice::new(result.word(), format::titled(result.word()), sent.get("result") == result.word())
    });
    let to = (format!("{}/edit?shown={shown}", page_of(&kept.number)), "Keep it");
    form(shell, format!("Write on case {}", kept.number), to, sent, faults)
        .about(
            format!("Case {}: lot {} of {}", kept.number, kept.what.lot_no, kept.what.maker),
            page_of(&kept.number),
        )
        .says("Once a settlement is written down the case is closed.")
        .ask(Ask::of_kind("date", "replied_on", "The maker replied on", sent.get("replied_on")))
        .ask(Ask::lines("reply", "The reply", sent.get("reply")))
        .choices(Choices::one("result", "What the samples came to", results.collect()))
        .ask(Ask::of_kind("date", "settled_on", "Settled on", sent.get("settled_on")))
        .ask(Ask::lines("settlement", "The settlement", sent.get("settlement")))
        .select(owner_select(owners, sent.get("owner")))
}

/// What a form shows of a case, as if it had been sent.
fn typed(case: &MakerCase) -> Sent {
    let day =
        |step: &Option<(NaiveDate, String)>| step.as_ref().map(|(on, _)| on.to_string()).unwrap_or_default();
    let words = |step: &Option<(NaiveDate, String)>| {
        step.as_ref().map(|(_, words)| words.clone()).unwrap_or_default()
    };
    Sent::with([
        ("about", case.about.clone()),
        ("notice_on", case.notice_on.to_string()),
        ("reply_due", case.reply_due.to_string()),
        ("sample_maker", case.samples.maker.to_string()),
        ("sample_ours", case.samples.ours.to_string()),
        ("sample_referee", case.samples.referee.to_string()),
        ("replied_on", day(&case.reply)),
        ("reply", words(&case.reply)),
        ("result", case.result.map_or("", CaseResult::word).to_owned()),
        ("settled_on", day(&case.settlement)),
        ("settlement", words(&case.settlement)),
        ("owner", case.owner.map(|id| id.to_string()).unwrap_or_default()),
    ])
}

async fn find_to_write(state: &AppState, number: &str) -> Result<(Kept<MakerCase>, i64), AppError> {
    state.store().find_case_to_write(number).await?.ok_or_else(none)
}

pub(super) async fn edit(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::JudgeLot)?;
    let case = find_to_write(&state, &number).await?;
    let typed = typed(&case.0.what);
    state.page(&edit_form(&signed_in.0, &case, &owners(&state).await?, &typed, Faults::default()))
}

pub(super) async fn write(
    State(state): State<AppState>,
    signed_in: SignedIn,
    (Path(number), Query(seen)): (Path<String>, Query<Seen>),
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::JudgeLot)?;
    let (case, owners) = (find_to_write(&state, &number).await?, owners(&state).await?);
    let written = match read(&sent, &owners, Some(&case.0.what)) {
        Ok(new) => {
            let of = (number.as_str(), Some(seen.shown));
            match state.store().write_case(&signed_in.0, state.now(), of, &new).await {
                Err(StoreError::Overtaken { .. }) => {
                    // What is told is all that the next try counts as seen.
                    let case = find_to_write(&state, &number).await?;
                    let since = state.store().case_written_since(&number, seen.shown).await?;
                    let faults = meanwhile::told(&since, &owners);
                    let page = state.page(&edit_form(&signed_in.0, &case, &owners, &sent, faults))?;
                    return Ok((StatusCode::CONFLICT, page).into_response());
                }
                other => kept(other)?,
            }
        }
        Err(faults) => Err(faults),
    };
    match written {
        Ok(()) => Ok(Redirect::to(&page_of(&number)).into_response()),
        // What was shown stays what it was: nobody was told of what came since.
        Err(faults) => edit_form(&signed_in.0, &(case.0, seen.shown), &owners, &sent, faults).refuse(&state),
    }
}
