//! A pack in a zip: names and unpacked sizes are checked in its directory before any entry is opened.

use std::io::{self, Read};

use zip::ZipArchive;

use super::{Bytes, Limits, OpenError, PackSource, Place, by_table, is_litter};

/// Entries a zip may have; a pack has twenty.
const MOST_ENTRIES: usize = 200;
/// Below this size a file may be packed as tightly as it likes.
const SMALL: u64 = 1 << 20;

/// One file in a zip.
#[derive(Clone, Debug)]
pub(super) struct ZipEntry {
    bytes: Bytes,
    index: usize,
    size: u64,
}

impl ZipEntry {
    /// Unpacks the file into `read`, never more of it than the directory says.
    pub(super) fn read<T>(&self, read: impl FnOnce(&mut dyn Read) -> T) -> io::Result<T> {
        let mut archive = ZipArchive::new(self.bytes.open()?).map_err(io::Error::other)?;
        let entry = archive.by_index(self.index).map_err(io::Error::other)?;
        Ok(read(&mut Bounded { input: entry, left: self.size }))
    }
}

/// Fails where more comes out than was announced.
struct Bounded<R> {
    input: R,
    left: u64,
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let count = self.input.read(into)?;
        self.left = self
            .left
            .checked_sub(count as u64)
            .ok_or_else(|| io::Error::new(io::ErrorKind::InvalidData, "unpacks to more than the zip says"))?;
        Ok(count)
    }
}

/// Opens a zip of a pack: the files of one folder, or at its top.
pub(super) fn open(bytes: Bytes, limits: Limits) -> Result<PackSource, OpenError> {
    let broken =
        |error: &dyn std::fmt::Display| OpenError::refused(format!("is not a zip that can be read: {error}"));
    // What the reader of zips says of it helps nobody.
    let mut archive = ZipArchive::new(bytes.open().map_err(|error| broken(&error))?)
        .map_err(|_| OpenError::refused("is not a zip that can be read, or was cut off on its way"))?;
    if archive.len() > MOST_ENTRIES {
        return Err(OpenError::refused(format!(
            "holds {} entries; a pack has at most twenty files",
            archive.len()
        )));
    }
    if archive.has_overlapping_entries().map_err(|error| broken(&error))? {
        return Err(OpenError::refused("has entries that overlap; this is no honest zip"));
    }
    let (mut places, mut folders, mut total) = (Vec::new(), Vec::new(), 0u64);
    for index in 0..archive.len() {
        let entry = archive.by_index_data(index).map_err(|error| broken(&error))?;
        let name = entry.name().map_err(|error| broken(&error))?.into_owned();
        if entry.is_dir() {
            continue;
        }
        let (folder, file) = inside(&name).map_err(OpenError::refused)?;
        if is_litter(file) || folder.split('/').any(|part| part == "__MACOSX") {
            continue;
        }
        if entry.encrypted() || !entry.is_file() {
            return Err(OpenError::refused(format!("{name}: expected a plain file, without a password")));
        }
        let (size, packed) = (entry.size(), entry.compressed_size());
        if size > SMALL && size / packed.max(1) > limits.ratio {
            let why = "packed too tightly for a file of a pack; send it unpacked if it is one";
            return Err(OpenError::refused(format!("{name}: {packed} bytes would unpack to {size}: {why}")));
        }
        total = total.saturating_add(size);
        folders.push(folder.to_owned());
        places.push((file.to_owned(), Place::Zipped(ZipEntry { bytes: bytes.clone(), index, size })));
    }
    if total > limits.unpacked_bytes {
        let (megabytes, limit) = (total >> 20, limits.unpacked_bytes >> 20);
        return Err(OpenError::refused(format!(
            "would unpack to {megabytes} MB; at most {limit} MB are taken"
        )));
    }
    folders.sort();
    folders.dedup();
    if folders.len() > 1 {
        return Err(OpenError::refused(format!("holds files in several folders: {}", folders.join(", "))));
    }
    by_table(places)
}

