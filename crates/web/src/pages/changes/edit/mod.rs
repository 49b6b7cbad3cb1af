//! `/changes/{no}/edit/{section}`: one form a section, carrying the version it was begun from.

mod class;
mod costs;
mod documents;
mod effectivity;
mod handling;
mod part_numbers;
mod prediction;
mod requirements;
mod typed;
mod words;

use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::permission::{Act, Actor};
use serde::{Deserialize, Serialize};
use store::{RecordEdit, StoreError};

use self::typed::{Block, Typed};
use super::load::Loaded;
use super::sample;
use crate::address;
use crate::error::AppError;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Faults, Place, Problem, Shell};

/// A section of the record that has a form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Section {
    Words,
    Prediction,
    Requirements,
    Class,
    Effectivity,
    Handling,
    PartNumbers,
    Documents,
    Costs,
}

impl Section {
    const ALL: [Self; 9] = [
        Self::Words,
        Self::Prediction,
        Self::Requirements,
        Self::Class,
        Self::Effectivity,
        Self::Handling,
        Self::PartNumbers,
        Self::Documents,
        Self::Costs,
    ];

    const fn word(self) -> &'static str {
        match self {
            Self::Words => "words",
            Self::Prediction => "prediction",
            Self::Requirements => "requirements",
            Self::Class => "class",
            Self::Effectivity => "effectivity",
            Self::Handling => "handling",
            Self::PartNumbers => "part-numbers",
            Self::Documents => "documents",
            Self::Costs => "costs",
        }
    }

    const fn title(self) -> &'static str {
        match self {
            Self::Words => "Problem and description",
            Self::Prediction => "Failures after, against before",
            Self::Requirements => "Requirements",
            Self::Class => "Class",
            Self::Effectivity => "Effectivity and retrofit",
            Self::Handling => "Handling",
            Self::PartNumbers => "Part numbers",
            Self::Documents => "Documents",
            Self::Costs => "Unit costs",
        }
    }

    fn find(word: &str) -> Result<Self, AppError> {
        let found = Self::ALL.into_iter().find(|section| section.word() == word);
        found.ok_or_else(|| AppError::NotFound("A change record has no such section.".into()))
    }

    /// The form as the record stands.
    fn kept(self, loaded: &Loaded) -> Typed {
        match self {
            Self::Words => words::kept(loaded),
            Self::Prediction => prediction::kept(loaded),
            Self::Requirements => requirements::kept(loaded),
            Self::Class => class::kept(loaded),
            Self::Effectivity => effectivity::kept(loaded),
            Self::Handling => handling::kept(loaded),
            Self::PartNumbers => part_numbers::kept(loaded),
            Self::Documents => documents::kept(loaded),
            Self::Costs => costs::kept(loaded),
        }
    }

    /// The fields with what was typed and what is wrong with it.
    fn blocks(self, loaded: &Loaded, typed: &Typed, faults: &Faults) -> Vec<Block> {
        match self {
            Self::Words => words::blocks(typed, faults),
            Self::Prediction => prediction::blocks(loaded, typed, faults),
            Self::Requirements => requirements::blocks(loaded, typed, faults),
            Self::Class => class::blocks(loaded, typed, faults),
            Self::Effectivity => effectivity::blocks(loaded, typed, faults),
            Self::Handling => handling::blocks(typed, faults),
            Self::PartNumbers => part_numbers::blocks(loaded, typed, faults),
            Self::Documents => documents::blocks(loaded, typed, faults),
            Self::Costs => costs::blocks(typed, faults),
        }
    }

    /// The edit that was typed.
    fn read(self, loaded: &Loaded, typed: &Typed) -> Result<RecordEdit, Faults> {
        match self {
            Self::Words => words::read(typed),
            Self::Prediction => prediction::read(typed),
            Self::Requirements => requirements::read(loaded, typed),
            Self::Class => class::read(loaded, typed),
            Self::Effectivity => effectivity::read(loaded, typed),
            Self::Handling => handling::read(typed),
            Self::PartNumbers => part_numbers::read(loaded, typed),
            Self::Documents => documents::read(loaded, typed),
            Self::Costs => costs::read(typed),
        }
    }
}

/// The form of one section.
#[derive(Serialize)]
pub struct EditPage {
    shell: Shell,
    title: String,
    about: String,
    back: String,
    action: String,
    version: i64,
    overtaken: bool,
    /// Why it can't be kept any more, whatever was typed.
    closed: Option<String>,
    problems: Vec<Problem>,
    blocks: Vec<Block>,
}

impl EditPage {
    fn new(
        actor: &Actor,
        loaded: &Loaded,
        section: Section,
        (typed, faults): (&Typed, &Faults),
        overtaken: bool,
    ) -> Self {
        let change = &loaded.record.change;
        let base = address::change(&change.change_no);
        let mut problems = faults.all().to_vec();
        problems.sort_by(|one, other| one.field().cmp(other.field()));
        Self {
            shell: Shell::inside(format!("{}: {}", change.change_no, section.title()), actor, Place::Changes),
            title: section.title().to_owned(),
            about: format!("{} {}", change.change_no, change.title),
            back: format!("{base}#{}", section.word()),
            action: format!("{base}/edit/{}", section.word()),
            version: loaded.record.body.as_ref().map_or(0, |body| body.version),
            overtaken,
            closed: None,
            problems,
            blocks: section.blocks(loaded, typed, faults),
        }
    }
}

