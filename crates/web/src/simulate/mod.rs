//! An invented rescue service and its field life, written as a data pack with its truth beside it.

mod bench;
mod books;
mod calendar;
mod change;
mod components;
mod design;
mod dice;
mod effectivity;
mod failures;
mod fit;
mod fleet;
mod flow;
mod inspections;
mod labels;
mod life;
mod logistics;
mod lots;
mod masses;
mod narratives;
mod organisation;
mod phrases;
mod product;
mod production;
mod prospect;
mod reporting;
mod request;
mod retrofit;
mod stocktake;
mod table;
mod tally;
#[cfg(test)]
mod tests;
mod truth;
mod world;
mod write;

use std::path::{Path, PathBuf};

pub use request::Request;

/// Why no world was written.
#[derive(Debug, thiserror::Error)]
pub enum SimulateError {
    /// A figure of the request is out of its range.
    #[error("{0}")]
    Request(String),
    /// The built-in design and the catalogue don't fit together.
    #[error("the built-in design: {0}")]
    Design(String),
    /// A file can't be written.
    #[error("can't write {name}: {source}")]
    File {
        /// The file.
        name: &'static str,
        /// What the system said.
        source: std::io::Error,
    },
}

impl SimulateError {
    fn file(name: &'static str, source: std::io::Error) -> Self {
        Self::File { name, source }
    }

    fn row(name: &'static str, error: &csv::Error) -> Self {
        Self::File { name, source: std::io::Error::other(error.to_string()) }
    }
}

/// What was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Summary {
    /// Files of the pack with their numbers of rows, in order of name.
    pub files: Vec<(String, u64)>,
    /// Where the truth stands.
    pub truth: PathBuf,
}

/// Writes the data pack of an invented world to the folder `out`, and its truth to `out` with `.truth.json` added.
///
/// # Errors
/// A request out of range, or a folder that can't be written.
pub fn simulate(request: &Request, out: &Path) -> Result<Summary, SimulateError> {
    request.check().map_err(SimulateError::Request)?;
    std::fs::create_dir_all(out).map_err(|error| SimulateError::file("the pack's folder", error))?;
    let mut world = world::World::draw(request, out)?;
    world.run()?;
    world.bench()?;
    let weighed = masses::weigh(&world.products, &world.change, &mut world.teller);
    let mut files = world.write_standing(out, &weighed)?;
    files.extend(world.write_changes(out)?);
    files.extend(fit::write(out, &world.products, &mut world.teller)?);
    let truth = truth_path(out);
    world.write_truth(&truth, &weighed)?;
    files.extend(world.books.finish()?);
    files.sort_unstable();
    Ok(Summary { files: files.into_iter().map(|(name, rows)| (name.to_owned(), rows)).collect(), truth })
}

/// Where the truth of the pack in `out` stands.
pub fn truth_path(out: &Path) -> PathBuf {
    let mut name = out.as_os_str().to_owned();
    name.push(".truth.json");
    PathBuf::from(name)
}
