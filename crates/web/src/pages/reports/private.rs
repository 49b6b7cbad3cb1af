//! What few may see of a report: where its answer is mailed, until when that is kept, and the holds that keep it longer.

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use chrono::{DateTime, Utc};
use domain::contact::deleted_at;
use domain::handover::HandoverKind;
use domain::permission::{Act, Actor, may};
use serde::Serialize;
use store::{Contact, Hold, ReportFile, StoreError};

use super::find;
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::hand_over::passed_on;
use crate::pages::records::{FormPage, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Faults, Place, Shell};

/// The section of the sheet.
#[derive(Serialize)]
pub(super) struct Private {
    /// The address, while it is kept.
    address: Option<String>,
    /// What happens to it, in sentences.
    says: Vec<String>,
    holds: Vec<String>,
    /// What may be done about it: the words and where.
    step: Option<(&'static str, String)>,
}

impl Private {
    /// What `actor` may see; nothing for others.
    ///
    /// # Errors
    /// A failure of the store.
    pub(super) async fn find(
        state: &AppState,
        actor: &Actor,
        file: &ReportFile,
    ) -> Result<Option<Self>, AppError> {
        if may(actor, &Act::ReadContact).is_err() {
            return Ok(None);
        }
        let report_ref = &file.report.report_ref;
        let contact = state.store().find_contact(report_ref).await?;
        let mut holds = state.store().holds_on(report_ref).await?;
        let keepers = state.store().keepers(HandoverKind::Hold).await?;
        for hold in &mut holds {
            if let Some(keeper) = keepers.get(&format!("{report_ref} {}", hold.id)) {
                hold.by = passed_on(&hold.by, keeper);
            }
        }
        let answered = file.answers.iter().map(|answer| answer.at).max();
        let kept = (answered, state.config().mail.contact_days);
        Ok(Some(Self::new(contact, &holds, kept, report_ref, may(actor, &Act::HoldContact).is_ok())))
    }

    fn new(
        contact: Option<Contact>,
        holds: &[Hold],
        (answered, days): (Option<DateTime<Utc>>, u32),
        report_ref: &str,
        holds_it: bool,
    ) -> Self {
        let is_held = holds.first().is_some_and(|hold| hold.lifted.is_none());
        let mut says = Vec::new();
        if let Some(contact) = &contact {
            if let Some((at, why)) = &contact.stopped {
                says.push(format!("No mail goes there since {}: {why}.", format::moment(*at)));
            }
            let due = format::date(deleted_at(contact.given_at, answered, days).date_naive());
            says.push(if is_held {
                "It is kept for as long as the hold stands.".to_owned()
            } else {
                format!("It is deleted after {due}: {days} days after the last answer, or after the report.")
            });
        } else {
            says.push("No mail address is kept with this report.".to_owned());
        }
        let own = address::report(report_ref);
        let step = if is_held { ("Lift the hold", "lift") } else { ("Put a hold on it", "hold") };
        Self {
            address: contact.map(|contact| contact.address),
            says,
            holds: holds.iter().map(words).collect(),
            step: holds_it.then(|| (step.0, format!("{own}/{}", step.1))),
        }
    }

    /// For the samples of pages.
    pub(super) fn samples() -> [Self; 3] {
        let at = DateTime::UNIX_EPOCH;
        let contact = |stopped: bool| Contact {
            report_ref: "K7M4-RT9X".into(),
            address: "oda.fell@cove.example".into(),
            given_at: at,
            stopped: stopped.then(|| (at, "stopped by its reader".to_owned())),
        };
        let hold = |lifted: bool| Hold {
            id: 1,
            reason: "An inquiry is open".into(),
            by: "Oda Fell".into(),
            at,
            lifted: lifted.then(|| (at, "Oda Fell".to_owned(), "It is closed".to_owned())),
        };
        let of =
            |contact, holds: &[Hold], holds_it| Self::new(contact, holds, (None, 180), "K7M4-RT9X", holds_it);
        [
            of(Some(contact(false)), &[hold(true)], true),
            of(Some(contact(true)), &[hold(false), hold(true)], true),
            of(None, &[], false),
        ]
    }
}

fn words(hold: &Hold) -> String {
    let put = format!("{}: hold by {}: {}", format::date(hold.at.date_naive()), hold.by, hold.reason);
    match &hold.lifted {
        Some((at, by, why)) => format!("{put}. Lifted {} by {by}: {why}", format::date(at.date_naive())),
        None => put,
    }
}

/// Putting a hold and lifting it are one form with other words.
struct Step {
    path: &'static str,
    heading: &'static str,
    says: &'static str,
    button: &'static str,
}

const HOLD: Step = Step {
    path: "hold",
    heading: "Put a hold on a report",
    says: "While it stands, the mail address that came with the report is not deleted. Say why it is needed.",
    button: "Put the hold",
};
const LIFT: Step = Step {
    path: "lift",
    heading: "Lift a hold",
    says: "The mail address that came with the report is deleted when its time is over.",
    button: "Lift the hold",
};

impl Step {
    fn form(&self, actor: &Actor, report_ref: &str, sent: &Sent, faults: Faults) -> FormPage {
        let own = address::report(report_ref);
        let shell = Shell::inside(self.heading, actor, Place::Recurrences);
        FormPage::new(shell, self.heading, (format!("{own}/{}", self.path), self.button), faults)
            .about(format!("Report {report_ref}"), own)
            .says(self.says)
            .ask(Ask::lines("reason", "Why", sent.get("reason")).required())
    }

    async fn show(
        &self,
        state: &AppState,
        signed_in: &SignedIn,
        report_ref: &str,
    ) -> Result<Response, AppError> {
        signed_in.may(&Act::HoldContact)?;
        find(state, signed_in, report_ref).await?;
        state.page(&self.form(&signed_in.0, report_ref, &Sent::default(), Faults::default()))
    }

    fn done(
        &self,
        state: &AppState,
        signed_in: &SignedIn,
        report_ref: &str,
        sent: &Sent,
        done: store::Result<()>,
    ) -> Result<Response, AppError> {
        match done {
            // Somebody else was quicker: what was wanted is so.
            Err(StoreError::Taken { noun: "hold", .. } | StoreError::Missing { noun: "hold", .. }) => {}
            done => {
                if let Err(faults) = kept(done)? {
                    return self.form(&signed_in.0, report_ref, sent, faults).refuse(state);
                }
            }
        }
        Ok(Redirect::to(&address::report(report_ref)).into_response())
    }
}

pub(super) async fn to_hold(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
) -> Result<Response, AppError> {
    HOLD.show(&state, &signed_in, &report_ref).await
}

pub(super) async fn hold(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::HoldContact)?;
    let why = sent.get("reason");
    let done = state.store().hold_report(&signed_in.0, state.now(), &report_ref, why).await;
    HOLD.done(&state, &signed_in, &report_ref, &sent, done)
}

pub(super) async fn to_lift(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
) -> Result<Response, AppError> {
    LIFT.show(&state, &signed_in, &report_ref).await
}

pub(super) async fn lift(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::HoldContact)?;
    let why = sent.get("reason");
    let done = state.store().lift_hold(&signed_in.0, state.now(), &report_ref, why).await;
    LIFT.done(&state, &signed_in, &report_ref, &sent, done)
}
