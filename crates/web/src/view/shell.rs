//! The shell around a page: its title, who is signed in and where they may go.

use chrono::{DateTime, Utc};
use domain::language::Language;
use domain::permission::{Act, Actor, Role, may};
use serde::Serialize;

use crate::format;
use crate::tongue::Tongue;

/// Fields that both layouts ask for.
#[derive(Clone, Debug, Serialize)]
pub struct Shell {
    title: String,
    /// What the page is written in.
    tongue: Tongue,
    /// The languages to choose from; none on the engineers' side.
    languages: Vec<Choice>,
    who: Option<Who>,
    places: Vec<Link>,
    /// Of when the figures on the page are.
    books_of: Option<String>,
    refresh: Option<u8>,
    manifest: Option<String>,
}

#[derive(Clone, Debug, Serialize)]
struct Who {
    name: String,
    role: &'static str,
}

/// A language to choose.
#[derive(Clone, Debug, Serialize)]
struct Choice {
    code: &'static str,
    own_name: &'static str,
    here: bool,
}

#[derive(Clone, Debug, Serialize)]
struct Link {
    word: &'static str,
    address: &'static str,
    here: bool,
}

/// The places of the program that its head leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// What waits for me.
    Desk,
    /// The engineer's queue.
    Sorting,
    /// Recurrences.
    Recurrences,
    /// Lots.
    Lots,
    /// What units do until a change reaches them, and what stands beside it.
    Instructions,
    /// Change records.
    Changes,
    /// Meetings of the board.
    Docket,
    /// The program office's table.
    Status,
    /// What has left the house.
    Published,
    /// Books in and out.
    Packs,
    /// Failure modes.
    Catalogue,
    /// Units and their links.
    Units,
    /// People.
    People,
    /// Who did what when.
    Journal,
    /// A page the head doesn't lead to.
    Elsewhere,
}

const PLACES: [(Place, &str, &str, Option<Act<'static>>); 14] = [
    (Place::Desk, "Desk", "/", None),
    (Place::Sorting, "Sorting", "/sorting", Some(Act::Sort)),
    (Place::Recurrences, "Recurrences", "/recurrences", Some(Act::ReadField)),
    (Place::Lots, "Lots", "/lots", Some(Act::ReadField)),
    (Place::Instructions, "Instructions", "/instructions", Some(Act::ReadField)),
    (Place::Changes, "Changes", "/changes", Some(Act::ReadChanges)),
    (Place::Docket, "Docket", "/docket", Some(Act::ReadChanges)),
    (Place::Status, "Status", "/status", Some(Act::ReadChanges)),
    (Place::Published, "Published", "/published", Some(Act::ReadChanges)),
    (Place::Catalogue, "Catalogue", "/catalogue", Some(Act::ReadField)),
    (Place::Packs, "Packs", "/packs", Some(Act::Export)),
    (Place::Units, "Units", "/units", Some(Act::ManageUnitLinks)),
    (Place::People, "People", "/people", Some(Act::ManagePeople)),
    (Place::Journal, "Journal", "/journal", Some(Act::ReadJournal)),
];

/// Where a unit's reporter goes besides.
const OF_A_UNIT: [(&str, &str); 3] =
    [("Report", "/report"), ("Lists", "/reports/upload"), ("Your unit", "/unit")];

impl Shell {
    /// For a page that a signed-in person reads.
    pub fn inside(title: impl Into<String>, actor: &Actor, here: Place) -> Self {
        let may_go = |act: &Option<Act<'_>>| act.as_ref().is_none_or(|act| may(actor, act).is_ok());
        let has_unit = matches!(actor, Actor::Person { role: Role::UnitReporter, unit: Some(_), .. });
        let places = PLACES
            .iter()
            .filter(|(.., act)| may_go(act))
            .map(|(place, word, address, _)| Link { word, address, here: *place == here })
            .chain(OF_A_UNIT.into_iter().filter(|_| has_unit).map(|(word, address)| Link {
                word,
                address,
                here: false,
            }))
            .collect();
        let who = match actor {
            Actor::Person { name, role, .. } => Some(Who { name: name.clone(), role: role_word(*role) }),
            _ => None,
        };
        Self { who, places, ..Self::outside(title) }
    }

    /// For a page that a unit reads, in its tongue.
    pub fn to_unit(title: impl Into<String>, tongue: Tongue) -> Self {
        let choice = |&language: &Language| {
            let (code, own_name) = (language.word(), language.own_name());
            Choice { code, own_name, here: language == tongue.language() }
        };
        Self { tongue, languages: Language::ALL.iter().map(choice).collect(), ..Self::outside(title) }
    }

    /// For a page that anybody may reach: sign-in, an error.
    pub fn outside(title: impl Into<String>) -> Self {
        Self {
            tongue: Tongue::ENGLISH,
            languages: Vec::new(),
            title: title.into(),
            who: None,
            places: Vec::new(),
            books_of: None,
            refresh: None,
            manifest: None,
        }
    }

    /// Says of when the page's figures are.
    pub fn date_books(&mut self, time: DateTime<Utc>) {
        self.books_of = Some(format::moment(time));
    }

    /// The page can be installed on a phone, as its manifest says.
    pub fn installed_by(self, manifest: String) -> Self {
        Self { manifest: Some(manifest), ..self }
    }

    /// Without script the page asks for itself again after so many seconds; with it, its script follows the work.
    pub fn refreshed(self, seconds: u8) -> Self {
        Self { refresh: Some(seconds), ..self }
    }

    /// An engineer's shell for samples.
    pub fn sample(title: &str, here: Place) -> Self {
        let name = "Oda Fell".to_owned();
        Self::inside(title, &Actor::Person { id: 1, name, role: Role::Engineer, unit: None }, here)
    }
}

/// A role as a reader says it.
pub fn role_word(role: Role) -> &'static str {
    match role {
        Role::UnitReporter => "unit",
        Role::Engineer => "engineer",
        Role::Board => "board",
        Role::Administrator => "administrator",
    }
}
