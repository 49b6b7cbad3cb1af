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

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use domain::permission::Actor;

use crate::error::AppError;
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
    for file in files(folder).map_err(AppError::inside)? {
        let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
        match one(state, folder, &file, &name).await {
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
async fn one(state: &AppState, folder: &Path, file: &Path, name: &str) -> Result<Sorted, AppError> {
    let outcome = match read(file).await.map_err(AppError::inside)? {
        Ok(letter) => take::take(state, letter).await?,
        Err(why) => Sorted::Refused(why),
    };
    if let Sorted::Refused(why) = &outcome {
        let act = ("take", "mailed report", name);
        state.store().enter_refusal(&Actor::Program, state.now(), act, why).await?;
    }
    let to = if matches!(outcome, Sorted::Refused(_)) { "refused" } else { "taken" };
    put_away(folder, file, to).map_err(AppError::inside)?;
    Ok(outcome)
}

/// The mails of a folder, oldest name first; links and folders are no mails.
fn files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let path = entry.path();
        let is_mail = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("eml"));
        if is_mail && entry.file_type()?.is_file() {
            found.push(path);
        }
    }
    found.sort();
    found.truncate(AT_ONCE);
    Ok(found)
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

/// Moves a file beside the folder's other read ones; a name that is taken there gets a number.
fn put_away(folder: &Path, file: &Path, to: &str) -> io::Result<()> {
    let to = folder.join(to);
    fs::create_dir_all(&to)?;
    let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let free = (0_u32..).map(|n| if n == 0 { to.join(&name) } else { to.join(format!("{n}-{name}")) });
    match free.into_iter().find(|path| !path.exists()) {
        Some(path) => fs::rename(file, path),
        None => Ok(()),
    }
}
