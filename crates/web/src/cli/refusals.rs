//! Prints what is wrong with a pack, most useful first, on standard error.

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
    match (preview.refused_files, preview.refused_rows) {
        (0, 0) => {}
        (0, refused) => eprintln!("{refused} of {rows} rows can't be taken."),
        (files, 0) => eprintln!("{files} things are wrong with whole files."),
        (files, refused) => {
            eprintln!(
                "{files} things are wrong with whole files, and {refused} of {rows} rows can't be taken."
            );
        }
    }
    if preview.refusals.len() >= SHOWN {
        eprintln!("Only the first {SHOWN} are shown.");
    }
}
