//! `/api`: how other programs send reports and read results; the administrator makes and revokes their keys.

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use domain::permission::{Act, Actor, Role, may};
use serde::{Deserialize, Serialize};
use store::{ApiKey, NewApiKey, StoreError};

use crate::error::AppError;
use crate::format;
use crate::pages::records::FormPage;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Ask, Choice, Choices, Faults, Place, Shell};

/// The explanation and, for an administrator, the keys.
#[derive(Serialize)]
pub struct ApiPage {
    shell: Shell,
    root: String,
    keys: Option<Keys>,
}

/// The keys and the form to make one.
#[derive(Serialize)]
struct Keys {
    rows: Vec<Row>,
    purpose: Ask,
    role: Choices,
    unit: Ask,
}

#[derive(Serialize)]
struct Row {
    digest: String,
    purpose: String,
    acts_for: String,
    made: String,
    revoked: Option<String>,
}

/// A key, shown once.
#[derive(Serialize)]
pub struct NewKeyPage {
    shell: Shell,
    purpose: String,
    key: String,
    root: String,
}

#[derive(Clone, Default, Deserialize)]
struct KeyForm {
    #[serde(default)]
    purpose: String,
    #[serde(default)]
    role: String,
    #[serde(default)]
    unit: String,
}

/// Roles whose reading or reporting a program may do; nobody administers by key.
const ROLES: [(Role, &str, &str); 3] = [
    (Role::UnitReporter, "a unit", "Sends that unit's reports and reads what became of them"),
    (Role::Engineer, "an engineer", "Sends reports for any unit and reads all results"),
    (Role::Board, "the board", "Reads all results and sends nothing"),
];

impl KeyForm {
    fn read(&self, token_hash: String) -> Result<NewApiKey, Faults> {
        let (label, unit) = (self.purpose.trim().to_owned(), self.unit.trim().to_owned());
        let role = ROLES.iter().map(|(role, ..)| *role).find(|role| role.word() == self.role);
        let mut faults = Faults::default();
        if label.is_empty() || label.chars().count() > 80 || label.chars().any(char::is_control) {
            faults.add("purpose", "Say in up to 80 letters what the key is for; the journal names it so.");
        }
        if role.is_none() {
            faults.add("role", "Choose for whom the program acts.");
        }
        if role == Some(Role::UnitReporter) && unit.is_empty() {
            faults.add("unit", "A unit's key reports for a unit: write its code.");
        }
        match role {
            Some(role) if faults.is_empty() => {
                let unit = Some(unit).filter(|_| role == Role::UnitReporter);
                Ok(NewApiKey { token_hash, label, role, unit })
            }
            _ => Err(faults),
        }
    }
}

impl ApiPage {
    fn new(actor: &Actor, base: &str, keys: Option<Keys>) -> Self {
        let root = format!("{base}{}", crate::api::ROOT);
        Self { shell: Shell::inside("Other programs", actor, Place::Elsewhere), root, keys }
    }
}

impl Keys {
    fn new(keys: Vec<ApiKey>, form: &KeyForm, faults: &Faults) -> Self {
        let roles = ROLES
            .iter()
            .map(|(role, word, hint)| Choice::new(role.word(), *word, form.role == role.word()).hint(*hint));
        Self {
            rows: keys.into_iter().map(Row::new).collect(),
            purpose: Ask::text("purpose", "What it is for", &form.purpose)
                .hint("Such as: stock book of the Ridge store")
                .problem(faults.of("purpose")),
            role: Choices::one("role", "Acts for", roles.collect()).problem(faults.of("role")),
            unit: Ask::text("unit", "Unit", &form.unit)
                .code()
                .hint("The code of the unit, for a unit's key only")
                .problem(faults.of("unit")),
        }
    }
}

impl Row {
    fn new(key: ApiKey) -> Self {
        let role = ROLES.iter().find(|(role, ..)| *role == key.role).map_or(key.role.word(), |role| role.1);
        Self {
            digest: key.token_hash,
            purpose: key.label,
            acts_for: key.unit.map_or_else(|| role.to_owned(), |unit| format!("unit {unit}")),
            made: format!("{} by {}", format::date(key.made_at.date_naive()), key.made_by),
            revoked: key.revoked_at.map(|time| format::date(time.date_naive())),
        }
    }
}

impl Page for ApiPage {
    const TEMPLATE: &'static str = "pages/api/api";

    fn samples() -> Vec<Self> {
        let actor = Actor::Person { id: 1, name: "Mika Holm".into(), role: Role::Administrator, unit: None };
        let key = |unit: Option<&str>, revoked_at| ApiKey {
            token_hash: "0a1b".into(),
            label: "stock book of the Ridge store".into(),
            role: if unit.is_some() { Role::UnitReporter } else { Role::Board },
            unit: unit.map(Into::into),
            made_by: "Mika Holm".into(),
            made_at: chrono::DateTime::UNIX_EPOCH,
            revoked_at,
        };
        let keys = vec![key(Some("COVE-2"), None), key(None, Some(chrono::DateTime::UNIX_EPOCH))];
        let form = KeyForm::default();
        let faults = form.read(String::new()).err().unwrap_or_default();
        let page = |keys| Self::new(&actor, "https://rescue.example", keys);
        vec![
            page(None),
            page(Some(Keys::new(keys, &form, &Faults::default()))),
            page(Some(Keys::new(Vec::new(), &form, &faults))),
        ]
    }
}

impl Page for NewKeyPage {
    const TEMPLATE: &'static str = "pages/api/key";

