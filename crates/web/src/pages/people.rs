//! `/people`: who may sign in; the administrator adds, changes and retires people and hands out one-time links.

mod edit;
mod retire;

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::permission::{Act, Actor, Role};
use serde::{Deserialize, Serialize};
use store::{NewUser, StoreError, User};

use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::shell::role_word;
use crate::view::{Ask, Choice, Choices, Faults, Place, Shell};

/// Everybody, and the form to add somebody.
#[derive(Serialize)]
pub struct PeoplePage {
    shell: Shell,
    /// What is wrong with the form at the page's end.
    problems: Faults,
    people: Vec<Row>,
    name: Ask,
    full_name: Ask,
    role: Choices,
    unit: Ask,
}

#[derive(Serialize)]
struct Row {
    id: i64,
    name: String,
    full_name: String,
    role: &'static str,
    unit: String,
    way_in: &'static str,
    retired: Option<String>,
    is_reader: bool,
    hands_over: bool,
}

/// A one-time link, shown once.
#[derive(Serialize)]
pub struct NewLinkPage {
    shell: Shell,
    full_name: String,
    address: String,
    until: String,
}

#[derive(Clone, Default, Deserialize)]
struct AddForm {
    #[serde(default)]
    name: String,
    #[serde(default)]
    full_name: String,
    #[serde(default)]
    role: String,
    #[serde(default)]
    unit: String,
}

/// What a sign-in name is made of.
pub(crate) const SIGN_IN_NAME: &str = "1 to 40 small letters, digits, dots or dashes";

/// Said of a unit that is not in the books.
const NO_SUCH_UNIT: &str = "No unit has this code. The page of units lists them all.";

/// Whether somebody may sign in by this name.
pub(crate) fn is_sign_in_name(name: &str) -> bool {
    let plain =
        |letter: char| letter.is_ascii_lowercase() || letter.is_ascii_digit() || ".-_".contains(letter);
    (1..=40).contains(&name.len()) && name.chars().all(plain)
}

impl AddForm {
    /// What is wrong is noted in the order of the form.
    fn read(&self) -> Result<NewUser, Faults> {
        let trimmed = |text: &str| text.trim().to_owned();
        let (name, full_name, unit) = (trimmed(&self.name), trimmed(&self.full_name), trimmed(&self.unit));
        let role = self.role.parse::<Role>().ok();
        let mut faults = Faults::default();
        if full_name.is_empty() || full_name.chars().count() > 80 {
            faults.add("full_name", "Write the name as pages shall show it, in up to 80 letters.");
        }
        if !is_sign_in_name(&name) {
            faults.add("name", format!("Use {SIGN_IN_NAME}."));
        }
        if role.is_none() {
            faults.add("role", "Choose what they are here for.");
        }
        if role == Some(Role::UnitReporter) && unit.is_empty() {
            faults.add("unit", "A unit reporter reports for a unit: write its code.");
        }
        match role {
            Some(role) if faults.is_empty() => {
                let unit = Some(unit).filter(|_| role == Role::UnitReporter);
                Ok(NewUser { name, full_name, role, unit, password_hash: None })
            }
            _ => Err(faults),
        }
    }
}

/// The fields of the form.
struct Fields {
    full_name: Ask,
    name: Ask,
    role: Choices,
    unit: Ask,
}

impl Fields {
    fn new(form: &AddForm) -> Self {
        let roles =
            Role::ALL.iter().map(|role| Choice::new(role.word(), role_word(*role), form.role == role.word()));
        Self {
            full_name: Ask::text("full_name", "Name on pages", &form.full_name),
            name: Ask::text("name", "Sign-in name", &form.name)
                .hint("Small letters and digits, such as o.fell"),
            role: Choices::one("role", "Here for", roles.collect()),
            unit: Ask::text("unit", "Unit", &form.unit)
                .code()
                .hint("The code of the unit, for a unit reporter only"),
        }
    }
}

