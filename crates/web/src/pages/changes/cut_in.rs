//! `/changes/{no}/cut-in`: the first lot built to an approved change.

use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use chrono::NaiveDate;
use domain::change::ChangeState;
use domain::change_record::lots_built_to;
use domain::civil_day::is_to_come;
use domain::field::Day;
use domain::permission::{Act, Actor};
use domain::words::Problem;
use serde::{Deserialize, Serialize};
use store::StoreError;

use super::load::Loaded;
use super::sample;
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Choice, Empty, Faults, Place, Select, Shell};

/// The form.
#[derive(Serialize)]
pub struct CutInPage {
    shell: Shell,
    about: String,
    back: String,
    action: String,
    /// Open conditions of the approval, each with where it is finished.
    barred: Vec<(String, String)>,
    empty: Option<Empty>,
    lot: Select,
    day: Ask,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    lot: String,
    day: String,
}

/// What the store refuses, beside the field it is about.
fn refused(problem: &Problem) -> Faults {
    match problem.field {
        "cut_in_on" => Faults::one("day", format::sentence(&problem.why)),
        _ => Faults::one("lot", format!("This lot can't be taken: {}.", problem.why)),
    }
}

/// Said of a day that is still to come.
pub(super) const TO_COME: &str = "this day is still to come; a cut-in is recorded once it has happened";

/// Lots in the books that are built to the change, the earliest first: number and words.
fn lots(loaded: &Loaded) -> Vec<(String, String)> {
    let field = &loaded.picture.field;
    let Some(id) = field.find_change(&loaded.record.change.change_no) else { return Vec::new() };
    let mut ids = lots_built_to(field, &field.changes[id]);
    ids.sort_by_key(|&lot| (field.lots[lot].made_on, field.lots[lot].lot_no.clone()));
    let words = ids.into_iter().map(|lot| {
        let facts = &field.lots[lot];
        let (revision, part_no) = (&field.revisions[facts.revision], field.part_of_lot(lot));
        let mut words = format!("{}, {} {}", facts.lot_no, &field.part_names[part_no], revision.revision);
        if let Some(maker) = facts.maker {
            words = format!("{words}, {}", &field.makers[maker]);
        }
        if let Some(day) = facts.made_on.map(Day::date) {
            words = format!("{words}, made {}", format::date(day));
        }
        (facts.lot_no.to_string(), words)
    });
    words.collect()
}

/// Conditions of the approval that keep the change from being cut in.
fn barred(loaded: &Loaded) -> Vec<(String, String)> {
    let open = loaded.after.actions.iter().filter(|one| one.action.bars_cut_in());
    open.map(|one| (one.action.what.clone(), format!("/actions/{}/done", one.id))).collect()
}

impl CutInPage {
    fn new(actor: &Actor, loaded: &Loaded, typed: &Typed, faults: &Faults) -> Self {
        let change = &loaded.record.change;
        let lots = lots(loaded);
        let says = format!(
            "No lot of {} revision {}, or of an item with it, is in the books yet. Bring the lots in first.",
            change.part_no, change.to_revision
        );
        let options =
            lots.iter().map(|(number, words)| Choice::new(number, words, *number == typed.lot)).collect();
        Self {
            shell: Shell::inside(format!("Cut-in of {}", change.change_no), actor, Place::Changes),
            about: format!("{} {}", change.change_no, change.title),
            back: address::change(&change.change_no),
            action: format!("{}/cut-in", address::change(&change.change_no)),
            barred: barred(loaded),
            empty: lots.is_empty().then(|| Empty::first(says, "Bring books in", "/packs")),
            lot: Select::new("lot", "First lot built to it", "Choose a lot", vec![(String::new(), options)])
                .problem(faults.of("lot")),
            day: Ask::of_kind("date", "day", "From which day", &typed.day)
                .required()
                .problem(faults.of("day")),
        }
    }
}

impl Typed {
    fn read(&self, loaded: &Loaded) -> Result<(String, NaiveDate), Faults> {
        let lot = lots(loaded).into_iter().find(|(number, _)| *number == self.lot);
        let day = self.day.trim().parse::<NaiveDate>().ok();
        let mut faults = Faults::default();
        if lot.is_none() {
            faults.add("lot", "Choose one of the lots in the books.");
        }
        match day {
            None => faults.add("day", "Write the day, such as 2026-03-01."),
            Some(day) if is_to_come(day, loaded.today) => faults.add("day", format::sentence(TO_COME)),
            Some(_) => {}
        }
        match (lot, day) {
            (Some((lot, _)), Some(day)) if faults.is_empty() => Ok((lot, day)),
            _ => Err(faults),
        }
    }
}

async fn approved(state: &AppState, signed_in: &SignedIn, no: &str) -> Result<Loaded, AppError> {
    signed_in.may(&Act::CutIn)?;
    let loaded = Loaded::find(state, no).await?;
    if loaded.state() == ChangeState::Approved {
        return Ok(loaded);
    }
    Err(AppError::Unusable(format!("This change is {}: only an approved one is cut in.", loaded.state())))
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    let loaded = approved(&state, &signed_in, &no).await?;
    state.page(&CutInPage::new(&signed_in.0, &loaded, &Typed::default(), &Faults::default()))
}

pub(super) async fn keep(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
    Form(typed): Form<Typed>,
) -> Result<Response, AppError> {
    let loaded = approved(&state, &signed_in, &no).await?;
    let faults = match typed.read(&loaded) {
        _ if !barred(&loaded).is_empty() => Faults::default(),
        Err(faults) => faults,
        Ok((lot, day)) => {
            match state.store().cut_in_change(&signed_in.0, state.now(), &no, &lot, day).await {
                Ok(()) => return Ok(Redirect::to(&address::change(&no)).into_response()),
                Err(StoreError::Refused(problem)) => refused(&problem),
                Err(error) => return Err(error.into()),
            }
        }
    };
    state.refused(&CutInPage::new(&signed_in.0, &loaded, &typed, &faults))
}

impl Page for CutInPage {
    const TEMPLATE: &'static str = "pages/changes/cut_in";

    fn samples() -> Vec<Self> {
        let engineer = crate::pages::recurrences::sample::engineer();
        let typed = Typed::default();
        let loaded = sample::loaded();
        let of = |loaded: &Loaded, faults| Self::new(&engineer, loaded, &typed, &faults);
        let shown = loaded.iter().map(|loaded| of(loaded, Faults::default()));
        shown
            .chain(loaded.iter().map(|loaded| of(loaded, typed.read(loaded).err().unwrap_or_default())))
            .collect()
    }
}
