//! `/recurrences/{part}/{mode}/settle`: what a settlement rests on, what is still missing, and who accepts what remains.

use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::analysis::{Analysis, ChangeResult, Recurrence};
use domain::change::ChangeState;
use domain::effectivity::Stage;
use domain::field::Field;
use domain::permission::{Act, Actor};
use domain::recurrence::{ComeBack, Grounds, RecurrenceState, Settlement, is_back, missing_before_settling};
use serde::{Deserialize, Serialize};
use store::{RecurrenceAct, RecurrenceEdit, RecurrenceRecord, StoreError};

use super::{Key, find, journal, meanwhile, part_name};
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Overtaken, Place, Shell};

/// The page.
#[derive(Serialize)]
pub struct SettlePage {
    shell: Shell,
    about: String,
    back: String,
    action: String,
    grounds: Vec<(&'static str, String)>,
    missing: Vec<&'static str>,
    asks: Vec<Ask>,
    overtaken: Option<Overtaken>,
    /// The latest line of the journal that this page shows: it is settled on that.
    shown: i64,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    stock: String,
    remains: String,
    accepted_by: String,
    /// The latest line of the journal that the page showed.
    shown: i64,
}

/// Where a recurrence stands: as kept, or back where failures on items with the change say so.
fn standing(
    field: &Field,
    analysis: &Analysis,
    r: &Recurrence,
    record: Option<&RecurrenceRecord>,
) -> RecurrenceState {
    let Some(record) = record else { return RecurrenceState::Standing };
    let Some(settled) = record.settled.as_ref().filter(|_| record.state == RecurrenceState::Settled) else {
        return record.state;
    };
    let id = field.find_change(&settled.settlement.change_no);
    let result = analysis.changes.iter().find(|result| Some(result.change) == id);
    let failures = result.map(|result| result.failures_with_change.as_slice()).unwrap_or_default();
    let of_mode = failures.iter().filter(|(mode, ..)| *mode == r.mode).map(|&(_, day, harm)| (day, harm));
    if is_back(settled.at.date_naive().into(), of_mode) { RecurrenceState::Back } else { record.state }
}

/// Records with where each stands by the figures of now.
pub(crate) fn standings(
    field: &Field,
    analysis: &Analysis,
    mut records: Vec<RecurrenceRecord>,
) -> Vec<RecurrenceRecord> {
    for record in &mut records {
        let key = (field.part_names.find(&record.part_no), field.find_mode(&record.mode));
        let found = analysis.recurrences.iter().find(|r| (Some(r.part), Some(r.mode)) == key);
        if let Some(r) = found.filter(|_| record.settled.is_some()) {
            record.state = standing(field, analysis, r, Some(record));
        }
    }
    records
}

/// Which of the settled recurrences are back by the figures of now.
pub(crate) async fn come_back(state: &AppState) -> Result<ComeBack, AppError> {
    let mut records = state.store().list_recurrences().await?;
    records.retain(|record| record.settled.is_some());
    if records.is_empty() {
        return Ok(ComeBack::default());
    }
    let picture = state.picture().await?;
    let standing = standings(&picture.field, &picture.analysis, records).into_iter();
    let back = standing.filter(|record| record.state == RecurrenceState::Back);
    Ok(back.map(|record| (record.part_no, record.mode)).collect())
}

/// The change against a recurrence that got farthest: a proved one, else one that is built, else any.
fn farthest<'a>(field: &Field, analysis: &'a Analysis, r: &Recurrence) -> Option<&'a ChangeResult> {
    let against = analysis.changes.iter().filter(|result| field.changes[result.change].cures(r.part, r.mode));
    against.max_by_key(|result| match field.changes[result.change].state {
        Some(ChangeState::Proved) => 3,
        Some(state) if state.is_built() => 2,
        Some(ChangeState::Withdrawn | ChangeState::Disapproved) => 0,
        _ => 1,
    })
}

fn grounds<'a>(
    field: &Field,
    result: Option<&ChangeResult>,
    record: Option<&'a RecurrenceRecord>,
) -> Grounds<'a> {
    let change = result.map(|result| &field.changes[result.change]);
    Grounds {
        cause: record.and_then(|record| record.cause.as_deref()),
        change: change.map(|change| change.state.unwrap_or(ChangeState::Draft)),
        has_effectivity: change.is_some_and(|change| {
            change.cut_in_lot.is_some()
                || change.effectivity.iter().any(|line| line.stage == Stage::Accomplished)
        }),
        reach: result.map(|result| result.reach),
    }
}

