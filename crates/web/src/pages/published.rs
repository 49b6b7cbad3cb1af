//! `/published`: what has left the house, as it was published beside what is known now.

use std::collections::BTreeMap;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use domain::permission::{Act, Actor};
use domain::published::{DocumentKind, Figure, Measure, Standing};
use serde::{Deserialize, Serialize};
use store::{Page as Part, Published};

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::{changes, lots};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// Documents on one page of the register.
const ON_A_PAGE: u64 = 25;
/// Letters of a digest that are enough to tell two files apart by eye.
const SHORT_DIGEST: usize = 12;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/published", get(show)).route("/published/{id}/file.pdf", get(file))
}

/// The register.
#[derive(Serialize)]
pub struct PublishedPage {
    pub(crate) shell: Shell,
    documents: Vec<Document>,
    empty: Empty,
    newer: Option<String>,
    older: Option<String>,
}

#[derive(Serialize)]
struct Document {
    id: i64,
    kind: String,
    title: String,
    subject: String,
    address: String,
    as_of: String,
    published: String,
    digest: String,
    digest_begins: String,
    file: String,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    measure: String,
    filter: String,
    then: String,
    now: String,
    standing: &'static str,
    moved: bool,
}

/// What a document is about: the kind of thing, its number, a lot's maker.
type Subject = (bool, String, Option<String>);

fn subject(of: &Published) -> Subject {
    (of.kind.is_of_lot(), of.subject.clone(), of.maker.clone())
}

impl PublishedPage {
    fn new(actor: &Actor, all: Vec<Published>, now: &BTreeMap<Subject, Vec<Figure>>, number: u64) -> Self {
        let more = all.len() as u64 > ON_A_PAGE;
        let page = |number: u64| format!("/published?page={number}");
        let documents = all.into_iter().take(ON_A_PAGE as usize).map(|one| {
            let today = now.get(&subject(&one)).map_or(&[][..], Vec::as_slice);
            document(one, today)
        });
        Self {
            shell: Shell::inside("Published", actor, Place::Published),
            documents: documents.collect(),
            empty: Empty::first(
                "Nothing has been published yet. A change's page and a lot's page let documents leave.",
                "See the changes",
                "/changes",
            ),
            newer: (number > 0).then(|| page(number - 1)),
            older: more.then(|| page(number + 1)),
        }
    }
}

fn document(of: Published, today: &[Figure]) -> Document {
    let segment = address::segment(&of.subject);
    let maker = of.maker.as_deref().map(|maker| format!("?maker={}", address::segment(maker)));
    Document {
        id: of.id,
        kind: format::titled(of.kind.word()),
        address: if of.kind.is_of_lot() {
            format!("/lots/{segment}{}", maker.unwrap_or_default())
        } else {
            address::change(&of.subject)
        },
        as_of: format::moment(of.as_of),
        published: format!("{}, by {}", format::moment(of.at), of.by),
        digest_begins: of.sha256.chars().take(SHORT_DIGEST).collect(),
        digest: of.sha256,
        file: format!("/published/{}/file.pdf", of.id),
        rows: of.figures.iter().map(|figure| row(figure, today)).collect(),
        title: of.title,
        subject: of.subject,
    }
}

fn row(figure: &Figure, today: &[Figure]) -> Row {
    let now = figure.now(today);
    let standing = figure.standing(now);
    Row {
        measure: format::titled(figure.measure.word()),
        filter: figure.filter.clone(),
        then: figure.text.clone(),
        now: now.map_or_else(|| "not counted any more".into(), |now| now.text.clone()),
        standing: match standing {
            Standing::Same => "the same",
            Standing::Moved => "moved",
            Standing::Unknown => "not to be compared",
        },
        moved: standing == Standing::Moved,
    }
}

#[derive(Deserialize)]
struct Which {
    #[serde(default)]
    page: u64,
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(which): Query<Which>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let number = which.page.min(1_000_000);
    // One more than fits tells whether there is another page.
    let mut all = state.store().list_published(Part { number, size: ON_A_PAGE }).await?;
    let next = state.store().list_published(Part { number: (number + 1) * ON_A_PAGE, size: 1 }).await?;
    all.extend(next);
    let mut now = BTreeMap::new();
    for of in all.iter().take(ON_A_PAGE as usize).map(subject) {
        if let std::collections::btree_map::Entry::Vacant(place) = now.entry(of) {
            let figures = today(&state, place.key()).await?;
            place.insert(figures);
        }
    }
    let mut page = PublishedPage::new(&signed_in.0, all, &now, number);
    page.shell.date_books(state.picture().await?.books_of);
    state.page(&page)
}

/// The figures of a subject as the books say them now; none where it isn't in the books any more.
async fn today(state: &AppState, (is_lot, number, maker): &Subject) -> Result<Vec<Figure>, AppError> {
    if *is_lot {
        let picture = state.picture().await?;
        let lot = lots::find(&picture.field, number, maker.as_deref()).ok();
        return Ok(lot.map(|lot| lots::figures(&picture, lot)).unwrap_or_default());
    }
    match changes::view_of(state, number).await {
        Ok(view) => Ok(changes::outward::figures(&view)),
        Err(AppError::NotFound(_)) => Ok(Vec::new()),
        Err(other) => Err(other),
    }
}

async fn file(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let found = state.store().find_published_file(id).await?;
    let (name, bytes) = found.ok_or_else(|| AppError::NotFound("There is no such document.".into()))?;
    Ok(crate::handed_out::pdf(&name, bytes))
}

impl Page for PublishedPage {
    const TEMPLATE: &'static str = "pages/published/published";

    fn samples() -> Vec<Self> {
        let engineer = crate::pages::recurrences::sample::engineer();
        let moment = chrono::DateTime::from_timestamp(1_772_539_200, 0).unwrap_or_default();
        let figure = |measure, value: Option<f64>, text: &str| Figure {
            measure,
            filter: "change 2026-014".into(),
            value,
            text: text.into(),
        };
        let one = |kind, figures| Published {
            id: 7,
            kind,
            subject: "2026-014".into(),
            maker: Some("Harbour Loft".into()),
            title: "Coated slider".into(),
            as_of: moment,
            sha256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08".into(),
            by: "fell".into(),
            at: moment,
            figures,
        };
        let then = vec![
            figure(Measure::RateBefore, Some(2.3), "2.3 per 1,000 item-years (1.1 to 4.2)"),
            figure(Measure::MassChange, Some(22.0), "+22 g"),
            figure(Measure::Ratio, None, "not known"),
        ];
        let today = vec![
            figure(Measure::RateBefore, Some(2.6), "2.6 per 1,000 item-years (1.3 to 4.4)"),
            figure(Measure::MassChange, Some(22.0), "+22 g"),
        ];
        let all = vec![one(DocumentKind::ChangeRecord, then), one(DocumentKind::MakerNotice, Vec::new())];
        let now = BTreeMap::from([(subject(&all[0]), today)]);
        let whole = Self::new(&engineer, all, &now, 1);
        vec![
            Self { older: Some("/published?page=2".into()), ..whole },
            Self::new(&engineer, Vec::new(), &now, 0),
        ]
    }
}
