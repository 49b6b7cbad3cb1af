//! `/lots/{lot}/maker-notice.pdf`: a notice to the maker of a suspect lot, with the evidence and nobody's name or words.

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use documents::{Block, Cell, Column, Kind};
use domain::caution::Caution as C;
use domain::field::{Field, LotId};
use domain::permission::Act;
use domain::published::DocumentKind;
use serde::Deserialize;
use store::NewPublished;

use super::find;
use super::on_lot::{OnLot, on_lot};
use super::outward::figures;
use super::reach::where_held;
use super::sheet::{facts, in_service, title_block};
use super::words::quantity;
use crate::address;
use crate::charts::{Scale, axis, whisker};
use crate::error::AppError;
use crate::format;
use crate::handed_out;
use crate::pages::recurrences::part_name;
use crate::paper::{self, Draft};
use crate::picture::Picture;
use crate::secrets::digest_hex;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::{Faults, Place, Shell};

/// Component lots on the notice; the lineage has the others.
const MOST_LOTS: usize = 40;

/// This file's addresses.
pub(super) fn routes() -> Router<AppState> {
    Router::new()
        .route("/lots/{lot_no}/maker-notice.pdf", get(file))
        .route("/lots/{lot_no}/publish", get(ask).post(publish))
}

#[derive(Deserialize)]
struct Of {
    maker: Option<String>,
}

async fn file(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(of): Query<Of>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let lot = find(&picture.field, &lot_no, of.maker.as_deref())?;
    let document = paper::framed(&state.config().documents, draft(&picture, lot, Some(paper::DRAFT)));
    Ok(handed_out::pdf(&format!("{lot_no} {}", DocumentKind::MakerNotice), paper::written(document).await?))
}

/// Asks before the notice leaves.
async fn ask(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(of): Query<Of>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Publish)?;
    let picture = state.picture().await?;
    let (field, lot) = (&picture.field, find(&picture.field, &lot_no, of.maker.as_deref())?);
    let shell = Shell::inside("Publish a document", &signed_in.0, Place::Lots);
    let heading = "Let the notice to the maker leave the house?";
    let page = paper::leaving(shell, heading, address::of_lot(field, lot, "publish"), Faults::default());
    state.page(&page.about(format!("Lot {lot_no}"), address::lot(field, lot)))
}

/// Keeps the file as it leaves, with its figures.
async fn publish(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(of): Query<Of>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Publish)?;
    let picture = state.picture_in_step().await?;
    let lot = find(&picture.field, &lot_no, of.maker.as_deref())?;
    // Of the lot and not of the address: another maker may come to have a lot of its number.
    let maker = picture.field.lots[lot].maker.map(|maker| picture.field.makers[maker].to_owned());
    let draft = draft(&picture, lot, None);
    let title = draft.title_block.title.clone();
    let bytes = paper::written(paper::framed(&state.config().documents, draft)).await?;
    let new = NewPublished {
        kind: DocumentKind::MakerNotice,
        subject: lot_no,
        maker,
        title,
        as_of: picture.books_of,
        sha256: digest_hex(&bytes),
        bytes,
        figures: figures(&picture, lot),
    };
    state.store().publish(&signed_in.0, state.now(), &new).await?;
    Ok(Redirect::to("/published").into_response())
}

/// The notice. It counts units and never names them; narratives stay in the house, for they name units and people.
fn draft(picture: &Picture, lot: LotId, note: Option<&'static str>) -> Draft {
    let (field, analysis) = (&picture.field, &picture.analysis);
    let lot_no = &field.lots[lot].lot_no;
    let name = part_name(field, field.part_of_lot(lot));
    let pairs = facts(field, lot).into_iter().map(|(word, words)| (word.to_owned(), words));
    let lines = on_lot(field, analysis, lot);
    let mut body = vec![
        Block::Lead {
            text: format!(
                "{} lot {lot_no} is suspected nonconforming. That is a suspicion from reports and issue records, not a \
                 finding about your work; please help to settle it.",
                format::titled(name)
            ),
        },
        Block::heading("The lot"),
        Block::Pairs { rows: pairs.collect() },
        Block::heading("What was reported"),
    ];
    body.extend(reported(field, &lines));
    body.push(Block::paragraph(held(picture, lot)));
    body.extend(made_from(field, lot));
    body.extend(bench(field, lot));
    body.push(Block::heading("What we ask of you"));
    body.push(Block::Steps { steps: asked(lot_no) });
    body.push(Block::heading("To be kept in mind"));
    body.push(paper::cautions([C::OutOfUse, C::RatesFromReports, C::JudgementStays]));
    let mut block = title_block(field, lot, "", analysis.as_of);
    block.title = format!("Suspected nonconforming: lot {lot_no}, {name}");
    block.state = "suspected".into();
    block.owner = "the equipment engineer".into();
    Draft {
        kind: Kind::Notice,
        body,
        title_block: block,
        tongue: Tongue::ENGLISH,
        what: "Notice to the maker".into(),
        note,
        as_of: analysis.as_of,
    }
}

