//! `/changes/{no}/accomplished/take-back` and `/changes/{no}/weigh/take-back`: a line or a specimen that was written down
//! here wrongly goes off the record, with the reason.

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::permission::{Act, Actor};
use store::StoreError;

use super::load::Loaded;
use super::sections::lists;
use super::view::EffectivityView;
use super::{accomplish, weigh};
use crate::address;
use crate::error::AppError;
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::{Ask, Choice, Choices, Faults, Place, Shell};

/// What can be taken back.
#[derive(Clone, Copy)]
enum Taken {
    Accomplished,
    Weighed,
}

impl Taken {
    const fn heading(self) -> &'static str {
        match self {
            Self::Accomplished => "Take back a line as accomplished",
            Self::Weighed => "Take back a weighed specimen",
        }
    }

    const fn label(self) -> &'static str {
        match self {
            Self::Accomplished => "Which line",
            Self::Weighed => "Which specimen",
        }
    }

    const fn act(self) -> Act<'static> {
        match self {
            Self::Accomplished => Act::CutIn,
            Self::Weighed => Act::DraftChange,
        }
    }

    /// Where its form is, and which part of the change's page shows what it is about.
    const fn places(self) -> (&'static str, &'static str) {
        match self {
            Self::Accomplished => ("accomplished", "effectivity"),
            Self::Weighed => ("weigh", "weighings"),
        }
    }

    /// The change, where something of this kind may be taken back from it.
    async fn find(self, state: &AppState, signed_in: &SignedIn, no: &str) -> Result<Loaded, AppError> {
        signed_in.may(&self.act())?;
        match self {
            Self::Accomplished => accomplish::built(state, signed_in, no).await,
            Self::Weighed => weigh::weighable(state, signed_in, no).await,
        }
    }

    /// What was written down here, in words, by the store's number of it.
    async fn lines(self, state: &AppState, loaded: &Loaded) -> Result<Vec<(i64, String)>, StoreError> {
        let change = &loaded.record.change;
        match self {
            Self::Accomplished => {
                let lines = state.store().accomplished_here(&change.change_no).await?;
                let words = lines.iter().map(|line| {
                    let view = EffectivityView::from(&line.noun);
                    (line.id, lists::effectivity_line(&view, Tongue::ENGLISH).in_words())
                });
                Ok(words.collect())
            }
            Self::Weighed => {
                let specimens =
                    state.store().weighed_here(&change.part_no, &change.to_revision).await?.into_iter();
                let words = specimens.map(|one| {
                    let size = one.noun.size.map(|size| format!(", size {size}")).unwrap_or_default();
                    (one.id, format!("Specimen {}{size}: {} g", one.noun.specimen, one.noun.mass_g))
                });
                Ok(words.collect())
            }
        }
    }
}

fn form(
    taken: Taken,
    actor: &Actor,
    (loaded, lines): (&Loaded, Vec<(i64, String)>),
    (sent, faults): (&Sent, Faults),
) -> FormPage {
    let change = &loaded.record.change;
    let lines = lines.into_iter().map(|(id, words)| {
        let id = id.to_string();
        let chosen = sent.has("line", &id);
        Choice::new(id, words, chosen)
    });
    let shell = Shell::inside(format!("Take back of {}", change.change_no), actor, Place::Changes);
    let (at, section) = taken.places();
    let base = address::change(&change.change_no);
    FormPage::new(shell, taken.heading(), (format!("{base}/{at}/take-back"), "Take it back"), faults)
        .about(format!("{} {}", change.change_no, change.title), format!("{base}#{section}"))
        .says(
            "What was written down here. It goes off the record; the journal keeps it, with the reason. What came with \
             books is put right in the books.",
        )
        .choices(Choices::one("line", taken.label(), lines.collect()))
        .ask(
            Ask::lines("reason", "Why", sent.get("reason"))
                .required()
                .hint("What was wrong, and what shows it"),
        )
}

async fn show(taken: Taken, state: AppState, signed_in: SignedIn, no: String) -> Result<Response, AppError> {
    let loaded = taken.find(&state, &signed_in, &no).await?;
    let lines = taken.lines(&state, &loaded).await?;
    if lines.is_empty() {
        return Err(AppError::Unusable(
            "Nothing of this kind was written down here. What came with books is put right in the books."
                .into(),
        ));
    }
    state.page(&form(taken, &signed_in.0, (&loaded, lines), (&Sent::default(), Faults::default())))
}

fn read(sent: &Sent) -> Result<(i64, String), Faults> {
    let mut reading = Reading::of(sent);
    let (line, reason) = (reading.word::<i64>("line"), reading.text("reason"));
    if reason.is_empty() {
        reading.wrong("reason", "say why: the journal keeps it");
    }
    reading.end(line.map(|line| (line, reason)))
}

async fn keep(
    taken: Taken,
    state: AppState,
    signed_in: SignedIn,
    (no, sent): (String, Sent),
) -> Result<Response, AppError> {
    let loaded = taken.find(&state, &signed_in, &no).await?;
    let done = match read(&sent) {
        Ok((line, reason)) => {
            let (store, by, now, of) = (state.store(), &signed_in.0, state.now(), (&*no, line));
            kept(match taken {
                Taken::Accomplished => store.take_back_accomplished(by, now, of, &reason).await,
                Taken::Weighed => store.take_back_weighing(by, now, of, &reason).await,
            })?
        }
        Err(faults) => Err(faults),
    };
    match done {
        Ok(()) => Ok(Redirect::to(&format!("{}#{}", address::change(&no), taken.places().1)).into_response()),
        Err(faults) => {
            let lines = taken.lines(&state, &loaded).await?;
            form(taken, &signed_in.0, (&loaded, lines), (&sent, faults)).refuse(&state)
        }
    }
}

pub(super) async fn show_accomplished(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    show(Taken::Accomplished, state, signed_in, no).await
}

pub(super) async fn keep_accomplished(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    keep(Taken::Accomplished, state, signed_in, (no, sent)).await
}

pub(super) async fn show_weighed(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    show(Taken::Weighed, state, signed_in, no).await
}

pub(super) async fn keep_weighed(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    keep(Taken::Weighed, state, signed_in, (no, sent)).await
}
