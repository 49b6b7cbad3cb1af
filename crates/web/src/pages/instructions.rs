//! `/instructions`: what units do with issued items until a change reaches them.

mod form;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;
use chrono::NaiveDate;
use domain::handover::HandoverKind;
use domain::instruction::{Holds, Instruction, InstructionKind};
use domain::permission::{Act, Actor, may};
use store::Kept;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::hand_over::answers_for;
use crate::pages::interim::{change_pair, concerns, days};
use crate::pages::records::{Cell, ListPage, Listed, Pair, RecordSheet, Section};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::{Empty, Place, Shell, TitleBlock};

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/instructions", get(list))
        .route("/instructions/new", get(form::new).post(form::give))
        .route("/instructions/{number}", get(show))
        .route("/instructions/{number}/withdraw", get(form::to_withdraw).post(form::withdraw))
}

fn page_of(number: &str) -> String {
    format!("/instructions/{}", address::segment(number))
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let today = state.today();
    let mut all = state.store().list_instructions().await?;
    all.sort_by_key(|kept| order(kept.what.holds(today)));
    let rows = all.iter().map(|kept| row(kept, today)).collect();
    let gives = may(&signed_in.0, &Act::Instruct).is_ok();
    let page = ListPage::new(
        Shell::inside("Instructions", &signed_in.0, Place::Instructions),
        "Instructions",
        "What units do with issued items until a change reaches them: those in force first, the latest on top.",
        (&["Number", "Order", "Concerns", "Holds", "State"], rows),
        Empty::rest(
            "No instruction is on record. One bridges the time until a change reaches what is issued.",
        ),
    );
    state.page(&page.add(gives.then(|| ("Give an instruction", "/instructions/new".to_owned()))))
}

/// What holds comes first, what will hold next.
pub(super) const fn order(holds: Holds) -> u8 {
    match holds {
        Holds::Now => 0,
        Holds::NotYet => 1,
        Holds::Ended | Holds::Withdrawn => 2,
    }
}

fn row(kept: &Kept<Instruction>, today: NaiveDate) -> Listed {
    let (what, holds) = (&kept.what, kept.what.holds(today));
    let stops = what.kind == InstructionKind::StopUse && holds == Holds::Now;
    Listed {
        address: page_of(&kept.number),
        number: kept.number.clone(),
        cells: vec![
            Cell::new("Order", what.kind.word()).harm(stops),
            Cell::new("Concerns", concerns(Tongue::ENGLISH, &what.concerned)),
            Cell::new("Holds", days(Tongue::ENGLISH, what.from, what.to)),
            Cell::new("State", holds.word()),
        ],
    }
}

async fn find(state: &AppState, number: &str) -> Result<Kept<Instruction>, AppError> {
    let found = state.store().find_instruction(number).await?;
    found.ok_or_else(|| AppError::NotFound("There is no instruction of this number.".into()))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let mut kept = find(&state, &number).await?;
    kept.by = answers_for(&state, (HandoverKind::Instruction, &number), kept.by).await?;
    state.page(&sheet(&signed_in.0, &kept, state.today()))
}

fn sheet(actor: &Actor, kept: &Kept<Instruction>, today: NaiveDate) -> RecordSheet {
    let (what, holds) = (&kept.what, kept.what.holds(today));
    let mut pairs = vec![
        Pair::new("Holds", days(Tongue::ENGLISH, what.from, what.to)),
        Pair::new("By order of", &what.authority),
    ];
    pairs.extend(change_pair(what.change_no.as_ref()));
    pairs.extend(what.recurrence.as_ref().map(|(part, mode)| {
        let page = format!("/recurrences/{}/{}", address::segment(part), address::segment(mode));
        Pair::new("Recurrence", format!("{part} {mode}")).to(Some(page))
    }));
    pairs.extend(
        what.withdrawn
            .as_ref()
            .map(|(on, why)| Pair::new("Withdrawn", format!("{}: {why}", format::date(*on)))),
    );
    let stops = what.kind == InstructionKind::StopUse && holds == Holds::Now;
    let withdraws = holds != Holds::Withdrawn && may(actor, &Act::Instruct).is_ok();
    let block = TitleBlock {
        number: kept.number.clone(),
        title: format!("{}: {}", what.kind.order(), what.concerned.part_no),
        revision: "A".into(),
        state: holds.word().to_owned(),
        owner: kept.by.clone(),
        dates: vec![("Given".into(), format::date(kept.at.date_naive()))],
        sheet: "1 of 1".into(),
    };
    let shell = Shell::inside(format!("Instruction {}", kept.number), actor, Place::Instructions);
    RecordSheet::new(
        shell,
        what.kind.order(),
        format!("{}. {}.", concerns(Tongue::ENGLISH, &what.concerned), format::titled(holds.word())),
        block,
    )
    .harm(
        stops.then(|| {
            "Items that this is about are taken out of use and tagged until somebody decides.".into()
        }),
    )
    .section(Section::words("What to do", &what.words))
    .section(Section::pairs("When and why", pairs))
    .steps({
        let mut steps = vec![("Who has replied", format!("{}/replies", page_of(&kept.number)))];
        steps.extend(withdraws.then(|| ("Withdraw it", format!("{}/withdraw", page_of(&kept.number)))));
        steps
    })
}
