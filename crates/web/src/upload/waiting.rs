//! Lists between sending the file and deciding what its columns mean: each in a file nobody guesses, for a day.
//!
//! Whose a list is and when it came stands on the first line of its file, the whole list on the second.

use std::fs::{self, File};
use std::io::{self, BufRead as _, BufReader, BufWriter, Read as _, Write as _};
use std::path::{Path, PathBuf};

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};

use super::Table;
use crate::secrets::Token;

/// How long a list waits.
const KEPT: TimeDelta = TimeDelta::days(1);
/// Lists that one sender may have waiting; the oldest go.
const MOST_WAITING: usize = 5;
/// Bytes of a first line that are read.
const LONGEST_FIRST_LINE: u64 = 4 << 10;

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

/// The first line of a list's file: enough to know whether the list has to go, however long it is.
#[derive(Serialize, Deserialize)]
struct FirstLine {
    sender: String,
    sent_at: DateTime<Utc>,
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
        let mut writer = BufWriter::new(&mut file);
        let first = FirstLine { sender: list.sender.clone(), sent_at: list.sent_at };
        serde_json::to_writer(&mut writer, &first)?;
        writer.write_all(b"\n")?;
        serde_json::to_writer(&mut writer, list)?;
        writer.flush()?;
        drop(writer);
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
                let list = bytes.splitn(2, |byte| *byte == b'\n').nth(1).unwrap_or_default();
                Ok(Some(serde_json::from_slice::<WaitingList>(list)?).filter(|list| list.sender == sender))
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
            match first_line(&path) {
                Some(first) if now - first.sent_at <= KEPT => {
                    if first.sender == sender {
                        own.push((first.sent_at, path));
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

/// What the first line of a list's file says; nothing where the file is no list, or not yet.
fn first_line(path: &Path) -> Option<FirstLine> {
    if path.extension()? != "json" {
        return None;
    }
    let mut line = Vec::new();
    let file = File::open(path).ok()?.take(LONGEST_FIRST_LINE);
    BufReader::new(file).read_until(b'\n', &mut line).ok()?;
    serde_json::from_slice(&line).ok()
}

/// Somebody else may have swept it at the same moment.
fn gone(removed: io::Result<()>) -> io::Result<()> {
    match removed {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        done => done,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::secrets::Secrets;

    fn at(hour: i64) -> DateTime<Utc> {
        DateTime::default() + TimeDelta::days(20_000) + TimeDelta::hours(hour)
    }

    fn list(sender: &str, hour: i64) -> WaitingList {
        WaitingList {
            sender: sender.into(),
            file_name: "march.csv".into(),
            sha256: String::new(),
            sent_at: at(hour),
            table: crate::upload::read(b"Date,Item\n2026-03-01,\"RC\n100\"\n").expect("a list"),
        }
    }

    fn keep(lists: &WaitingLists, sender: &str, hour: i64) -> Token {
        let key = Secrets.token();
        lists.keep(&key, &list(sender, hour)).expect("kept");
        key
    }

    fn waits(lists: &WaitingLists, key: &Token, sender: &str) -> bool {
        lists.find(key, sender).expect("read").is_some()
    }

    #[test]
    fn the_sixth_list_of_a_sender_takes_the_place_of_the_oldest_and_a_day_ends_anybodys() {
        let folder = tempfile::tempdir().expect("a folder");
        let lists = WaitingLists::under(folder.path());
        let other = keep(&lists, "unit STORE", 0);
        let own: Vec<Token> = (0..6).map(|hour| keep(&lists, "unit COVE-2", hour)).collect();
        let stand: Vec<bool> = own.iter().map(|key| waits(&lists, key, "unit COVE-2")).collect();
        assert_eq!(stand, [false, true, true, true, true, true]);
        assert!(waits(&lists, &other, "unit STORE") && !waits(&lists, &other, "unit COVE-2"));
        let found = lists.find(&own[5], "unit COVE-2").expect("read").expect("there");
        assert_eq!((found.table, found.sent_at), (list("", 5).table, at(5)));
        // A day and an hour after the first.
        keep(&lists, "user 3", 25);
        let stand: Vec<bool> = own.iter().map(|key| waits(&lists, key, "unit COVE-2")).collect();
        assert_eq!(stand, [false, true, true, true, true, true]);
        assert!(!waits(&lists, &other, "unit STORE"));
    }

    #[test]
    fn what_has_to_go_is_known_by_the_first_line_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        let lists = WaitingLists::under(folder.path());
        let key = keep(&lists, "unit COVE-2", 0);
        let text = fs::read_to_string(lists.file(&key)).expect("read");
        let first = text.lines().next().expect("a line");
        fs::write(lists.file(&key), format!("{first}\nno list at all")).expect("written");
        keep(&lists, "unit STORE", 24);
        assert!(lists.file(&key).exists());
        keep(&lists, "unit STORE", 25);
        assert!(!lists.file(&key).exists());
    }

    #[test]
    fn a_file_that_is_being_written_counts_as_no_list_and_goes_when_it_is_old() {
        let folder = tempfile::tempdir().expect("a folder");
        let lists = WaitingLists::under(folder.path());
        let key = keep(&lists, "unit COVE-2", 0);
        let half = lists.0.join(".tmpHalf");
        fs::copy(lists.file(&key), &half).expect("copied");
        let file = File::options().write(true).open(&half).expect("opened");
        file.set_modified(at(1).into()).expect("set");
        for hour in 1..=5 {
            keep(&lists, "unit COVE-2", hour);
        }
        assert!(half.exists() && !waits(&lists, &key, "unit COVE-2"));
        keep(&lists, "unit COVE-2", 26);
        assert!(!half.exists());
    }
}
