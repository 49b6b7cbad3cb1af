//! Where a pack comes from: a folder, a zip, or files sent in; names are checked before anything is opened.

mod zipped;

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Cursor, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use domain::pack::Table;

use super::refused::{REFUSED, REFUSED_OTHERWISE};
use zipped::ZipEntry;

/// How much a pack may unpack to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// All files together, in bytes.
    pub unpacked_bytes: u64,
    /// Times its packed size that a file above 1 MB may unpack to.
    pub ratio: u64,
}

impl Limits {
    /// For packs a person with the machine at hand chooses: 8 GB.
    pub const COMMAND_LINE: Self = Self { unpacked_bytes: 8 << 30, ratio: 200 };
    /// For packs sent in: 512 MB.
    pub const UPLOAD: Self = Self { unpacked_bytes: 512 << 20, ratio: 200 };
}

/// Why a pack can't be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// It holds what a pack doesn't hold.
    #[error("{}", .0.join("\n"))]
    Refused(Vec<String>),
    /// It can't be read.
    #[error("{0}: {1}")]
    Unreadable(String, #[source] io::Error),
}

impl OpenError {
    fn refused(why: impl Into<String>) -> Self {
        Self::Refused(vec![why.into()])
    }
}

/// A pack whose names and sizes are in order.
#[derive(Clone, Debug)]
pub struct PackSource {
    files: BTreeMap<Table, Place>,
}

/// Where one file of a pack is.
#[derive(Clone, Debug)]
enum Place {
    Path(PathBuf),
    Memory(Arc<[u8]>),
    Zipped(ZipEntry),
}

/// A zip on disk or in memory.
#[derive(Clone, Debug)]
enum Bytes {
    Path(PathBuf),
    Memory(Arc<[u8]>),
}

/// What a zip is read through.
trait Seekable: Read + io::Seek {}
impl<T: Read + io::Seek> Seekable for T {}

impl Bytes {
    fn open(&self) -> io::Result<Box<dyn Seekable>> {
        Ok(match self {
            Self::Path(path) => Box::new(io::BufReader::new(File::open(path)?)),
            Self::Memory(bytes) => Box::new(Cursor::new(bytes.clone())),
        })
    }
}

/// Files that other programs leave in folders and zips, and that nobody means; and what an import of one file of the folder
/// left beside it, which holds only rows that were told to be refused.
fn is_litter(name: &str) -> bool {
    name.starts_with('.')
        || name.starts_with(REFUSED_OTHERWISE)
        || matches!(name, "Thumbs.db" | "desktop.ini" | REFUSED)
}

/// The table a file name stands for, or why it stands for none.
fn table_of(name: &str) -> Result<Table, String> {
    if let Some(table) = Table::ALL.iter().find(|table| table.file() == name) {
        return Ok(*table);
    }
    if let Some(table) = Table::ALL.iter().find(|table| table.file().eq_ignore_ascii_case(name)) {
        return Err(format!("{name}: expected the name in small letters, {}", table.file()));
    }
    let files: Vec<String> = Table::ALL.iter().map(|table| table.file()).collect();
    Err(format!("{name}: a pack has no such file; it may hold {}", files.join(", ")))
}

/// Sorts named places by table, or tells every name that is wrong.
fn by_table(places: impl IntoIterator<Item = (String, Place)>) -> Result<PackSource, OpenError> {
    let mut files = BTreeMap::new();
    let mut wrong = Vec::new();
    for (name, place) in places {
        match table_of(&name) {
            Ok(table) if files.contains_key(&table) => wrong.push(format!("{name}: is there twice")),
            Ok(table) => {
                files.insert(table, place);
            }
            Err(why) => wrong.push(why),
        }
    }
    wrong.sort();
    if !wrong.is_empty() {
        return Err(OpenError::Refused(wrong));
    }
    if files.is_empty() {
        return Err(OpenError::refused("holds no file of a pack, such as units.csv"));
    }
    Ok(PackSource { files })
}

impl PackSource {
    /// Opens a folder, a zip of one, or a single file of a pack.
    ///
    /// # Errors
    /// Names that are no part of a pack, a zip that unpacks to more than `limits`, what can't be read.
    pub fn open(path: &Path, limits: Limits) -> Result<Self, OpenError> {
        let unreadable = |error| OpenError::Unreadable(path.display().to_string(), error);
        if path.is_dir() {
            let mut places = Vec::new();
            for entry in std::fs::read_dir(path).map_err(unreadable)? {
                let entry = entry.map_err(unreadable)?;
                let name = entry.file_name().to_string_lossy().into_owned();
                if !is_litter(&name) {
                    places.push((name, Place::Path(entry.path())));
                }
            }
            return by_table(places);
        }
        let mut head = Vec::new();
        File::open(path).and_then(|file| file.take(4).read_to_end(&mut head)).map_err(unreadable)?;
        if head.starts_with(b"PK") {
            return zipped::open(Bytes::Path(path.to_owned()), limits);
        }
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        by_table([(name, Place::Path(path.to_owned()))])
    }

