//! `/changes/new`: a draft that begins with a recurrence's figures.

use axum::extract::{Form, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::analysis::Recurrence;
use domain::change_record::suggested_revisions;
use domain::field::Field;
use domain::permission::{Act, Actor};
use serde::{Deserialize, Serialize};
use store::{NewChange, RecurrenceRecord, StoreError};

use super::{LONGEST_TITLE, TITLE_TOO_LONG, problem};
use crate::address;
use crate::error::AppError;
use crate::pages::recurrences::named_changes;
use crate::picture::Picture;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Empty, Place, Shell};

/// The form.
#[derive(Serialize)]
pub struct NewChangePage {
    shell: Shell,
    empty: Option<Empty>,
    about: String,
    back: String,
    /// Changes against it that there are: address, number with title, state.
    already: Vec<(String, String, &'static str)>,
    part: String,
    mode: String,
    asks: Vec<Ask>,
    refused: Option<String>,
}

/// What the form sends; the address names the recurrence with the first two.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    part: String,
    mode: String,
    title: String,
    from_revision: String,
    to_revision: String,
    problem: String,
}

impl NewChangePage {
    fn nothing(actor: &Actor) -> Self {
        let says = "A change is drafted from a recurrence, so that it begins with its figures.";
        Self {
            shell: Shell::inside("Draft a change", actor, Place::Changes),
            empty: Some(Empty::first(says, "Choose a recurrence", "/recurrences")),
            about: String::new(),
            back: String::new(),
            already: Vec::new(),
            part: String::new(),
            mode: String::new(),
            asks: Vec::new(),
            refused: None,
        }
    }

    fn new(
        actor: &Actor,
        field: &Field,
        r: &Recurrence,
        typed: &Typed,
        checked: bool,
        refused: Option<String>,
    ) -> Self {
        let wanted = |text: &str, says| (checked && text.trim().is_empty()).then_some(says);
        let same = checked && typed.from_revision.trim() == typed.to_revision.trim();
        let to_fault = wanted(&typed.to_revision, "Write the revision after.")
            .or(same.then_some("The revision after must differ from the one before."));
        let asks = vec![
            Ask::text("title", "Title", &typed.title)
                .required()
                .problem(
                    wanted(&typed.title, "Write a title: the board reads it first.")
                        .or((checked && typed.title_is_long()).then_some(TITLE_TOO_LONG)),
                ),
            Ask::text("from_revision", "Revision before", &typed.from_revision)
                .code()
                .required()
                .problem(wanted(&typed.from_revision, "Write the revision before.")),
            Ask::text("to_revision", "Revision after", &typed.to_revision)
                .hint("The next free letter; it is not released before the change is approved.")
                .code()
                .required()
                .problem(to_fault),
            Ask::lines("problem", "Problem", &typed.problem)
                .hint("Written from the figures of today. Mend it in your own words; the figures stay in the record.")
                .required()
                .problem(wanted(&typed.problem, "Say why the change is needed.")),
        ];
        let mode = &field.modes[r.mode];
        Self {
            shell: Shell::inside("Draft a change", actor, Place::Changes),
            empty: None,
            about: format!("{} {}: {}", typed.part, problem::part_words(field, r), mode.name),
            back: address::recurrence(field, r.part, r.mode),
            already: named_changes(field, r),
            part: typed.part.clone(),
            mode: typed.mode.clone(),
            asks,
            refused,
        }
    }
}

impl Typed {
    /// What the form begins with.
    fn suggested(
        field: &Field,
        r: &Recurrence,
        record: Option<&RecurrenceRecord>,
        told_in: &[String],
    ) -> Self {
        let (from_revision, to_revision) = suggested_revisions(field, r.part).unwrap_or_default();
        Self {
            part: field.part_names[r.part].to_owned(),
            mode: field.modes[r.mode].code.to_string(),
            title: problem::title(field, r),
            from_revision,
            to_revision,
            problem: problem::statement(field, r, record, told_in),
        }
    }

    fn is_whole(&self) -> bool {
        let filled = [&self.title, &self.from_revision, &self.to_revision, &self.problem];
        filled.into_iter().all(|text| !text.trim().is_empty())
            && self.from_revision.trim() != self.to_revision.trim()
            && !self.title_is_long()
    }

    fn title_is_long(&self) -> bool {
        self.title.trim().chars().count() > LONGEST_TITLE
    }

    fn change(&self) -> NewChange {
        let own = |text: &str| text.trim().to_owned();
        NewChange {
            title: own(&self.title),
            part_no: self.part.clone(),
            from_revision: own(&self.from_revision),
            to_revision: own(&self.to_revision).to_uppercase(),
            modes: vec![self.mode.clone()],
            recurrence: Some((self.part.clone(), self.mode.clone())),
            problem: own(&self.problem),
        }
    }
}

fn find<'a>(picture: &'a Picture, typed: &Typed) -> Option<&'a Recurrence> {
    let field = &picture.field;
    let (part, mode) = (field.part_names.find(&typed.part)?, field.find_mode(&typed.mode)?);
    picture.analysis.recurrences.iter().find(|r| r.part == part && r.mode == mode)
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(typed): Query<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DraftChange)?;
    let picture = state.picture().await?;
    let Some(r) = find(&picture, &typed) else { return state.page(&NewChangePage::nothing(&signed_in.0)) };
    let record = state.store().find_recurrence(&typed.part, &typed.mode).await?;
    let told_in = problem::told_in(&state, &typed.part, &typed.mode).await?;
    let typed = Typed::suggested(&picture.field, r, record.as_ref(), &told_in);
    state.page(&NewChangePage::new(&signed_in.0, &picture.field, r, &typed, false, None))
}

pub(super) async fn draft(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::DraftChange)?;
    let picture = state.picture().await?;
    let r = find(&picture, &typed).ok_or_else(|| {
        AppError::NotFound("There is no such recurrence, so no change was drafted from it.".into())
    })?;
    let drafted = if typed.is_whole() {
        Some(state.store().draft_change(&signed_in.0, state.now(), &typed.change()).await)
    } else {
        None
    };
    let refused = match drafted {
        Some(Ok(no)) => return Ok(Redirect::to(&address::change(&no)).into_response()),
        Some(Err(
            error @ (StoreError::Refused(_) | StoreError::Taken { .. } | StoreError::Missing { .. }),
        )) => Some(AppError::from(error).to_string()),
        Some(Err(error)) => return Err(error.into()),
        None => None,
    };
    state.refused(&NewChangePage::new(&signed_in.0, &picture.field, r, &typed, true, refused))
}

impl Page for NewChangePage {
    const TEMPLATE: &'static str = "pages/changes/new";

    fn samples() -> Vec<Self> {
        let (field, analysis) = crate::pages::recurrences::sample::field();
        let engineer = crate::pages::recurrences::sample::engineer();
        let mut pages = vec![Self::nothing(&engineer)];
        if let Some(r) = analysis.recurrences.first() {
            let typed = Typed::suggested(&field, r, None, &[]);
            pages.push(Self::new(&engineer, &field, r, &typed, false, None));
            let refused = Some("There is no part `RC-131`.".to_owned());
            pages.push(Self::new(&engineer, &field, r, &Typed::default(), true, refused));
        }
        pages
    }
}
