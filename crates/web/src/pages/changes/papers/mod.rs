//! A change as documents: the whole record, one sheet for the board, a notice to units.

mod after;
mod argued;
mod blocks;
mod notice;
mod record;
mod side_effects;
mod stops;
mod summary;
#[cfg(test)]
mod tests;
mod weighed_up;

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use documents::Document;
use domain::language::Language;
use domain::permission::{Act, Actor};
use domain::published::{DocumentKind, may_leave};
use serde::Deserialize;
use store::NewPublished;

use self::stops::Stops;
use super::load::Loaded;
use super::outward::figures;
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::handed_out;
use crate::pages::records::FormPage;
use crate::paper::{self, Draft};
use crate::secrets::digest_hex;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::{Choice, Choices, Faults, Place, Shell};

/// This file's addresses.
pub(super) fn routes() -> Router<AppState> {
    Router::new()
        .route("/changes/{no}/record.pdf", get(record_file))
        .route("/changes/{no}/summary.pdf", get(summary_file))
        .route("/changes/{no}/notice.pdf", get(notice_file))
        .route("/changes/{no}/publish", get(ask).post(publish))
}

/// One of the documents as it stands; `note` is said on what isn't published.
fn drafted(
    (loaded, stops): (&Loaded, &Stops),
    kind: DocumentKind,
    tongue: Tongue,
    note: Option<&'static str>,
) -> Draft {
    match kind {
        DocumentKind::BoardSummary => summary::draft(loaded),
        DocumentKind::FieldingNotice => notice::draft(loaded, stops, tongue, note),
        DocumentKind::ChangeRecord | DocumentKind::MakerNotice => record::draft(loaded),
    }
}

async fn document(
    state: &AppState,
    loaded: &Loaded,
    (kind, tongue): (DocumentKind, Tongue),
    note: Option<&'static str>,
) -> Result<Document, AppError> {
    let stops = Stops::on(state, &loaded.picture.field, &loaded.record.change.part_no, loaded.today).await?;
    Ok(paper::framed(&state.config().documents, drafted((loaded, &stops), kind, tongue, note)))
}

async fn record_file(
    state: State<AppState>,
    signed_in: SignedIn,
    no: Path<String>,
) -> Result<Response, AppError> {
    file(state, signed_in, no, DocumentKind::ChangeRecord, Asked::default()).await
}

async fn summary_file(
    state: State<AppState>,
    signed_in: SignedIn,
    no: Path<String>,
) -> Result<Response, AppError> {
    file(state, signed_in, no, DocumentKind::BoardSummary, Asked::default()).await
}

async fn notice_file(
    state: State<AppState>,
    signed_in: SignedIn,
    no: Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, AppError> {
    file(state, signed_in, no, DocumentKind::FieldingNotice, asked).await
}

async fn file(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    kind: DocumentKind,
    asked: Asked,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let loaded = Loaded::find(&state, &no).await?;
    let drawn = document(&state, &loaded, (kind, asked.tongue()), Some(paper::DRAFT)).await?;
    let written = paper::written(drawn).await?;
    Ok(handed_out::pdf(&format!("{no} {kind}"), written))
}

/// In which language a notice is wanted: `?in=de`.
#[derive(Default, Deserialize)]
struct Asked {
    #[serde(default, rename = "in")]
    language: String,
}

impl Asked {
    fn tongue(&self) -> Tongue {
        self.language.parse().map_or(Tongue::ENGLISH, Tongue::of)
    }
}

#[derive(Default, Deserialize)]
#[serde(default)]
struct Which {
    document: String,
    #[serde(rename = "in")]
    language: String,
}

impl Which {
    /// The language it leaves in: what units read may be in theirs, all else is in English.
    fn tongue(&self) -> Tongue {
        let is_notice = self.kind() == Some(DocumentKind::FieldingNotice);
        let asked = self.language.parse().ok().filter(|_: &Language| is_notice);
        asked.map_or(Tongue::ENGLISH, Tongue::of)
    }

    /// The document of a change that was chosen, if one was.
    fn kind(&self) -> Option<DocumentKind> {
        self.document.parse().ok().filter(|kind: &DocumentKind| !kind.is_of_lot())
    }
}

/// Whether a document may leave already.
fn leaves(kind: DocumentKind, loaded: &Loaded) -> Result<(), AppError> {
    may_leave(kind, loaded.state()).map_err(|why| AppError::Unusable(format::sentence(&why.to_string())))
}

/// What asks before a document leaves, or says that none was chosen.
fn asking(actor: &Actor, loaded: &Loaded, which: &Which) -> FormPage {
    let chosen = which.kind();
    let no = &loaded.record.change.change_no;
    let change = address::change(no);
    let faults = if chosen.is_some() {
        Faults::default()
    } else {
        Faults::one("document", "Choose one of the documents of this change.")
    };
    let offered = DocumentKind::ALL.iter().copied();
    let offered: Vec<_> = offered.filter(|kind| !kind.is_of_lot() && leaves(*kind, loaded).is_ok()).collect();
    let has_notice = offered.contains(&DocumentKind::FieldingNotice);
    let choice =
        |kind: DocumentKind| Choice::new(kind.word(), format::titled(kind.word()), chosen == Some(kind));
    let shell = Shell::inside("Publish a document", actor, Place::Changes);
    let page =
        paper::leaving(shell, "Let this document leave the house?", format!("{change}/publish"), faults)
            .about(format!("Change {no}"), change)
            .choices(Choices::one("document", "Which document", offered.into_iter().map(choice).collect()));
    if !has_notice {
        return page;
    }
    let spoken = |language: &Language| {
        Choice::new(language.word(), language.own_name(), which.tongue().language() == *language)
    };
    page.choices(Choices::one("in", "The notice to units in", Language::ALL.iter().map(spoken).collect()))
}

async fn ask(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Query(which): Query<Which>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Publish)?;
    let loaded = Loaded::find(&state, &no).await?;
    let page = asking(&signed_in.0, &loaded, &which);
    match which.kind() {
        Some(kind) => leaves(kind, &loaded).and_then(|()| state.page(&page)),
        None => page.refuse(&state),
    }
}

/// Keeps the file as it leaves, with its figures.
async fn publish(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(which): Form<Which>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Publish)?;
    let loaded = Loaded::find_in_step(&state, &no).await?;
    let Some(kind) = which.kind() else { return asking(&signed_in.0, &loaded, &which).refuse(&state) };
    leaves(kind, &loaded)?;
    let tongue = which.tongue();
    let bytes = paper::written(document(&state, &loaded, (kind, tongue), None).await?).await?;
    let title = &loaded.record.change.title;
    let new = NewPublished {
        kind,
        subject: no,
        maker: None,
        // The register tells the files of one notice apart by it.
        title: match tongue {
            Tongue::ENGLISH => title.clone(),
            other => format!("{title} ({})", other.language().own_name()),
        },
        as_of: loaded.picture.books_of,
        sha256: digest_hex(&bytes),
        bytes,
        figures: figures(&loaded.view()),
    };
    state.store().publish(&signed_in.0, state.now(), &new).await?;
    Ok(Redirect::to("/published").into_response())
}