fn reported(field: &Field, lines: &[OnLot<'_>]) -> Vec<Block> {
    if lines.is_empty() {
        return vec![Block::paragraph("No recurrent failure has a report that is known to be on this lot.")];
    }
    let scale = Scale::of_ratios(lines.iter().filter_map(|line| Some(line.ratio?.0)));
    let head = axis("ratio-axis", "Reported over expected, by its logarithm", scale);
    let drawn = |at: usize, line: &OnLot<'_>| {
        let (estimate, ends) = line.ratio?;
        let drawn = whisker(&format!("ratio-{at}"), &line.words, scale, estimate, ends, Some(1.0));
        Some(paper::chart(&drawn))
    };
    let rows = lines.iter().enumerate().map(|(at, line)| {
        let r = line.recurrence;
        let expected = line.expected.map_or_else(|| "not known".into(), |n| format::significant(n, 2));
        vec![
            Cell::strong(&*field.modes[r.mode].name).small(Some(part_name(field, r.part).to_owned())),
            Cell::new(format::count(u64::from(line.reports))),
            Cell::new(expected),
            Cell { chart: drawn(at, line), ..Cell::new(line.words.clone()) }
                .small(Some(format!("stands out: {}", line.said))),
        ]
    });
    let scale = vec![Cell::new("Scale"), Cell::default(), Cell::default(), Cell::chart(paper::chart(&head))];
    vec![
        Block::Table {
            caption: Some(
                "Failures on this lot, against the other lots of the same kind at equal age".into(),
            ),
            columns: vec![
                Column::share("Failure", 1.0),
                Column::number("Reports"),
                Column::number("Expected"),
                Column::share("Reported over expected", 1.2),
            ],
            rows: std::iter::once(scale).chain(rows).collect(),
        },
        Block::small(
            "Expected is what the other lots of the same kind would lead one to see in this lot's time in service; \
             the interval holds the true ratio in 95 of 100 such comparisons.",
        ),
    ]
}

/// How much of it is in service, and at how many units an item lot is.
fn held(picture: &Picture, lot: LotId) -> String {
    let held = where_held(&picture.analysis, lot);
    let (worn, idle) = held.iter().fold((0, 0), |(worn, idle), row| (worn + row.1, idle + row.2));
    let units = held.iter().filter(|row| row.0.is_some()).count() as u64;
    let in_service = in_service(&picture.field, &picture.analysis, lot);
    if held.is_empty() {
        return in_service;
    }
    format!(
        "{} in service and {} in store at {}. {in_service}",
        format::counted(worn, "item is", "items are"),
        format::count(idle),
        format::counted(units, "unit", "units"),
    )
}

fn made_from(field: &Field, lot: LotId) -> Vec<Block> {
    let used = &field.lots[lot].used;
    if used.is_empty() {
        return Vec::new();
    }
    let rows = used.iter().take(MOST_LOTS).map(|&(id, amount)| {
        let of = &field.lots[id];
        vec![
            Cell::code(of.lot_no.to_string()),
            Cell::new(part_name(field, field.part_of_lot(id))),
            Cell::new(of.maker.map(|maker| field.makers[maker].to_owned()).unwrap_or_default()),
            Cell::new(amount.map(quantity).unwrap_or_default()),
        ]
    });
    let mut blocks = vec![
        Block::heading("Made from, by our records"),
        Block::Table {
            caption: None,
            columns: vec![
                Column::share("Lot", 1.0),
                Column::share("Part", 1.2),
                Column::share("Maker", 1.2),
                Column::number("Quantity"),
            ],
            rows: rows.collect(),
        },
    ];
    let more = used.len().saturating_sub(MOST_LOTS) as u64;
    blocks.extend(
        (more > 0).then(|| Block::small(format!("and {} more", format::counted(more, "lot", "lots")))),
    );
    blocks
}

