//! `bartack mailbox FOLDER`: reads mails that tell of failures out of a folder, once.

use std::path::PathBuf;

use clap::Args;

use crate::cli::{Outcome, runtime};
use crate::config::Config;
use crate::mailbox;
use crate::state::AppState;

/// What `mailbox` takes.
#[derive(Args)]
pub struct Mailbox {
    /// The folder of .eml files; what was read is moved to `taken` and `refused` in it.
    folder: PathBuf,
}

impl Mailbox {
    /// Reads the folder and says what became of its files.
    pub fn run(self) -> Outcome {
        let config = Config::from_env()?;
        let listen = config.server.listen;
        runtime()?.block_on(async {
            let state = AppState::new(config).await?;
            state.settle_base_url(format!("http://{listen}"));
            let looked = mailbox::look(&state, &self.folder).await;
            state.store().clone().close().await?;
            let looked = looked.map_err(|error| format!("{}: {error}", self.folder.display()))?;
            println!(
                "{} became reports, {} wait for an engineer, {} were read before, {} were refused",
                looked.taken, looked.waiting, looked.known, looked.refused
            );
            if looked.failed > 0 {
                return Err(format!("{} couldn't be taken and lie where they were", looked.failed).into());
            }
            Ok(())
        })
    }
}
