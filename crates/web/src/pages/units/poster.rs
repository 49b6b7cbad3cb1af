//! A unit's new link, shown once, as a paper to hang up: a square code, three steps and the cautions.

use chrono::NaiveDate;
use domain::caution::Caution as C;
use domain::permission::Actor;
use domain::unit::Unit;
use serde::Serialize;

use crate::charts::{Drawing, square_code};
use crate::error::AppError;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::{Caution, Place, Shell};

/// The paper.
#[derive(Serialize)]
pub struct PosterPage {
    shell: Shell,
    unit: String,
    name: Option<String>,
    label: String,
    address: String,
    code: Drawing,
    /// The language of the paper itself.
    tongue: Tongue,
    made: String,
    cautions: Vec<Caution>,
    back: String,
}

impl PosterPage {
    /// For a link just made.
    ///
    /// # Errors
    /// An address too long for a code.
    pub fn new(
        actor: &Actor,
        tongue: Tongue,
        unit: &Unit,
        label: &str,
        address: String,
        today: NaiveDate,
    ) -> Result<Self, AppError> {
        let title = format!("Square code for {}", unit.unit);
        let code = square_code("link", &address, &title, "Opens the unit's report form on a phone.");
        Ok(Self {
            shell: Shell::inside(format!("Link for {}", unit.unit), actor, Place::Units),
            unit: unit.unit.clone(),
            name: unit.name.clone(),
            label: label.to_owned(),
            address,
            code: code.map_err(AppError::inside)?,
            tongue,
            made: tongue.date(today),
            cautions: Caution::told(tongue, [C::OutOfUse, C::NoFieldRepair, C::TestRelease, C::ReportHarm]),
            back: super::of(&unit.unit),
        })
    }
}

impl Page for PosterPage {
    const TEMPLATE: &'static str = "pages/units/poster";

    fn samples() -> Vec<Self> {
        let page = |name: Option<&str>| {
            let name = name.map(str::to_owned);
            let (unit, kind) = ("COVE-2".to_owned(), domain::unit::UnitKind::Wearing);
            let unit = Unit { unit, name, kind, parent_unit: None, contact_email: None };
            let address = "https://rescue.example/report/0a1b".to_owned();
            Self::new(&Actor::Anybody, Tongue::ENGLISH, &unit, "store room", address, NaiveDate::MIN)
        };
        [None, Some("Cove crew 2")].into_iter().filter_map(|name| page(name).ok()).collect()
    }
}
