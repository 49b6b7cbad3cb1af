//! The status table as a file for any program: plain numbers, empty where nothing is known.

use chrono::NaiveDate;

use super::line::Line;
use super::owed::Duties;
use super::table::{COLUMNS, Value, row};
use crate::error::AppError;
use crate::format::harmless;

/// The file.
///
/// # Errors
/// Memory that can't be written to.
pub(super) fn write(lines: &[&Line<'_>], duties: &Duties, today: NaiveDate) -> Result<Vec<u8>, AppError> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS).map_err(AppError::inside)?;
    for line in lines {
        let cells = row(line, duties, today).map(cell);
        writer.write_record(cells.iter().map(|cell| harmless(cell))).map_err(AppError::inside)?;
    }
    writer.into_inner().map_err(|error| AppError::inside(error.into_error()))
}

fn cell(value: Value) -> String {
    match value {
        Value::Empty => String::new(),
        Value::Text(text) => text,
        Value::Number(number) => number.to_string(),
        Value::Day(day) => day.to_string(),
    }
}
