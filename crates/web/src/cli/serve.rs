//! `bartack serve`: starts the server and stays until it is told to stop.

use std::net::SocketAddr;

use clap::Args;

use crate::cli::{Outcome, runtime};
use crate::config::Config;
use crate::server;
use crate::state::AppState;

/// What `serve` takes.
#[derive(Args)]
pub struct Serve {
    /// Where to listen; port 0 takes any free port. Wins over `BARTACK_LISTEN`.
    #[arg(long)]
    listen: Option<SocketAddr>,
}

impl Serve {
    /// Serves until interrupted.
    pub fn run(self) -> Outcome {
        let mut config = Config::from_env()?;
        if let Some(listen) = self.listen {
            config.server.listen = listen;
        }
        runtime()?.block_on(async {
            let state = AppState::new(config).await?;
            server::serve(state, |_| {}).await
        })
    }
}