impl PeoplePage {
    fn new(actor: &Actor, users: Vec<User>, form: &AddForm, faults: Faults) -> Self {
        let reader = if let Actor::Person { id, .. } = actor { Some(*id) } else { None };
        let people = users.into_iter().map(|user| Row {
            id: user.id,
            name: user.name,
            full_name: user.full_name,
            role: role_word(user.role),
            unit: user.unit.unwrap_or_default(),
            way_in: if user.has_password { "password" } else { "link only" },
            retired: user.retired_at.map(|time| format::date(time.date_naive())),
            is_reader: reader == Some(user.id),
            hands_over: user.role == Role::Engineer,
        });
        let Fields { full_name, name, role, unit } = Fields::new(form);
        Self {
            shell: Shell::inside("People", actor, Place::People),
            people: people.collect(),
            name: name.problem(faults.of("name")),
            full_name: full_name.problem(faults.of("full_name")),
            role: role.problem(faults.of("role")),
            unit: unit.problem(faults.of("unit")),
            problems: faults,
        }
    }
}

impl Page for PeoplePage {
    const TEMPLATE: &'static str = "pages/people/people";

    fn samples() -> Vec<Self> {
        let name = "Mika Holm".to_owned();
        let actor = Actor::Person { id: 1, name, role: Role::Administrator, unit: None };
        let user = |id, retired_at| User {
            id,
            name: "fell".into(),
            full_name: "Oda Fell".into(),
            role: Role::Engineer,
            unit: None,
            has_password: id == 1,
            retired_at,
        };
        let users = vec![user(1, None), user(2, None), user(3, Some(chrono::DateTime::UNIX_EPOCH))];
        let form = AddForm::default();
        let faults = form.read().err().unwrap_or_default();
        vec![Self::new(&actor, users, &form, Faults::default()), Self::new(&actor, vec![], &form, faults)]
    }
}

impl Page for NewLinkPage {
    const TEMPLATE: &'static str = "pages/people/link";

    fn samples() -> Vec<Self> {
        vec![Self {
            shell: Shell::sample("Sign-in link", Place::People),
            full_name: "Oda Fell".into(),
            address: "https://rescue.example/sign-in/link/0a1b".into(),
            until: "10 Mar 2026, 12:00 UTC".into(),
        }]
    }
}

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/people", get(show).post(add))
        .route("/people/{id}/link", post(make_link))
        .merge(edit::routes())
        .merge(retire::routes())
}

async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    let users = state.store().list_users().await?;
    state.page(&PeoplePage::new(&signed_in.0, users, &AddForm::default(), Faults::default()))
}

async fn add(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(form): Form<AddForm>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    let faults = match form.read() {
        Ok(user) if !unit_exists(&state, user.unit.as_deref()).await? => Faults::one("unit", NO_SUCH_UNIT),
        Ok(user) => match state.store().add_user(&signed_in.0, state.now(), &user).await {
            Ok(_) => return Ok(Redirect::to("/people").into_response()),
            Err(StoreError::Taken { .. }) => Faults::one("name", "Somebody has this name already."),
            Err(error) => return Err(error.into()),
        },
        Err(faults) => faults,
    };
    let users = state.store().list_users().await?;
    state.refused(&PeoplePage::new(&signed_in.0, users, &form, faults))
}

async fn unit_exists(state: &AppState, unit: Option<&str>) -> Result<bool, AppError> {
    let Some(code) = unit else { return Ok(true) };
    Ok(state.store().find_unit(code).await?.is_some())
}

