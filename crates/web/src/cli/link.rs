//! `bartack link NAME`: makes a one-time sign-in link, for the first administrator and for a lost password.

use clap::Args;
use domain::permission::{Actor, Role};
use store::NewUser;

use crate::cli::{Outcome, runtime};
use crate::config::Config;
use crate::pages::people::{SIGN_IN_NAME, is_sign_in_name};
use crate::state::AppState;

/// What `link` takes.
#[derive(Args)]
pub struct Link {
    /// The sign-in name.
    name: String,
    /// Add an administrator of this name if nobody has it.
    #[arg(long)]
    new_administrator: bool,
}

impl Link {
    /// Prints the link.
    pub fn run(self) -> Outcome {
        let config = Config::from_env()?;
        let listen = config.server.listen;
        runtime()?.block_on(async {
            let state = AppState::new(config).await?;
            state.settle_base_url(format!("http://{listen}"));
            let (by, now) = (Actor::Program, state.now());
            let id = match state.store().find_user_named(&self.name).await? {
                Some(user) => user.id,
                None if self.new_administrator && !is_sign_in_name(&self.name) => {
                    return Err(format!("`{}` can't be a sign-in name: use {SIGN_IN_NAME}", self.name).into());
                }
                None if self.new_administrator => {
                    let (name, full_name) = (self.name.clone(), self.name.clone());
                    let role = Role::Administrator;
                    let user = NewUser { name, full_name, role, unit: None, password_hash: None };
                    state.store().add_user(&by, now, &user).await?
                }
                None => {
                    let name = &self.name;
                    return Err(format!("nobody signs in as `{name}`; --new-administrator adds them").into());
                }
            };
            let token = state.secrets().token();
            let until = now + chrono::Duration::days(1);
            state.store().add_sign_in_link(&by, now, &token.digest(), id, until).await?;
            println!("{}/sign-in/link/{}", state.base_url(), token.as_str());
            state.store().clone().close().await?;
            Ok(())
        })
    }
}
