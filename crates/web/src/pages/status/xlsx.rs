//! The status table as a workbook: numbers and days as such, and how far each change has reached by unit and by size.

use chrono::NaiveDate;
use domain::analysis::{Analysis, Reach, reach_by};
use domain::field::Field;
use rust_xlsxwriter::{Format, Workbook, Worksheet, XlsxError};

use super::line::Line;
use super::owed::Duties;
use super::table::{COLUMNS, Value, row};
use crate::error::AppError;

/// Columns of the sheets about reach.
const REACH: [&str; 7] = [
    "change_no",
    "of",
    "items_in_service",
    "items_without",
    "items_built_to_it",
    "items_retrofitted",
    "share_with_it",
];

/// The file.
///
/// # Errors
/// More rows than a workbook takes.
pub(super) fn write(
    (field, analysis): (&Field, &Analysis),
    lines: &[&Line<'_>],
    duties: &Duties,
    today: NaiveDate,
) -> Result<Vec<u8>, AppError> {
    workbook((field, analysis), lines, duties, today).map_err(AppError::inside)
}

fn workbook(
    (field, analysis): (&Field, &Analysis),
    lines: &[&Line<'_>],
    duties: &Duties,
    today: NaiveDate,
) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    let rows: Vec<Vec<Value>> = lines.iter().map(|line| row(line, duties, today).to_vec()).collect();
    sheet(book.add_worksheet(), "Changes", &COLUMNS, &rows)?;
    let (mut units, mut sizes) = (Vec::new(), Vec::new());
    for line in lines {
        let change_no = &line.record.change.change_no;
        let Some(id) = field.find_change(change_no) else { continue };
        let by = reach_by(field, &analysis.ledger, &field.changes[id]);
        units.extend(
            by.units.iter().map(|(unit, reach)| reach_row(change_no, &field.unit_names[*unit], *reach)),
        );
        sizes.extend(by.sizes.iter().map(|(size, reach)| {
            reach_row(change_no, size.map_or("not known", |size| &field.sizes[size]), *reach)
        }));
    }
    sheet(book.add_worksheet(), "Reach by unit", &REACH, &units)?;
    sheet(book.add_worksheet(), "Reach by size", &REACH, &sizes)?;
    book.save_to_buffer()
}

fn reach_row(change_no: &str, of: &str, reach: Reach) -> Vec<Value> {
    let counts = [reach.in_service, reach.without, reach.built, reach.retrofitted];
    let mut row = vec![Value::Text(change_no.to_owned()), Value::Text(of.to_owned())];
    row.extend(counts.map(|items| Value::Number(items as f64)));
    row.push(reach.share().map_or(Value::Empty, Value::Number));
    row
}

fn sheet(sheet: &mut Worksheet, name: &str, heads: &[&str], rows: &[Vec<Value>]) -> Result<(), XlsxError> {
    let (bold, dated) = (Format::new().set_bold(), Format::new().set_num_format("yyyy-mm-dd"));
    sheet.set_name(name)?;
    sheet.set_freeze_panes(1, 1)?;
    for (at, head) in heads.iter().enumerate() {
        sheet.write_string_with_format(0, at as u16, *head, &bold)?;
    }
    for (down, row) in rows.iter().enumerate() {
        for (across, value) in row.iter().enumerate() {
            let (down, across) = (down as u32 + 1, across as u16);
            match value {
                Value::Empty => {}
                // Text is written as text, so that what begins with an equals sign is no formula.
                Value::Text(text) => _ = sheet.write_string(down, across, text)?,
                Value::Number(number) => _ = sheet.write_number(down, across, *number)?,
                Value::Day(day) => _ = sheet.write_datetime_with_format(down, across, day, &dated)?,
            }
        }
    }
    sheet.autofit();
    Ok(())
}