/// Splits the name of an entry into folder and file; refuses names that lead out of the zip.
fn inside(name: &str) -> Result<(&str, &str), String> {
    let outside = name.starts_with('/')
        || name.contains(['\\', '\0', ':'])
        || name.split('/').any(|part| part == ".." || part == ".");
    if outside {
        return Err(format!("{name:?}: a name in the zip leads out of it"));
    }
    Ok(name.rsplit_once('/').unwrap_or(("", name)))
}

#[cfg(test)]
mod tests {
    use std::io::{Cursor, Write};

    use domain::pack::Table;
    use zip::write::SimpleFileOptions;

    use super::*;

    fn zip(entries: &[(&str, &[u8])]) -> Vec<u8> {
        let mut writer = zip::ZipWriter::new(Cursor::new(Vec::new()));
        for (name, bytes) in entries {
            writer.start_file(*name, SimpleFileOptions::default()).expect("started");
            writer.write_all(bytes).expect("written");
        }
        writer.finish().expect("finished").into_inner()
    }

    fn open_zip(entries: &[(&str, &[u8])], limits: Limits) -> Result<PackSource, String> {
        PackSource::from_files(vec![("pack.zip".to_owned(), zip(entries))], limits).map_err(|e| e.to_string())
    }

    #[test]
    fn a_zip_of_a_folder_or_of_its_files_opens() {
        for prefix in ["", "pack/"] {
            let name = format!("{prefix}units.csv");
            let litter = "__MACOSX/._units.csv";
            let source = open_zip(&[(&name, b"unit\n"), (litter, b"x")], Limits::UPLOAD).expect("a pack");
            let mut text = String::new();
            let read =
                source.read(Table::Units, |read| read.read_to_string(&mut text).map(|_| ())).expect("opened");
            assert!(matches!(read, Some(Ok(()))));
            assert_eq!(text, "unit\n");
        }
    }

    #[test]
    fn names_that_lead_out_are_refused() {
        for name in ["../units.csv", "/units.csv", "a/../units.csv", "a\\units.csv", "C:units.csv"] {
            let why = open_zip(&[(name, b"unit\n")], Limits::UPLOAD).expect_err("refused");
            assert_eq!(why, format!("{name:?}: a name in the zip leads out of it"));
        }
    }

    #[test]
    fn a_bomb_is_refused_before_it_is_opened() {
        let zeros = vec![b'0'; 8 << 20];
        let why = open_zip(&[("units.csv", &zeros)], Limits::UPLOAD).expect_err("refused");
        assert!(why.starts_with("units.csv: ") && why.contains("would unpack to 8388608"), "{why}");
        let tight = Limits { unpacked_bytes: 4 << 20, ratio: 10_000 };
        let why = open_zip(&[("units.csv", &zeros)], tight).expect_err("refused");
        assert_eq!(why, "would unpack to 8 MB; at most 4 MB are taken");
    }

    #[test]
    fn a_bomb_that_lies_about_its_size_is_stopped_while_reading() {
        let mut bytes = zip(&[("units.csv", &vec![b'0'; 1 << 20])]);
        for at in 0..bytes.len() - 4 {
            if bytes[at..at + 4] == (1u32 << 20).to_le_bytes() {
                bytes[at..at + 4].copy_from_slice(&9u32.to_le_bytes());
            }
        }
        let source =
            PackSource::from_files(vec![("pack.zip".to_owned(), bytes)], Limits::UPLOAD).expect("opens");
        let read = source.read(Table::Units, |read| io::copy(read, &mut io::sink()).map_err(|e| e.kind()));
        assert!(!matches!(read, Ok(Some(Ok(_)))), "{read:?}");
    }

    #[test]
    fn two_folders_are_refused() {
        let why = open_zip(&[("a/units.csv", b"unit\n"), ("b/parts.csv", b"x")], Limits::UPLOAD);
        assert_eq!(why.expect_err("refused"), "holds files in several folders: a, b");
    }

    #[test]
    fn a_file_that_only_begins_like_a_zip_is_refused() {
        let files = vec![("pack.zip".to_owned(), b"PK\x03\x04 and then nothing".to_vec())];
        let why = PackSource::from_files(files, Limits::UPLOAD).expect_err("refused").to_string();
        assert!(why.starts_with("is not a zip that can be read, or was cut off"), "{why}");
    }
}
