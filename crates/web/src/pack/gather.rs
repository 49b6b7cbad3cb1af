//! Reads a pack straight into a field, without a database.

use chrono::NaiveDate;
use domain::catalogue::Catalogue;
use domain::field::{Field, FieldBuilder};
use domain::pack::{Known, Table};
use domain::words::Problem;

use super::batch::Batch;
use super::check::{CheckError, CheckOptions, Preview, check};
use super::read::{Bars, ReadError, RefusedRow, Sink, Stopped, read_pack};
use super::source::PackSource;

/// Why a pack can't be made into a field.
#[derive(Debug, thiserror::Error)]
pub enum GatherError {
    /// Rows or files of it are refused.
    #[error("the pack has rows that can't be taken")]
    Refused(Box<Preview>),
    /// It can't be read.
    #[error(transparent)]
    Unreadable(#[from] CheckError),
    /// A row fits what is known and yet not the field.
    #[error("{}: {}", .0.file(), .1)]
    Unfit(Table, Problem),
}

/// Adds rows to a field, one noun at a time.
pub(crate) fn add(builder: &mut FieldBuilder, batch: &Batch) -> Result<(), Problem> {
    match batch {
        Batch::Modes(rows) => {
            for row in rows {
                builder.mode(row);
            }
            Ok(())
        }
        Batch::Units(rows) => rows.iter().try_for_each(|row| builder.unit(row)),
        Batch::Use(rows) => rows.iter().try_for_each(|row| builder.use_pattern(row)),
        Batch::Parts(rows) => rows.iter().try_for_each(|row| builder.part(row)),
        Batch::Sizes(rows) => rows.iter().try_for_each(|row| builder.size_share(row)),
        Batch::Structure(rows) => rows.iter().try_for_each(|row| builder.component(row)),
        Batch::Weighings(rows) => rows.iter().try_for_each(|row| builder.weighing(row)),
        Batch::Lots(rows) => rows.iter().try_for_each(|row| builder.lot(row)),
        Batch::LotUses(rows) => rows.iter().try_for_each(|row| builder.lot_use(row)),
        Batch::Serials(rows) => rows.iter().try_for_each(|row| builder.serial(row)),
        Batch::Movements(rows) => rows.iter().try_for_each(|row| builder.movement(row)),
        Batch::Inspections(rows) => rows.iter().try_for_each(|row| builder.inspection(row)),
        Batch::Events(rows) => rows.iter().try_for_each(|row| builder.event(row)),
        Batch::Demand(rows) => rows.iter().try_for_each(|row| builder.demand(row)),
        Batch::Reports(rows) => builder.reports(rows),
        Batch::BenchTests(rows) => rows.iter().try_for_each(|row| builder.bench_test(row)),
        Batch::Requirements(rows) => rows.iter().try_for_each(|row| builder.requirement(row)),
        Batch::FitRanges(rows) => rows.iter().try_for_each(|row| builder.fit_range(row)),
        Batch::People(rows) => rows.iter().try_for_each(|row| builder.person(row)),
        Batch::Changes(rows) => rows.iter().try_for_each(|row| builder.change(row)),
        Batch::Effectivity(rows) => rows.iter().try_for_each(|row| builder.effectivity(row)),
    }
}

/// A field being filled from a pack.
struct Gathering {
    builder: FieldBuilder,
    unfit: Option<(Table, Problem)>,
    refused: bool,
}

impl Sink for Gathering {
    fn take(&mut self, batch: Batch, _lines: Vec<u64>) -> Result<(), Stopped> {
        add(&mut self.builder, &batch).map_err(|problem| {
            self.unfit = Some((batch.table(), problem));
            Stopped
        })
    }

    fn refuse(&mut self, _refused: RefusedRow<'_>) {
        self.refused = true;
    }

    fn refuse_file(&mut self, _table: Table, _why: &str) {
        self.refused = true;
    }
}

/// Reads a whole pack into a field, on the shipped catalogue and the modes of the pack, or says everything that is wrong
/// with it.
///
/// Dates are not held against a calendar: what lies after the as-of date of an analysis is left out by it.
///
/// # Errors
/// Refused rows and files, with as many refusals as `keep`; a file that can't be read.
pub fn gather(source: &PackSource, keep: usize) -> Result<Field, GatherError> {
    let shipped = Catalogue::shipped();
    let known = Known::new(shipped);
    let mut gathering = Gathering { builder: FieldBuilder::new(shipped), unfit: None, refused: false };
    let read = read_pack(source, &mut known.clone(), NaiveDate::MAX, &Bars::default(), &mut gathering);
    let fallen = match read {
        Ok(outcome) => !outcome.fallen.is_empty(),
        Err(ReadError::Stopped) => false,
        Err(ReadError::Io(table, source)) => return Err(CheckError::new(table, source).into()),
    };
    if gathering.refused || fallen {
        let options = CheckOptions { today: NaiveDate::MAX, keep };
        return Err(GatherError::Refused(Box::new(check(source, &known, options, |_, _| {})?)));
    }
    match gathering.unfit {
        Some((table, problem)) => Err(GatherError::Unfit(table, problem)),
        None => Ok(gathering.builder.build()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::Limits;
    use super::*;

    fn pack(files: &[(&str, &str)]) -> PackSource {
        let files = files.iter().map(|(name, text)| ((*name).to_owned(), text.as_bytes().to_vec())).collect();
        PackSource::from_files(files, Limits::UPLOAD).expect("a pack")
    }

    #[test]
    fn a_sound_pack_becomes_a_field() {
        let field = gather(
            &pack(&[
                ("units.csv", "unit\nCOVE-2\n"),
                ("parts.csv", "part_no,revision,name,kind\nHARNESS,A,Harness,ITEM\n"),
                ("reports.csv", "report_ref,found_on,unit,item_part_no\nR-1,2026-02-03,COVE-2,HARNESS\n"),
            ]),
            10,
        )
        .expect("sound");
        assert_eq!(field.reports.len(), 1);
    }

    #[test]
    fn a_pack_with_refused_rows_gives_the_refusals() {
        let files = pack(&[("units.csv", "unit,kind\nCOVE-2,ship\n")]);
        let Err(GatherError::Refused(preview)) = gather(&files, 10) else {
            panic!("expected refusals");
        };
        assert_eq!(preview.refused_rows, 1);
    }
}
