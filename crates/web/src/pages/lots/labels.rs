//! `/lots/{lot_no}/labels`: a sheet of labels for what is there of a lot, to print and sew or stick on.

use axum::extract::{Path, Query, State};
use axum::response::Response;
use domain::field::{Field, LotId};
use domain::mark::lot_mark;
use domain::permission::{Act, Actor};
use serde::Serialize;

use super::{Of, find};
use crate::address;
use crate::charts::{Drawing, square_code};
use crate::error::AppError;
use crate::format;
use crate::pages::recurrences::part_name;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// Labels on one sheet: three columns of eight fit A4 and Letter.
const ON_A_SHEET: usize = 24;

/// The sheet.
#[derive(Serialize)]
pub struct LabelsPage {
    shell: Shell,
    title: String,
    back: String,
    /// Why there can be none.
    none: Option<Empty>,
    labels: Vec<Label>,
}

#[derive(Clone, Serialize)]
struct Label {
    code: Drawing,
    lot_no: String,
    part: String,
    part_no: String,
    made: Option<String>,
}

impl LabelsPage {
    fn new(actor: &Actor, field: &Field, id: LotId) -> Self {
        let (lot, part) = (&field.lots[id], field.part_of_lot(id));
        let title = format!("Labels of lot {}", lot.lot_no);
        let part_no = field.part_names[part].to_owned();
        let mark = lot_mark(&part_no, &lot.lot_no);
        let label = |mark: &str, number: usize| {
            let code =
                square_code(&format!("label-{number}"), mark, &title, "Says part number and lot to a phone.");
            Some(Label {
                code: code.ok()?,
                lot_no: lot.lot_no.to_string(),
                part: part_name(field, part).to_owned(),
                part_no: part_no.clone(),
                made: lot.made_on.map(|day| format::month(day.date())),
            })
        };
        let none = mark.as_ref().err().map(|problem| {
            Empty::rest(format!("No label can be written: {} of {}.", problem.why, problem.field))
        });
        let mark = mark.unwrap_or_default();
        let numbers = if none.is_none() { 0..ON_A_SHEET } else { 0..0 };
        Self {
            shell: Shell::inside(title.clone(), actor, Place::Lots),
            back: address::lot(field, id),
            labels: numbers.filter_map(|number| label(&mark, number)).collect(),
            none,
            title,
        }
    }
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(of): Query<Of>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let picture = state.picture().await?;
    let id = find(&picture.field, &lot_no, of.maker.as_deref())?;
    state.page(&LabelsPage::new(&signed_in.0, &picture.field, id))
}

impl Page for LabelsPage {
    const TEMPLATE: &'static str = "pages/lots/labels";

    fn samples() -> Vec<Self> {
        use super::sample;
        let (field, _) = sample::field();
        let page = |lot_no| Some(Self::new(&sample::engineer(), &field, sample::lot(&field, lot_no)?));
        let none = page(sample::LONE).map(|page| Self {
            none: Some(Empty::rest("No label can be written.")),
            labels: Vec::new(),
            ..page
        });
        [page(sample::TAPE), none].into_iter().flatten().collect()
    }
}
