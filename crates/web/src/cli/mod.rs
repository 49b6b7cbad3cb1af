//! The command line: one line and one file a command.

pub mod analyse;
pub mod calc;
pub mod demo;
pub mod evidence;
pub mod export;
pub mod import;
pub mod link;
pub mod mailbox;
mod refusals;
pub mod serve;
pub mod simulate;
pub mod suggest;

use std::io::ErrorKind;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

/// From the first torn seam to the proved change.
#[derive(Parser)]
#[command(name = "bartack", version, about)]
struct Line {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Start the server on the configured address.
    Serve(serve::Serve),
    /// Start the server on an invented organisation's books and print a sign-in link for each role.
    Demo(demo::Demo),
    /// Make a one-time sign-in link.
    Link(link::Link),
    /// Read mails that tell of failures out of a folder, once.
    Mailbox(mailbox::Mailbox),
    /// Write the data pack of an invented service, and its truth beside it.
    Simulate(simulate::Simulate),
    /// Bring the books of a data pack in, all or nothing.
    Import(import::Import),
    /// Write the books as a data pack.
    Export(export::Export),
    /// Verify the evidence that decisions on changes rest on.
    Evidence(evidence::Evidence),
    /// Say what a data pack tells on a date, without a server.
    Analyse(analyse::Analyse),
    /// Say which modes the narratives of a file may tell of, without a server.
    Suggest(suggest::Suggest),
    /// Work one statistical method on lines of JSON, or on options.
    Calc(calc::Calc),
}

/// What a command ends with: its error is printed as one sentence on stderr.
pub type Outcome = Result<(), Box<dyn std::error::Error + Send + Sync>>;

/// Runs the command that was asked for.
pub fn run() -> ExitCode {
    let line = Line::parse();
    crate::server::start_log();
    let outcome = match line.command {
        Command::Serve(command) => command.run(),
        Command::Demo(command) => command.run(),
        Command::Link(command) => command.run(),
        Command::Mailbox(command) => command.run(),
        Command::Simulate(command) => command.run(),
        Command::Import(command) => command.run(),
        Command::Export(command) => command.run(),
        Command::Evidence(command) => command.run(),
        Command::Analyse(command) => command.run(),
        Command::Suggest(command) => command.run(),
        Command::Calc(command) => command.run(),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        // Whoever reads the answers has seen enough.
        Err(error) if is_broken_pipe(error.as_ref()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("bartack: {error}");
            ExitCode::FAILURE
        }
    }
}

fn is_broken_pipe(error: &(dyn std::error::Error + Send + Sync + 'static)) -> bool {
    let kind = error
        .downcast_ref::<std::io::Error>()
        .map(std::io::Error::kind)
        .or_else(|| error.downcast_ref::<serde_json::Error>().and_then(serde_json::Error::io_error_kind));
    kind == Some(ErrorKind::BrokenPipe)
}

/// A tokio runtime for the commands that need one.
fn runtime() -> std::io::Result<tokio::runtime::Runtime> {
    tokio::runtime::Builder::new_multi_thread().enable_all().build()
}

/// The store that the environment names, for the commands that work on it without a server.
async fn open_store() -> Result<store::Store, Box<dyn std::error::Error + Send + Sync>> {
    let storage = crate::config::Config::from_env()?.storage;
    std::fs::create_dir_all(&storage.data_folder)
        .map_err(|error| format!("BARTACK_DATA is {}: {error}", storage.data_folder.display()))?;
    Ok(store::Store::connect(&storage.database_url).await?)
}
