//! `/sorting/unnamed`: reports that wait, are told alike, and fit no mode.

use axum::extract::State;
use axum::response::Response;
use domain::catalogue::Catalogue;
use domain::permission::{Act, Actor};
use domain::suggestion::{Example, Learned, Unnamed, Unsorted, starters, unnamed};
use serde::Serialize;
use store::{Page as Rows, ReportLine, StoreError};

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::report::form::Offer;
use crate::pages::report::offer::offer;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// Reports that wait which are held against each other, those that have waited longest.
const WAITING: u64 = 400;
/// Confirmed reports that they are held against, the latest.
const CONFIRMED: u64 = 3000;

/// Groups of reports that may be a recurrence without a name.
#[derive(Serialize)]
pub struct UnnamedPage {
    shell: Shell,
    looked_at: String,
    groups: Vec<Group>,
    empty: Option<Empty>,
}

#[derive(Serialize)]
struct Group {
    count: String,
    words: Vec<String>,
    nearest: String,
    make: String,
    reports: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    address: String,
    report_ref: String,
    received: String,
    unit: String,
    item: String,
    story: String,
}

/// Shows the groups.
pub(super) async fn show(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::Sort)?;
    let lines = state.store().waiting_reports(Rows::first(WAITING)).await?;
    let mut known = state.store().confirmed_examples(CONFIRMED).await?;
    known.extend_from_slice(starters());
    let learned = state.learned().await?;
    let offer = offer(state.store()).await?;
    let found = tokio::task::spawn_blocking(move || {
        let groups = groups_of(&learned, &known, &lines, &offer);
        (lines, groups)
    });
    let (lines, groups) = found.await.map_err(|error| StoreError::Database(Box::new(error)))?;
    let catalogue = state.store().catalogue().await?;
    state.page(&UnnamedPage::new(&signed_in.0, &catalogue, &lines, &groups))
}

fn unsorted(line: &ReportLine) -> Unsorted<'_> {
    let report = &line.report;
    Unsorted { unit: &report.unit, narrative: report.narrative.as_deref().unwrap_or_default() }
}

fn groups_of(learned: &Learned, known: &[Example], lines: &[ReportLine], offer: &Offer) -> Vec<Unnamed> {
    let waiting: Vec<Unsorted<'_>> = lines.iter().map(unsorted).collect();
    let of_parts = offer.items.iter().flat_map(|item| item.parts.iter().map(|part| part.1.as_str()));
    let names: Vec<&str> = offer.items.iter().map(|item| item.name.as_str()).chain(of_parts).collect();
    unnamed(learned, known, &waiting, &names)
}

impl UnnamedPage {
    fn new(actor: &Actor, catalogue: &Catalogue, lines: &[ReportLine], groups: &[Unnamed]) -> Self {
        let reports = format::counted(lines.len() as u64, "report that waits", "reports that wait");
        Self {
            shell: Shell::inside("No mode fits", actor, Place::Sorting),
            looked_at: reports,
            groups: groups.iter().map(|group| Group::new(catalogue, lines, group)).collect(),
            empty: groups.is_empty().then(|| {
                Empty::first(
                    "No three reports that wait are told alike without fitting a mode.",
                    "To the queue",
                    "/sorting",
                )
            }),
        }
    }
}

impl Group {
    fn new(catalogue: &Catalogue, lines: &[ReportLine], group: &Unnamed) -> Self {
        let (code, fit) = &group.nearest;
        let name = catalogue.mode(code).map_or("", |mode| mode.name.as_str());
        let phrases = group.words.join("\n");
        Self {
            count: format::counted(group.members.len() as u64, "report", "reports"),
            words: group.words.clone(),
            nearest: format!("{code} {name} fits best, at {}.", format::chance(*fit)),
            make: format!(
                "/catalogue/add?kind={}&field_words={}",
                address::segment(&group.kind),
                address::segment(&phrases)
            ),
            reports: group.members.iter().filter_map(|&member| lines.get(member)).map(row).collect(),
        }
    }
}

fn row(line: &ReportLine) -> Row {
    let report = &line.report;
    Row {
        address: super::of(&report.report_ref),
        report_ref: report.report_ref.clone(),
        received: format::date(report.received_on),
        unit: report.unit.clone(),
        item: report.item_part_no.clone(),
        story: report.narrative.clone().unwrap_or_default(),
    }
}

impl Page for UnnamedPage {
    const TEMPLATE: &'static str = "pages/sorting/unnamed";

    fn samples() -> Vec<Self> {
        let shell = || Shell::sample("No mode fits", Place::Sorting);
        let row = || Row {
            address: "/sorting/K7M4-RT9X".into(),
            report_ref: "K7M4-RT9X".into(),
            received: "3 Mar 2026".into(),
            unit: "COVE-2".into(),
            item: "RC-100".into(),
            story: "whistle came out of its clip".into(),
        };
        let group = |words: &[&str]| Group {
            count: "3 reports".into(),
            words: words.iter().map(|word| (*word).to_owned()).collect(),
            nearest: "ADJ-4 fits best, at 12 %.".into(),
            make: "/catalogue/add?kind=ADJ&field_words=whistle".into(),
            reports: vec![row(), row(), row()],
        };
        let groups = vec![group(&["whistle", "clip"]), group(&[])];
        vec![
            Self { shell: shell(), looked_at: "40 reports that wait".into(), groups, empty: None },
            Self {
                shell: shell(),
                looked_at: "1 report that waits".into(),
                groups: Vec::new(),
                empty: Some(Empty::rest("Nothing of the kind.")),
            },
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mode_that_hardly_fits_is_not_said_to_fit_at_nought() {
        let group = |fit| {
            let nearest = ("ZIP-1".to_owned(), fit);
            let group = Unnamed { members: Vec::new(), words: Vec::new(), kind: "ZIP".to_owned(), nearest };
            Group::new(Catalogue::shipped(), &[], &group).nearest
        };
        assert!(group(0.002).ends_with("fits best, at under 1\u{a0}%."), "{}", group(0.002));
        assert!(group(0.12).ends_with("fits best, at 12\u{a0}%."), "{}", group(0.12));
    }
}