impl SettlePage {
    fn new(
        actor: &Actor,
        (field, analysis): (&Field, &Analysis),
        r: &Recurrence,
        (record, shown): (Option<&RecurrenceRecord>, i64),
        (typed, faulty, overtaken): (&Typed, Option<&'static str>, Option<Overtaken>),
    ) -> Self {
        let result = farthest(field, analysis, r);
        let grounds = grounds(field, result, record);
        let missing = missing_before_settling(&grounds);
        let back = address::recurrence(field, r.part, r.mode);
        let says = |name: &str, words: &'static str| (faulty == Some(name)).then_some(words);
        let asks = vec![
            Ask::lines("stock", "The stock that was not converted", &typed.stock)
                .hint("What is decided on it: runs out by when, is called back, is inspected; and who keeps watch")
                .required()
                .problem(says("stock", "Say what is decided on it.")),
            Ask::lines("remains", "What risk remains", &typed.remains)
                .required()
                .problem(says("remains", "Say what risk remains, with its figure.")),
            Ask::text("accepted_by", "Who accepts it", &typed.accepted_by)
                .hint("Full name and office; the recurrence is settled in that name")
                .required()
                .problem(says("accepted_by", "Write who accepts it.")),
        ];
        let mode = &field.modes[r.mode].name;
        let mut told = vec![("Cause", grounds.cause.unwrap_or("not on record").to_owned())];
        if let Some(result) = result {
            let change = &field.changes[result.change];
            let state = change.state.map_or("draft", ChangeState::word);
            told.push(("Change", format!("{} {}: {state}", change.change_no, change.title)));
            told.push(("Reach", reach(result)));
        }
        Self {
            shell: Shell::inside(format!("Settle: {mode}"), actor, Place::Recurrences),
            about: format!("{}: {mode}", format::titled(part_name(field, r.part))),
            action: format!("{back}/settle"),
            back,
            grounds: told,
            asks: if missing.is_empty() { asks } else { Vec::new() },
            missing,
            overtaken,
            shown,
        }
    }
}

fn reach(result: &ChangeResult) -> String {
    let reach = result.reach;
    let with = format::count(reach.built + reach.retrofitted);
    let share = reach.share().map(|share| format!(" ({})", format::percent(share, 0))).unwrap_or_default();
    let untold = match reach.not_told() {
        0 => String::new(),
        untold => format!("; of {} nobody can tell", format::count(untold)),
    };
    let (all, without) = (format::count(reach.in_service), format::count(reach.without));
    format!("{with} of {all} items in service have it{share}, {without} are without it{untold}")
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DecideSeverity)?;
    let picture = state.picture().await?;
    let r = find(&picture, &key)?;
    let shown = meanwhile::shown(&journal(&state, &key).await?);
    let record = state.store().find_recurrence(&key.0, &key.1).await?;
    let (seen, kept) = ((&picture.field, &*picture.analysis), (record.as_ref(), shown));
    state.page(&SettlePage::new(&signed_in.0, seen, r, kept, (&Typed::default(), None, None)))
}

pub(super) async fn settle(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(key): Path<Key>,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DecideSeverity)?;
    let picture = state.picture_in_step().await?;
    let (field, r) = (&picture.field, find(&picture, &key)?);
    let record = state.store().find_recurrence(&key.0, &key.1).await?;
    let result = farthest(field, &picture.analysis, r);
    let missing = missing_before_settling(&grounds(field, result, record.as_ref()));
    let mut faulty = None;
    if let Some(result) = result.filter(|_| missing.is_empty()) {
        let stated = Settlement {
            change_no: field.changes[result.change].change_no.to_string(),
            with_change: result.reach.built + result.reach.retrofitted,
            in_service: result.reach.in_service,
            stock: typed.stock.clone(),
            remains: typed.remains.clone(),
            accepted_by: typed.accepted_by.clone(),
        };
        let edit = RecurrenceEdit::Settle(stated);
        let on = ((key.0.as_str(), key.1.as_str()), Some(typed.shown));
        match state.store().decide_recurrence(&signed_in.0, state.now(), on, &edit).await {
            Ok(()) => {
                let back = format!("{}#decisions", address::recurrence(field, r.part, r.mode));
                return Ok(Redirect::to(&back).into_response());
            }
            Err(StoreError::Refused(problem)) => faulty = Some(problem.field),
            Err(StoreError::Overtaken { .. }) => {}
            Err(error) => return Err(error.into()),
        }
    }
    let lines = journal(&state, &key).await?;
    let record = state.store().find_recurrence(&key.0, &key.1).await?;
    let act = (RecurrenceAct::Settle, typed.shown);
    let overtaken = meanwhile::told((field, r), (&lines, record.as_ref()), act);
    let status = if overtaken.is_some() { StatusCode::CONFLICT } else { StatusCode::UNPROCESSABLE_ENTITY };
    let (seen, kept) = ((field, &*picture.analysis), (record.as_ref(), meanwhile::shown(&lines)));
    let page = SettlePage::new(&signed_in.0, seen, r, kept, (&typed, faulty, overtaken));
    Ok((status, state.page(&page)?).into_response())
}

impl Page for SettlePage {
    const TEMPLATE: &'static str = "pages/recurrences/settle";

    fn samples() -> Vec<Self> {
        let (field, analysis) = super::sample::field();
        let engineer = super::sample::engineer();
        let seen = (&field, &analysis);
        let typed = Typed::default();
        let record = super::sample::record();
        let of = |r, record| {
            let overtaken = Some(Overtaken::sample());
            Self::new(&engineer, seen, r, (record, 7), (&typed, None, overtaken))
        };
        let mut pages: Vec<Self> =
            analysis.recurrences.first().map(|r| vec![of(r, None), of(r, Some(&record))]).unwrap_or_default();
        // As it is once nothing is missing.
        let last = pages.pop();
        pages.extend(last.map(|page| Self {
            missing: Vec::new(),
            overtaken: None,
            asks: vec![Ask::text("accepted_by", "Who accepts it", "").required()],
            ..page
        }));
        pages.extend(analysis.recurrences.first().map(|r| of(r, None)));
        pages
    }
}
