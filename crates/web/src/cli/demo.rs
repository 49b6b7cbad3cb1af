//! `bartack demo`: starts the server with one invented person a role and prints a sign-in link for each.

use std::net::SocketAddr;

use clap::Args;
use domain::permission::{Actor, Role};
use store::NewUser;

use crate::cli::{Outcome, runtime};
use crate::config::Config;
use crate::secrets::Token;
use crate::server;
use crate::state::AppState;

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
            let links = people_with_links(&state).await?;
            server::serve(state, move |base| {
                println!("sign in with one of these links (each works once):");
                for (name, token) in &links {
                    println!("  {name:<32} {base}/sign-in/link/{}", token.as_str());
                }
            })
            .await
        })
    }
}

async fn people_with_links(
    state: &AppState,
) -> Result<Vec<(String, Token)>, Box<dyn std::error::Error + Send + Sync>> {
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
