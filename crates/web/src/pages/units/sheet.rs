//! One unit: its links, the form to make one, and the page that asks before one is revoked.

use std::collections::HashMap;

use chrono::{DateTime, Utc};
use domain::language::Language;
use domain::permission::{Act, Actor, may};
use domain::unit::Unit;
use serde::Serialize;
use store::{ReportLine, UnitLink};

use crate::address;
use crate::format;
use crate::templates::Page;
use crate::view::{Ask, Choice, Choices, Place, Shell};

/// Reports on the sheet.
pub(super) const LATEST: u64 = 20;

/// The sheet.
#[derive(Serialize)]
pub struct UnitSheet {
    shell: Shell,
    unit: String,
    name: Option<String>,
    address: String,
    links: Vec<Row>,
    /// Whether the reader may read what units report.
    hears: bool,
    reports: Vec<Latest>,
    more: bool,
    label: Ask,
    language: Choices,
}

/// One of the unit's reports.
#[derive(Serialize)]
struct Latest {
    address: String,
    report_ref: String,
    date: String,
    stands: &'static str,
    story: String,
}

#[derive(Serialize)]
struct Row {
    label: String,
    made: String,
    by: String,
    last: Option<String>,
    revoked: Option<String>,
    revoke: String,
}

/// Asks before a link is revoked.
#[derive(Serialize)]
pub struct RevokePage {
    shell: Shell,
    unit: String,
    label: String,
    made: String,
    action: String,
    back: String,
}

fn revoke_address(link: &UnitLink) -> String {
    format!("{}/links/{}/revoke", super::of(&link.unit), link.id)
}

fn day(time: DateTime<Utc>) -> String {
    format::date(time.date_naive())
}

impl UnitSheet {
    /// A unit with its links and when each last brought a report.
    pub fn new(actor: &Actor, unit: &Unit, links: &[UnitLink], last: &HashMap<i64, DateTime<Utc>>) -> Self {
        let rows = links.iter().map(|link| Row {
            label: link.label.clone(),
            made: day(link.made_at),
            by: link.made_by.clone(),
            last: last.get(&link.id).copied().map(day),
            revoked: link.revoked_at.map(day),
            revoke: revoke_address(link),
        });
        Self {
            shell: Shell::inside(format!("Unit {}", unit.unit), actor, Place::Units),
            unit: unit.unit.clone(),
            name: unit.name.clone(),
            address: super::of(&unit.unit),
            links: rows.collect(),
            hears: hears(actor, unit),
            reports: Vec::new(),
            more: false,
            label: label("", None),
            language: languages(""),
        }
    }

    /// Its latest reports, for who may read them.
    pub fn with_reports(mut self, lines: &[ReportLine]) -> Self {
        let latest = lines.iter().map(|line| Latest {
            address: address::report(&line.report.report_ref),
            report_ref: line.report.report_ref.clone(),
            date: format::date(line.report.received_on),
            stands: line.state.word(),
            story: line.report.narrative.clone().unwrap_or_default(),
        });
        self.reports = if self.hears { latest.collect() } else { Vec::new() };
        self.more = lines.len() as u64 == LATEST;
        self
    }

    /// The form as it was typed and what is wrong with it.
    pub fn with_form(mut self, typed: &str, wrong: Option<&str>) -> Self {
        self.label = label(typed, wrong);
        self
    }

    /// The language that was chosen, by its word.
    pub fn in_language(mut self, chosen: &str) -> Self {
        self.language = languages(chosen);
        self
    }
}

/// Whether somebody may read what a unit reports.
pub(super) fn hears(actor: &Actor, unit: &Unit) -> bool {
    may(actor, &Act::ReadUnitReports { unit: &unit.unit }).is_ok()
}

/// In which language the paper is printed: the one chosen, English to begin with.
pub(super) fn languages(chosen: &str) -> Choices {
    let chosen = chosen.parse().unwrap_or(Language::English);
    let choice = |&language: &Language| Choice::new(language.word(), language.own_name(), language == chosen);
    Choices::one("language", "Language of the paper", Language::ALL.iter().map(choice).collect())
}

fn label(typed: &str, wrong: Option<&str>) -> Ask {
    let ask = Ask::text("label", "Where will it hang?", typed);
    ask.hint("Such as: store room door. So that you know later which one to revoke.")
        .required()
        .problem(wrong)
}

impl RevokePage {
    /// For one link.
    pub fn new(actor: &Actor, link: &UnitLink) -> Self {
        Self {
            shell: Shell::inside("Revoke a link", actor, Place::Units),
            unit: link.unit.clone(),
            label: link.label.clone(),
            made: day(link.made_at),
            action: revoke_address(link),
            back: super::of(&link.unit),
        }
    }
}

fn sample(id: i64, revoked: bool) -> UnitLink {
    UnitLink {
        id,
        unit: "COVE-2".into(),
        label: "store room door".into(),
        made_by: "Oda Fell".into(),
        made_at: DateTime::UNIX_EPOCH,
        revoked_at: revoked.then_some(DateTime::UNIX_EPOCH),
    }
}

impl Page for UnitSheet {
    const TEMPLATE: &'static str = "pages/units/sheet";

    fn samples() -> Vec<Self> {
        let page = |name: Option<&str>, links: &[UnitLink], wrong: Option<&str>| {
            let name = name.map(str::to_owned);
            let (unit, kind) = ("COVE-2".to_owned(), domain::unit::UnitKind::Wearing);
            let unit = Unit { unit, name, kind, parent_unit: None, contact_email: None };
            let last = HashMap::from([(1, DateTime::UNIX_EPOCH)]);
            Self::new(&Actor::Anybody, &unit, links, &last).with_form("", wrong)
        };
        let links = [sample(1, false), sample(2, false), sample(3, true)];
        let mut full = page(Some("Cove crew 2"), &links, Some("Write where it will hang."));
        full.hears = true;
        full.reports.push(Latest {
            address: address::report("R-1"),
            report_ref: "R-1".into(),
            date: day(DateTime::UNIX_EPOCH),
            stands: "sorted",
            story: "The tube pulled out.".into(),
        });
        vec![page(None, &[], None), full]
    }
}

impl Page for RevokePage {
    const TEMPLATE: &'static str = "pages/units/revoke";

    fn samples() -> Vec<Self> {
        vec![Self::new(&Actor::Anybody, &sample(1, false))]
    }
}
