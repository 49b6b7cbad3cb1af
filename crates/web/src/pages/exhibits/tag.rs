//! The tag of an exhibit as a paper to tie on: its number large, what it is, until when it is held, a square code.

use axum::extract::{Path, State};
use axum::response::Response;
use domain::exhibit::Exhibit;
use domain::permission::{Act, Actor};
use domain::report::Report;
use serde::Serialize;
use store::Kept;

use super::{find, page_of};
use crate::charts::{Drawing, square_code};
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Place, Shell};

/// The paper.
#[derive(Serialize)]
pub struct TagPage {
    shell: Shell,
    number: String,
    what: String,
    code: Drawing,
    facts: Vec<(&'static str, String)>,
    back: String,
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let (kept, _) = find(&state, &number).await?;
    let report = state.store().find_report(&kept.what.report_ref).await?;
    state.page(&TagPage::new(&signed_in.0, &kept, report.as_ref(), state.base_url())?)
}

impl TagPage {
    fn new(
        actor: &Actor,
        kept: &Kept<Exhibit>,
        report: Option<&Report>,
        base_url: &str,
    ) -> Result<Self, AppError> {
        let (own, what) = (page_of(&kept.number), &kept.what);
        let title = format!("Square code of exhibit {}", kept.number);
        let code = square_code("tag", &format!("{base_url}{own}"), &title, "Opens the exhibit's page.");
        let of_report = report.map(|report| {
            [
                ("Unit", report.unit.clone()),
                ("Item", report.item_part_no.clone()),
                ("Lot label", report.lot_text.clone().unwrap_or_else(|| "not known".to_owned())),
            ]
        });
        let facts = [("Report", what.report_ref.clone())].into_iter().chain(of_report.into_iter().flatten());
        let days =
            [("Received", format::date(what.received_on)), ("Hold until", format::date(what.hold_until))];
        Ok(Self {
            shell: Shell::inside(format!("Tag {}", kept.number), actor, Place::Instructions),
            number: kept.number.clone(),
            what: what.what.clone(),
            code: code.map_err(AppError::inside)?,
            facts: facts.chain(days).collect(),
            back: own,
        })
    }
}

impl Page for TagPage {
    const TEMPLATE: &'static str = "pages/exhibits/tag";

    fn samples() -> Vec<Self> {
        let day = chrono::NaiveDate::MIN;
        let what = Exhibit {
            report_ref: "K7M4-RT9X".into(),
            what: "front slide fastener <whole>".into(),
            received_on: day,
            hold_until: day,
            places: Vec::new(),
            released: None,
        };
        let (number, by) = ("E-2026-001".to_owned(), "Oda Fell".to_owned());
        let kept = Kept { number, what, by, at: chrono::DateTime::default() };
        Self::new(&Actor::Anybody, &kept, None, "https://rescue.example").into_iter().collect()
    }
}
