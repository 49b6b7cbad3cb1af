//! One disclosure: the file as it would leave, for somebody else to look through, release or refuse; then the file that left.

use axum::extract::{Form, Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use chrono::DateTime;
use domain::disclosure::{Counts, Disclosed, Disclosure, Removal};
use domain::handover::HandoverKind;
use domain::permission::{Act, Actor, may};
use serde::{Deserialize, Serialize};
use store::{DisclosureFile, Kept, Review};

use super::file::{Contents, pack, unpack};
use super::{find, made, page_of, stands};
use crate::error::AppError;
use crate::format;
use crate::pages::hand_over::answers_for;
use crate::secrets::digest_hex;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Place, Shell, TitleBlock};

/// Words on one page.
const AT_ONCE: usize = 200;

const READ_ANEW: &str = "Reports came or were sorted since you began to read, so that something else would leave now. This is \
     how it stands now, from its beginning.";
const CHANGED: &str = "Reports came or were sorted since you read this, so that something else would leave now. Nothing has \
     left. Read it again from its beginning; what you wrote is kept here.";
const UNSAID: &str = "Write what you looked at, or why it may not leave.";
const REVIEWED: &str = "Somebody has reviewed this already. Nothing was changed.";

/// The sheet.
#[derive(Serialize)]
pub struct DisclosureSheet {
    shell: Shell,
    number: String,
    lead: String,
    removals: Vec<[String; 2]>,
    /// Over what is shown, or over why nothing is.
    heading: &'static str,
    stopped: Option<String>,
    changed: Option<&'static str>,
    first: String,
    tables: Vec<Table>,
    narratives: Vec<String>,
    /// Which words these are, of how many.
    counted: String,
    paged: bool,
    earlier: Option<String>,
    later: Option<String>,
    /// Where the review is sent, by whoever may.
    action: Option<String>,
    /// The digest of the file that is shown: nothing else leaves by this sheet.
    of: String,
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

/// Which page of words is asked for, from 0, and of which file.
#[derive(Default, Deserialize)]
#[serde(default)]
pub(super) struct Which {
    page: usize,
    of: String,
}

/// What was sent with a review that was not kept, and why it wasn't.
#[derive(Default)]
struct Again {
    words: String,
    problem: Option<&'static str>,
}

impl DisclosureSheet {
    fn new(
        actor: &Actor,
        file: &DisclosureFile,
        packed: Result<Vec<u8>, String>,
        which: &Which,
        again: Again,
    ) -> Result<Self, AppError> {
        let (what, number) = (&file.kept.what, &file.kept.number);
        let reviews = may(actor, &Act::ReviewDisclosure { drafted_by: file.drafted_by_id });
        let (open, can_leave) = (file.review.is_none(), packed.is_ok());
        let heading = match (open, can_leave) {
            (true, true) => "What would leave today",
            (true, false) => "Nothing can leave",
            (false, true) => "What left",
            (false, false) => "Nothing left",
        };
        let (contents, of, stopped) = match packed {
            Ok(bytes) => (unpack(&bytes)?, digest_hex(&bytes), None),
            Err(why) => (Contents::default(), String::new(), Some(why)),
        };
        let changed = !which.of.is_empty() && which.of != of;
        let (page, all) = (if changed { 0 } else { which.page }, contents.narratives.len());
        let from = page.saturating_mul(AT_ONCE).min(all);
        let narratives: Vec<String> = contents.narratives.into_iter().skip(from).take(AT_ONCE).collect();
        let until = from + narratives.len();
        let at = |page: usize| format!("{}?page={page}&of={of}#words-told", page_of(number));
        let table = |(by, rows): (String, Vec<[String; 2]>)| Table { by: format!("By {by}"), rows };
        let words =
            Ask::lines("words", "What you looked at, or why it may not leave", again.words).required();
        Ok(Self {
            shell: Shell::inside(format!("Disclosure {number}"), actor, Place::Published),
            number: number.clone(),
            lead: format!("Reports of {} on part {}, for {}.", what.mode, what.part_no, what.to),
            removals: what
                .removals
                .iter()
                .map(|(one, why)| [format::titled(one.word()), why.clone()])
                .collect(),
            heading,
            stopped,
            changed: changed.then_some(READ_ANEW),
            first: contents.first,
            tables: contents.tables.into_iter().map(table).collect(),
            counted: format!(
                "{} to {} of {}.",
                format::count((from as u64 + 1).min(all as u64)),
                format::count(until as u64),
                format::count(all as u64)
            ),
            paged: all > AT_ONCE,
            earlier: page.checked_sub(1).map(at),
            later: (until < all).then(|| at(page + 1)),
            narratives,
            action: (open && reviews.is_ok()).then(|| format!("{}/review", page_of(number))),
            words: words.problem(again.problem),
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
            of,
        })
    }
}

/// The file that left, or the one that would; why there is none.
async fn packed(state: &AppState, file: &DisclosureFile) -> Result<Result<Vec<u8>, String>, AppError> {
    if file.review.is_none() {
        return made(state, file).await;
    }
    let left = state.store().disclosed_file(&file.kept.number).await?;
    Ok(left.ok_or_else(|| "It was refused.".to_owned()))
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Query(which): Query<Which>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let mut file = find(&state, &number).await?;
    if file.review.is_none() {
        signed_in.may(&Act::ReadDrafts)?;
    }
    let packed = packed(&state, &file).await?;
    file.kept.by = answers_for(&state, (HandoverKind::Disclosure, &number), file.kept.by).await?;
    state.page(&DisclosureSheet::new(&signed_in.0, &file, packed, &which, Again::default())?)
}

#[derive(Default, Deserialize)]
#[serde(default)]
pub(super) struct ReviewForm {
    verdict: String,
    words: String,
    /// The digest of the file that was shown.
    of: String,
}

/// Ends the review. Only the very file that was shown leaves: what came since nobody has looked through.
pub(super) async fn review(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Form(sent): Form<ReviewForm>,
) -> Result<Response, AppError> {
    let file = find(&state, &number).await?;
    signed_in.may(&Act::ReviewDisclosure { drafted_by: file.drafted_by_id })?;
    if file.review.is_some() {
        return Err(AppError::Overtaken(REVIEWED.to_owned()));
    }
    let packed = made(&state, &file).await?;
    let leaves = match (sent.verdict.as_str(), &packed) {
        ("release", Ok(bytes)) => Some((digest_hex(bytes), bytes.clone())),
        ("release", Err(why)) => return Err(AppError::Unusable(why.clone())),
        ("refuse", _) => None,
        _ => return Err(AppError::Unusable("Choose whether it leaves or not.".into())),
    };
    let refused = if leaves.as_ref().is_some_and(|(sha256, _)| *sha256 != sent.of) {
        Some((StatusCode::CONFLICT, CHANGED))
    } else {
        sent.words.trim().is_empty().then_some((StatusCode::UNPROCESSABLE_ENTITY, UNSAID))
    };
    if let Some((status, why)) = refused {
        let again = Again { words: sent.words, problem: Some(why) };
        let page =
            state.page(&DisclosureSheet::new(&signed_in.0, &file, packed, &Which::default(), again)?)?;
        return Ok((status, page).into_response());
    }
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
        let (actor, draft) = (crate::pages::recurrences::sample::engineer(), sample(None));
        let pack = |narratives: Vec<String>| {
            let rows = vec![("M".into(), Some(24)), ("S".into(), None)];
            let counts = vec![Counts { by: "size", rows }];
            let out =
                Disclosed { total: 24, counts, left_out: vec!["lot"], narratives, withheld: 1, struck: 2 };
            pack(&draft.kept.what, "D-2026-001", &out).map_err(|error| error.to_string())
        };
        let (few, many) =
            (|| pack(vec!["a tooth is gone".into()]), || pack(vec!["zip split".into(); 3 * AT_ONCE]));
        let (first, middle) = (Which::default(), Which { page: 1, ..Which::default() });
        let stale = Which { page: 1, of: "ab12".into() };
        let again = || Again { words: "Read it.".into(), problem: Some(CHANGED) };
        let new = |file: &DisclosureFile, packed, which: &Which, again| {
            Self::new(&actor, file, packed, which, again)
        };
        let pages = [
            new(&draft, few(), &first, Again::default()),
            new(&draft, many(), &stale, again()),
            Self::new(&Actor::Program, &draft, Err("Too few.".into()), &first, again()),
            new(&sample(Some(true)), many(), &middle, Again::default()),
            new(&sample(Some(false)), Err("It was refused.".into()), &first, Again::default()),
        ];
        pages.into_iter().flatten().collect()
    }
}
