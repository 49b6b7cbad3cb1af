//! `/unit-codes`: makes a link for each of several units at once and shows them as one sheet of codes to cut and hang up.

use std::collections::BTreeSet;

use axum::extract::{Form, State};
use axum::response::Response;
use domain::language::Language;
use domain::permission::{Act, Actor};
use domain::unit::Unit;
use domain::words::Problem;
use serde::Serialize;
use store::{NewUnitLink, Page as Rows};

use super::sheet::languages;
use super::{LONGEST_LABEL, SHOWN};
use crate::charts::{Drawing, square_code};
use crate::error::AppError;
use crate::pages::records::{FormPage, Sent};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::tongue::Tongue;
use crate::view::{Ask, Choice, Choices, Faults, Place, Shell};

/// The sheet.
#[derive(Serialize)]
pub struct CodesPage {
    shell: Shell,
    /// The language of the sheet itself.
    tongue: Tongue,
    label: String,
    made: String,
    codes: Vec<Code>,
}

#[derive(Serialize)]
struct Code {
    unit: String,
    name: Option<String>,
    square: Drawing,
}

impl CodesPage {
    /// For links just made: each unit with the address of its form.
    fn new(
        actor: &Actor,
        tongue: Tongue,
        (label, made): (&str, String),
        links: &[(Unit, String)],
    ) -> Result<Self, AppError> {
        let code = |(at, (unit, address)): (usize, &(Unit, String))| {
            let title = format!("Square code for {}", unit.unit);
            let code = square_code(&format!("link-{at}"), address, &title, "Opens the unit's report form.");
            Ok(Code {
                unit: unit.unit.clone(),
                name: unit.name.clone(),
                square: code.map_err(AppError::inside)?,
            })
        };
        Ok(Self {
            shell: Shell::inside("Codes of units", actor, Place::Units),
            tongue,
            label: label.to_owned(),
            made,
            codes: links.iter().enumerate().map(code).collect::<Result<_, AppError>>()?,
        })
    }
}

fn form(actor: &Actor, units: &[Unit], sent: &Sent, faults: Faults) -> FormPage {
    let choice = |unit: &Unit| {
        let label =
            unit.name.as_ref().map_or_else(|| unit.unit.clone(), |name| format!("{} {name}", unit.unit));
        Choice::new(&unit.unit, label, sent.has("unit", &unit.unit))
    };
    let shell = Shell::inside("Codes of units", actor, Place::Units);
    FormPage::new(shell, "Print codes of several units", ("/unit-codes".into(), "Make the links and show the sheet"), faults)
        .about("All units", "/units")
        .says("Each gets a new link, shown this once. Links made before still open; revoke those that hang no longer.")
        .ask(
            Ask::text("label", "Where will they hang?", sent.get("label"))
                .hint("Such as: store room door. So that you know later which ones to revoke.")
                .required(),
        )
        .choices(languages(sent.get("language")))
        .choices(Choices::any("unit", "Units", units.iter().map(choice).collect()))
}

/// Units without an open link are chosen to begin with.
pub(super) async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ManageUnitLinks)?;
    let units = state.store().search_units("", Rows::first(SHOWN)).await?;
    let links = state.store().list_unit_links(None).await?;
    let linked: BTreeSet<&str> =
        links.iter().filter(|link| link.revoked_at.is_none()).map(|link| link.unit.as_str()).collect();
    let bare = units.iter().filter(|unit| !linked.contains(unit.unit.as_str()));
    let begin = Sent::with(bare.map(|unit| ("unit", unit.unit.clone())));
    state.page(&form(&signed_in.0, &units, &begin, Faults::default()))
}

/// Answered at once, not after a redirect: nobody can be shown the tokens a second time.
pub(super) async fn make(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManageUnitLinks)?;
    let mut units = state.store().search_units("", Rows::first(SHOWN)).await?;
    let label = sent.get("label");
    let wrong =
        if label.is_empty() || label.chars().count() > LONGEST_LABEL || label.chars().any(char::is_control) {
            Some(Problem::new("label", "write in up to 80 letters where they will hang"))
        } else if !units.iter().any(|unit| sent.has("unit", &unit.unit)) {
            Some(Problem::new("unit", "choose one unit or more"))
        } else {
            None
        };
    if let Some(problem) = wrong {
        return form(&signed_in.0, &units, &sent, Faults::from(problem)).refuse(&state);
    }
    units.retain(|unit| sent.has("unit", &unit.unit));
    let mut links = Vec::with_capacity(units.len());
    for unit in units {
        let token = state.secrets().token();
        let link =
            NewUnitLink { unit: unit.unit.clone(), token_hash: token.digest(), label: label.to_owned() };
        state.store().add_unit_link(&signed_in.0, state.now(), &link).await?;
        links.push((unit, format!("{}/report/{}", state.base_url(), token.as_str())));
    }
    let tongue = sent.get("language").parse::<Language>().map_or(Tongue::ENGLISH, Tongue::of);
    let made = tongue.date(state.today());
    state.page(&CodesPage::new(&signed_in.0, tongue, (label, made), &links)?)
}

impl Page for CodesPage {
    const TEMPLATE: &'static str = "pages/units/codes";

    fn samples() -> Vec<Self> {
        let unit = |unit: &str, name: Option<&str>| {
            let (unit, kind) = (unit.to_owned(), domain::unit::UnitKind::Wearing);
            let unit =
                Unit { unit, name: name.map(str::to_owned), kind, parent_unit: None, contact_email: None };
            (unit, "https://rescue.example/report/0a1b".to_owned())
        };
        let links = [unit("COVE-2", Some("Cove crew 2")), unit("RIDGE-1", None)];
        let sheet = ("store room", "3 Mar 2026".to_owned());
        Self::new(&Actor::Anybody, Tongue::ENGLISH, sheet, &links).into_iter().collect()
    }
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::permission::Role;

    use crate::testing::{books, post, service, state, text};

    #[tokio::test]
    async fn a_refused_label_leaves_the_language_as_it_was_chosen() {
        let state = state().await;
        let service = service(&state);
        let fell = books::signed_in(&state, &service, "fell", Role::Engineer, None).await;
        let refused = post(&service, "/unit-codes", &fell, "label=&language=fr").await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(refused).await;
        assert!(page.contains(r#"value="fr" checked"#) && !page.contains(r#"value="en" checked"#), "{page}");
    }
}
