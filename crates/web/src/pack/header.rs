//! The header row of a file: which column stands where, and what is wrong with it.

use domain::pack::Known;

use super::cells::{Column, Layout};
use super::rows::Row;
use super::sheet::Sheet;

/// Finds the columns of a table in its header row, in any order.
///
/// # Errors
/// Everything wrong with the header: strange, double and missing columns, each by name.
pub(crate) fn layout<T: Sheet>(header: &Row, known: &Known) -> Result<Layout, Vec<String>> {
    let names: Vec<&str> = header.fields().map(str::trim).collect();
    let mut layout = Layout { places: vec![None; T::COLUMNS.len()], dimensions: Vec::new() };
    let mut wrong = Vec::new();
    if let [only] = names.as_slice()
        && only.contains([';', '\t'])
    {
        return Err(vec!["expected commas between the columns".to_owned()]);
    }
    for (place, name) in names.iter().copied().enumerate() {
        if names[..place].contains(&name) {
            wrong.push(format!("column `{name}` is there twice"));
        } else if let Some(column) = T::COLUMNS.iter().position(|column| column.name == name) {
            layout.places[column] = Some(place);
        } else {
            match dimension::<T>(name, known) {
                Ok(dimension) => layout.dimensions.push((dimension, place)),
                Err(why) => wrong.push(why),
            }
        }
    }
    for (column, place) in T::COLUMNS.iter().zip(&layout.places) {
        if column.must && place.is_none() {
            wrong.push(format!("column `{}` is missing", column.name));
        }
    }
    if wrong.is_empty() { Ok(layout) } else { Err(wrong) }
}

fn dimension<T: Sheet>(name: &str, known: &Known) -> Result<String, String> {
    if T::HAS_DIMENSIONS
        && let Some(dimension) = name.strip_suffix("_mm")
    {
        return if known.has_dimension(dimension) {
            Ok(dimension.to_owned())
        } else {
            Err(format!("column `{name}`: no size in fit_ranges.csv has a dimension `{dimension}`"))
        };
    }
    let expected: Vec<&str> = T::COLUMNS.iter().map(|Column { name, .. }| *name).collect();
    Err(format!("column `{name}` is not known; expected {}", expected.join(", ")))
}
