//! One CSV file of the pack being written row by row.

use std::fs::File;
use std::path::Path;

use super::SimulateError;

/// A file of the pack.
pub(super) struct Table {
    name: &'static str,
    writer: csv::Writer<File>,
    rows: u64,
}

impl Table {
    /// Creates the file with its header.
    pub(super) fn create(folder: &Path, name: &'static str, columns: &str) -> Result<Self, SimulateError> {
        let file = File::create(folder.join(name)).map_err(|error| SimulateError::file(name, error))?;
        let mut writer = csv::WriterBuilder::new().buffer_capacity(1 << 16).from_writer(file);
        writer.write_record(columns.split(' ')).map_err(|error| SimulateError::row(name, &error))?;
        Ok(Self { name, writer, rows: 0 })
    }

    /// Adds a row.
    pub(super) fn row<'a>(&mut self, fields: impl IntoIterator<Item = &'a str>) -> Result<(), SimulateError> {
        self.rows += 1;
        self.writer.write_record(fields).map_err(|error| SimulateError::row(self.name, &error))
    }

    /// Writes what is left and says how many rows there are.
    pub(super) fn finish(mut self) -> Result<(&'static str, u64), SimulateError> {
        self.writer.flush().map_err(|error| SimulateError::file(self.name, error))?;
        Ok((self.name, self.rows))
    }
}
