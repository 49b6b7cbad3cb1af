//! The program `bartack`: reads the command line and hands over.

use std::process::ExitCode;

fn main() -> ExitCode {
    web::cli::run()
}
