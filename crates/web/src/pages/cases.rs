//! `/cases`: disputes with makers about suspect lots, from the notice to the settlement.

mod form;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;
use chrono::NaiveDate;
use domain::maker_case::{CaseResult, CaseStanding, MakerCase, SampleSplit};
use domain::permission::{Act, Actor, may};
use store::Kept;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::records::{Cell, ListPage, Listed, Pair, RecordSheet, Section};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Empty, Place, Shell, TitleBlock};

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/cases", get(list))
        .route("/cases/new", get(form::new).post(form::open))
        .route("/cases/{number}", get(show))
        .route("/cases/{number}/edit", get(form::edit).post(form::write))
}

/// A case's page.
pub(crate) fn page_of(number: &str) -> String {
    format!("/cases/{}", address::segment(number))
}

/// How a case stands, in words, and whether the maker is late.
pub(crate) fn stands(case: &MakerCase, today: NaiveDate) -> (String, bool) {
    match case.standing(today) {
        CaseStanding::AwaitingReply => (format!("the reply is due {}", format::date(case.reply_due)), false),
        CaseStanding::ReplyOverdue { days } => {
            let days = format::counted(days.unsigned_abs(), "day", "days");
            (format!("the reply is overdue by {days}: it was due {}", format::date(case.reply_due)), true)
        }
        CaseStanding::Replied => ("the maker replied; not settled".to_owned(), false),
        CaseStanding::Settled => ("settled".to_owned(), false),
    }
}

fn lot_page(case: &MakerCase) -> String {
    format!("/lots/{}?maker={}", address::segment(&case.lot_no), address::segment(&case.maker))
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let today = state.today();
    let mut all = state.store().list_cases().await?;
    all.sort_by_key(|kept| (kept.what.settlement.is_some(), kept.what.reply.is_some(), kept.what.reply_due));
    let rows = all.iter().map(|kept| row(kept, today)).collect();
    let page = ListPage::new(
        Shell::inside("Makers' cases", &signed_in.0, Place::Instructions),
        "Makers' cases",
        "Disputes with makers about suspect lots: those that wait for a reply first, the earliest due on top.",
        (&["Number", "Lot", "Maker", "About", "Notice", "Stands"], rows),
        Empty::first("No case is on record. One is opened from the page of a lot.", "To the lots", "/lots"),
    );
    state.page(&page)
}

fn row(kept: &Kept<MakerCase>, today: NaiveDate) -> Listed {
    let (stands, late) = stands(&kept.what, today);
    Listed {
        address: page_of(&kept.number),
        number: kept.number.clone(),
        cells: vec![
            Cell::new("Lot", &kept.what.lot_no).of("code"),
            Cell::new("Maker", &kept.what.maker),
            Cell::new("About", &kept.what.about),
            Cell::new("Notice", format::date(kept.what.notice_on)).of("date"),
            Cell::new("Stands", format::titled(&stands)).harm(late),
        ],
    }
}

fn samples_words(samples: SampleSplit) -> String {
    let count = |items: u32| format::count(u64::from(items));
    format!(
        "{} to the maker, {} to us, {} to a referee",
        count(samples.maker),
        count(samples.ours),
        count(samples.referee)
    )
}

async fn find(state: &AppState, number: &str) -> Result<Kept<MakerCase>, AppError> {
    state.store().find_case(number).await?.ok_or_else(none)
}

fn none() -> AppError {
    AppError::NotFound("There is no case of this number.".into())
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let kept = find(&state, &number).await?;
    let owner = match kept.what.owner {
        Some(id) => state.store().find_user(id).await?.map(|user| user.full_name),
        None => None,
    };
    state.page(&sheet(&signed_in.0, &kept, owner, state.today()))
}

fn sheet(actor: &Actor, kept: &Kept<MakerCase>, owner: Option<String>, today: NaiveDate) -> RecordSheet {
    let case = &kept.what;
    let (stands, _) = stands(case, today);
    let dated = |step: &Option<(NaiveDate, String)>, none: &str| {
        step.as_ref().map_or_else(|| none.to_owned(), |(on, words)| format!("{}: {words}", format::date(*on)))
    };
    let result = case.result.map_or("not yet known", CaseResult::word);
    let block = TitleBlock {
        number: kept.number.clone(),
        title: format!("Lot {} of {}", case.lot_no, case.maker),
        revision: "A".into(),
        state: if case.settlement.is_some() { "settled" } else { "open" }.into(),
        owner: owner.unwrap_or_else(|| "nobody yet".into()),
        dates: vec![("Opened".into(), format::date(kept.at.date_naive()))],
        sheet: "1 of 1".into(),
    };
    let writes = case.settlement.is_none() && may(actor, &Act::JudgeLot).is_ok();
    let shell = Shell::inside(format!("Case {}", kept.number), actor, Place::Instructions);
    let heading = format!("Case with {}", case.maker);
    RecordSheet::new(
        shell,
        heading,
        format!("Lot {}: {}. {}.", case.lot_no, case.about.trim_end_matches('.'), format::titled(&stands)),
        block,
    )
    .section(Section::pairs(
        "What it is about",
        vec![
            Pair::new("Lot", &case.lot_no).to(Some(lot_page(case))),
            Pair::new("Maker", &case.maker),
            Pair::new("Suspected", &case.about),
        ],
    ))
    .section(Section::pairs(
        "Notice and reply",
        vec![
            Pair::new("Notice", format::date(case.notice_on)),
            Pair::new("Reply due", format::date(case.reply_due)),
            Pair::new("Reply", dated(&case.reply, "none yet")),
        ],
    ))
    .section(Section::pairs(
        "Samples and settlement",
        vec![
            Pair::new("Samples", samples_words(case.samples)),
            Pair::new("Result", result),
            Pair::new("Settlement", dated(&case.settlement, "none yet")),
        ],
    ))
    .steps(if writes {
        vec![("Write on", format!("{}/edit", page_of(&kept.number)))]
    } else {
        Vec::new()
    })
}
