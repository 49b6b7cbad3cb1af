//! Writes a pack: a folder or a zip by the name it is given, seen under that name only when it is whole.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use domain::pack::Table;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

use super::sheet::{Sheet, SheetWriter};

/// A pack being written.
pub struct PackWriter {
    goal: PathBuf,
    part: PathBuf,
    zip: Option<Box<ZipWriter<BufWriter<File>>>>,
}

/// A table being written.
pub(crate) type TableWriter<'a> = SheetWriter<Box<dyn Write + Send + 'a>>;

impl PackWriter {
    /// Begins a pack at a path; a zip where the path ends in `.zip`, else a folder.
    ///
    /// # Errors
    /// Something stands there already (an empty folder may), or it can't be written.
    pub fn create(path: &Path) -> io::Result<Self> {
        let is_empty_folder = path.is_dir() && fs::read_dir(path)?.next().is_none();
        if path.exists() && !is_empty_folder {
            let why = format!("{} is there already; choose a new name or move it away", path.display());
            return Err(io::Error::new(io::ErrorKind::AlreadyExists, why));
        }
        let mut name = path.file_name().unwrap_or_default().to_owned();
        name.push(".part");
        let part = path.with_file_name(name);
        if path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("zip")) {
            let zip = ZipWriter::new(BufWriter::new(File::create(&part)?));
            return Ok(Self { goal: path.to_owned(), part, zip: Some(Box::new(zip)) });
        }
        if part.exists() {
            fs::remove_dir_all(&part)?;
        }
        fs::create_dir_all(&part)?;
        Ok(Self { goal: path.to_owned(), part, zip: None })
    }

    /// Begins the table of a noun; `dimensions` are the body dimensions of `people.csv`, by name without unit.
    pub(crate) fn table<T: Sheet>(&mut self, dimensions: &[String]) -> io::Result<TableWriter<'_>> {
        let name = T::TABLE.file();
        let out: Box<dyn Write + Send + '_> = match &mut self.zip {
            Some(zip) => {
                zip.start_file(name, SimpleFileOptions::default().large_file(true))?;
                Box::new(zip.as_mut())
            }
            None => Box::new(File::create(self.part.join(name))?),
        };
        SheetWriter::new::<T>(out, dimensions)
    }

    /// Writes a whole table of rows at hand.
    pub(crate) fn rows<'r, T: Sheet>(&mut self, rows: impl IntoIterator<Item = &'r T>) -> io::Result<()> {
        let mut table = self.table::<T>(&[])?;
        rows.into_iter().try_for_each(|row| table.write(row))?;
        table.finish().map(drop)
    }

    /// Gives the finished pack its name.
    ///
    /// # Errors
    /// What was written can't be brought to the disk or named.
    pub fn finish(self) -> io::Result<()> {
        if let Some(zip) = self.zip {
            let file = zip.finish()?.into_inner().map_err(io::IntoInnerError::into_error)?;
            file.sync_all()?;
        } else {
            for table in Table::ALL {
                let path = self.part.join(table.file());
                if path.exists() {
                    File::open(path)?.sync_all()?;
                }
            }
            if self.goal.is_dir() {
                fs::remove_dir(&self.goal)?;
            }
        }
        fs::rename(&self.part, &self.goal)
    }
}

#[cfg(test)]
mod tests {
    use domain::unit::{Unit, UnitKind};

    use super::*;

    fn unit() -> Unit {
        Unit {
            unit: "COVE-2".to_owned(),
            name: Some("Cove, \"second\" crew".to_owned()),
            kind: UnitKind::Wearing,
            parent_unit: None,
            contact_email: None,
        }
    }

    #[test]
    fn a_folder_and_a_zip_hold_the_same_files() {
        let place = tempfile::tempdir().expect("a folder");
        for name in ["pack", "pack.zip"] {
            let mut pack = PackWriter::create(&place.path().join(name)).expect("begun");
            pack.rows(&[unit()]).expect("written");
            assert!(!place.path().join(name).exists(), "not seen before it is whole");
            pack.finish().expect("finished");
        }
        let text =
            "unit,name,kind,parent_unit,contact_email\nCOVE-2,\"Cove, \"\"second\"\" crew\",wearing,,\n";
        assert_eq!(fs::read_to_string(place.path().join("pack/units.csv")).expect("read"), text);
        let zipped =
            super::super::PackSource::open(&place.path().join("pack.zip"), super::super::Limits::UPLOAD);
        let mut read = String::new();
        zipped
            .expect("a pack")
            .read(Table::Units, |input| input.read_to_string(&mut read).map(drop))
            .expect("opened");
        assert_eq!(read, text);
    }

    #[test]
    fn nothing_is_written_over() {
        let place = tempfile::tempdir().expect("a folder");
        fs::write(place.path().join("pack.zip"), "mine").expect("written");
        let error = PackWriter::create(&place.path().join("pack.zip")).err().expect("refused");
        assert!(error.to_string().ends_with("is there already; choose a new name or move it away"));
        assert!(PackWriter::create(place.path()).is_err());
    }
}
