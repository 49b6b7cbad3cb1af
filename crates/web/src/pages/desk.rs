//! `/`: the desk, a reader's start page, with what waits for them.

mod actions;
mod changes;
mod exhibits;
mod gather;
mod house;
mod recurrences;
mod reports;
mod risks;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use chrono::NaiveDate;
use domain::permission::{Act, Actor, Role, may};
use serde::Serialize;

use self::risks::Risks;
use crate::error::AppError;
use crate::format::{self, MassUnit};
use crate::pages::interim::Order;
use crate::preferences::Preferences;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::templates::Page;
use crate::view::{Empty, Place, Shell};

/// What waits for the reader.
#[derive(Serialize)]
pub struct DeskPage {
    shell: Shell,
    /// What the reader's unit is told to do and has not replied to.
    orders: Vec<Order>,
    /// What is open and of highest risk, for whoever judges it.
    risks: Option<Risks>,
    waiting: Vec<Row>,
    empty: Empty,
    lists: Vec<List>,
    shows_masses: bool,
    mass_unit: &'static str,
    other_mass_unit: &'static str,
    other_mass_unit_value: &'static str,
    /// Where what the reader has open is passed on.
    hand_over: Option<String>,
}

/// How near harm a thing is that waits; the worst comes first, and of the same harm what nobody has read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Harm {
    /// Somebody was hurt.
    Injury {
        /// Whether anybody has looked at it.
        read: bool,
    },
    /// Somebody could have been.
    NearMiss {
        /// Whether anybody has looked at it.
        read: bool,
    },
    /// A release is said to have failed, and nobody says that it could have hurt somebody.
    Release,
    /// Nobody, as far as anybody knows.
    None,
}

impl Harm {
    /// The word beside what is to be done.
    const fn word(self) -> Option<&'static str> {
        match self {
            Self::Injury { .. } => Some("injury"),
            Self::NearMiss { .. } => Some("near miss"),
            Self::Release => Some("failed release"),
            Self::None => None,
        }
    }
}

/// One thing that waits for somebody; nouns hand these to the desk.
#[derive(Clone, Debug)]
pub struct Waiting {
    /// Since when, where that is on record.
    pub since: Option<NaiveDate>,
    /// What is to be done: `sort a report from COVE-2`.
    pub what: String,
    /// What it is about, in a few words.
    pub about: String,
    /// Where it is done.
    pub address: String,
    /// How near harm it is.
    pub harm: Harm,
}

/// Everything that belongs on one desk.
#[derive(Default)]
struct Gathered {
    orders: Vec<Order>,
    risks: Option<Risks>,
    waiting: Vec<Waiting>,
    lists: Vec<List>,
}

/// What is looked at besides.
#[derive(Clone, Serialize)]
struct List {
    head: String,
    entries: Vec<Entry>,
    none: String,
    more: Option<(String, String)>,
}

/// One line of such a list.
#[derive(Clone, Serialize)]
struct Entry {
    date: String,
    name: String,
    address: String,
    words: String,
}

#[derive(Serialize)]
struct Row {
    since: String,
    wait: String,
    what: String,
    about: String,
    address: String,
    harm: Option<&'static str>,
}

impl DeskPage {
    /// The worst harm first, of the same harm what nobody has read; then the oldest wait.
    fn new(actor: &Actor, gathered: Gathered, preferences: Preferences, today: NaiveDate) -> Self {
        let Gathered { orders, risks, mut waiting, lists } = gathered;
        waiting.sort_by_key(|one| (one.harm, one.since));
        let rows = waiting.into_iter().map(|one| Row {
            since: one.since.map_or_else(|| "not known".into(), format::date),
            wait: one.since.map(|since| format::span(since, today)).unwrap_or_default(),
            what: one.what,
            about: one.about,
            address: one.address,
            harm: one.harm.word(),
        });
        let (mass_unit, other_mass_unit) = match preferences.mass_unit {
            MassUnit::Gram => (MassUnit::Gram, MassUnit::Ounce),
            MassUnit::Ounce => (MassUnit::Ounce, MassUnit::Gram),
        };
        Self {
            shell: Shell::inside("Desk", actor, Place::Desk),
            orders,
            risks,
            waiting: rows.collect(),
            empty: first_steps(actor),
            lists,
            shows_masses: !matches!(actor, Actor::Person { role: Role::UnitReporter, .. }),
            mass_unit: mass_unit.noun(),
            other_mass_unit: other_mass_unit.noun(),
            other_mass_unit_value: other_mass_unit.word(),
            hand_over: hand_over(actor),
        }
    }
}

