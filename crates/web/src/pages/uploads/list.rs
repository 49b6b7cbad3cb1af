//! Where a list is sent, and the lists sent before.

use axum::extract::State;
use axum::response::Response;
use domain::permission::{Act, Actor, may};
use serde::Serialize;
use store::{Page as Pages, Upload};

use super::sender::Sender;
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::upload::{LARGEST_FILE, MOST_ROWS};
use crate::view::{Empty, Place, Problem, Shell};

/// Lists shown of those sent before.
const SHOWN: u32 = 50;

/// The page.
#[derive(Serialize)]
pub struct UploadsPage {
    shell: Shell,
    limits: String,
    problem: Option<Problem>,
    lists: Vec<Line>,
    empty: Empty,
}

#[derive(Serialize)]
struct Line {
    address: String,
    file_name: String,
    sent: String,
    by: String,
    reports: String,
    stands: &'static str,
}

pub(super) async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    let sender = Sender::of(&signed_in)?;
    state.page(&page(&state, &signed_in, &sender, None).await?)
}

/// The page, with what was wrong with a file.
pub(super) async fn page(
    state: &AppState,
    signed_in: &SignedIn,
    sender: &Sender,
    problem: Option<String>,
) -> Result<UploadsPage, AppError> {
    let whose = may(&signed_in.0, &Act::Sort).is_err().then_some(sender.key.as_str());
    let lists = state.store().list_uploads(whose, Pages::first(SHOWN.into())).await?;
    Ok(UploadsPage::new(&signed_in.0, &lists, problem))
}

impl UploadsPage {
    fn new(actor: &Actor, lists: &[Upload], problem: Option<String>) -> Self {
        Self {
            shell: Shell::inside("Lists", actor, Place::Elsewhere),
            limits: format!(
                "A CSV file or a workbook (.xlsx), one row a failure, headings above: {} rows and {} MB at most. You say \
                 what its columns mean and see how its rows read before anything is sent.",
                format::count(MOST_ROWS as u64),
                LARGEST_FILE >> 20
            ),
            problem: problem.map(|says| Problem::new("list", says)),
            lists: lists.iter().map(line).collect(),
            empty: Empty::rest("No list has been sent yet."),
        }
    }
}

fn line(list: &Upload) -> Line {
    Line {
        address: format!("/reports/upload/{}", list.id),
        file_name: if list.file_name.is_empty() {
            format!("List {}", list.id)
        } else {
            list.file_name.clone()
        },
        sent: format::moment(list.at),
        by: list.by.clone(),
        reports: format::count(u64::from(list.reports)),
        stands: if list.taken_back.is_some() { "taken back" } else { "sent" },
    }
}

impl Page for UploadsPage {
    const TEMPLATE: &'static str = "pages/uploads/list";

    fn samples() -> Vec<Self> {
        let actor = Actor::Person {
            id: 1,
            name: "Oda Fell".into(),
            role: domain::permission::Role::Engineer,
            unit: None,
        };
        let list = Upload {
            id: 3,
            sender: "unit COVE-2".into(),
            sha256: String::new(),
            file_name: "march <2>.csv".into(),
            reports: 12,
            sent_before: 0,
            refused: 1,
            by: "tarn".into(),
            at: chrono::DateTime::default(),
            taken_back: None,
        };
        vec![
            Self::new(&actor, &[], None),
            Self::new(&actor, &[list], Some("march.csv is empty. Nothing was kept.".into())),
        ]
    }
}
