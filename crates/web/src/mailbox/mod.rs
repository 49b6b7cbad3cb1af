//! Reports that come by mail: a folder of `.eml` files is read, each becomes a report, waits for an engineer, or is refused.
//!
//! A mail server or a fetching program puts files into the folder, each under another name first and renamed when it is
//! whole. What was read is moved to `taken` or `refused` beside them; a file that is read twice makes one report, for its
//! Message-ID is its key. The sender's address is what the mail says of itself: the mail server decides whom to believe.

mod letter;
mod take;
#[cfg(test)]
mod tests;
mod words;

use std::io;
use std::path::Path;

use domain::permission::Actor;

use crate::error::AppError;
use crate::mail_folder::{mails, put_away};
use crate::state::AppState;

pub(crate) use take::{Sorted, report_of, send};

/// The largest file that is read at all.
const LARGEST_FILE: u64 = 32 << 20;
/// Files of one look; the rest come at the next.
const AT_ONCE: usize = 100;

/// What became of the files of a folder.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Looked {
    /// Became reports.
    pub(crate) taken: usize,
    /// Wait for an engineer.
    pub(crate) waiting: usize,
    /// Were read before.
    pub(crate) known: usize,
    /// Were refused.
    pub(crate) refused: usize,
    /// Lie where they were, since something of ours failed; they are tried again.
    pub(crate) failed: usize,
}

/// Reads what lies in a folder.
///
/// # Errors
/// The folder can't be read. What fails with one file is logged, and doesn't keep the others.
pub(crate) async fn look(state: &AppState, folder: &Path) -> Result<Looked, AppError> {
    let mut looked = Looked::default();
    for file in mails(folder, AT_ONCE).map_err(AppError::inside)? {
        let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
        match one(state, &file, &name).await {
            Ok(Sorted::Taken) => looked.taken += 1,
            Ok(Sorted::Waiting) => looked.waiting += 1,
            Ok(Sorted::Known) => looked.known += 1,
            Ok(Sorted::Refused(_)) => looked.refused += 1,
            Err(error) => {
                tracing::warn!(file = name, %error, "a mailed report can't be taken; it is tried again");
                looked.failed += 1;
            }
        }
    }
    Ok(looked)
}

/// Takes or refuses one file and puts it away.
async fn one(state: &AppState, file: &Path, name: &str) -> Result<Sorted, AppError> {
    let outcome = match read(file).await.map_err(AppError::inside)? {
        Ok(letter) => take::take(state, letter).await?,
        Err(why) => Sorted::Refused(why),
    };
    if let Sorted::Refused(why) = &outcome {
        let act = ("take", "mailed report", name);
        state.store().enter_refusal(&Actor::Program, state.now(), act, why).await?;
    }
    let to = if matches!(outcome, Sorted::Refused(_)) { "refused" } else { "taken" };
    put_away(file, to).map_err(AppError::inside)?;
    Ok(outcome)
}

/// Reads one file, off the threads that answer readers.
async fn read(file: &Path) -> io::Result<Result<letter::Letter, String>> {
    let size = tokio::fs::metadata(file).await?.len();
    if size > LARGEST_FILE {
        return Ok(Err(format!("it is larger than the {} MB that are read", LARGEST_FILE >> 20)));
    }
    let bytes = tokio::fs::read(file).await?;
    // What makes the parser give up altogether is the mail's fault.
    let read = tokio::task::spawn_blocking(move || letter::open(&bytes)).await;
    Ok(read.unwrap_or_else(|_| Err("it can't be read as a mail".to_owned())))
}
