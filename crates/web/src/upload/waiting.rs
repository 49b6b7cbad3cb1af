//! Lists between sending the file and deciding what its columns mean: each in a file nobody guesses, for a day.

use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};

use super::Table;
use crate::secrets::Token;

/// How long a list waits.
const KEPT: TimeDelta = TimeDelta::days(1);
/// Lists that one sender may have waiting; the oldest go.
const MOST_WAITING: usize = 5;

/// A list that waits.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct WaitingList {
    /// Who sent it.
    pub(crate) sender: String,
    /// The file's own name.
    pub(crate) file_name: String,
    /// Its digest.
    pub(crate) sha256: String,
    /// When it came.
    pub(crate) sent_at: DateTime<Utc>,
    /// What it holds.
    pub(crate) table: Table,
}

/// The folder of waiting lists.
pub(crate) struct WaitingLists(PathBuf);

impl WaitingLists {
    /// Lists under the data folder.
    pub(crate) fn under(data_folder: &Path) -> Self {
        Self(data_folder.join("lists"))
    }

    fn file(&self, key: &Token) -> PathBuf {
        self.0.join(format!("{}.json", key.as_str()))
    }

    /// Keeps a list, whole or not at all, and takes away what has waited too long.
    ///
    /// # Errors
    /// The folder can't be written.
    pub(crate) fn keep(&self, key: &Token, list: &WaitingList) -> io::Result<()> {
        fs::create_dir_all(&self.0)?;
        self.sweep(list.sent_at, &list.sender)?;
        let mut file = tempfile::NamedTempFile::new_in(&self.0)?;
        serde_json::to_writer(io::BufWriter::new(&mut file), list)?;
        file.flush()?;
        file.persist(self.file(key))?;
        Ok(())
    }

    /// The list of a key, for whoever sent it.
    ///
    /// # Errors
    /// It can't be read.
    pub(crate) fn find(&self, key: &Token, sender: &str) -> io::Result<Option<WaitingList>> {
        match fs::read(self.file(key)) {
            Ok(bytes) => {
                Ok(Some(serde_json::from_slice::<WaitingList>(&bytes)?).filter(|list| list.sender == sender))
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// Takes a list away.
    ///
    /// # Errors
    /// It can't be.
    pub(crate) fn forget(&self, key: &Token) -> io::Result<()> {
        gone(fs::remove_file(self.file(key)))
    }

    fn sweep(&self, now: DateTime<Utc>, sender: &str) -> io::Result<()> {
        let mut own = Vec::new();
        for entry in fs::read_dir(&self.0)? {
            let entry = entry?;
            let (path, old) =
                (entry.path(), now - DateTime::<Utc>::from(entry.metadata()?.modified()?) > KEPT);
            let list =
                fs::read(&path).ok().and_then(|bytes| serde_json::from_slice::<WaitingList>(&bytes).ok());
            match list {
                Some(list) if now - list.sent_at <= KEPT => {
                    if list.sender == sender {
                        own.push((list.sent_at, path));
                    }
                }
                // What is no list is being written at this moment, unless it is old.
                None if !old => {}
                _ => gone(fs::remove_file(path))?,
            }
        }
        own.sort();
        let too_many = (own.len() + 1).saturating_sub(MOST_WAITING);
        own.into_iter().take(too_many).try_for_each(|(_, path)| gone(fs::remove_file(path)))
    }
}

/// Somebody else may have swept it at the same moment.
fn gone(removed: io::Result<()>) -> io::Result<()> {
    match removed {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        done => done,
    }
}
