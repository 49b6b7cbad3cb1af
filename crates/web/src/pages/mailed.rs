//! `/reports/mailed`: mails that tell of failures and wait for an engineer to say which unit and item they are about.

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use chrono::NaiveDate;
use domain::permission::{Act, Actor};
use domain::report::{Harm, Report};
use serde::Serialize;
use store::{Mailed, Page as Pages};

use crate::error::AppError;
use crate::format;
use crate::mailbox::{report_of, send};
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::pages::report::answers::Answers;
use crate::pages::report::offer::offer;
use crate::pages::report::plain;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::{Ask, Choice, Choices, Empty, Faults, Place, Select, Shell};

/// Letters of a mail that are shown in the list.
const STORY: usize = 110;
/// Mails shown at once.
const SHOWN: u64 = 100;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/reports/mailed", get(list))
        .route("/reports/mailed/{id}", get(to_send).post(make_report))
        .route("/reports/mailed/{id}/dismiss", get(to_dismiss).post(dismiss))
}

/// The list.
#[derive(Serialize)]
pub struct MailedPage {
    shell: Shell,
    rows: Vec<Row>,
    empty: Empty,
}

#[derive(Serialize)]
struct Row {
    address: String,
    sender: String,
    arrived: String,
    unit: String,
    story: String,
}

impl MailedPage {
    fn new(actor: &Actor, mails: &[Mailed]) -> Self {
        let row = |mail: &Mailed| Row {
            address: page_of(mail.id),
            sender: mail.sender.clone(),
            arrived: format::moment(mail.arrived_at),
            unit: mail.unit.clone().unwrap_or_else(|| "not known".to_owned()),
            story: domain::upload::clipped(&mail.story, STORY),
        };
        Self {
            shell: Shell::inside("Mailed in", actor, Place::Sorting),
            rows: mails.iter().map(row).collect(),
            empty: Empty::rest(
                "No mail waits. Mails from a unit's own address that name the item become reports by themselves.",
            ),
        }
    }
}

fn page_of(id: i64) -> String {
    format!("/reports/mailed/{id}")
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let mails = state.store().waiting_mailed(Pages::first(SHOWN)).await?;
    state.page(&MailedPage::new(&signed_in.0, &mails))
}

async fn find(state: &AppState, id: &str) -> Result<Mailed, AppError> {
    let found = match id.parse() {
        Ok(id) => state.store().find_mailed(id).await?,
        Err(_) => None,
    };
    found.filter(Mailed::waits).ok_or_else(|| {
        AppError::NotFound("No such mail waits; somebody may have decided about it.".to_owned())
    })
}

async fn form(
    state: &AppState,
    actor: &Actor,
    mail: &Mailed,
    sent: &Sent,
    faults: Faults,
) -> Result<FormPage, AppError> {
    let units = state.store().list_units().await?;
    let units = units.iter().map(|unit| {
        let words =
            unit.name.as_ref().map_or_else(|| unit.unit.clone(), |name| format!("{} {name}", unit.unit));
        Choice::new(&unit.unit, words, sent.get("unit") == unit.unit)
    });
    let units = vec![(String::new(), units.collect())];
    let items = offer(state.store()).await?.items;
    let items = items.iter().map(|item| {
        Choice::new(
            &item.part_no,
            format!("{} {}", item.part_no, item.name),
            sent.get("item") == item.part_no,
        )
    });
    let items = vec![(String::new(), items.collect())];
    let photos = state.store().photos_of_mailed(mail.id).await?.len() as u64;
    let came = format!(
        "From {} on {}, with {}. The address is what the mail says of itself. The sender gets the receipt by mail.",
        mail.sender,
        format::moment(mail.arrived_at),
        format::counted(photos, "photograph", "photographs")
    );
    let harm = plain::choices(Tongue::ENGLISH, "harm", Harm::ALL, sent.get("harm"));
    let page = FormPage::new(
        Shell::inside("A mailed report", actor, Place::Sorting),
        "A mailed report",
        (page_of(mail.id), "Make it a report"),
        faults,
    )
    .about("It tells of no failure: set it aside", format!("{}/dismiss", page_of(mail.id)))
    .says(came);
    let page = mail.story.lines().filter(|line| !line.is_empty()).fold(page, FormPage::says);
    Ok(page
        .select(Select::new("unit", "Unit it happened to", "choose", units))
        .select(Select::new("item", "Item", "choose", items))
        .ask(
            Ask::of_kind("date", "found_on", "Found on", sent.get("found_on"))
                .hint("The day the mail arrived, unless it tells of an earlier one"),
        )
        .choices(Choices::one("harm", "Whether anybody was hurt, if the mail says so", harm)))
}

