//! `bartack export`: writes the books as a data pack.

use std::path::PathBuf;

use clap::Args;

use crate::cli::{Outcome, open_store, runtime};
use crate::pack::{ExportOptions, export};

/// What `export` takes.
#[derive(Args)]
pub struct Export {
    /// Where to write: a folder, or a zip where the name ends in `.zip`. Nothing may stand there yet.
    out: PathBuf,
    /// Let the mail addresses of units out too.
    #[arg(long)]
    with_contacts: bool,
}

impl Export {
    /// Writes the pack and says where.
    pub fn run(self) -> Outcome {
        let options = ExportOptions { with_contacts: self.with_contacts, ..ExportOptions::default() };
        runtime()?.block_on(async {
            export(&open_store().await?, &self.out, options).await?;
            println!("written to {}", self.out.display());
            Ok(())
        })
    }
}
