//! `/discrepancies`: every line of the books that doesn't agree with what was on record, to be put right where it was written.

use axum::Router;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use axum::routing::get;
use domain::field::{Day, Field, Id as _, LotId, Stock, UnitId};
use domain::ledger::{Discrepancy, part_of};
use domain::movement::MovementKind;
use domain::permission::{Act, Actor};
use serde::Serialize;

use crate::error::AppError;
use crate::format::{self, harmless};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// Lines on the page; the file has them all.
const SHOWN: usize = 500;

const COLUMNS: [&str; 9] =
    ["day", "unit", "lot_no", "maker", "part_no", "line", "stated", "on_record", "made_on"];

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/discrepancies", get(show)).route("/discrepancies.csv", get(file))
}

/// The lines.
#[derive(Serialize)]
pub struct DiscrepanciesPage {
    shell: Shell,
    shown: String,
    rows: Vec<Row>,
    empty: Empty,
}

#[derive(Serialize)]
struct Row {
    day: String,
    unit: String,
    lot_no: String,
    part_no: String,
    line: &'static str,
    stated: String,
    on_record: String,
}

impl DiscrepanciesPage {
    fn new(actor: &Actor, field: &Field, lines: &[Discrepancy]) -> Self {
        let rows: Vec<Row> = latest(lines).into_iter().take(SHOWN).map(|one| row(field, one)).collect();
        let all = lines.len() as u64;
        let lines = format::counted(all, "line doesn't agree", "lines don't agree");
        let shown = rows.len() as u64;
        Self {
            shell: Shell::inside("Lines that don\u{2019}t agree", actor, Place::Packs),
            shown: if shown == all {
                format!("{lines}, the latest first.")
            } else {
                format!("{lines}; the latest {} are shown, and the file has all.", format::count(shown))
            },
            rows,
            empty: Empty::first(
                "Every line of the books agrees with what was on record.",
                "See the packs",
                "/packs",
            ),
        }
    }
}

/// The latest lines first.
fn latest(lines: &[Discrepancy]) -> Vec<&Discrepancy> {
    let mut lines: Vec<&Discrepancy> = lines.iter().collect();
    lines.sort_by(|a, b| b.cmp(a));
    lines
}

const fn line(of: &Discrepancy) -> &'static str {
    if of.is_event { "part replaced" } else { of.kind.word() }
}

fn lot_no(field: &Field, stock: Stock) -> &str {
    match stock {
        Stock::Lot(lot) => &field.lots[lot].lot_no,
        Stock::Unknown(..) => "",
    }
}

fn row(field: &Field, of: &Discrepancy) -> Row {
    Row {
        day: format::date(of.day.date()),
        unit: field.unit_names[of.unit].to_owned(),
        lot_no: lot_no(field, of.stock).to_owned(),
        part_no: field.part_names[part_of(field, of.stock)].to_owned(),
        line: line(of),
        stated: format::count(of.stated.into()),
        on_record: match of.made_on {
            Some(made_on) => format!("none: made {}", format::date(made_on.date())),
            None => format::count(of.on_record.into()),
        },
    }
}

async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let lines = &picture.analysis.ledger.discrepancies;
    let mut page = DiscrepanciesPage::new(&signed_in.0, &picture.field, lines);
    page.shell.date_books(picture.books_of);
    state.page(&page)
}

async fn file(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let heads = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"discrepancies.csv\""),
    ];
    Ok((heads, write(&picture.field, &picture.analysis.ledger.discrepancies)?).into_response())
}

/// # Errors
/// Memory that can't be written to.
fn write(field: &Field, lines: &[Discrepancy]) -> Result<Vec<u8>, AppError> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS).map_err(AppError::inside)?;
    for of in latest(lines) {
        let maker = match of.stock {
            Stock::Lot(lot) => field.lots[lot].maker.map_or("", |maker| &field.makers[maker]),
            Stock::Unknown(..) => "",
        };
        let row: [String; COLUMNS.len()] = [
            of.day.date().to_string(),
            field.unit_names[of.unit].to_owned(),
            lot_no(field, of.stock).to_owned(),
            maker.to_owned(),
            field.part_names[part_of(field, of.stock)].to_owned(),
            line(of).to_owned(),
            of.stated.to_string(),
            of.on_record.to_string(),
            of.made_on.map_or(String::new(), |day| day.date().to_string()),
        ];
        writer.write_record(row.iter().map(|cell| harmless(cell))).map_err(AppError::inside)?;
    }
    writer.into_inner().map_err(|error| AppError::inside(error.into_error()))
}

impl Page for DiscrepanciesPage {
    const TEMPLATE: &'static str = "pages/discrepancies/discrepancies";

    fn samples() -> Vec<Self> {
        let (field, lines) = sample();
        let actor = crate::pages::recurrences::sample::engineer();
        vec![Self::new(&actor, &field, &lines), Self::new(&actor, &field, &[])]
    }
}

/// A small invented field with a lot counted twelve short and one issued before it was made.
fn sample() -> (Field, Vec<Discrepancy>) {
    let (field, analysis) = crate::pages::recurrences::sample::field();
    let of = |lot, kind, on_record, stated, made_on| Discrepancy {
        day: Day::from(analysis.as_of),
        unit: UnitId::from_index(0),
        stock: Stock::Lot(LotId::from_index(lot)),
        kind,
        is_event: false,
        on_record,
        stated,
        made_on,
    };
    let made_on = Some(Day::from(analysis.as_of));
    (field, vec![of(0, MovementKind::Count, 60, 48, None), of(1, MovementKind::Issue, 0, 40, made_on)])
}

#[cfg(test)]
mod tests {
    use domain::permission::Role;

    use super::*;
    use crate::testing::books::{bring_in, signed_in};
    use crate::testing::{get, service, state, text};

    #[test]
    fn the_file_has_every_line_with_plain_numbers() {
        let (field, lines) = sample();
        let file = String::from_utf8(write(&field, &lines).expect("memory")).expect("text");
        let rows: Vec<&str> = file.lines().collect();
        let day = crate::pages::recurrences::sample::field().1.as_of;
        assert_eq!(rows[0], COLUMNS.join(","));
        assert!(rows[1].contains("TB-0419,") && rows[1].ends_with(&format!(",issue,40,0,{day}")), "{file}");
        assert!(rows[2].contains("TB-0418,") && rows[2].ends_with(",count,48,60,"), "{file}");
    }

    #[tokio::test]
    async fn who_reads_the_field_finds_them_and_a_unit_does_not() {
        let state = state().await;
        bring_in(&state).await;
        let service = service(&state);
        let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
        let page = text(get(&service, "/discrepancies", &fell).await).await;
        assert!(page.contains("Every line of the books agrees"), "{page}");
        let file = text(get(&service, "/discrepancies.csv", &fell).await).await;
        assert_eq!(file.trim(), COLUMNS.join(","));
        let tarn = signed_in(&state, &service, "tarn", Role::UnitReporter, Some("COVE-2")).await;
        for address in ["/discrepancies", "/discrepancies.csv"] {
            assert_eq!(get(&service, address, &tarn).await.status(), axum::http::StatusCode::FORBIDDEN);
        }
    }
}
