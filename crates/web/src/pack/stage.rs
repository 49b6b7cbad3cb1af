//! The way of rows into the store: read on one thread, staged on another, few of them waiting in between.

use domain::pack::Table;
use store::Import;
use tokio::sync::mpsc::Sender;

use super::batch::Batch;
use super::read::{RefusedRow, Sink, Stopped};
use super::refused::RefusedFile;

/// Batches that may wait between reading and staging.
pub(crate) const WAITING: usize = 4;

/// Hands rows on to whoever stages them, and refused rows to their file.
pub(crate) struct Sending {
    rows: Sender<Batch>,
    refused_file: Option<RefusedFile>,
    /// Rows refused so far.
    pub(crate) refused: u64,
    /// Whether a whole file was refused.
    pub(crate) refused_whole: bool,
}

impl Sending {
    /// Hands rows to `rows`.
    pub(crate) const fn new(rows: Sender<Batch>, refused_file: Option<RefusedFile>) -> Self {
        Self { rows, refused_file, refused: 0, refused_whole: false }
    }

    /// The file of refused rows.
    pub(crate) fn into_refused_file(self) -> Option<RefusedFile> {
        self.refused_file
    }
}

impl Sink for Sending {
    fn begin(&mut self, _table: Table, header: &[String]) {
        if let Some(file) = &mut self.refused_file {
            file.begin(header);
        }
    }

    fn take(&mut self, batch: Batch, _lines: Vec<u64>) -> Result<(), Stopped> {
        self.rows.blocking_send(batch).map_err(|_| Stopped)
    }

    fn refuse(&mut self, refused: RefusedRow<'_>) {
        self.refused += 1;
        if let Some(file) = &mut self.refused_file {
            file.write(&refused);
        }
    }

    fn refuse_file(&mut self, _table: Table, _why: &str) {
        self.refused_whole = true;
    }
}

/// Stages rows of one table and says how many were new.
pub(crate) async fn stage(import: &mut Import, batch: &Batch) -> store::Result<u64> {
    match batch {
        Batch::Modes(rows) => import.add_modes(rows).await,
        Batch::Units(rows) => import.add_units(rows).await,
        Batch::Use(rows) => import.add_use_patterns(rows).await,
        Batch::Parts(rows) => import.add_parts(rows).await,
        Batch::Sizes(rows) => import.add_size_shares(rows).await,
        Batch::Structure(rows) => import.add_components(rows).await,
        Batch::Weighings(rows) => import.add_weighings(rows).await,
        Batch::Lots(rows) => import.add_lots(rows).await,
        Batch::LotUses(rows) => import.add_lot_uses(rows).await,
        Batch::Serials(rows) => import.add_serials(rows).await,
        Batch::Movements(rows) => import.add_movements(rows).await,
        Batch::Inspections(rows) => import.add_inspections(rows).await,
        Batch::Events(rows) => import.add_events(rows).await,
        Batch::Demand(rows) => import.add_demand(rows).await,
        Batch::Reports(rows) => import.add_reports(rows).await,
        Batch::BenchTests(rows) => import.add_bench_tests(rows).await,
        Batch::Requirements(rows) => import.add_requirements(rows).await,
        Batch::FitRanges(rows) => import.add_fit_ranges(rows).await,
        Batch::People(rows) => import.add_people(rows).await,
        Batch::Changes(rows) => import.add_changes(rows).await,
        Batch::Effectivity(rows) => import.add_effectivity(rows).await,
    }
}
