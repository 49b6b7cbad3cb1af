//! Writes the books as a pack: every table, in the order the rows came.

use std::collections::BTreeSet;
use std::io;
use std::path::Path;

use domain::person::Person;
use domain::report::Report;
use store::{Store, StoreError};

use super::write::PackWriter;

/// How to export.
#[derive(Clone, Copy, Debug, Default)]
pub struct ExportOptions {
    /// Whether addresses of units go out too.
    pub with_contacts: bool,
    /// Whether failure reports stay here, for whoever may not read what units wrote.
    pub without_reports: bool,
}

/// Why nothing was exported.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// The pack can't be written.
    #[error("can't write the pack: {0}")]
    Write(#[from] io::Error),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Writes the books as they stand at this moment to a folder, or a zip where the path ends in `.zip`. Equal books
/// give equal bytes.
///
/// # Errors
/// Something stands at the path already; it can't be written; the store fails. The path is then as it was.
pub async fn export(store: &Store, out: &Path, options: ExportOptions) -> Result<(), ExportError> {
    let books = store.books().await?;
    let mut pack = PackWriter::create(out)?;
    let catalogue = books.catalogue().await?;
    if catalogue.added().next().is_some() {
        pack.rows(catalogue.added())?;
    }
    let mut units = books.units().await?;
    if !options.with_contacts {
        for unit in &mut units {
            unit.contact_email = None;
        }
    }
    pack.rows(&units)?;
    pack.rows(&books.use_patterns().await?)?;
    pack.rows(&books.parts().await?)?;
    pack.rows(&books.size_shares().await?)?;
    pack.rows(&books.components().await?)?;
    pack.rows(&books.weighings().await?)?;
    pack.rows(&books.lots().await?)?;
    pack.rows(&books.lot_uses().await?)?;
    pack.rows(&books.serials().await?)?;
    pack.rows(&books.movements().await?)?;
    pack.rows(&books.inspections().await?)?;
    pack.rows(&books.events().await?)?;
    pack.rows(&books.demand().await?)?;
    if !options.without_reports {
        let mut reports = pack.table::<Report>(&[])?;
        books.for_each_report(true, |report| reports.write(&report).map_err(ExportError::from)).await?;
        reports.finish()?;
    }
    pack.rows(&books.bench_tests().await?)?;
    pack.rows(&books.requirements().await?)?;
    let fit_ranges = books.fit_ranges().await?;
    pack.rows(&fit_ranges)?;
    let dimensions: BTreeSet<String> = fit_ranges.into_iter().map(|range| range.dimension).collect();
    let mut people = pack.table::<Person>(&dimensions.into_iter().collect::<Vec<_>>())?;
    books.people().await?.iter().try_for_each(|person| people.write(person))?;
    people.finish()?;
    pack.rows(&books.changes().await?)?;
    pack.rows(&books.effectivity().await?)?;
    Ok(pack.finish()?)
}
