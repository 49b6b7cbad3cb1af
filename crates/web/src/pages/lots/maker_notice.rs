//! `/lots/{lot}/maker-notice.pdf`: a notice to the maker of a suspect lot, with the evidence and nobody's name or words.

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use documents::{Block, Cell, Column, Kind};
use domain::bench_test::{BenchTest, SpecimenSource, TestOutcome};
use domain::caution::Caution as C;
use domain::field::{Field, LotId};
use domain::permission::Act;
use domain::published::DocumentKind;
use serde::Deserialize;
use store::NewPublished;

use super::find;
use super::grounds::{against, what_it_says};
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
    let against = against(&state, &picture, lot).await?;
    let draft = draft(&picture, lot, &against, Some(paper::DRAFT));
    let document = paper::framed(&state.config().documents, draft);
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
    let says = what_it_says(&against(&state, &picture, lot).await?);
    state.page(&page.says(says).about(format!("Lot {lot_no}"), address::lot(field, lot)))
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
    let against = against(&state, &picture, lot).await?;
    let draft = draft(&picture, lot, &against, None);
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
fn draft(picture: &Picture, lot: LotId, against: &[String], note: Option<&'static str>) -> Draft {
    let (field, analysis) = (&picture.field, &picture.analysis);
    let lot_no = &field.lots[lot].lot_no;
    let name = part_name(field, field.part_of_lot(lot));
    let pairs = facts(field, lot).into_iter().map(|(word, words)| (word.to_owned(), words));
    let lines = on_lot(field, analysis, lot);
    let is_suspect = !against.is_empty();
    let titled = format::titled(name);
    let lead = if is_suspect {
        format!(
            "{titled} lot {lot_no} is suspected nonconforming: {}. That is a suspicion, not a finding about your work; \
             please help to settle it.",
            against.join("; ")
        )
    } else {
        format!(
            "We ask you for information about {name} lot {lot_no}. Nothing is shown against it: no failure stands out \
             on it against the other lots of its kind, and no specimen of it failed below its limit, worn ones left \
             aside."
        )
    };
    let mut body = vec![
        Block::Lead { text: lead },
        Block::heading("The lot"),
        Block::Pairs { rows: pairs.collect() },
        Block::heading("What was reported"),
    ];
    body.extend(reported(field, &lines));
    body.push(Block::paragraph(held(picture, lot)));
    body.extend(made_from(field, lot));
    body.extend(bench(field, lot));
    body.push(Block::heading("What we ask of you"));
    body.push(Block::Steps { steps: asked(lot_no, is_suspect, !lines.is_empty()) });
    body.push(Block::heading("To be kept in mind"));
    body.push(paper::cautions([C::OutOfUse, C::RatesFromReports, C::JudgementStays]));
    let mut block = title_block(field, lot, "", analysis.as_of);
    let word = if is_suspect { "Suspected nonconforming" } else { "Request for information" };
    block.title = format!("{word}: lot {lot_no}, {name}");
    block.state = if is_suspect { "suspected" } else { "nothing shown" }.into();
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
    let tests: Vec<&BenchTest> =
        field.bench_tests.iter().filter(|bench| bench.lot == Some(lot)).map(|bench| &bench.test).collect();
    if tests.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![
        Block::heading("Tested on specimens of this lot"),
        Block::Table {
            caption: None,
            columns: vec![
                Column::share("Method, measure", 1.2),
                Column::share("Specimen", 1.1),
                Column::share("Result, limit", 1.3),
                Column::share("Laboratory, date", 1.0),
            ],
            rows: tests.iter().take(MOST_LOTS).map(|test| bench_row(test)).collect(),
        },
    ];
    let more = tests.len().saturating_sub(MOST_LOTS) as u64;
    blocks.extend(
        (more > 0)
            .then(|| Block::small(format!("and {} more", format::counted(more, "specimen", "specimens")))),
    );
    blocks
}

/// A specimen with all that its value hangs on: one that was stopped did not fail, and a worn one is no new one.
fn bench_row(test: &BenchTest) -> Vec<Cell> {
    let figure = |value: f64| format!("{} {}", format::significant(value, 3), test.measure_unit);
    let result = match test.outcome {
        TestOutcome::Failed => format!("failed at {}", figure(test.value)),
        TestOutcome::Stopped => format!("stopped before failure at {}", figure(test.value)),
        TestOutcome::Measured => figure(test.value),
    };
    let limit = test.limit.map(|limit| {
        let source = test.limit_source.as_deref().unwrap_or("source not on record");
        format!("limit {}, {source}", figure(limit))
    });
    let source = match test.specimen_source {
        Some(SpecimenSource::NewStock) => "new stock",
        Some(SpecimenSource::Retained) => "kept back from the lot",
        Some(SpecimenSource::Returned) => "worn, returned from the field",
        None => "where it came from is not on record",
    };
    let conditioned = test.conditioning.as_ref().map(|how| format!("conditioned: {how}"));
    let specimen =
        [Some(source.to_owned()), conditioned].into_iter().flatten().collect::<Vec<_>>().join("; ");
    let tested_on = test.tested_on.map_or_else(|| "date not on record".to_owned(), format::date);
    vec![
        Cell::new(test.method.clone()).small(Some(test.measure.clone())),
        Cell::code(test.specimen.clone()).small(Some(specimen)),
        Cell::new(result).small(Some(limit.unwrap_or_else(|| "no limit on record".to_owned()))),
        Cell::new(test.laboratory.clone().unwrap_or_default()).small(Some(tested_on)),
    ]
}

