//! One disclosure: what would leave as it stands, for somebody else to look through, release or refuse.

use axum::extract::{Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use chrono::DateTime;
use domain::disclosure::{Counts, Disclosed, Disclosure, Removal};
use domain::handover::HandoverKind;
use domain::permission::{Act, Actor, may};
use serde::{Deserialize, Serialize};
use store::{DisclosureFile, Kept, Review};

use super::{file, find, made, page_of, stands};
use crate::error::AppError;
use crate::format;
use crate::pages::hand_over::answers_for;
use crate::secrets::digest_hex;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Place, Shell, TitleBlock};

/// Words shown on the page; all of them are in the file.
const SHOWN: usize = 200;

/// The sheet.
#[derive(Serialize)]
pub struct DisclosureSheet {
    shell: Shell,
    number: String,
    lead: String,
    removals: Vec<[String; 2]>,
    /// Why nothing can leave.
    stopped: Option<String>,
    tables: Vec<Table>,
    summary: Option<String>,
    narratives: Vec<String>,
    more: Option<String>,
    /// Where the review is sent, by whoever may.
    action: Option<String>,
    words: Ask,
    /// Why the reader doesn't review it.
    not_yours: Option<String>,
    reviewed: Option<String>,
    download: Option<String>,
    title_block: TitleBlock,
}

#[derive(Serialize)]
struct Table {
    by: String,
    rows: Vec<[String; 2]>,
}

impl DisclosureSheet {
    fn new(
        actor: &Actor,
        file: &DisclosureFile,
        out: Result<Disclosed, String>,
        wrong: Option<String>,
    ) -> Self {
        let (what, number) = (&file.kept.what, &file.kept.number);
        let reviews = may(actor, &Act::ReviewDisclosure { drafted_by: file.drafted_by_id });
        let (open, can_leave) = (file.review.is_none(), out.is_ok());
        let (out, stopped) = match out {
            Ok(out) => (Some(out), None),
            Err(why) => (None, Some(why)),
        };
        let more = out.as_ref().map_or(0, |out| out.narratives.len().saturating_sub(SHOWN)) as u64;
        Self {
            shell: Shell::inside(format!("Disclosure {number}"), actor, Place::Published),
            number: number.clone(),
            lead: format!("Reports of {} on part {}, for {}.", what.mode, what.part_no, what.to),
            removals: what
                .removals
                .iter()
                .map(|(one, why)| [format::titled(one.word()), why.clone()])
                .collect(),
            stopped,
            summary: out.as_ref().map(summary),
            tables: out.iter().flat_map(|out| out.counts.iter().map(table)).collect(),
            narratives: out.map(|out| out.narratives.into_iter().take(SHOWN).collect()).unwrap_or_default(),
            more: (more > 0)
                .then(|| format!("{} in the file.", format::counted(more, "more is", "more are"))),
            action: (open && reviews.is_ok()).then(|| format!("{}/review", page_of(number))),
            words: Ask::lines("words", "What you looked at, or why it may not leave", "")
                .required()
                .problem(wrong),
            not_yours: reviews.err().filter(|_| open && can_leave).map(|why| why.to_string()),
            reviewed: file.review.as_ref().map(|review| {
                let (on, did) = (format::date(review.at.date_naive()), stands(file));
                format!("{} on {on} by {}: {}", format::titled(did), review.by, review.words)
            }),
            download: file
                .review
                .as_ref()
                .and_then(|review| review.sha256.as_ref())
                .map(|_| format!("{}/file.zip", page_of(number))),
            title_block: TitleBlock {
                number: number.clone(),
                title: format!("Disclosure: {}, {}", what.part_no, what.mode),
                revision: "A".into(),
                state: stands(file).to_owned(),
                owner: file.kept.by.clone(),
                dates: vec![("Drafted".into(), format::date(file.kept.at.date_naive()))],
                sheet: "1 of 1".into(),
            },
        }
    }
}