fn hand_over(actor: &Actor) -> Option<String> {
    match actor {
        Actor::Person { id, role: Role::Engineer, .. } if may(actor, &Act::HandOver { of: *id }).is_ok() => {
            Some(format!("/people/{id}/hand-over"))
        }
        _ => None,
    }
}

/// An empty desk says what to do first.
fn first_steps(actor: &Actor) -> Empty {
    match actor {
        Actor::Person { role: Role::UnitReporter, .. } => Empty::rest(
            "Nothing waits for you. Orders to your unit and questions about its reports come here.",
        ),
        Actor::Person { role: Role::Engineer, .. } => Empty::first(
            "Nothing waits for you. If this is a new installation, bring in issue records and reports first.",
            "Load a data pack",
            "/packs",
        ),
        Actor::Person { role: Role::Board, .. } => Empty::first(
            "Nothing waits for your decision. Changes come here when they are submitted.",
            "See where all changes stand",
            "/status",
        ),
        _ => Empty::first(
            "Nothing waits for you. On a new installation, add an engineer first, who brings in the books.",
            "See the people who may sign in",
            "/people",
        ),
    }
}

impl Page for DeskPage {
    const TEMPLATE: &'static str = "pages/desk/desk";

    fn samples() -> Vec<Self> {
        let person = |role| Actor::Person { id: 1, name: "Oda Fell".into(), role, unit: None };
        let today = NaiveDate::from_ymd_opt(2026, 3, 12).unwrap_or_default();
        let waiting = |days: u64, harm| Waiting {
            since: Some(today - chrono::Days::new(days)),
            what: "Sort a report from COVE-2".into(),
            about: "Cable tube came out of its pocket when the release was pulled".into(),
            address: "/sorting/2026-0113".into(),
            harm,
        };
        let chosen = Preferences::default();
        let mut samples: Vec<Self> = Role::ALL
            .iter()
            .map(|role| Self::new(&person(*role), Gathered::default(), chosen, today))
            .collect();
        let ordered = Gathered { orders: Order::samples(), ..Gathered::default() };
        samples.push(Self::new(&person(Role::UnitReporter), ordered, chosen, today));
        let risks = Gathered { risks: Some(Risks::sample(false)), ..Gathered::default() };
        samples.push(Self::new(&person(Role::Engineer), risks, chosen, today));
        let waiting = vec![
            waiting(2, Harm::None),
            waiting(40, Harm::NearMiss { read: true }),
            waiting(3, Harm::NearMiss { read: false }),
            waiting(5, Harm::Injury { read: true }),
            waiting(8, Harm::Release),
            waiting(1, Harm::Injury { read: false }),
            waiting(4, Harm::Injury { read: false }),
            waiting(9, Harm::None),
        ];
        let entry = |date: &str| Entry {
            date: date.into(),
            name: "Pack 7".into(),
            address: "/packs".into(),
            words: "3,914 new rows by Oda Fell".into(),
        };
        let list = |entries, more| List { head: "Books".into(), entries, none: "No pack yet.".into(), more };
        let all = Some(("/packs".to_owned(), "All packs".to_owned()));
        let lists = vec![list(vec![entry("3 Mar 2026"), entry("")], all), list(Vec::new(), None)];
        let gathered = Gathered { waiting, lists, risks: Some(Risks::sample(true)), ..Gathered::default() };
        samples.push(Self::new(&person(Role::Engineer), gathered, chosen, today));
        samples
    }
}

/// This file's addresses.
pub fn routes() -> Router<AppState> {
    Router::new().route("/", get(show))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    preferences: Preferences,
) -> Result<Response, AppError> {
    let gathered = gather::gather(&state, &signed_in.0).await?;
    state.page(&DeskPage::new(&signed_in.0, gathered, preferences, state.today()))
}
