//! `bartack import`: brings the books of a data pack in, all or nothing.

use std::io::{IsTerminal as _, Write as _};
use std::path::PathBuf;

use clap::Args;
use domain::permission::Actor;

use crate::cli::{Outcome, open_store, refusals, runtime};
use crate::clock::Clock;
use crate::pack::{ImportError, ImportOptions, Imported, Limits, PackSource, Progress, beside, import};

/// Rows between two lines of progress where nobody watches a terminal.
const STRIDE: u64 = 200_000;

/// What `import` takes.
#[derive(Args)]
pub struct Import {
    /// The pack: a folder, a zip, or one file of a pack.
    pack: PathBuf,
    /// Take the good rows and write the others to `refused.csv` beside the pack.
    #[arg(long)]
    keep_good: bool,
    /// Refuse books that don't balance.
    #[arg(long)]
    strict: bool,
}

impl Import {
    /// Imports and says what is new.
    pub fn run(self) -> Outcome {
        let source = PackSource::open(&self.pack, Limits::COMMAND_LINE)?;
        let options = ImportOptions {
            by: Actor::Program,
            now: Clock::of_machine().now(),
            refused_to: self.keep_good.then(|| beside(&self.pack)),
            strict: self.strict,
            keep: refusals::SHOWN,
        };
        let result = runtime()?.block_on(async {
            let store = open_store().await?;
            let imported = import(&store, source, options, progress_line()).await;
            Ok::<_, Box<dyn std::error::Error + Send + Sync>>(imported)
        })?;
        match result {
            Ok(imported) => {
                tell(&imported);
                Ok(())
            }
            Err(ImportError::Refused(preview)) => {
                refusals::print(&preview);
                let advice = match (preview.refused_files, preview.unbalanced) {
                    (0, 0) => {
                        "nothing was imported; mend the rows above, or take the others with --keep-good"
                    }
                    (0, _) => {
                        "nothing was imported; mend the books above, or take them as they are without --strict"
                    }
                    _ => "nothing was imported; mend the files above and try again",
                };
                Err(advice.into())
            }
            Err(error) => Err(error.into()),
        }
    }
}

fn tell(imported: &Imported) {
    for taken in &imported.tables {
        print!("{:>9} new in {}", taken.new, taken.table.file());
        if taken.here > 0 {
            print!(", {} already there", taken.here);
        }
        if taken.left.rows > 0 {
            let (rows, lines) = (taken.left.rows, taken.left.named());
            print!(", {rows} with other values, left as the books have them ({lines})");
        }
        if taken.refused > 0 {
            print!(", {} refused", taken.refused);
        }
        println!();
    }
    if let Some(path) = &imported.refused_file {
        println!("refused rows are in {}", path.display());
    }
}

/// One line that moves on a terminal; elsewhere a line now and then.
fn progress_line() -> impl FnMut(Progress) + Send + 'static {
    let moves = std::io::stderr().is_terminal();
    let mut told = 0;
    move |progress| {
        let (text, rows, last) = match progress {
            Progress::Compared(table, rows) => {
                (format!("compared {rows} rows of {} with the books", table.file()), rows, false)
            }
            Progress::Checked(table, rows) => {
                (format!("checked {rows} rows of {}", table.file()), rows, false)
            }
            Progress::Staged(rows, total) => {
                (format!("went through {rows} of {total} rows"), rows, rows == total)
            }
        };
        let mut out = std::io::stderr().lock();
        // Nothing hangs on a line of progress that can't be written.
        let _ = if moves {
            write!(out, "\r{text:<60}{}", if last { "\n" } else { "" }).and_then(|()| out.flush())
        } else if last || rows / STRIDE != told {
            told = rows / STRIDE;
            writeln!(out, "{text}")
        } else {
            Ok(())
        };
    }
}