/// What was measured on specimens of the lot.
fn bench(field: &Field, lot: LotId) -> Vec<Block> {
    let tests = field.bench_tests.iter().filter(|bench| bench.lot == Some(lot)).take(MOST_LOTS);
    let rows = tests.map(|bench| {
        let test = &bench.test;
        vec![
            Cell::new(test.method.clone()).small(Some(test.measure.clone())),
            Cell::code(test.specimen.clone()),
            Cell::new(format!("{} {}", format::significant(test.value, 3), test.measure_unit)),
            Cell::new(test.laboratory.clone().unwrap_or_default()),
        ]
    });
    let rows: Vec<_> = rows.collect();
    if rows.is_empty() {
        return Vec::new();
    }
    vec![
        Block::heading("Tested on specimens of this lot"),
        Block::Table {
            caption: None,
            columns: vec![
                Column::share("Method, measure", 1.4),
                Column::share("Specimen", 1.0),
                Column::number("Result"),
                Column::share("Laboratory", 1.0),
            ],
            rows,
        },
    ]
}

fn asked(lot_no: &str) -> Vec<(String, String)> {
    let step = |word: &str, rest: String| (word.to_owned(), rest);
    vec![
        step("Hold", format!("what you still have of lot {lot_no}, and keep samples of it as they are.")),
        step("Look up", "its records: material and component lots, machines and settings, dates, inspections, deviations.".into()),
        step("Tell us", "which other lots were made from the same materials or on the same days.".into()),
        step("Compare", "what you hold with the failures above, and say whether you can find them.".into()),
        step("Reply", format!("in writing, naming lot {lot_no}, with what you found and what you propose.")),
    ]
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::permission::Role;

    use super::*;
    use crate::pages::lots::sample;
    use crate::testing::{books, get, post, service, small_books, text};

    /// Every text of a notice, with the fields it stands in.
    fn texts(draft: &Draft) -> String {
        serde_json::to_string(&draft.body).unwrap() + &draft.title_block.title
    }

    #[tokio::test]
    async fn a_notice_is_asked_about_before_it_leaves_for_good() {
        let state = crate::testing::state().await;
        small_books::bring_in(&state).await;
        let service = service(&state);
        let fell = books::signed_in(&state, &service, "fell", Role::Engineer, None).await;
        let address = "/lots/TB-0418/publish";
        let sheet = text(get(&service, "/lots/TB-0418", &fell).await).await;
        assert!(sheet.contains(&format!("href=\"{address}\"")), "one click asks: {sheet}");
        let asked = text(get(&service, address, &fell).await).await;
        assert!(asked.contains("Let the notice to the maker leave the house?"), "{asked}");
        let register = text(get(&service, "/published", &fell).await).await;
        assert!(register.contains("Nothing has been published yet."), "asking publishes nothing: {register}");
        assert_eq!(post(&service, address, &fell, "").await.status(), StatusCode::SEE_OTHER);
        let register = text(get(&service, "/published", &fell).await).await;
        assert!(!register.contains("Nothing has been published yet."), "{register}");
    }

    #[test]
    fn a_maker_is_told_of_no_unit_and_of_nobodys_words() {
        let (field, analysis) = sample::field();
        let picture =
            Picture::of(field, analysis, chrono::DateTime::from_timestamp(1_772_539_200, 0).unwrap());
        for lot_no in [sample::TAPE, sample::ITEM_LOT, sample::LONE] {
            let lot = sample::lot(&picture.field, lot_no).unwrap();
            let draft = draft(&picture, lot, None);
            let said = texts(&draft);
            for unit in picture.field.units.iter() {
                let code = &picture.field.unit_names[unit.0];
                assert!(!said.contains(code), "{code} in {said}");
                let name = unit.1.name.as_deref().unwrap_or("a unit without a name");
                assert!(!said.contains(name), "{name} in {said}");
            }
            assert!(said.contains("suspected nonconforming"), "{said}");
            let words = said.to_lowercase();
            assert!(!words.contains("bad lot") && !words.contains("defective"), "{words}");
        }
    }
}