async fn make_link(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    let user = state.store().find_user(id).await?;
    let user = user.ok_or_else(|| AppError::NotFound("There is no such person.".to_owned()))?;
    let (token, until) = (state.secrets().token(), state.now() + chrono::Duration::days(7));
    state.store().add_sign_in_link(&signed_in.0, state.now(), &token.digest(), id, until).await?;
    state.page(&NewLinkPage {
        shell: Shell::inside("Sign-in link", &signed_in.0, Place::People),
        full_name: user.full_name,
        address: format!("{}/sign-in/link/{}", state.base_url(), token.as_str()),
        until: format::moment(until),
    })
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;

    use super::*;
    use crate::testing::{cookie, get, person, post, service, state, text};
    use crate::view::Problem;

    async fn signed_in_as(role: Role) -> (AppState, Router, String, i64) {
        let state = state().await;
        let id = person(&state, "holm", role, "seven dry karabiners").await;
        let service = service(&state);
        let opened = post(&service, "/sign-in", "", "name=holm&password=seven+dry+karabiners").await;
        let sid = cookie(&opened);
        (state, service, sid, id)
    }

    #[tokio::test]
    async fn an_administrator_adds_somebody_who_comes_in_by_a_link() {
        let (state, service, sid, own) = signed_in_as(Role::Administrator).await;
        let form = "name=fell&full_name=Oda+Fell&role=engineer&unit=";
        assert_eq!(post(&service, "/people", &sid, form).await.status(), StatusCode::SEE_OTHER);
        let twice = post(&service, "/people", &sid, form).await;
        assert_eq!(twice.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert!(text(twice).await.contains("Somebody has this name already."));

        let id = state.store().find_user_named("fell").await.unwrap().unwrap().id;
        let page = text(post(&service, &format!("/people/{id}/link"), &sid, "").await).await;
        let link = page.split("/sign-in/link/").nth(1).unwrap().split('<').next().unwrap().trim();
        let used = post(&service, &format!("/sign-in/link/{link}"), "", "").await;
        assert_eq!(used.status(), StatusCode::SEE_OTHER);

        let theirs = cookie(&used);
        assert_eq!(
            post(&service, &format!("/people/{id}/retire"), &sid, "").await.status(),
            StatusCode::SEE_OTHER
        );
        assert_eq!(
            get(&service, "/", &theirs).await.status(),
            StatusCode::SEE_OTHER,
            "retired is out at once"
        );
        let own = format!("/people/{own}/retire");
        assert_eq!(get(&service, &own, &sid).await.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(post(&service, &own, &sid, "").await.status(), StatusCode::UNPROCESSABLE_ENTITY);
    }

    #[tokio::test]
    async fn nobody_reports_for_a_unit_that_is_not_in_the_books() {
        let (state, service, sid, _) = signed_in_as(Role::Administrator).await;
        let form = "name=tarn&full_name=Ines+Tarn&role=unit_reporter&unit=COVE-9";
        let refused = post(&service, "/people", &sid, form).await;
        assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let page = text(refused).await;
        let said = page.find(r##"<a href="#unit">No unit has this code."##).expect("a link to the field");
        assert!(said < page.find("Who may sign in").unwrap(), "above the list: {page}");
        assert!(page.contains(r#"aria-invalid="true" aria-describedby="unit-hint unit-problem""#), "{page}");
        assert!(state.store().find_user_named("tarn").await.unwrap().is_none());
    }

    #[tokio::test]
    async fn an_engineer_manages_nobody() {
        let (_, service, sid, id) = signed_in_as(Role::Engineer).await;
        assert_eq!(get(&service, "/people", &sid).await.status(), StatusCode::FORBIDDEN);
        let of = |act: &str| format!("/people/{id}/{act}");
        assert_eq!(get(&service, &of("retire"), &sid).await.status(), StatusCode::FORBIDDEN);
        for address in ["/people".to_owned(), of("link"), of("edit"), of("retire"), of("take-back")] {
            assert_eq!(post(&service, &address, &sid, "").await.status(), StatusCode::FORBIDDEN);
        }
    }

    #[test]
    fn every_fault_of_the_form_is_told_at_once() {
        let form = AddForm { name: "Oda Fell".into(), ..AddForm::default() };
        let faults = form.read().unwrap_err();
        let fields: Vec<&str> = faults.all().iter().map(Problem::field).collect();
        assert_eq!(fields, ["full_name", "name", "role"]);
    }
}
