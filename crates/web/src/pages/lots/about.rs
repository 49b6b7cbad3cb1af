//! The pages about one lot: its lineage, who holds what was made from it, and the notice to them.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::header;
use axum::response::{IntoResponse as _, Response};
use axum::routing::get;
use chrono::NaiveDate;
use domain::field::{Day, LotId};
use domain::lineage::Whereabouts;
use domain::permission::Act;
use serde::Deserialize;

use super::holders::{Asked, file_name};
use super::{HoldersPage, LineagePage, NoticePage, find, holders_csv};
use crate::error::AppError;
use crate::picture::Picture;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;

/// Which lot of several, on which date, and for whom.
#[derive(Deserialize)]
struct About {
    maker: Option<String>,
    on: Option<String>,
    unit: Option<String>,
    /// The language of a notice.
    #[serde(rename = "in")]
    language: Option<String>,
}

impl About {
    fn tongue(&self) -> Tongue {
        self.language.as_deref().and_then(|code| code.parse().ok()).map_or(Tongue::ENGLISH, Tongue::of)
    }

    /// The date asked for, where it is one and not after today; else today.
    fn asked(&self, today: NaiveDate) -> Asked {
        let typed = self.on.as_deref().map(str::trim).filter(|typed| !typed.is_empty());
        let date = typed.map(|typed| typed.parse().ok().filter(|date| *date <= today));
        match date {
            Some(Some(on)) => Asked { on, mistyped: None },
            Some(None) => Asked { on: today, mistyped: typed.map(str::to_owned) },
            None => Asked { on: today, mistyped: None },
        }
    }

    async fn found(
        &self,
        picture: &Arc<Picture>,
        lot_no: &str,
        asked: &Asked,
    ) -> Result<Whereabouts, AppError> {
        let lot = find(&picture.field, lot_no, self.maker.as_deref())?;
        whereabouts(picture, lot, asked.on).await
    }
}

/// Who holds what was made from a lot on a date.
///
/// # Errors
/// A thread that ended before its time.
pub(crate) async fn whereabouts(
    picture: &Arc<Picture>,
    lot: LotId,
    on: NaiveDate,
) -> Result<Whereabouts, AppError> {
    let on = Day::from(on);
    if on == picture.analysis.ledger.as_of {
        return Ok(Whereabouts::new(&picture.field, &picture.analysis.ledger, lot));
    }
    // Another day's books are folded anew, which takes a while and must not hold up other readers.
    let picture = Arc::clone(picture);
    let folded = tokio::task::spawn_blocking(move || {
        Whereabouts::on(&picture.field, &picture.analysis.ledger, lot, on)
    });
    folded.await.map_err(AppError::inside)
}

/// This file's addresses.
pub(super) fn routes() -> Router<AppState> {
    Router::new()
        .route("/lots/{lot_no}/lineage", get(lineage))
        .route("/lots/{lot_no}/holders", get(holders))
        .route("/lots/{lot_no}/holders.csv", get(holders_file))
        .route("/lots/{lot_no}/notice", get(notice))
}

async fn lineage(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let lot = find(&picture.field, &lot_no, about.maker.as_deref())?;
    let mut page = LineagePage::new(&signed_in.0, &picture.field, picture.analysis.as_of, lot);
    page.shell.date_books(picture.books_of);
    state.page(&page)
}

async fn holders(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let asked = about.asked(picture.analysis.as_of);
    let found = about.found(&picture, &lot_no, &asked).await?;
    let mut page = HoldersPage::new(&signed_in.0, &picture.field, &found, &asked);
    page.shell.date_books(picture.books_of);
    if asked.mistyped.is_some() { state.refused(&page) } else { state.page(&page) }
}

async fn holders_file(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let asked = about.asked(picture.analysis.as_of);
    need_a_day(&asked)?;
    let found = about.found(&picture, &lot_no, &asked).await?;
    let file = holders_csv::write(&picture.field, &found)?;
    let name = file_name(&picture.field, found.of, asked.on);
    let heads = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8".to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((heads, file).into_response())
}

async fn notice(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(about): Query<About>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let asked = about.asked(picture.analysis.as_of);
    need_a_day(&asked)?;
    let found = about.found(&picture, &lot_no, &asked).await?;
    let only = match about.unit.as_deref().filter(|unit| !unit.is_empty()) {
        Some(code) => Some(picture.field.unit_names.find(code).ok_or_else(no_such_unit)?),
        None => None,
    };
    let seen = (&picture.field, &*picture.analysis);
    let mut page = NoticePage::new(&signed_in.0, seen, &found, only, (asked.on, about.tongue()));
    page.shell.date_books(picture.books_of);
    state.page(&page)
}

/// Refuses what would be written for today though another day was asked for.
fn need_a_day(asked: &Asked) -> Result<(), AppError> {
    let refused = |typed: &String| {
        AppError::Unusable(format!(
            "Expected a date such as 2026-03-09, not after today, where the address says {typed}."
        ))
    };
    asked.mistyped.as_ref().map_or(Ok(()), |typed| Err(refused(typed)))
}

fn no_such_unit() -> AppError {
    AppError::NotFound("There is no such unit.".into())
}

#[cfg(test)]
mod tests;