async fn to_send(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let mail = find(&state, &id).await?;
    let sent = Sent::with([
        ("unit", mail.unit.clone().unwrap_or_default()),
        ("found_on", mail.arrived_at.date_naive().to_string()),
    ]);
    state.page(&form(&state, &signed_in.0, &mail, &sent, Faults::default()).await?)
}

/// The report of what an engineer says of a mail; nothing where something is wrong, which is noted beside its field.
fn report(mail: &Mailed, sent: &Sent, reading: &mut Reading<'_>) -> Option<Report> {
    let arrived = mail.arrived_at.date_naive();
    let mut answers = Answers {
        story: mail.story.clone(),
        item: sent.get("item").to_owned(),
        harm: sent.get("harm").to_owned(),
        found_on: sent.get("found_on").to_owned(),
        ..Answers::default()
    };
    // As in the unit's own form, the day after it may be said: east of UTC it had begun.
    let is_later = |day: NaiveDate| arrived.succ_opt().is_some_and(|next| day > next);
    if answers.found_on.parse::<NaiveDate>().is_ok_and(is_later) {
        let day = format::date(arrived);
        reading.wrong("found_on", &format!("the mail arrived on {day}, so it was found then or before"));
        answers.found_on.clear();
    }
    match report_of(&answers, sent.get("unit"), arrived) {
        Ok(report) => Some(report),
        Err(problems) => {
            for problem in problems {
                let field = ["item", "harm", "found_on"].into_iter().find(|field| problem.is_of(field));
                // What this form doesn't ask is said above it.
                reading.wrong(field.unwrap_or_default(), problem.says());
            }
            None
        }
    }
}

async fn make_report(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let mail = find(&state, &id).await?;
    let unit = sent.get("unit");
    signed_in.may(&Act::SendReport { unit })?;
    let mut reading = Reading::of(&sent);
    if state.store().find_unit(unit).await?.is_none() {
        reading.wrong("unit", "choose the unit it happened to");
    }
    let report = report(&mail, &sent, &mut reading);
    match reading.end(report) {
        Ok(report) => {
            send(&state, &signed_in.0, &mail, report, &[]).await?;
            Ok(Redirect::to("/reports/mailed").into_response())
        }
        Err(faults) => form(&state, &signed_in.0, &mail, &sent, faults).await?.refuse(&state),
    }
}

fn dismissal(actor: &Actor, mail: &Mailed, sent: &Sent, faults: Faults) -> FormPage {
    FormPage::new(
        Shell::inside("No report", actor, Place::Sorting),
        "It tells of no failure",
        (format!("{}/dismiss", page_of(mail.id)), "Set it aside"),
        faults,
    )
    .about(format!("The mail from {}", mail.sender), page_of(mail.id))
    .says("Nothing is answered. The file stays in the folder of what was read; its photographs are not shown anywhere.")
    .ask(Ask::text("why", "Why it is no report", sent.get("why")).required())
}

async fn to_dismiss(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let mail = find(&state, &id).await?;
    state.page(&dismissal(&signed_in.0, &mail, &Sent::default(), Faults::default()))
}

async fn dismiss(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let mail = find(&state, &id).await?;
    let done = state.store().dismiss_mailed(&signed_in.0, state.now(), mail.id, sent.get("why")).await;
    match kept(done)? {
        Ok(()) => Ok(Redirect::to("/reports/mailed").into_response()),
        Err(faults) => dismissal(&signed_in.0, &mail, &sent, faults).refuse(&state),
    }
}

impl Page for MailedPage {
    const TEMPLATE: &'static str = "pages/mailed/list";

    fn samples() -> Vec<Self> {
        let actor = Actor::Person {
            id: 1,
            name: "Oda Fell".into(),
            role: domain::permission::Role::Engineer,
            unit: None,
        };
        let mail = Mailed {
            id: 3,
            key: String::new(),
            sender: "crew@<cove>.example".into(),
            subject: "zip".into(),
            story: "zip split on the ladder".into(),
            arrived_at: chrono::DateTime::default(),
            unit: None,
            report_ref: None,
            dismissed: None,
        };
        vec![Self::new(&actor, &[]), Self::new(&actor, &[mail])]
    }
}
