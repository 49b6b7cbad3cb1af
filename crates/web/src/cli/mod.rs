//! The command line: one line and one file a command.

pub mod demo;
pub mod link;
pub mod serve;
pub mod simulate;

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
    /// Write the data pack of an invented service, and its truth beside it.
    Simulate(simulate::Simulate),
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
        Command::Simulate(command) => command.run(),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("bartack: {error}");
            ExitCode::FAILURE
        }
    }
}

/// A tokio runtime for the commands that need one.
fn runtime() -> std::io::Result<tokio::runtime::Runtime> {
    tokio::runtime::Builder::new_multi_thread().enable_all().build()
}
