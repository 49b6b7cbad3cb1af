//! `/variances`: leave to depart from a requirement for so many items or so long.

mod form;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;
use chrono::NaiveDate;
use domain::handover::HandoverKind;
use domain::instruction::Holds;
use domain::permission::{Act, Actor, may};
use domain::variance::{Variance, VarianceClass};
use store::Kept;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::hand_over::answers_for;
use crate::pages::instructions::order;
use crate::pages::interim::{change_pair, concerns, days};
use crate::pages::records::{Cell, ListPage, Listed, Pair, RecordSheet, Section};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::{Empty, Place, Shell, TitleBlock};

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/variances", get(list))
        .route("/variances/new", get(form::new).post(form::give))
        .route("/variances/{number}", get(show))
        .route("/variances/{number}/withdraw", get(form::to_withdraw).post(form::withdraw))
}

fn page_of(number: &str) -> String {
    format!("/variances/{}", address::segment(number))
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let today = state.today();
    let mut all = state.store().list_variances().await?;
    all.sort_by_key(|kept| order(kept.what.holds(today)));
    let rows = all.iter().map(|kept| row(kept, today)).collect();
    let gives = may(&signed_in.0, &Act::Instruct).is_ok();
    let page = ListPage::new(
        Shell::inside("Variances", &signed_in.0, Place::Instructions),
        "Variances",
        "Leave to depart from a requirement for so many items or so long: those in force first, the latest on top.",
        (&["Number", "Class", "Departure", "Concerns", "Holds", "State"], rows),
        Empty::rest(
            "No variance is on record. One gives leave to depart from a requirement without a change.",
        ),
    );
    state.page(&page.add(gives.then(|| ("Write a variance down", "/variances/new".to_owned()))))
}

/// For how many and how long, in words.
fn extent(what: &Variance) -> String {
    let items = what.quantity.map(|items| format::counted(u64::from(items), "item", "items"));
    match (items, what.expires) {
        (Some(items), None) => format!("{items} from {}", format::date(what.from)),
        (Some(items), expires) => format!("{items}, {}", days(Tongue::ENGLISH, what.from, expires)),
        (None, expires) => days(Tongue::ENGLISH, what.from, expires),
    }
}

fn row(kept: &Kept<Variance>, today: NaiveDate) -> Listed {
    let (what, holds) = (&kept.what, kept.what.holds(today));
    let class = what.class();
    Listed {
        address: page_of(&kept.number),
        number: kept.number.clone(),
        cells: vec![
            Cell::new("Class", class.word()).harm(class == VarianceClass::Critical && holds == Holds::Now),
            Cell::new("Departure", &what.departure).small(what.recurring.then_some("recurring")),
            Cell::new("Concerns", concerns(Tongue::ENGLISH, &what.concerned)),
            Cell::new("Holds", extent(what)),
            Cell::new("State", holds.word()),
        ],
    }
}

async fn find(state: &AppState, number: &str) -> Result<Kept<Variance>, AppError> {
    let found = state.store().find_variance(number).await?;
    found.ok_or_else(|| AppError::NotFound("There is no variance of this number.".into()))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let mut kept = find(&state, &number).await?;
    kept.by = answers_for(&state, (HandoverKind::Variance, &number), kept.by).await?;
    state.page(&sheet(&signed_in.0, &kept, state.today()))
}

fn sheet(actor: &Actor, kept: &Kept<Variance>, today: NaiveDate) -> RecordSheet {
    let (what, holds, class) = (&kept.what, kept.what.holds(today), kept.what.class());
    let touched: Vec<&str> = what.touches.iter().map(|one| one.word()).collect();
    let mut pairs = vec![
        Pair::new("Class", format!("{}, after MIL-STD-973", class.word())),
        Pair::new(
            "Touches",
            if touched.is_empty() { "none of the list".to_owned() } else { touched.join(", ") },
        ),
        Pair::new("Holds", extent(what)),
        Pair::new("Recurring", if what.recurring { "yes" } else { "no" }),
        Pair::new("Given by", &what.approved_by),
    ];
    pairs.extend(change_pair(what.change_no.as_ref()));
    pairs.extend(
        what.withdrawn
            .as_ref()
            .map(|(on, why)| Pair::new("Withdrawn", format!("{}: {why}", format::date(*on)))),
    );
    let is_critical = class == VarianceClass::Critical && holds == Holds::Now;
    let withdraws = holds != Holds::Withdrawn && may(actor, &Act::Instruct).is_ok();
    let block = TitleBlock {
        number: kept.number.clone(),
        title: format!("{} variance: {}", format::titled(class.word()), what.concerned.part_no),
        revision: "A".into(),
        state: holds.word().to_owned(),
        owner: kept.by.clone(),
        dates: vec![("Written".into(), format::date(kept.at.date_naive()))],
        sheet: "1 of 1".into(),
    };
    let shell = Shell::inside(format!("Variance {}", kept.number), actor, Place::Instructions);
    let heading = format!("{} variance", format::titled(class.word()));
    let lead = format!("{}. {}.", concerns(Tongue::ENGLISH, &what.concerned), format::titled(holds.word()));
    RecordSheet::new(shell, heading, lead, block)
        .harm(is_critical.then(|| "This departure touches safety.".into()))
        .section(Section::words("The departure", &what.departure))
        .section(Section::words("Why it is given", &what.reason))
        .section(Section::pairs("For what and how long", pairs))
        .steps(if withdraws {
            vec![("Withdraw it", format!("{}/withdraw", page_of(&kept.number)))]
        } else {
            Vec::new()
        })
}
