//! `/people/{id}/edit`: what somebody is called and here for; a reporter may come to another unit.

use axum::Router;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use domain::permission::{Act, Actor};
use store::{User, UserEdit};

use super::retire::active;
use super::{AddForm, Fields, unit_exists};
use crate::error::AppError;
use crate::pages::records::FormPage;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Faults, Place, Shell};

/// This file's addresses.
pub(super) fn routes() -> Router<AppState> {
    Router::new().route("/people/{id}/edit", get(show).post(keep))
}

fn page(actor: &Actor, user: &User, form: &AddForm, faults: Faults) -> FormPage {
    let name = &user.full_name;
    let Fields { full_name, role, unit, .. } = Fields::new(form);
    let shell = Shell::inside(format!("Change {name}"), actor, Place::People);
    FormPage::new(shell, format!("Change {name}"), (format!("/people/{}/edit", user.id), "Keep"), faults)
        .about("All people", "/people")
        .says(
            "What they did stays on record under the name they had. They are signed out, and whoever is here for something else may \
             do that alone from then on; what they have open stays theirs, so hand it over first.",
        )
        .ask(full_name)
        .choices(role)
        .ask(unit)
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    let user = active(&state, &signed_in, id).await?;
    let form = AddForm {
        name: user.name.clone(),
        full_name: user.full_name.clone(),
        role: user.role.word().to_owned(),
        unit: user.unit.clone().unwrap_or_default(),
    };
    state.page(&page(&signed_in.0, &user, &form, Faults::default()))
}

async fn keep(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
    Form(sent): Form<AddForm>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ManagePeople)?;
    let user = active(&state, &signed_in, id).await?;
    // The name they sign in by stays.
    let form = AddForm { name: user.name.clone(), ..sent };
    let faults = match form.read() {
        Ok(read) if !unit_exists(&state, read.unit.as_deref()).await? => {
            Faults::one("unit", super::NO_SUCH_UNIT)
        }
        Ok(read) => {
            let edit = UserEdit { full_name: read.full_name, role: read.role, unit: read.unit };
            state.store().edit_user(&signed_in.0, state.now(), id, &edit).await?;
            return Ok(Redirect::to("/people").into_response());
        }
        Err(faults) => faults,
    };
    page(&signed_in.0, &user, &form, faults).refuse(&state)
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::permission::Role;

    use crate::testing::{cookie, get, person, post, service, small_books, state, text};

    #[tokio::test]
    async fn somebody_is_here_for_something_else_from_the_moment_it_is_kept() {
        let state = state().await;
        small_books::bring_in(&state).await;
        let own = person(&state, "holm", Role::Administrator, "seven dry karabiners").await;
        let id = person(&state, "fell", Role::Engineer, "seven dry karabiners").await;
        let service = service(&state);
        let sign_in = async |name: &str| {
            cookie(
                &post(&service, "/sign-in", "", &format!("name={name}&password=seven+dry+karabiners")).await,
            )
        };
        let (holm, fell) = (sign_in("holm").await, sign_in("fell").await);
        assert_eq!(get(&service, "/sorting", &fell).await.status(), StatusCode::OK);

        let address = format!("/people/{id}/edit");
        let list = text(get(&service, "/people", &holm).await).await;
        assert!(list.contains(&format!(r#"<a href="{address}">Change"#)), "{list}");
        let form = text(get(&service, &address, &holm).await).await;
        assert!(form.contains(r#"value="FELL""#) && form.contains(r#"value="engineer" checked"#), "{form}");

        let nowhere =
            post(&service, &address, &holm, "full_name=Oda+Fell&role=unit_reporter&unit=COVE-9").await;
        assert_eq!(nowhere.status(), StatusCode::UNPROCESSABLE_ENTITY);
        let nowhere = text(nowhere).await;
        assert!(nowhere.contains("No unit has this code.") && nowhere.contains("COVE-9"), "{nowhere}");
        assert_eq!(get(&service, "/sorting", &fell).await.status(), StatusCode::OK, "nothing was kept");

        let moved =
            post(&service, &address, &holm, "full_name=Oda+Fell&role=unit_reporter&unit=COVE-2").await;
        assert_eq!(moved.status(), StatusCode::SEE_OTHER);
        assert_eq!(get(&service, "/sorting", &fell).await.status(), StatusCode::SEE_OTHER, "signed out");
        let fell = sign_in("fell").await;
        assert_eq!(get(&service, "/sorting", &fell).await.status(), StatusCode::FORBIDDEN);
        let user = state.store().find_user(id).await.unwrap().unwrap();
        assert_eq!((user.full_name.as_str(), user.role), ("Oda Fell", Role::UnitReporter));
        assert_eq!((user.unit.as_deref(), user.name.as_str()), (Some("COVE-2"), "fell"));

        let own = format!("/people/{own}/edit");
        assert_eq!(get(&service, &own, &holm).await.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(post(&service, &own, &holm, "").await.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(get(&service, &address, &fell).await.status(), StatusCode::FORBIDDEN);
    }
}
