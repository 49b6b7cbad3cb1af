//! `/hand-overs/{id}`: what was passed on, as a list that both sign.

use axum::extract::{Path, State};
use axum::response::Response;
use domain::handover::{HandoverItem, HandoverKind, by_kind};
use domain::permission::{Act, Actor};
use serde::Serialize;
use store::Handover;

use super::user;
use crate::address::{self, segment};
use crate::error::AppError;
use crate::format;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Place, Shell};

/// A hand-over that took place, as a list to sign.
#[derive(Serialize)]
pub struct HandedPage {
    shell: Shell,
    from: String,
    to: String,
    when: String,
    by: String,
    things: String,
    note: Option<String>,
    groups: Vec<Group>,
}

/// Things of one kind.
#[derive(Serialize)]
pub(super) struct Group {
    head: String,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    /// What leads to it.
    name: String,
    /// What is said of it besides.
    says: Option<String>,
    due: String,
    address: String,
}

/// What is passed on, kind by kind.
pub(super) fn groups(items: &[HandoverItem]) -> Vec<Group> {
    let group = |(kind, own): (HandoverKind, Vec<&HandoverItem>)| Group {
        head: counted(kind, own.len()),
        rows: own.into_iter().map(row).collect(),
    };
    by_kind(items, |item| item.kind).into_iter().map(group).collect()
}

/// A kind with how many there are of it; what somebody is mailed is not counted.
pub(super) fn counted(kind: HandoverKind, many: usize) -> String {
    if kind.is_mail() {
        return kind.heading().to_owned();
    }
    format!("{}: {}", kind.heading(), format::count(many as u64))
}

fn row(item: &HandoverItem) -> Row {
    // Several actions have the number of one change: the link of each says what it is.
    let parted = item.title.split_once(": ").filter(|_| item.kind != HandoverKind::Action);
    let (name, says) = parted.map_or((&*item.title, None), |(name, says)| (name, Some(says.to_owned())));
    Row {
        name: name.to_owned(),
        says,
        due: item.due.map(format::date).unwrap_or_default(),
        address: address_of(item),
    }
}

fn address_of(item: &HandoverItem) -> String {
    let key = segment(&item.key);
    // What belongs to a report, lot or part has that before the rest of its key.
    let (first, rest) = item.key.rsplit_once(' ').unwrap_or((&item.key, ""));
    match item.kind {
        HandoverKind::Recurrence => format!("/recurrences/{}/{}", segment(first), segment(rest)),
        HandoverKind::Change => address::change(&item.key),
        HandoverKind::Action => format!("/actions/{key}/done"),
        HandoverKind::Case => format!("/cases/{key}"),
        HandoverKind::Exhibit => format!("/exhibits/{key}"),
        HandoverKind::LotOnHold => format!("/lots/{}", segment(first)),
        HandoverKind::Instruction => format!("/instructions/{key}"),
        HandoverKind::Variance => format!("/variances/{key}"),
        HandoverKind::Question | HandoverKind::Hold => address::report(first),
        HandoverKind::Disclosure => format!("/disclosures/{key}"),
        HandoverKind::OnCall => "/on-call".to_owned(),
        HandoverKind::Digest => "/digest".to_owned(),
    }
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(id): Path<i64>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let found = state.store().find_handover(id).await?;
    let found = found.ok_or_else(|| AppError::NotFound("There is no hand-over of this number.".into()))?;
    // The successor reads it too: to sign what is now theirs.
    if signed_in.may(&Act::HandOver { of: found.from }).is_err() {
        signed_in.may(&Act::HandOver { of: found.to })?;
    }
    let (from, to) = (user(&state, found.from).await?, user(&state, found.to).await?);
    state.page(&HandedPage::new(&signed_in.0, &found, from.full_name, to.full_name))
}

impl HandedPage {
    fn new(actor: &Actor, found: &Handover, from: String, to: String) -> Self {
        Self {
            shell: Shell::inside(format!("Hand-over from {from} to {to}"), actor, Place::Elsewhere),
            from,
            to,
            when: format::moment(found.at),
            by: found.by.clone(),
            things: format::counted(found.items.len() as u64, "thing", "things"),
            note: found.note.clone(),
            groups: groups(&found.items),
        }
    }
}

pub(super) fn sample_items() -> Vec<HandoverItem> {
    let item = |&kind: &HandoverKind| HandoverItem {
        kind,
        key: "RC-131 ZIP-1".into(),
        title: "2026-014: Coated slider".into(),
        due: (kind == HandoverKind::Action).then(chrono::NaiveDate::default),
    };
    HandoverKind::ALL.iter().map(item).collect()
}

impl Page for HandedPage {
    const TEMPLATE: &'static str = "pages/people/handed";

    fn samples() -> Vec<Self> {
        let of = |note: Option<&str>| {
            let found = Handover {
                id: 1,
                from: 1,
                to: 2,
                note: note.map(Into::into),
                by: "Oda Fell".into(),
                at: chrono::DateTime::from_timestamp(1_772_539_200, 0).unwrap_or_default(),
                items: sample_items(),
            };
            let actor = crate::pages::recurrences::sample::engineer();
            Self::new(&actor, &found, "Oda Fell".into(), "Tove Bight".into())
        };
        vec![of(None), of(Some("On leave."))]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_thing_is_found_where_it_is_kept() {
        let at = |kind, key: &str| {
            address_of(&HandoverItem { kind, key: key.into(), title: String::new(), due: None })
        };
        assert_eq!(at(HandoverKind::Recurrence, "RC-131 ZIP-1"), "/recurrences/RC-131/ZIP-1");
        assert_eq!(at(HandoverKind::Question, "K7M4-RT9X 12"), "/reports/K7M4-RT9X");
        assert_eq!(at(HandoverKind::LotOnHold, "TB 0418 3"), "/lots/TB%200418");
        assert_eq!(at(HandoverKind::Exhibit, "E-2026-001"), "/exhibits/E-2026-001");
    }

    #[test]
    fn a_number_leads_to_a_thing_and_words_to_an_action() {
        let parts = |kind| {
            let title = "2026-014: Release drawing 7".to_owned();
            let row = row(&HandoverItem { kind, key: "3".into(), title, due: None });
            (row.name, row.says)
        };
        assert_eq!(parts(HandoverKind::Change), ("2026-014".into(), Some("Release drawing 7".into())));
        assert_eq!(parts(HandoverKind::Action), ("2026-014: Release drawing 7".into(), None));
    }

    #[test]
    fn kinds_are_counted_and_mail_is_not() {
        assert_eq!(counted(HandoverKind::Exhibit, 1_200), "Exhibits: 1,200");
        assert_eq!(counted(HandoverKind::OnCall, 1), "On call");
    }
}
