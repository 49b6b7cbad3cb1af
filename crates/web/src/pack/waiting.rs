//! Uploaded packs between check and import: each in a folder with a name nobody guesses, for a day.

mod record;

use std::collections::HashMap;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, TimeDelta, Utc};

pub use record::{FileLine, Record, RefusalLine, Stage, TakenLine};

use super::import::Progress;
use super::refusal::Refusal;
use super::source::{Limits, OpenError, PackSource};
use crate::secrets::Token;

/// How long a pack waits; also how long what never arrived whole must have lain still, longer than any request lasts.
const KEPT: TimeDelta = TimeDelta::days(1);

/// How far each pack is, by name.
type Map = Arc<Mutex<HashMap<String, Progress>>>;

/// The folder of waiting packs, and those that are being brought in.
#[derive(Debug)]
pub struct Waiting {
    folder: PathBuf,
    running: Map,
}

/// A pack that is arriving; its folder goes with it unless it is kept.
#[derive(Debug)]
pub struct Arrival {
    id: String,
    folder: PathBuf,
    kept: bool,
}

/// A pack that is being brought in, for as long as this lives.
#[derive(Debug)]
pub struct Running {
    id: String,
    all: Map,
}

impl Arrival {
    /// The pack's name.
    pub fn id(&self) -> &str {
        &self.id
    }

    /// Where its files are put.
    pub fn files(&self) -> PathBuf {
        self.folder.join("files")
    }

    /// A lone zip becomes the pack; other files are the pack as they lie.
    ///
    /// # Errors
    /// The folder can't be read.
    pub fn settle(&self) -> io::Result<()> {
        let entries = fs::read_dir(self.files())?.collect::<io::Result<Vec<_>>>()?;
        if let [lone] = entries.as_slice() {
            let mut head = Vec::new();
            io::Read::read_to_end(&mut io::Read::take(fs::File::open(lone.path())?, 2), &mut head)?;
            if head == b"PK" {
                fs::rename(lone.path(), self.folder.join(ZIP))?;
            }
        }
        Ok(())
    }
}

impl Drop for Arrival {
    fn drop(&mut self) {
        if !self.kept {
            // What can't be taken away now is swept when it has lain for a day.
            let _ = fs::remove_dir_all(&self.folder);
        }
    }
}

impl Running {
    /// Says how far it is.
    pub fn tell(&self, progress: Progress) {
        lock(&self.all).insert(self.id.clone(), progress);
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        lock(&self.all).remove(&self.id);
    }
}

fn lock(all: &Mutex<HashMap<String, Progress>>) -> MutexGuard<'_, HashMap<String, Progress>> {
    // Progress is shown and nothing rests on it: half of it is as good as none.
    all.lock().unwrap_or_else(PoisonError::into_inner)
}

const ZIP: &str = "pack.zip";
const RECORD: &str = "pack.json";
const REFUSALS: &str = "refusals.csv";

impl Waiting {
    /// Packs under the data folder.
    pub fn new(data_folder: &Path) -> Self {
        Self { folder: data_folder.join("packs"), running: Map::default() }
    }

    /// Makes room for a pack.
    ///
    /// # Errors
    /// The folder can't be made.
    pub fn begin(&self, name: &Token) -> io::Result<Arrival> {
        let id = name.as_str().to_owned();
        let arrival = Arrival { folder: self.folder.join(&id), id, kept: false };
        fs::create_dir_all(arrival.files())?;
        Ok(arrival)
    }

    /// A folder for what is sent out and not kept; what a killed program leaves of it is swept after a day.
    ///
    /// # Errors
    /// It can't be made.
    pub fn scratch(&self) -> io::Result<tempfile::TempDir> {
        fs::create_dir_all(&self.folder)?;
        tempfile::tempdir_in(&self.folder)
    }

    /// Keeps a pack that has arrived and been checked.
    ///
    /// # Errors
    /// It can't be written.
    pub fn keep(&self, mut arrival: Arrival, record: &Record, refusals: &[Refusal]) -> io::Result<()> {
        self.list_refusals(&arrival.id, refusals)?;
        self.note(&arrival.id, record)?;
        arrival.kept = true;
        Ok(())
    }

    /// Writes how far a pack has come, whole or not at all.
    ///
    /// # Errors
    /// It can't be written.
    pub fn note(&self, id: &str, record: &Record) -> io::Result<()> {
        let folder = self.folder.join(id);
        let mut file = tempfile::NamedTempFile::new_in(&folder)?;
        serde_json::to_writer(&mut file, record)?;
        file.flush()?;
        file.persist(folder.join(RECORD))?;
        Ok(())
    }