fn summary(out: &Disclosed) -> String {
    format!(
        "{}. {}. {}.",
        format::counted(out.total, "item was reported", "items were reported"),
        format::counted(out.withheld, "count is withheld", "counts are withheld"),
        format::counted(out.struck, "name or number is struck", "names and numbers are struck")
    )
}

fn table(counts: &Counts) -> Table {
    let row = |(row, told): &(String, Option<u64>)| {
        [row.clone(), told.map_or_else(|| "withheld".to_owned(), format::count)]
    };
    Table { by: format!("By {}", counts.by), rows: counts.rows.iter().map(row).collect() }
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let mut file = find(&state, &number).await?;
    let out = made(&state, &file).await?;
    file.kept.by = answers_for(&state, (HandoverKind::Disclosure, &number), file.kept.by).await?;
    state.page(&DisclosureSheet::new(&signed_in.0, &file, out, None))
}

#[derive(Deserialize)]
pub(super) struct Verdict {
    #[serde(default)]
    verdict: String,
    #[serde(default)]
    words: String,
}

pub(super) async fn review(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Form(sent): Form<Verdict>,
) -> Result<Response, AppError> {
    let file = find(&state, &number).await?;
    signed_in.may(&Act::ReviewDisclosure { drafted_by: file.drafted_by_id })?;
    let out = made(&state, &file).await?;
    if sent.words.trim().is_empty() {
        let wrong = Some("Write what you looked at, or why it may not leave.".to_owned());
        let page = state.page(&DisclosureSheet::new(&signed_in.0, &file, out, wrong))?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    let leaves = match (sent.verdict.as_str(), out) {
        ("release", Ok(out)) => {
            let bytes = file::pack(&file.kept.what, &number, &out)?;
            Some((digest_hex(&bytes), bytes))
        }
        ("release", Err(why)) => return Err(AppError::Unusable(why)),
        ("refuse", _) => None,
        _ => return Err(AppError::Unusable("Choose whether it leaves or not.".into())),
    };
    state.store().review_disclosure(&signed_in.0, state.now(), &number, &sent.words, leaves).await?;
    Ok(Redirect::to(&page_of(&number)).into_response())
}

/// One that waits, was released or refused, for samples.
pub(super) fn sample(released: Option<bool>) -> DisclosureFile {
    let what = Disclosure {
        part_no: "ZIP-9".into(),
        mode: "ZIP-1".into(),
        to: "the standards committee".into(),
        removals: vec![(Removal::Units, "Not theirs to know.".into())],
        struck: Vec::new(),
        threshold: 5,
    };
    let (by, at) = ("Oda Fell".to_owned(), DateTime::default());
    let review = released.map(|released| Review {
        by: "Jon Skerry".into(),
        at,
        words: "Read it all.".into(),
        sha256: released.then(|| "ab12".into()),
    });
    DisclosureFile {
        kept: Kept { number: "D-2026-001".into(), what, by, at },
        drafted_by_id: Some(1),
        review,
    }
}

impl Page for DisclosureSheet {
    const TEMPLATE: &'static str = "pages/disclosures/sheet";

    fn samples() -> Vec<Self> {
        let out = || Disclosed {
            total: 24,
            counts: vec![Counts { by: "size", rows: vec![("M".into(), Some(24)), ("S".into(), None)] }],
            narratives: vec!["a tooth is gone".into()],
            withheld: 1,
            struck: 2,
        };
        let actor = crate::pages::recurrences::sample::engineer();
        let long = Disclosed { narratives: vec!["zip split".into(); SHOWN + 1], ..out() };
        vec![
            Self::new(&actor, &sample(None), Ok(out()), None),
            Self::new(&Actor::Program, &sample(None), Err("Too few.".into()), Some("Write it.".into())),
            Self::new(&actor, &sample(Some(true)), Ok(long), None),
        ]
    }
}
