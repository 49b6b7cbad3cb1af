//! `/changes/{no}/revisions`: the record as it was put before the board each time, and what changed between any two.

use axum::extract::{Path, Query, State};
use axum::response::Response;
use domain::evidence::TextLine;
use domain::permission::{Act, Actor};
use domain::text_difference::{FieldDifference, Kept, difference};
use serde::{Deserialize, Serialize};
use store::TextRevision;

use super::load::Loaded;
use super::sample;
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Choice, Empty, Place, Select, Shell};

/// How the address names the record as it stands now.
const NOW: &str = "now";

/// The page.
#[derive(Serialize)]
pub struct RevisionsPage {
    shell: Shell,
    about: String,
    back: String,
    here: String,
    empty: Option<Empty>,
    first: Select,
    second: Select,
    lead: String,
    changed: Vec<FieldRow>,
    same: Vec<FieldRow>,
}

/// One field with its words marked.
#[derive(Serialize)]
struct FieldRow {
    section: String,
    field: String,
    pieces: Vec<PieceView>,
}

#[derive(Serialize)]
struct PieceView {
    gone: bool,
    new: bool,
    text: String,
}

/// A state of the record that can be compared.
struct Stand {
    key: String,
    word: String,
    text: Vec<TextLine>,
}

/// Which two are wanted.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Wanted {
    a: String,
    b: String,
}

fn row(field: &FieldDifference) -> FieldRow {
    let pieces = field.pieces.iter().map(|piece| PieceView {
        gone: piece.kept == Kept::Gone,
        new: piece.kept == Kept::New,
        text: piece.text.clone(),
    });
    FieldRow { section: field.section.clone(), field: field.field.clone(), pieces: pieces.collect() }
}

/// The revisions, and the record as it stands where it was written on since or never submitted.
fn stands(loaded: &Loaded, revisions: &[TextRevision]) -> Vec<Stand> {
    let mut stands: Vec<Stand> = revisions
        .iter()
        .map(|one| Stand {
            key: one.revision.to_string(),
            word: format!("Revision {}, {}", one.revision, format::date(one.submitted_at.date_naive())),
            text: one.text.clone(),
        })
        .collect();
    let now = loaded.record.text();
    if stands.last().is_none_or(|last| last.text != now) {
        stands.push(Stand { key: NOW.into(), word: "As it stands now".into(), text: now });
    }
    stands
}

impl RevisionsPage {
    fn new(actor: &Actor, loaded: &Loaded, revisions: &[TextRevision], wanted: &Wanted) -> Self {
        let change = &loaded.record.change;
        let base = address::change(&change.change_no);
        let stands = stands(loaded, revisions);
        let find = |key: &str| stands.iter().position(|stand| stand.key == key);
        let second = find(&wanted.b).unwrap_or(stands.len() - 1);
        let first = find(&wanted.a).unwrap_or(second.saturating_sub(1));
        let fields = difference(&stands[first].text, &stands[second].text);
        let (same, changed): (Vec<_>, Vec<_>) = fields.iter().partition(|field| field.is_same());
        let select = |name: &'static str, label: &'static str, chosen: usize| {
            let options = stands.iter().enumerate();
            let options = options.map(|(at, stand)| Choice::new(&stand.key, &stand.word, at == chosen));
            Select::new(name, label, "Choose one", vec![(String::new(), options.collect())])
        };
        let says = if revisions.is_empty() {
            "The record was not put before the board yet, so there is nothing to compare with."
        } else {
            "The record was put before the board once and not written on since: there is nothing to compare with."
        };
        let count = format::counted(changed.len() as u64, "field differs", "fields differ");
        Self {
            shell: Shell::inside(format!("Revisions of {}", change.change_no), actor, Place::Changes),
            about: format!("{} {}", change.change_no, change.title),
            here: format!("{base}/revisions"),
            empty: (stands.len() < 2).then(|| Empty::first(says, "To the record", base.clone())),
            back: base,
            first: select("a", "From", first),
            second: select("b", "To", second),
            lead: format!("{} to {}: {count}.", stands[first].word, lower(&stands[second].word)),
            changed: changed.into_iter().map(row).collect(),
            same: same.into_iter().map(row).collect(),
        }
    }
}

fn lower(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let loaded = Loaded::find(&state, &no).await?;
    let revisions = state.store().list_text_revisions(&no).await?;
    state.page(&RevisionsPage::new(&signed_in.0, &loaded, &revisions, &wanted))
}

impl Page for RevisionsPage {
    const TEMPLATE: &'static str = "pages/changes/revisions";

    fn samples() -> Vec<Self> {
        let board = sample::board();
        let loaded = sample::loaded();
        let of = |loaded: &Loaded| {
            let mut text = loaded.record.text();
            text.retain(|line| line.field != "Cost");
            text.iter_mut().filter(|line| line.field == "Problem").for_each(|line| {
                line.text = line.text.replace("on the ladder", "in <salt> water");
            });
            let one = TextRevision { revision: 1, submitted_at: loaded.picture.books_of, text };
            [
                Self::new(&board, loaded, &[], &Wanted::default()),
                Self::new(&board, loaded, &[one], &Wanted { a: "1".into(), b: NOW.into() }),
            ]
        };
        loaded.iter().skip(2).take(1).flat_map(of).collect()
    }
}