    fn samples() -> Vec<Self> {
        vec![Self {
            shell: Shell::sample("New key", Place::Elsewhere),
            purpose: "stock book of the Ridge store".into(),
            key: "0a1b".into(),
            root: "https://rescue.example/api/v1".into(),
        }]
    }
}

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/api", get(show))
        .route("/api-keys", post(make))
        .route("/api-keys/{digest}/revoke", get(ask).post(revoke))
}

async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    // Whoever is signed in may read how it is done; keys are an administrator's.
    let keys = match may(&signed_in.0, &Act::ManagePeople) {
        Ok(()) => {
            let keys = state.store().list_api_keys().await?;
            Some(Keys::new(keys, &KeyForm::default(), &Faults::default()))
        }
        Err(_) => None,
    };
    state.page(&ApiPage::new(&signed_in.0, state.base_url(), keys))
}

async fn make(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(form): Form<KeyForm>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    let token = state.secrets().token();
    let faults = match form.read(token.digest()) {
        Ok(key) => match state.store().add_api_key(&signed_in.0, state.now(), &key).await {
            // Shown in the answer itself: a redirect would need the key kept somewhere.
            Ok(()) => {
                return state.page(&NewKeyPage {
                    shell: Shell::inside("New key", &signed_in.0, Place::Elsewhere),
                    purpose: key.label,
                    key: token.as_str().to_owned(),
                    root: format!("{}{}", state.base_url(), crate::api::ROOT),
                });
            }
            Err(StoreError::Missing { .. }) => Faults::one("unit", "There is no unit of this code."),
            Err(error) => return Err(error.into()),
        },
        Err(faults) => faults,
    };
    let keys = Keys::new(state.store().list_api_keys().await?, &form, &faults);
    state.refused(&ApiPage::new(&signed_in.0, state.base_url(), Some(keys)))
}

/// Asks before a program is shut out: no key comes back.
async fn ask(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(digest): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    let keys = state.store().list_api_keys().await?;
    let key = keys.into_iter().find(|key| key.token_hash == digest && key.revoked_at.is_none());
    let key = key.ok_or_else(|| AppError::NotFound("There is no such key that still opens.".into()))?;
    let page = FormPage::new(
        Shell::inside("Revoke a key", &signed_in.0, Place::Elsewhere),
        "Revoke this key?",
        (format!("/api-keys/{}/revoke", key.token_hash), "Revoke the key"),
        Faults::default(),
    );
    state.page(&page.about("Leave it open", "/api#keys").says(format!(
        "The key for {}, made {}, will open nothing any more, and the program that holds it is turned away at once. \
         What it has sent stays. It can't be undone: the program would need a new key.",
        key.label,
        format::date(key.made_at.date_naive())
    )))
}

async fn revoke(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(digest): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    state.store().revoke_api_key(&signed_in.0, state.now(), &digest).await?;
    Ok(Redirect::to("/api#keys").into_response())
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;

    use super::*;
    use crate::testing::{cookie, get, person, post, service, state, text};

    async fn signed_in_as(role: Role) -> (AppState, Router, String) {
        let state = state().await;
        person(&state, "holm", role, "seven dry karabiners").await;
        let service = service(&state);
        let opened = post(&service, "/sign-in", "", "name=holm&password=seven+dry+karabiners").await;
        let sid = cookie(&opened);
        (state, service, sid)
    }

    #[tokio::test]
    async fn an_administrator_makes_a_key_that_is_shown_once_and_revokes_it() {
        let (state, service, sid) = signed_in_as(Role::Administrator).await;
        let nowhere =
            post(&service, "/api-keys", &sid, "purpose=stock+book&role=unit_reporter&unit=NOWHERE").await;
        assert_eq!(nowhere.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert!(text(nowhere).await.contains("There is no unit of this code."));
        let made = text(post(&service, "/api-keys", &sid, "purpose=stock+book&role=board&unit=").await).await;
        let key = made.split("id=\"key\">").nth(1).unwrap().split('<').next().unwrap().to_owned();
        let digest = crate::secrets::Token::parse(&key).expect("a key").digest();
        assert!(state.store().find_api_key(&digest).await.unwrap().is_some());
        let page = text(get(&service, "/api", &sid).await).await;
        assert!(page.contains("stock book") && !page.contains(&key));
        let revoke = format!("/api-keys/{digest}/revoke");
        assert!(page.contains(&format!("href=\"{revoke}\"")), "{page}");
        let asked = text(get(&service, &revoke, &sid).await).await;
        assert!(asked.contains("Revoke this key?") && asked.contains("stock book"), "{asked}");
        assert!(state.store().find_api_key(&digest).await.unwrap().is_some(), "asking revokes nothing");
        let gone = post(&service, &revoke, &sid, "").await;
        assert_eq!(get(&service, &revoke, &sid).await.status(), StatusCode::NOT_FOUND);
        assert_eq!(gone.status(), StatusCode::SEE_OTHER);
        assert!(state.store().find_api_key(&digest).await.unwrap().is_none());
    }

    #[tokio::test]
    async fn an_engineer_reads_how_it_is_done_and_makes_no_key() {
        let (_, service, sid) = signed_in_as(Role::Engineer).await;
        let page = text(get(&service, "/api", &sid).await).await;
        assert!(page.contains("/api/v1/openapi.json") && !page.contains("/api-keys"));
        for address in ["/api-keys", "/api-keys/x/revoke"] {
            let answer = post(&service, address, &sid, "purpose=x&role=board").await;
            assert_eq!(answer.status(), StatusCode::FORBIDDEN);
        }
    }

    #[test]
    fn no_key_administers() {
        let form = KeyForm { purpose: "x".into(), role: "administrator".into(), unit: String::new() };
        assert!(form.read(String::new()).err().is_some_and(|faults| faults.of("role").is_some()));
    }
}