    /// Opens files sent in, by the names they were sent with: a single zip, or the files of a pack.
    ///
    /// # Errors
    /// As [`PackSource::open`].
    pub fn from_files(files: Vec<(String, Vec<u8>)>, limits: Limits) -> Result<Self, OpenError> {
        if let [(_, bytes)] = files.as_slice()
            && bytes.starts_with(b"PK")
        {
            return zipped::open(Bytes::Memory(bytes.as_slice().into()), limits);
        }
        let total: u64 = files.iter().map(|(_, bytes)| bytes.len() as u64).sum();
        if total > limits.unpacked_bytes {
            return Err(OpenError::refused(format!("is larger than {} MB", limits.unpacked_bytes >> 20)));
        }
        let last = |name: &str| name.rsplit(['/', '\\']).next().unwrap_or_default().to_owned();
        by_table(files.into_iter().map(|(name, bytes)| (last(&name), Place::Memory(bytes.into()))))
    }

    /// The tables it has, in order of dependency.
    pub fn tables(&self) -> impl Iterator<Item = Table> {
        self.files.keys().copied()
    }

    /// Reads one file; `None` where the pack has none of that name.
    pub(crate) fn read<T>(
        &self,
        table: Table,
        read: impl FnOnce(&mut dyn Read) -> T,
    ) -> io::Result<Option<T>> {
        Ok(match self.files.get(&table) {
            None => None,
            Some(Place::Path(path)) => Some(read(&mut File::open(path)?)),
            Some(Place::Memory(bytes)) => Some(read(&mut &bytes[..])),
            Some(Place::Zipped(entry)) => Some(entry.read(read)?),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(result: Result<PackSource, OpenError>) -> String {
        result.expect_err("refused").to_string()
    }

    #[test]
    fn a_folder_with_a_strange_file_is_refused_by_its_name() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["units.csv", "Parts.csv", "orders.csv", ".DS_Store"] {
            std::fs::write(folder.path().join(name), "unit\n").expect("written");
        }
        let why = refused(PackSource::open(folder.path(), Limits::COMMAND_LINE));
        let lines: Vec<&str> = why.lines().collect();
        assert_eq!(lines[0], "Parts.csv: expected the name in small letters, parts.csv");
        assert!(
            lines[1].starts_with("orders.csv: a pack has no such file; it may hold modes.csv, units.csv"),
            "{why}"
        );
        assert_eq!(lines.len(), 2);
    }

    #[test]
    fn what_an_import_of_one_file_left_beside_it_is_passed_over() {
        let folder = tempfile::tempdir().expect("a folder");
        let units = folder.path().join("units.csv");
        std::fs::write(&units, "unit\n").expect("written");
        let left = super::super::beside(&units);
        assert_eq!(left.parent(), folder.path().canonicalize().ok().as_deref());
        std::fs::write(&left, "file,line,why,unit,row\n").expect("written");
        std::fs::write(left.with_extension("csv.part"), "file,line,why,unit,row\n").expect("written");
        let source = PackSource::open(folder.path(), Limits::COMMAND_LINE).expect("a pack");
        assert_eq!(source.tables().collect::<Vec<_>>(), [Table::Units]);
        let why = refused(PackSource::open(&left, Limits::COMMAND_LINE));
        assert!(why.starts_with("refused.csv: a pack has no such file"), "asked for by name: {why}");
    }

    #[test]
    fn an_empty_folder_and_a_missing_one_are_told_apart() {
        let folder = tempfile::tempdir().expect("a folder");
        let why = refused(PackSource::open(folder.path(), Limits::COMMAND_LINE));
        assert_eq!(why, "holds no file of a pack, such as units.csv");
        let missing = PackSource::open(&folder.path().join("nowhere"), Limits::COMMAND_LINE);
        assert!(matches!(missing, Err(OpenError::Unreadable(..))));
    }

    #[test]
    fn files_sent_in_lose_the_folders_in_their_names() {
        let files = vec![("C:\\books\\units.csv".to_owned(), b"unit\n".to_vec())];
        let source = PackSource::from_files(files, Limits::UPLOAD).expect("a pack");
        assert_eq!(source.tables().collect::<Vec<_>>(), [Table::Units]);
    }

    #[test]
    fn the_same_file_twice_is_refused() {
        let files = ["a/units.csv", "b/units.csv"].map(|name| (name.to_owned(), b"unit\n".to_vec()));
        assert_eq!(
            refused(PackSource::from_files(files.into(), Limits::UPLOAD)),
            "units.csv: is there twice"
        );
    }
}