    /// Writes the list of refusals.
    ///
    /// # Errors
    /// It can't be written.
    pub fn list_refusals(&self, id: &str, refusals: &[Refusal]) -> io::Result<()> {
        let mut writer = csv::Writer::from_path(self.folder.join(id).join(REFUSALS))?;
        for refusal in refusals {
            writer.serialize(RefusalLine::from(refusal))?;
        }
        writer.flush()
    }

    /// A pack by its name; `None` for one that isn't waiting and for a name of another shape.
    ///
    /// # Errors
    /// It can't be read.
    pub fn find(&self, id: &str) -> io::Result<Option<Record>> {
        let Some(name) = Token::parse(id) else { return Ok(None) };
        match fs::read(self.folder.join(name.as_str()).join(RECORD)) {
            Ok(bytes) => Ok(Some(serde_json::from_slice(&bytes)?)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }

    /// The packs of one person, latest first.
    ///
    /// # Errors
    /// They can't be read.
    pub fn list(&self, owner: i64) -> io::Result<Vec<(String, Record)>> {
        let mut found = Vec::new();
        for id in self.ids()? {
            if let Some(record) = self.find(&id)?.filter(|record| record.owner == owner) {
                found.push((id, record));
            }
        }
        found.sort_by_key(|(_, record)| std::cmp::Reverse(record.sent_at()));
        Ok(found)
    }

    /// Some lines of the list of refusals.
    ///
    /// # Errors
    /// They can't be read.
    pub fn refusals(&self, id: &str, skip: usize, most: usize) -> io::Result<Vec<RefusalLine>> {
        let mut reader = csv::Reader::from_path(self.folder.join(id).join(REFUSALS))?;
        Ok(reader.deserialize().skip(skip).take(most).collect::<Result<_, csv::Error>>()?)
    }

    /// Where the list of refusals lies.
    pub fn refusals_file(&self, id: &str) -> PathBuf {
        self.folder.join(id).join(REFUSALS)
    }

    /// Where the rows that an import left out lie, or shall lie.
    pub fn left_out_file(&self, id: &str) -> PathBuf {
        self.folder.join(id).join("refused.csv")
    }

    /// Opens a pack.
    ///
    /// # Errors
    /// What a pack doesn't hold; what can't be read.
    pub fn open(&self, id: &str) -> Result<PackSource, OpenError> {
        let folder = self.folder.join(id);
        let zip = folder.join(ZIP);
        PackSource::open(&if zip.exists() { zip } else { folder.join("files") }, Limits::UPLOAD)
    }

    /// Says that a pack is being brought in; `None` where it is already.
    pub fn start(&self, id: &str) -> Option<Running> {
        let mut all = lock(&self.running);
        if all.contains_key(id) {
            return None;
        }
        all.insert(id.to_owned(), Progress::Staged(0, 0));
        drop(all);
        Some(Running { id: id.to_owned(), all: Arc::clone(&self.running) })
    }

    /// How far a pack is that is being brought in.
    pub fn progress(&self, id: &str) -> Option<Progress> {
        lock(&self.running).get(id).copied()
    }

    /// Takes a pack away.
    ///
    /// # Errors
    /// It can't be.
    pub fn forget(&self, id: &str) -> io::Result<()> {
        match fs::remove_dir_all(self.folder.join(id)) {
            // Somebody else swept it at the same moment.
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
            done => done,
        }
    }

    /// Takes away packs that have waited for more than a day; if asked also what a killed program left: packs that never
    /// arrived whole and exports, where nothing was written for a day. What is younger may be another process's work.
    ///
    /// # Errors
    /// The folder can't be read.
    pub fn sweep(&self, now: DateTime<Utc>, leftovers: bool) -> io::Result<()> {
        for id in self.ids()? {
            let old = match self.find(&id) {
                Ok(Some(record)) => now - record.sent_at() > KEPT && self.progress(&id).is_none(),
                // What can't be looked at goes away at this moment, or is looked at again in an hour.
                Ok(None) => {
                    leftovers && last_written(&self.folder.join(&id)).is_ok_and(|last| now - last > KEPT)
                }
                Err(_) => true,
            };
            if old {
                self.forget(&id)?;
            }
        }
        Ok(())
    }

    fn ids(&self) -> io::Result<Vec<String>> {
        match fs::read_dir(&self.folder) {
            Ok(entries) => {
                entries.map(|entry| Ok(entry?.file_name().to_string_lossy().into_owned())).collect()
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(Vec::new()),
            Err(error) => Err(error),
        }
    }
}

/// When anything was last written in a folder, however deep.
fn last_written(path: &Path) -> io::Result<DateTime<Utc>> {
    let about = fs::symlink_metadata(path)?;
    let mut last: DateTime<Utc> = about.modified()?.into();
    if about.is_dir() {
        for entry in fs::read_dir(path)? {
            last = last.max(last_written(&entry?.path())?);
        }
    }
    Ok(last)
}
