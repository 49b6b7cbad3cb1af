//! The books of two small invented crews, and the multipart form of a report, for tests of pages.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, Response, header};
use domain::permission::{Actor, Role};
use store::{NewUnitLink, NewUser};
use tower::ServiceExt as _;

use super::{cookie, post};
use crate::pack::{ImportOptions, Limits, PackSource, import};
use crate::state::AppState;

const PASSWORD: &str = "seven dry karabiners";

const FILES: [(&str, &str); 6] = [
    (
        "units.csv",
        "unit,name,kind,contact_email\nCOVE-2,Cove crew 2,wearing,cove@rescue.example\nRIDGE-1,Ridge team,wearing,\n",
    ),
    (
        "parts.csv",
        "part_no,revision,name,kind\n\
         RC-100,A,Rescue carrier,ITEM\nRC-131,A,Front slide fastener,ZIP\nRC-140,A,Release cable,QRC\n",
    ),
    (
        "structure.csv",
        "parent_part_no,parent_revision,child_part_no,child_revision,quantity\n\
         RC-100,A,RC-131,A,1\nRC-100,A,RC-140,A,1\n",
    ),
    ("sizes.csv", "part_no,size,share_per_1000\nRC-100,S,400\nRC-100,M,600\n"),
    (
        "lots.csv",
        "lot_no,part_no,revision,size,made_on,quantity,maker\n\
         TB-0418,RC-100,A,M,2025-01-15,400,Oreval\nTB-0481,RC-100,A,M,2025-03-15,400,Oreval\n",
    ),
    (
        "movements.csv",
        "moved_on,kind,lot_no,unit,quantity\n\
         2025-02-01,issue,TB-0418,COVE-2,40\n2025-04-01,issue,TB-0481,RIDGE-1,40\n",
    ),
];

/// Takes the books in.
pub(crate) async fn bring_in(state: &AppState) {
    let files = FILES.map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()));
    let pack = PackSource::from_files(files.into(), Limits::UPLOAD).unwrap();
    let options =
        ImportOptions { by: Actor::Program, now: state.now(), refused_to: None, strict: false, keep: 10 };
    import(state.store(), pack, options, |_| {}).await.unwrap();
}

/// A new link for a unit, as the secret in its addresses.
pub(crate) async fn link(state: &AppState, unit: &str) -> String {
    let token = state.secrets().token();
    let link = NewUnitLink { unit: unit.into(), token_hash: token.digest(), label: "door".into() };
    state.store().add_unit_link(&Actor::Program, state.now(), &link).await.unwrap();
    token.as_str().to_owned()
}

/// Adds somebody, for a unit or none, and signs them in: their cookie.
pub(crate) async fn signed_in(
    state: &AppState,
    service: &Router,
    name: &str,
    role: Role,
    unit: Option<&str>,
) -> String {
    let password_hash = Some(state.passwords().hash(PASSWORD.to_owned()).await.unwrap());
    let user = NewUser {
        name: name.into(),
        full_name: name.to_uppercase(),
        role,
        unit: unit.map(Into::into),
        password_hash,
    };
    state.store().add_user(&Actor::Program, state.now(), &user).await.unwrap();
    let form = format!("name={name}&password={}", PASSWORD.replace(' ', "+"));
    cookie(&post(service, "/sign-in", "", &form).await)
}

/// Three answers, which are enough, under a form's key made of one digit.
pub(crate) fn three_answers(digit: char) -> Vec<(&'static str, String)> {
    vec![
        ("story", "zipper split climbing out of the boat".into()),
        ("harm", "none".into()),
        ("item", "RC-100".into()),
        ("client_key", digit.to_string().repeat(64)),
    ]
}

/// A report form sent, with photographs.
pub(crate) async fn send(
    service: &Router,
    path: &str,
    cookie: &str,
    answers: &[(&str, String)],
    photos: &[&[u8]],
) -> Response<Body> {
    const EDGE: &str = "edge-of-a-part";
    let mut body = Vec::new();
    for (name, value) in answers {
        let head = format!("--{EDGE}\r\ncontent-disposition: form-data; name=\"{name}\"\r\n\r\n");
        body.extend_from_slice(head.as_bytes());
        body.extend_from_slice(value.as_bytes());
        body.extend_from_slice(b"\r\n");
    }
    for photo in photos {
        let head = format!(
            "--{EDGE}\r\ncontent-disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\
             content-type: image/jpeg\r\n\r\n"
        );
        body.extend_from_slice(head.as_bytes());
        body.extend_from_slice(photo);
        body.extend_from_slice(b"\r\n");
    }
    body.extend_from_slice(format!("--{EDGE}--\r\n").as_bytes());
    let request = Request::post(path)
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, format!("multipart/form-data; boundary={EDGE}"))
        .body(Body::from(body))
        .unwrap();
    service.clone().oneshot(request).await.unwrap()
}

/// The address a response leads to.
pub(crate) fn leads_to(response: &Response<Body>) -> String {
    let to = response.headers().get(header::LOCATION).map(|value| value.to_str().unwrap());
    to.unwrap_or_default().to_owned()
}
