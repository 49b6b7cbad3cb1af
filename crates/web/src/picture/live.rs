//! What the picture is made from: the study of the field, and where in the books it stands.

use std::sync::Arc;

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use domain::analysis::Study;
use domain::catalogue::Catalogue;
use domain::field::{FieldBuilder, Id as _, ReportId};
use store::{Followed, ReadField, Store, StoreError};

use super::Picture;
use super::progress::Progress;
use crate::clock::Clock;
use crate::config::WatchConfig;

/// The field under study, in step with the books up to a number of the journal.
#[derive(Clone, Debug)]
pub(super) struct Live {
    pub(super) study: Study,
    pub(super) number: i64,
    /// The number and time of the reading it began with, by which two readings are told apart.
    pub(super) made_at: (i64, DateTime<Utc>),
    /// How long that reading took.
    pub(super) took: TimeDelta,
    /// How long the slow figures took to follow, the last time.
    pub(super) caught_up_in: TimeDelta,
    /// Reports taken in since the slow figures began to follow behind the readers.
    pub(super) taken_since: Vec<ReportId>,
    catalogue: Arc<Catalogue>,
    /// The store's number of each report, rising.
    rows: Vec<i64>,
    books_of: DateTime<Utc>,
}

impl Live {
    /// Reads the books and works everything out.
    pub(super) async fn read(
        store: &Store,
        clock: &Clock,
        watch: WatchConfig,
        progress: &Progress,
    ) -> Result<Self, StoreError> {
        let began = clock.now();
        let ReadField { field, catalogue, number, rows } =
            store.read_field(|read, of| progress.tell(read, of)).await?;
        let reports = rows.len() as u64;
        progress.tell(reports, reports);
        let read = clock.now();
        let day = began.date_naive();
        let study = tokio::task::spawn_blocking(move || Study::new(field, day, watch.false_signals_per_year));
        let study = study.await.map_err(|error| StoreError::Database(Box::new(error)))?;
        let done = clock.now();
        tracing::info!(
            reports,
            read_ms = (read - began).num_milliseconds(),
            analysed_ms = (done - read).num_milliseconds(),
            "the books are read"
        );
        Ok(Self {
            study,
            number,
            made_at: (number, began),
            took: done - began,
            caught_up_in: done - read,
            taken_since: Vec::new(),
            catalogue: Arc::new(catalogue),
            rows,
            books_of: began,
        })
    }

    /// The day it is of.
    pub(super) fn as_of(&self) -> NaiveDate {
        self.study.analysis().as_of
    }

    pub(super) fn is_of(&self, (journal_number, today): (i64, NaiveDate)) -> bool {
        self.number >= journal_number && self.as_of() == today
    }

    /// Takes reports in as they stand at a number of the journal, in the order of the store's numbers. Says `false`, and
    /// takes none in, where they name something that isn't known here.
    pub(super) fn take_in(&mut self, number: i64, reports: Vec<Followed>, now: DateTime<Utc>) -> bool {
        let mut builder = FieldBuilder::resume(self.study.field().clone());
        let known = self.rows.len();
        let mut new_rows = Vec::new();
        let mut ids = Vec::with_capacity(reports.len());
        for Followed { row, report, lot_is_chosen } in &reports {
            let taken = match self.rows.binary_search(row) {
                Ok(at) => {
                    ids.push(ReportId::from_index(at));
                    builder.replace_report(ReportId::from_index(at), report, *lot_is_chosen)
                }
                // One that lies between those known was hidden when they were read.
                Err(at) if at < known => return false,
                Err(_) => {
                    ids.push(ReportId::from_index(known + new_rows.len()));
                    new_rows.push(*row);
                    builder.handled_report(report, *lot_is_chosen)
                }
            };
            if taken.is_err() {
                return false;
            }
        }
        self.study.take_in(builder.build(), &ids);
        self.rows.extend(new_rows);
        self.taken_since.extend(ids);
        (self.number, self.books_of) = (number, now);
        true
    }

    /// Puts a study that has caught up in the place of the one it was copied from.
    pub(super) fn put(&mut self, mut study: Study, took: TimeDelta) {
        let taken: Vec<ReportId> = std::mem::take(&mut self.taken_since);
        study.take_in(self.study.field().clone(), &taken);
        self.study = study;
        self.caught_up_in = took;
    }

    pub(super) fn picture(&self) -> Picture {
        Picture {
            field: self.study.field().clone(),
            analysis: Arc::clone(self.study.analysis()),
            catalogue: Arc::clone(&self.catalogue),
            books_of: self.books_of,
            journal_number: self.number,
            is_behind: self.study.is_behind(),
        }
    }
}
