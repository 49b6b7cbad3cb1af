//! `/lots`: every lot, what it was made from, where it is and what was reported of it.

mod about;
mod beside;
mod condition;
#[cfg(feature = "pdf")]
mod grounds;
mod holders;
mod holders_csv;
mod labels;
mod lineage;
mod list;
#[cfg(feature = "pdf")]
mod maker_notice;
mod notice;
mod on_lot;
mod outward;
mod picture;
mod reach;
pub(crate) mod sample;
mod sheet;
mod words;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use domain::field::{Field, Found, LotId};
use domain::permission::Act;
use serde::Deserialize;

use crate::error::AppError;
use crate::security::SignedIn;
use crate::state::AppState;

pub(crate) use about::whereabouts;
use beside::Beside;
pub use holders::HoldersPage;
pub use labels::LabelsPage;
pub use lineage::LineagePage;
pub use list::{Filter, LotsPage};
pub use notice::NoticePage;
pub(crate) use on_lot::{OnLot, on_lot};
pub(crate) use outward::figures;
pub(crate) use reach::where_held;
pub use sheet::LotPage;

#[derive(Deserialize)]
struct Of {
    maker: Option<String>,
}

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    let router = Router::new()
        .route("/lots", get(list_all))
        .route("/lots/{lot_no}", get(show))
        .route("/lots/{lot_no}/labels", get(labels::show))
        .route("/lots/{lot_no}/condition", get(condition::show).post(condition::set))
        .merge(about::routes());
    #[cfg(feature = "pdf")]
    let router = router.merge(maker_notice::routes());
    router
}

async fn list_all(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let mut page = LotsPage::new(&signed_in.0, &picture.field, &picture.analysis, &filter);
    page.say_conditions(&state.store().list_lot_conditions().await?);
    page.shell.date_books(picture.books_of);
    state.page(&page)
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(of): Query<Of>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let lot = find(&picture.field, &lot_no, of.maker.as_deref())?;
    let beside = Beside::find(&state, &signed_in.0, &picture.field, lot).await?;
    let mut page = LotPage::new(&signed_in.0, &picture.field, &picture.analysis, lot, beside);
    page.shell.date_books(picture.books_of);
    state.page(&page)
}

/// The lot of a number, and of a maker where several used it.
///
/// # Errors
/// A sentence saying that there is none or that there are several.
pub(crate) fn find(field: &Field, lot_no: &str, maker: Option<&str>) -> Result<LotId, AppError> {
    let maker = match maker {
        Some(name) => Some(field.makers.find(name).ok_or_else(no_such_lot)?),
        None => None,
    };
    match field.lot_keys.find(lot_no, maker) {
        Found::One(lot) => Ok(lot),
        Found::Nothing => Err(no_such_lot()),
        Found::Several => Err(AppError::NotFound(
            "Several makers used this lot number. Choose the lot in the list of lots.".into(),
        )),
    }
}

fn no_such_lot() -> AppError {
    AppError::NotFound("There is no such lot.".into())
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::distribution::Marking;
    use domain::permission::Role;

    use super::*;
    use crate::pages::recurrences::sample;
    use crate::templates::{Page as _, Templates};
    use crate::testing::{cookie, get, person, post, service, state};

    #[tokio::test]
    async fn units_see_no_lots_and_a_lot_that_is_not_there_is_said_to_be_so() {
        let state = state().await;
        person(&state, "tarn", Role::UnitReporter, "seven dry karabiners").await;
        person(&state, "skerry", Role::Board, "seven dry karabiners").await;
        let service = service(&state);
        let sign_in = |name: &str| format!("name={name}&password=seven+dry+karabiners");
        let unit = cookie(&post(&service, "/sign-in", "", &sign_in("tarn")).await);
        assert_eq!(get(&service, "/lots", &unit).await.status(), StatusCode::FORBIDDEN);
        let board = cookie(&post(&service, "/sign-in", "", &sign_in("skerry")).await);
        assert_eq!(get(&service, "/lots?search=%25", &board).await.status(), StatusCode::OK);
        assert_eq!(get(&service, "/lots/TB%2F1?maker=x", &board).await.status(), StatusCode::NOT_FOUND);
    }

    #[test]
    fn a_lot_that_stands_out_comes_first_and_a_search_is_escaped() {
        let (field, _) = sample::field();
        assert!(find(&field, "TB-0418", None).is_ok() && find(&field, "TB-0418", Some("nobody")).is_err());
        let templates = Templates::load(&Marking::default()).unwrap();
        let pages: Vec<String> =
            LotsPage::samples().iter().map(|page| templates.render(page).unwrap()).collect();
        assert!(pages[0].find("TB-0418") < pages[0].find("TB-0419"), "{}", pages[0]);
        assert!(!pages[1].contains("<b>"), "{}", pages[1]);
    }
}
