//! Following the books: the field as read at one number of the journal, and the reports that have changed since another.

use std::collections::BTreeSet;

use domain::catalogue::Catalogue;
use domain::field::{Field, FieldBuilder};
use domain::report::Report;
use sea_orm::entity::prelude::*;
use sea_orm::sea_query::IntoCondition as _;
use sea_orm::{Condition, QueryOrder as _, QuerySelect as _};

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::field::{load_lots, load_parts, load_plans};
use crate::stored::{ASKED_AT_ONCE, Stored as _, find};
use crate::{handling, journal, report};

/// How often reading says how far it is, in reports.
const TOLD_EVERY: u64 = 20_000;

/// The field as it stood at one number of the journal.
pub struct ReadField {
    /// The field.
    pub field: Field,
    /// The catalogue whose modes it knows.
    pub catalogue: Catalogue,
    /// The number.
    pub number: i64,
    /// The store's own number of each report of the field, rising, in the field's order.
    pub rows: Vec<i64>,
}

/// A report as it stands now.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// The store's own number of it.
    pub row: i64,
    /// The report.
    pub report: Report,
    /// Whether a person chose its lot, which then stands where the label's text was.
    pub lot_is_chosen: bool,
}

/// What has changed since a number of the journal.
#[derive(Debug, PartialEq)]
pub enum Since {
    /// Nothing but reports up to `number`, in the order of the store's own numbers.
    Reports {
        /// The number of the journal up to which was looked.
        number: i64,
        /// The reports.
        reports: Vec<Followed>,
    },
    /// Something else.
    Other,
}

impl Store {
    /// Reads the field and its catalogue, and says now and then how many reports it has read, and of about how many.
    ///
    /// # Errors
    /// As for [`Store::load_field`].
    pub async fn read_field(&self, mut told: impl FnMut(u64, u64) + Send) -> Result<ReadField> {
        let books = self.books().await?;
        let number = number(&books.snapshot).await?;
        let of = report::Entity::find().count(&books.snapshot).await?;
        told(0, of);
        let catalogue = books.catalogue().await?;
        let mut builder = FieldBuilder::new(&catalogue);
        load_parts(&books, &mut builder).await?;
        load_lots(&books, &mut builder).await?;
        load_plans(&books, &mut builder).await?;
        let chosen = handling::with_chosen_lot(&books.snapshot, Condition::all()).await?;
        let (mut rows, mut read) = (Vec::new(), 0_u64);
        report::for_each(&books.snapshot, false, &mut |row, report| {
            if builder.add_kept_report(&report, chosen.contains(&report.report_ref)) {
                rows.push(row);
            }
            read += 1;
            if read.is_multiple_of(TOLD_EVERY) {
                told(read, of);
            }
            Ok::<_, StoreError>(())
        })
        .await?;
        let field = builder.build();
        for left_out in &field.left_out {
            tracing::warn!("{left_out}");
        }
        Ok(ReadField { field, catalogue, number, rows })
    }

    /// What has changed since a number of the journal, looking at so many changes at most. Numbers are drawn under the
    /// writers' lock, so that none becomes visible after a higher one: what was followed once has not to be looked at again.
    pub async fn changes_since(&self, number: i64, most: u64) -> Result<Since> {
        let snapshot = self.snapshot().await?;
        let entries: Vec<(i64, String, String)> = journal::Entity::find()
            .filter(journal::Column::TouchesField.eq(true))
            .filter(journal::Column::Id.gt(number))
            .order_by_asc(journal::Column::Id)
            .limit(most)
            .select_only()
            .columns([journal::Column::Id, journal::Column::Noun, journal::Column::Key])
            .into_tuple()
            .all(&snapshot)
            .await?;
        if entries.iter().any(|entry| entry.1 != "report") {
            return Ok(Since::Other);
        }
        let number = entries.last().map_or(number, |entry| entry.0);
        let refs: Vec<String> =
            entries.into_iter().map(|entry| entry.2).collect::<BTreeSet<_>>().into_iter().collect();
        let mut reports = Vec::with_capacity(refs.len());
        for refs in refs.chunks(ASKED_AT_ONCE) {
            let of_these = handling::Column::ReportRef.is_in(refs.iter().cloned());
            let chosen = handling::with_chosen_lot(&snapshot, of_these.into_condition()).await?;
            let rows = find::<report::Entity>().filter(report::Column::ReportRef.is_in(refs.iter().cloned()));
            for row in rows.all(&snapshot).await? {
                let (row, report) = (row.id, report::Entity::noun(row)?);
                let lot_is_chosen = chosen.contains(&report.report_ref);
                reports.push(Followed { row, report, lot_is_chosen });
            }
        }
        if reports.len() < refs.len() {
            return Ok(Since::Other);
        }
        reports.sort_unstable_by_key(|report| report.row);
        Ok(Since::Reports { number, reports })
    }
}

/// The number of the latest entry that changed what figures rest on; 0 where there is none.
pub(crate) async fn number(db: &impl ConnectionTrait) -> Result<i64> {
    let latest = journal::Entity::find()
        .filter(journal::Column::TouchesField.eq(true))
        .order_by_desc(journal::Column::Id)
        .select_only()
        .column(journal::Column::Id)
        .into_tuple::<i64>()
        .one(db)
        .await?;
    Ok(latest.unwrap_or(0))
}