/// The record, if this person may edit it where it stands.
async fn open(state: &AppState, signed_in: &SignedIn, no: &str) -> Result<Loaded, AppError> {
    signed_in.may(&Act::DraftChange)?;
    let loaded = Loaded::find(state, no).await?;
    if loaded.is_open() {
        return Ok(loaded);
    }
    Err(closed(&loaded))
}

fn closed(loaded: &Loaded) -> AppError {
    AppError::Unusable(format!("This change is {}, so its record can't be edited now.", loaded.state()))
}

/// What a form may begin with.
#[derive(Deserialize)]
pub(super) struct Begin {
    /// The suggestion, in the order of the record, that a prediction begins with.
    take: Option<usize>,
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((no, section)): Path<(String, String)>,
    Query(begin): Query<Begin>,
) -> Result<Response, AppError> {
    let section = Section::find(&section)?;
    let loaded = open(&state, &signed_in, &no).await?;
    let taken = begin.take.filter(|_| section == Section::Prediction);
    let kept = taken.and_then(|at| prediction::taken(&loaded, at)).unwrap_or_else(|| section.kept(&loaded));
    state.page(&EditPage::new(&signed_in.0, &loaded, section, (&kept, &Faults::default()), false))
}

pub(super) async fn keep(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path((no, section)): Path<(String, String)>,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    let section = Section::find(&section)?;
    signed_in.may(&Act::DraftChange)?;
    let loaded = Loaded::find(&state, &no).await?;
    if !loaded.is_open() {
        let act = format!("edit {}", section.word());
        return match loaded.refuse(&state, &signed_in, &act, closed(&loaded)).await {
            AppError::Unusable(says) => too_late(&state, &signed_in.0, &loaded, (section, &typed), says),
            error => Err(error),
        };
    }
    let (status, faults) = match section.read(&loaded, &typed) {
        Err(faults) => (StatusCode::UNPROCESSABLE_ENTITY, faults),
        Ok(edit) => {
            let version = typed.text("version").parse().unwrap_or(0);
            match state.store().edit_record(&signed_in.0, state.now(), &no, version, &edit).await {
                Ok(()) => {
                    let back = format!("{}#{}", address::change(&no), section.word());
                    return Ok(Redirect::to(&back).into_response());
                }
                Err(StoreError::Overtaken { .. }) => (StatusCode::CONFLICT, Faults::default()),
                Err(StoreError::Refused(problem)) => (StatusCode::UNPROCESSABLE_ENTITY, problem.into()),
                // It went before the board after it was looked at above; the store has kept that this was tried.
                Err(StoreError::NotAllowed(_)) => {
                    let loaded = Loaded::find(&state, &no).await?;
                    let says = closed(&loaded).to_string();
                    return too_late(&state, &signed_in.0, &loaded, (section, &typed), says);
                }
                Err(error) => return Err(error.into()),
            }
        }
    };
    let overtaken = status == StatusCode::CONFLICT;
    let page = EditPage::new(&signed_in.0, &loaded, section, (&typed, &faults), overtaken);
    // What was shown stays what it was, but where what a colleague wrote is shown now.
    let shown = typed.text("version").parse().unwrap_or(0);
    let version = if overtaken { page.version } else { shown };
    Ok((status, state.page(&EditPage { version, ..page })?).into_response())
}

/// Shows what was typed into a section that can't be edited any more, so that it isn't lost.
fn too_late(
    state: &AppState,
    actor: &Actor,
    loaded: &Loaded,
    (section, typed): (Section, &Typed),
    says: String,
) -> Result<Response, AppError> {
    let page = EditPage::new(actor, loaded, section, (typed, &Faults::default()), false);
    state.refused(&EditPage { closed: Some(says), ..page })
}

impl Page for EditPage {
    const TEMPLATE: &'static str = "pages/changes/edit";

    fn samples() -> Vec<Self> {
        let engineer = crate::pages::recurrences::sample::engineer();
        let mut pages = Vec::new();
        for loaded in sample::loaded().iter().take(3) {
            for section in Section::ALL {
                let kept = section.kept(loaded);
                let none = Faults::default();
                pages.push(Self::new(&engineer, loaded, section, (&kept, &none), false));
                let typed = Typed::default();
                let faults = section.read(loaded, &typed).err().unwrap_or_default();
                pages.push(Self::new(&engineer, loaded, section, (&typed, &faults), true));
                let late = Self::new(&engineer, loaded, section, (&kept, &none), false);
                pages.push(Self { closed: Some("This change is submitted.".into()), ..late });
            }
        }
        pages
    }
}