/// What a suspicion asks of the maker; for information alone nothing need be held back.
fn asked(lot_no: &str, is_suspect: bool, has_failures: bool) -> Vec<(String, String)> {
    let step = |word: &str, rest: String| (word.to_owned(), rest);
    let mut steps = Vec::new();
    if is_suspect {
        let hold = format!("what you still have of lot {lot_no}, and keep samples of it as they are.");
        steps.push(step("Hold", hold));
    }
    steps.push(step(
        "Look up",
        "its records: material and component lots, machines and settings, dates, inspections, deviations."
            .into(),
    ));
    steps.push(step(
        "Tell us",
        "which other lots were made from the same materials or on the same days.".into(),
    ));
    if has_failures {
        let compare = "what you hold with the failures above, and say whether you can find them.";
        steps.push(step("Compare", compare.into()));
    }
    steps.push(step(
        "Reply",
        format!("in writing, naming lot {lot_no}, with what you found and what you propose."),
    ));
    steps
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::maker_case::{CaseResult, MakerCase};
    use domain::permission::Role;
    use store::Kept;

    use super::*;
    use crate::pages::lots::grounds::grounds;
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
            let against = grounds(&picture, lot, &[case("M-2026-001", None)]);
            let draft = draft(&picture, lot, &against, None);
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

    fn case(number: &str, result: Option<CaseResult>) -> Kept<MakerCase> {
        let day = chrono::NaiveDate::from_ymd_opt(2026, 3, 3).unwrap();
        Kept {
            number: number.into(),
            what: MakerCase {
                lot_no: sample::LONE.into(),
                maker: "Tarnside Closures".into(),
                about: "Seams".into(),
                notice_on: day,
                reply_due: day,
                reply: None,
                samples: domain::maker_case::SampleSplit::default(),
                result,
                settlement: result.map(|_| (day, "settled".to_owned())),
                owner: None,
            },
            by: "Oda Fell".into(),
            at: chrono::DateTime::from_timestamp(1_772_539_200, 0).unwrap(),
        }
    }

    fn specimen(specimen: &str, outcome: TestOutcome, limit: f64) -> BenchTest {
        BenchTest {
            part_no: "RC-132".into(),
            revision: "A".into(),
            lot_no: Some(sample::TAPE.into()),
            purpose: None,
            method: "cycling".into(),
            measure: "cycles to failure".into(),
            specimen: specimen.into(),
            specimen_source: Some(SpecimenSource::Returned),
            conditioning: Some("salt fog, 48 h".into()),
            limit: Some(limit),
            limit_source: Some("RC-132 drawing".into()),
            tested_on: chrono::NaiveDate::from_ymd_opt(2026, 3, 3),
            measure_unit: "cycles".into(),
            value: 5000.0,
            outcome,
            laboratory: Some("Fjord Laboratory".into()),
        }
    }

    /// The lot of tape alone, with specimens.
    fn tested(tests: &[BenchTest]) -> (Picture, LotId) {
        let mut b = sample::wide(0);
        for test in tests {
            b.bench_test(test).unwrap();
        }
        let field = b.build();
        let analysis =
            domain::analysis::analyse(&field, chrono::NaiveDate::from_ymd_opt(2026, 3, 3).unwrap());
        let lot = sample::lot(&field, sample::TAPE).unwrap();
        (Picture::of(field, analysis, chrono::DateTime::from_timestamp(1_772_539_200, 0).unwrap()), lot)
    }

    /// The first was stopped, so that it accuses nobody; of those that failed one is worn and one lasted beyond its limit.
    #[test]
    fn a_specimen_stopped_before_failure_is_told_so_and_one_that_failed_below_its_limit_counts() {
        let (picture, lot) = tested(&[specimen("S-1", TestOutcome::Stopped, 6000.0)]);
        assert_eq!(grounds(&picture, lot, &[]), Vec::<String>::new());
        let said = format!("{:?}", bench(&picture.field, lot));
        for words in [
            "stopped before failure at 5,000 cycles",
            "limit 6,000 cycles, RC-132 drawing",
            "worn, returned from the field; conditioned: salt fog, 48 h",
            "3 Mar 2026",
        ] {
            assert!(said.contains(words), "{words}: {said}");
        }
        let new = |name, limit| BenchTest {
            specimen_source: Some(SpecimenSource::NewStock),
            ..specimen(name, TestOutcome::Failed, limit)
        };
        let worn = specimen("S-4", TestOutcome::Failed, 6000.0);
        let failed = [new("S-2", 6000.0), new("S-3", 4000.0), worn];
        let (picture, lot) = tested(&failed);
        assert_eq!(grounds(&picture, lot, &[]), ["1 specimen of it failed on the bench below the limit"]);
        assert!(format!("{:?}", bench(&picture.field, lot)).contains("failed at 5,000 cycles"));
    }

    #[test]
    fn a_maker_of_whose_lot_nothing_is_shown_is_asked_and_not_accused() {
        let (picture, lot) = tested(&[]);
        let told = |cases: &[Kept<MakerCase>]| {
            let against = grounds(&picture, lot, cases);
            texts(&draft(&picture, lot, &against, None)) + &what_it_says(&against)
        };
        for cleared in [vec![], vec![case("M-2026-001", Some(CaseResult::Conforming))]] {
            let said = told(&cleared);
            assert!(!said.to_lowercase().contains("suspected nonconforming"), "{said}");
            assert!(
                said.contains("Nothing is shown against it") && said.contains("Request for information"),
                "{said}"
            );
            assert!(said.contains("Nothing is shown against this lot"), "{said}");
        }
        for standing in [case("M-2026-002", None), case("M-2026-003", Some(CaseResult::Nonconforming))] {
            let said = told(std::slice::from_ref(&standing));
            assert!(said.contains("is suspected nonconforming: case M-2026-00"), "{said}");
            assert!(!said.contains("Nothing is shown"), "{said}");
        }
    }
}
