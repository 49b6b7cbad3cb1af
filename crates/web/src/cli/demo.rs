//! `bartack demo`: starts the server on an invented service's books and prints a sign-in link for each role.

mod after;
mod arrivals;
mod drafts;
mod letters;
mod photograph;
mod story;
#[cfg(test)]
mod tests;

use std::net::SocketAddr;

use chrono::{DateTime, Duration, Utc};

use clap::Args;
use domain::permission::{Actor, Role};
use domain::unit::{Unit, UnitKind};
use store::{NewUnitLink, NewUser};

use crate::cli::{Outcome, runtime};
use crate::config::Config;
use crate::pack::{ImportOptions, Limits, PackSource, import};
use crate::secrets::Token;
use crate::server;
use crate::simulate::{Request, simulate};
use crate::state::AppState;

/// How many times worse the bad lot of the demo fails: enough that it is told on whatever day the books begin, for their days
/// move with the calendar and chance with them.
const BAD_FACTOR: f64 = 8.0;

/// Why the demo can't open.
type Failure = Box<dyn std::error::Error + Send + Sync>;

/// What `demo` takes.
#[derive(Args)]
pub struct Demo {
    /// Where to listen; port 0 takes any free port. Wins over `BARTACK_LISTEN`.
    #[arg(long)]
    listen: Option<SocketAddr>,
}

/// One invented person a role, all of the same invented mountain and coast rescue service.
const PEOPLE: [(&str, &str, &str, Role, Option<&str>); 4] = [
    ("tarn", "Ines Tarn", "store keeper", Role::UnitReporter, Some("COVE-2")),
    ("fell", "Oda Fell", "equipment engineer", Role::Engineer, None),
    ("skerry", "Jon Skerry", "board chair", Role::Board, None),
    ("holm", "Mika Holm", "administrator", Role::Administrator, None),
];

impl Demo {
    /// Serves until interrupted.
    pub fn run(self) -> Outcome {
        let mut config = Config::from_env()?;
        if let Some(listen) = self.listen {
            config.server.listen = listen;
        }
        runtime()?.block_on(async {
            let state = AppState::new(config).await?;
            let begun = state.now() - Duration::days(story::DAYS);
            let request =
                Request { end_date: begun.date_naive(), bad_factor: Some(BAD_FACTOR), ..Request::default() };
            claim(&state).await?;
            books(&state, &request, begun).await?;
            let unit_link = unit_link(&state).await?;
            let links = people_with_links(&state).await?;
            let receipt = story::tell(&state).await?;
            server::serve(state, move |base| {
                println!(
                    "everything here is invented: a mountain and coast rescue service that doesn't exist"
                );
                println!("send a report for {UNIT} here, without signing in:");
                println!("  {base}/report/{}", unit_link.as_str());
                if let Some(receipt) = &receipt {
                    println!("follow one of its reports, sorted and answered, here:");
                    println!("  {base}/follow/{}", receipt.as_str());
                }
                println!("sign in with one of these links (each works once):");
                for (name, token) in &links {
                    println!("  {name:<32} {base}/sign-in/link/{}", token.as_str());
                }
            })
            .await
        })
    }
}

/// The unit whose link is printed.
const UNIT: &str = "COVE-2";

/// The setting that says that books are the demo's.
const BOOKS: &str = "demo books";

/// Makes empty books the demo's, and refuses those of others: what is invented would stay in them for good, and its order to
/// stop using a lot would be mailed to real units.
async fn claim(state: &AppState) -> Result<(), Failure> {
    let store = state.store();
    if store.find_setting(BOOKS).await?.is_some() || store.find_setting(story::TOLD).await?.is_some() {
        return Ok(());
    }
    if !store.list_units().await?.is_empty() || !store.list_users().await?.is_empty() {
        return Err("these books are not the demo's, which writes invented records into them; set \
                    BARTACK_DATA, and DATABASE_URL where that is set, to a place of its own"
            .into());
    }
    Ok(store.set_setting(&Actor::Program, state.now(), BOOKS, "invented").await?)
}

/// Simulates an invented service and takes its books in, once.
async fn books(state: &AppState, request: &Request, now: DateTime<Utc>) -> Result<(), Failure> {
    if !state.store().list_lots().await?.is_empty() {
        return Ok(());
    }
    let folder = tempfile::tempdir()?;
    let pack = folder.path().join("pack");
    simulate(request, &pack)?;
    let options = ImportOptions { by: Actor::Program, now, refused_to: None, strict: false, keep: 10 };
    let source = PackSource::open(&pack, Limits::COMMAND_LINE)?;
    import(state.store(), source, options, |_| {}).await?;
    Ok(())
}

/// A new link for the unit's form; the unit is added where the invented service has none of its name.
async fn unit_link(state: &AppState) -> Result<Token, Failure> {
    let (by, now) = (Actor::Program, state.now());
    if state.store().find_unit(UNIT).await?.is_none() {
        let unit = Unit {
            unit: UNIT.to_owned(),
            name: Some("Cove crew 2".to_owned()),
            kind: UnitKind::Wearing,
            parent_unit: None,
            contact_email: None,
        };
        state.store().add_unit(&by, now, &unit).await?;
    }
    let token = state.secrets().token();
    let link = NewUnitLink { unit: UNIT.to_owned(), token_hash: token.digest(), label: "demo".to_owned() };
    state.store().add_unit_link(&by, now, &link).await?;
    Ok(token)
}

async fn people_with_links(state: &AppState) -> Result<Vec<(String, Token)>, Failure> {
    let (by, now) = (Actor::Program, state.now());
    let mut links = Vec::new();
    for (name, full_name, post, role, unit) in PEOPLE {
        // A demo that is started again finds its people.
        let id = if let Some(user) = state.store().find_user_named(name).await? {
            user.id
        } else {
            let unit = unit.map(str::to_owned);
            let user = NewUser {
                name: name.to_owned(),
                full_name: full_name.to_owned(),
                role,
                unit,
                password_hash: None,
            };
            state.store().add_user(&by, now, &user).await?
        };
        let token = state.secrets().token();
        let until = now + chrono::Duration::days(7);
        state.store().add_sign_in_link(&by, now, &token.digest(), id, until).await?;
        links.push((format!("{full_name}, {post}"), token));
    }
    Ok(links)
}
