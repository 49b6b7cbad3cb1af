//! `/sorting`: the engineer's queue of reports, one at a time.

mod guess;
mod meanwhile;
mod queue;
mod sample;
mod sheet;
mod step;
#[cfg(test)]
mod tests;
mod twice;
mod typed;
mod unnamed;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::analysis::Holders;
use domain::field::{Field, Found, PartId};
use domain::handling::Sorting;
use domain::permission::Act;
use domain::words::Problem;
use store::{Page as Rows, ReportFile, StoreError};

use crate::address;
use crate::error::AppError;
use crate::pages::recurrences::part_name;
use crate::pages::report::offer::offer;
use crate::photo::{Wanted, photo_of};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tidings;
use crate::tongue::Tongue;
use crate::view::Overtaken;

pub use queue::QueuePage;
use sheet::Shown;
pub use sheet::SortPage;
pub(crate) use sheet::facts;
use step::{Step, Words};
use typed::{Prefill, Seen, Typed};
pub use unnamed::UnnamedPage;

/// Reports shown at once.
const SHOWN: u64 = 50;
/// Names the problem that part and mode don't fit each other, or part or lot and the item.
const UNFIT: &str = "sure";
/// Reports nearest in time of which the most probable doubles are taken. A crew hardly sends so many in two weeks.
const HELD_AGAINST: u64 = 200;
/// Earlier reports on the same item that a new one is held against.
const EARLIER: u64 = 300;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/sorting", get(list))
        .route("/sorting/unnamed", get(unnamed::show))
        .route("/sorting/{report_ref}", get(show).post(sort))
        .route("/sorting/{report_ref}/next", get(skip))
        .route("/sorting/{report_ref}/undo", post(undo))
        .route("/sorting/{report_ref}/{step}", post(step))
        .route("/sorting/{report_ref}/photo/{id}", get(photo))
}

/// Where one report is sorted.
fn of(report_ref: &str) -> String {
    format!("/sorting/{}", address::segment(report_ref))
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let waiting = state.store().count_waiting_reports().await?;
    let lines = state.store().waiting_reports(Rows::first(SHOWN)).await?;
    state.page(&QueuePage::new(&signed_in.0, waiting, &lines, state.now()))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Query(prefill): Query<Prefill>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let file = find(&state, &report_ref).await?;
    let typed = Typed::of(&file).with(&prefill);
    let page = sheet(&state, &signed_in, file, (typed, Words::default()), Says::default()).await?;
    state.page(&page.after(prefill.done, prefill.shown))
}

async fn find(state: &AppState, report_ref: &str) -> Result<ReportFile, AppError> {
    let file = state.store().find_report_file(report_ref).await?;
    file.ok_or_else(|| AppError::NotFound(format!("There is no report {report_ref}.")))
}

/// What a sheet that comes back says of what was sent.
#[derive(Default)]
struct Says {
    wrong: Option<Problem>,
    overtaken: Option<Overtaken>,
}

async fn sheet(
    state: &AppState,
    signed_in: &SignedIn,
    file: ReportFile,
    (typed, words): (Typed, Words),
    says: Says,
) -> Result<SortPage, AppError> {
    let picture = state.picture().await?;
    let learned = state.learned().await?;
    let doubles = state.store().possible_doubles(&file.report, HELD_AGAINST).await?;
    let earlier = state.store().sorted_reports_on(&file.report.item_part_no, Rows::first(EARLIER)).await?;
    let offer = offer(state.store()).await?;
    Ok(SortPage::new(Shown {
        actor: &signed_in.0,
        now: state.now(),
        picture: &picture,
        learned: &learned,
        offer: &offer,
        file: &file,
        doubles: &doubles,
        earlier: &earlier,
        typed,
        words,
        wrong: says.wrong,
        overtaken: says.overtaken,
    }))
}

