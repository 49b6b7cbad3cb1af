//! Prints what is wrong with a pack, most useful first, on standard error.

use crate::format;
use crate::pack::Preview;

/// Refusals printed; all are counted.
pub(crate) const SHOWN: usize = 50;

/// Prints the refusals of a pack and how many there are.
pub(crate) fn print(preview: &Preview) {
    for refusal in &preview.refusals {
        eprintln!("{refusal}");
    }
    let rows = preview.rows();
    if preview.unbalanced > 0 {
        eprintln!("{} lines of the books don't balance.", preview.unbalanced);
    }
    let of_files = format::counted(preview.refused_files, "whole file is", "whole files are");
    match (preview.refused_files, preview.refused_rows) {
        (0, 0) => {}
        (0, refused) => eprintln!("{refused} of {rows} rows can't be taken."),
        (_, 0) => eprintln!("{of_files} wrong."),
        (_, refused) => eprintln!("{of_files} wrong, and {refused} of {rows} rows can't be taken."),
    }
    if preview.refused_rows > preview.refusals.len() as u64 {
        eprintln!("The first of each file are shown. What one file lacks is often what rows of others name.");
    }
}
