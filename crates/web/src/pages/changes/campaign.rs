//! `/changes/{no}/campaign`: how far a retrofit has come at each unit.

use axum::extract::{Path, State};
use axum::response::Response;
use domain::analysis::{Progress, campaign};
use domain::change_record::{Disposition, Retrofit};
use domain::field::Day;
use domain::permission::{Act, Actor};
use serde::Serialize;

use super::load::Loaded;
use super::sections::lists::retrofit_words;
use super::{sample, seam};
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell, Thread};

/// The page.
#[derive(Serialize)]
pub struct CampaignPage {
    shell: Shell,
    thread: Thread,
    about: String,
    back: String,
    what: &'static str,
    empty: Option<Empty>,
    lead: String,
    silent: Option<String>,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    unit: String,
    to_go: String,
    converted: String,
    built: String,
    not_told: String,
    heard: String,
    silent: bool,
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(no): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadChanges)?;
    let loaded = Loaded::find(&state, &no).await?;
    state.page(&CampaignPage::new(&signed_in.0, &loaded))
}

/// When the campaign began: with the first approval, else with the cut-in.
fn began(loaded: &Loaded) -> Option<chrono::NaiveDate> {
    let approves =
        |disposition| matches!(disposition, Disposition::Approve | Disposition::ApproveWithConditions);
    let mut decisions = loaded.record.decisions.iter().filter(|one| approves(one.decided.disposition));
    decisions.next().map(|one| one.at.date_naive()).or(loaded.record.change.cut_in_on)
}

impl CampaignPage {
    fn new(actor: &Actor, loaded: &Loaded) -> Self {
        let change = &loaded.record.change;
        let retrofit = loaded.record.body.as_ref().and_then(|body| body.retrofit);
        let field = &loaded.picture.field;
        let mut page = Self {
            shell: Shell::inside(format!("{}: retrofit by unit", change.change_no), actor, Place::Changes),
            thread: seam::thread(actor, loaded),
            about: format!("{} {}", change.change_no, change.title),
            back: address::change(&change.change_no),
            what: retrofit
                .map_or("What happens to issued items is not stated.", |r| retrofit_words(r.word())),
            empty: None,
            lead: String::new(),
            silent: None,
            rows: Vec::new(),
        };
        let (Some(began), Some(id)) = (began(loaded), field.find_change(&change.change_no)) else {
            page.empty = Some(Empty::rest("No retrofit runs before the board has approved the change."));
            return page;
        };
        let (rows, total) = campaign(field, &loaded.picture.analysis.ledger, id, Day::from(began));
        page.lead = lead(&total, began, retrofit);
        let silent: Vec<&(_, Progress)> = rows.iter().filter(|(_, p)| p.is_not_heard_of()).collect();
        page.silent = (!silent.is_empty()).then(|| {
            let items = silent.iter().map(|(_, progress)| progress.to_go).sum();
            format!(
                "Not heard of since then: {} with {} to go.",
                format::counted(silent.len() as u64, "unit", "units"),
                format::counted(items, "item", "items")
            )
        });
        page.rows = rows
            .into_iter()
            .map(|(unit, progress)| Row {
                unit: field.unit_names[unit].to_owned(),
                to_go: format::count(progress.to_go),
                converted: format::count(progress.converted),
                built: format::count(progress.built),
                not_told: format::count(progress.not_told),
                silent: progress.is_not_heard_of(),
                heard: progress.last_heard.map_or_else(|| "nothing".into(), |day| format::date(day.date())),
            })
            .collect();
        if page.rows.is_empty() {
            page.empty = Some(Empty::rest("No item that holds the part is on record as in service."));
        }
        page
    }
}

fn lead(total: &Progress, began: chrono::NaiveDate, retrofit: Option<Retrofit>) -> String {
    let converts = matches!(retrofit, Some(Retrofit::OnReturn | Retrofit::RecallAll));
    let share = total.share().filter(|_| converts || total.converted > 0);
    let share = share.map_or_else(String::new, |share| {
        format!(
            "{} of {} issued items are converted ({}). ",
            format::count(total.converted),
            format::count(total.converted + total.to_go),
            format::percent(share, 0)
        )
    });
    format!(
        "Since {}. {share}{} to go, {} built to the change.",
        format::date(began),
        format::counted(total.to_go, "item", "items"),
        format::counted(total.built, "item", "items")
    )
}

impl Page for CampaignPage {
    const TEMPLATE: &'static str = "pages/changes/campaign";

    fn samples() -> Vec<Self> {
        let engineer = crate::pages::recurrences::sample::engineer();
        sample::loaded().iter().map(|loaded| Self::new(&engineer, loaded)).collect()
    }
}