/// The sheet again with what was typed: beside what is wrong with it, and under word of what was decided since it was
/// shown. That comes even with what is wrong, for the number of what was seen moves on with it.
async fn again(
    state: &AppState,
    signed_in: &SignedIn,
    (report_ref, shown): (&str, i64),
    (typed, words): (Option<Typed>, Words),
    wrong: Option<Problem>,
) -> Result<Response, AppError> {
    let file = find(state, report_ref).await?;
    let since = state.store().decided_since(report_ref, shown).await?;
    let overtaken = meanwhile::told(since, &file);
    let status = if overtaken.is_some() { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
    let typed = typed.unwrap_or_else(|| Typed::of(&file));
    let page = sheet(state, signed_in, file, (typed, words), Says { wrong, overtaken }).await?;
    Ok((status, state.page(&page)?).into_response())
}

/// The report that waits next after one in the queue; the first where that one isn't among the first of it.
async fn next_after(state: &AppState, report_ref: &str) -> Result<Option<String>, AppError> {
    let lines = state.store().waiting_reports(Rows::first(SHOWN)).await?;
    let mut queue = lines.into_iter().map(|line| line.report.report_ref).collect::<Vec<_>>();
    if let Some(at) = queue.iter().position(|other| other == report_ref) {
        queue.rotate_left(at + 1);
    }
    Ok(queue.into_iter().find(|other| other != report_ref))
}

async fn skip(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let next = next_after(&state, &report_ref).await?;
    Ok(Redirect::to(&next.map_or_else(|| "/sorting".to_owned(), |next| of(&next))).into_response())
}

/// The next report that waits, with word of the one just decided and the number of the decision, so that it alone is
/// taken back from there.
fn onward(next: Option<String>, (done, number): (&str, i64)) -> Response {
    let to = next.map_or_else(
        || "/sorting".to_owned(),
        |next| format!("{}?done={}&shown={number}", of(&next), address::segment(done)),
    );
    Redirect::to(&to).into_response()
}

async fn sort(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let next = next_after(&state, &report_ref).await?;
    let file = find(&state, &report_ref).await?;
    let seen = (report_ref.as_str(), typed.shown);
    let wrong = match decision(&state, &file, &typed).await? {
        Ok(sorting) => {
            let on = (seen.0, Some(seen.1));
            match state.store().sort_report(&signed_in.0, state.now(), on, &sorting).await {
                Ok(number) => return Ok(onward(next, (&report_ref, number))),
                Err(StoreError::Refused(problem)) => Some(problem),
                Err(StoreError::Overtaken { .. }) => None,
                Err(error) => return Err(error.into()),
            }
        }
        Err(problem) => Some(problem),
    };
    again(&state, &signed_in, seen, (Some(typed), Words::default()), wrong).await
}

/// What was typed as a decision. A lot has to be in the books, or stand on the label as it was sent; what doesn't fit is
/// asked about once.
async fn decision(
    state: &AppState,
    file: &ReportFile,
    typed: &Typed,
) -> Result<Result<Sorting, Problem>, AppError> {
    let sorting = match typed.sorting() {
        Ok(sorting) => sorting,
        Err(problem) => return Ok(Err(problem)),
    };
    let field = &state.picture().await?.field;
    let labels = [&file.report.lot_text, &file.handling.lot_text_as_sent];
    let is_known = |lot_no: &String| {
        labels.into_iter().flatten().any(|label| label.trim() == lot_no)
            || field.lot_keys.find(lot_no, None) != Found::Nothing
    };
    if !sorting.lot_no.as_ref().is_none_or(is_known) {
        let why = "No lot has this number. Take a suggested one, or write the label as it was sent.";
        return Ok(Err(Problem::new("lot", why)));
    }
    let unfit = unfit(field, &file.report.item_part_no, &sorting).filter(|_| typed.sure.is_empty());
    Ok(unfit.map_or(Ok(sorting), |why| Err(Problem::new(UNFIT, why))))
}

/// Why a part, a mode and a lot can't all be right as far as the books tell; the store refuses a part or mode they don't know.
fn unfit(field: &Field, item: &str, sorting: &Sorting) -> Option<String> {
    let of = (item, field.part_names.find(item)?);
    let whys: Vec<String> =
        [unfit_part(field, of, sorting), unfit_lot(field, of, sorting)].into_iter().flatten().collect();
    (!whys.is_empty()).then(|| whys.join(" "))
}

/// A part that the item doesn't hold, or a mode of another kind of part.
fn unfit_part(field: &Field, (item, item_id): (&str, PartId), sorting: &Sorting) -> Option<String> {
    let (part, mode) = (field.part_names.find(&sorting.part_no)?, field.find_mode(&sorting.mode)?);
    if !Holders::of_part(field, part).items(field).contains(&item_id) {
        return Some(format!(
            "{item} does not contain {} in any of its revisions. Choose another part, or say that it is meant so.",
            sorting.part_no
        ));
    }
    field.is_of_another_kind(mode, part).then(|| {
        let (name, kind) = (part_name(field, part), field.kind_of(part));
        format!("{} is a mode of another kind of part: {name} is of kind {kind}. Choose another, or say that it is meant so.", sorting.mode)
    })
}

/// A lot of another item, or of a part, is not the one the item was made in: the report counts for no lot under it.
fn unfit_lot(field: &Field, (item, item_id): (&str, PartId), sorting: &Sorting) -> Option<String> {
    let lot_no = sorting.lot_no.as_ref()?;
    let made: Vec<PartId> = field.lot_keys.all(lot_no).map(|lot| field.part_of_lot(lot)).collect();
    let other = *made.first().filter(|_| !made.contains(&item_id))?;
    Some(format!(
        "{lot_no} is a lot of {}, not of {item}: the report would count for no lot. Choose another lot, or say \
         that it is meant so.",
        &field.part_names[other]
    ))
}

async fn step(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((report_ref, step)): Path<(String, String)>,
    Form(words): Form<Words>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let step = step.parse::<Step>().map_err(|()| AppError::NotFound("There is no such step.".to_owned()))?;
    let seen = (report_ref.as_str(), words.shown);
    let text = match words.written(step) {
        Ok(text) => text,
        Err(problem) => return again(&state, &signed_in, seen, (None, words), Some(problem)).await,
    };
    let next = next_after(&state, &report_ref).await?;
    let (store, by, now, on) = (state.store(), &signed_in.0, state.now(), (seen.0, Some(seen.1)));
    let kept = match step {
        Step::Aside => store.set_aside(by, now, on, text).await.map(Some),
        Step::Answer => store.answer_report(by, now, on, text).await.map(|()| None),
        Step::Ask => {
            store.ask(by, now, &report_ref, text).await?;
            // The question stands on the receipt whether or not its mail can be written now; the day's mail has it else.
            if let Err(error) = tidings::ask_at_once(&state, &report_ref).await {
                tracing::warn!(%error, "the mail with a question can't be written");
            }
            Ok(None)
        }
    };
    match kept {
        Ok(Some(number)) => Ok(onward(next, (&report_ref, number))),
        Ok(None) => Ok(Redirect::to(&of(&report_ref)).into_response()),
        Err(StoreError::Overtaken { .. }) => again(&state, &signed_in, seen, (None, words), None).await,
        Err(error) => Err(error.into()),
    }
}

async fn undo(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(report_ref): Path<String>,
    Form(Seen { shown }): Form<Seen>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    match state.store().undo_sorting(&signed_in.0, state.now(), (&report_ref, Some(shown))).await {
        Ok(true) => Ok(Redirect::to(&of(&report_ref)).into_response()),
        Ok(false) => Err(AppError::Unusable("There is nothing to take back on this report.".to_owned())),
        Err(StoreError::Overtaken { .. }) => {
            again(&state, &signed_in, (&report_ref, shown), (None, Words::default()), None).await
        }
        Err(error) => Err(error.into()),
    }
}

async fn photo(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((report_ref, id)): Path<(String, i64)>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    photo_of(&state, Tongue::ENGLISH, &report_ref, id, &wanted).await
}
