//! `bartack demo`: starts the server with one invented person a role and prints a sign-in link for each.

use std::net::SocketAddr;

use clap::Args;
use domain::permission::Role;

use crate::cli::{Outcome, runtime};
use crate::config::Config;
use crate::people::NewPerson;
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
    let mut links = Vec::new();
    for (sign_in_name, shown_name, post, role, unit) in PEOPLE {
        let person = NewPerson {
            sign_in_name: sign_in_name.to_owned(),
            shown_name: shown_name.to_owned(),
            role,
            unit: unit.map(str::to_owned),
            password_hash: None,
        };
        let id = state.people().add(person).await?;
        let token = state.secrets().token();
        let until = state.now() + chrono::Duration::days(7);
        state.people().add_sign_in_link(&token.digest(), id, until).await?;
        links.push((format!("{shown_name}, {post}"), token));
    }
    Ok(links)
}
