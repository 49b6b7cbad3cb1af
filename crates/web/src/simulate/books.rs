//! The pack's growing files: what the service writes down day by day.

use std::path::Path;

use super::SimulateError;
use super::table::Table;
use super::world::World;

/// The files that grow while the world runs.
pub(super) struct Books {
    pub(super) movements: Table,
    pub(super) reports: Table,
    pub(super) serials: Table,
    pub(super) events: Table,
    pub(super) inspections: Table,
    pub(super) bench_tests: Table,
    lines: u64,
}

/// A line of the ledger.
#[derive(Clone, Copy, Default)]
pub(super) struct Line<'a> {
    pub(super) kind: &'a str,
    pub(super) lot: u32,
    pub(super) unit: usize,
    pub(super) quantity: usize,
    pub(super) to_unit: Option<usize>,
    pub(super) to_lot: Option<u32>,
    pub(super) condition: &'a str,
    pub(super) reason: &'a str,
}

/// Columns of the reports file.
pub(super) const REPORT_COLUMNS: &str = "report_ref found_on received_on unit item_part_no size serial lot_text lot_known maker contract_no \
    made_month part_no mode narrative activity found_when worn_weeks altered prompted_by harm item_fate relevant chargeable quantity";

impl Books {
    /// Creates the files.
    pub(super) fn create(folder: &Path) -> Result<Self, SimulateError> {
        let columns =
            "moved_on kind lot_no part_no size unit quantity to_unit to_lot_no condition reason row_ref";
        let bench = "part_no revision lot_no purpose method measure specimen specimen_source value measure_unit outcome conditioning \
            limit limit_source laboratory tested_on";
        Ok(Self {
            movements: Table::create(folder, "movements.csv", columns)?,
            reports: Table::create(folder, "reports.csv", REPORT_COLUMNS)?,
            serials: Table::create(folder, "serials.csv", "serial lot_no unit from to")?,
            events: Table::create(
                folder,
                "events.csv",
                "happened_on unit serial lot_no quantity kind part_no new_lot_no outcome",
            )?,
            inspections: Table::create(
                folder,
                "inspections.csv",
                "inspected_on unit lot_no part_no mode inspected found notice_no",
            )?,
            bench_tests: Table::create(folder, "bench_tests.csv", bench)?,
            lines: 0,
        })
    }

    /// Closes the files and says how many rows each has.
    pub(super) fn finish(self) -> Result<Vec<(&'static str, u64)>, SimulateError> {
        let tables =
            [self.movements, self.reports, self.serials, self.events, self.inspections, self.bench_tests];
        tables.into_iter().map(Table::finish).collect()
    }
}

impl World {
    /// Writes a line of the ledger, where records are kept.
    pub(super) fn book(&mut self, line: Line) -> Result<(), SimulateError> {
        if !self.is_recorded() || (line.quantity == 0 && line.kind != "count") {
            return Ok(());
        }
        self.books.lines += 1;
        let units = &self.organisation.units;
        let row_ref = format!("M{:07}", self.books.lines);
        let quantity = line.quantity.to_string();
        self.books.movements.row([
            self.calendar.date(self.today),
            line.kind,
            &self.lots.list[line.lot as usize].no,
            "",
            "",
            &units[line.unit].code,
            &quantity,
            line.to_unit.map_or("", |unit| &units[unit].code),
            line.to_lot.map_or("", |lot| &self.lots.list[lot as usize].no),
            line.condition,
            line.reason,
            &row_ref,
        ])
    }

    /// The serial of an item, where its kind carries one.
    pub(super) fn serial(&self, item: u32) -> Option<String> {
        let design = self.products.items[self.product_of(self.fleet.items[item as usize].lot)].design;
        // A service that books in batches numbers a few of its items only.
        let is_numbered = design.serialised && (self.grain.batch <= 1.0 || item.is_multiple_of(25));
        is_numbered.then(|| format!("{}-{item:07}", &design.no[..2]))
    }

    /// Writes where a serial was, when it leaves or when the records end.
    pub(super) fn write_serial(&mut self, item: u32, left: bool) -> Result<(), SimulateError> {
        let Some(serial) = self.serial(item).filter(|_| self.is_recorded()) else { return Ok(()) };
        let stay = &self.fleet.items[item as usize];
        let to = if left { self.calendar.date(self.today) } else { "" };
        self.books.serials.row([
            &serial,
            self.lots.list[stay.lot as usize].no.as_str(),
            &self.organisation.units[stay.unit as usize].code,
            self.calendar.date(stay.entered),
            to,
        ])
    }

    /// Writes an event in the life of an item, or of `quantity` items of a lot.
    pub(super) fn write_event(
        &mut self,
        unit: usize,
        item: Option<u32>,
        lot: u32,
        quantity: usize,
        words: [&str; 4],
    ) -> Result<(), SimulateError> {
        if !self.is_recorded() {
            return Ok(());
        }
        let [kind, part_no, new_lot_no, outcome] = words;
        let serial = item.and_then(|item| self.serial(item)).unwrap_or_default();
        self.books.events.row([
            self.calendar.date(self.today),
            &self.organisation.units[unit].code,
            &serial,
            &self.lots.list[lot as usize].no,
            &quantity.to_string(),
            kind,
            part_no,
            new_lot_no,
            outcome,
        ])
    }
}
