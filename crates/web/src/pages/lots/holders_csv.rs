//! Who holds what was made from a lot, as a file for a spreadsheet: one row a unit and lot, plain numbers.

use domain::field::Field;
use domain::ledger::{part_of, size_of};
use domain::lineage::{Holder, UnknownLot, Whereabouts};

use crate::error::AppError;
use crate::format::harmless;

const COLUMNS: [&str; 13] = [
    "on",
    "unit",
    "unit_name",
    "lot_no",
    "maker",
    "part_no",
    "revision",
    "size",
    "state",
    "items",
    "containing",
    "containing_low",
    "containing_high",
];

/// The file. A row without a lot stands for items whose lot is not on record, known by part number alone: those that were
/// given a part of the lot in question with a number to be expected, others that can be of it without.
///
/// # Errors
/// Memory that can't be written to.
pub(super) fn write(field: &Field, found: &Whereabouts) -> Result<Vec<u8>, AppError> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS).map_err(AppError::inside)?;
    let on = found.on.date().to_string();
    let rows = found.holders.iter().map(|holder| known(field, &on, holder));
    for row in rows.chain(found.unknown.iter().map(|row| unknown(field, &on, row))) {
        writer.write_record(row.iter().map(|cell| harmless(cell))).map_err(AppError::inside)?;
    }
    writer.into_inner().map_err(|error| AppError::inside(error.into_error()))
}

const fn state(has_unit: bool, in_service: bool) -> &'static str {
    match (has_unit, in_service) {
        (true, true) => "in_service",
        (true, false) => "stored",
        (false, _) => "returned",
    }
}

fn unit(field: &Field, unit: Option<domain::field::UnitId>) -> [String; 2] {
    unit.map_or_else(Default::default, |unit| {
        let name = field.units[unit].name.as_deref().unwrap_or_default();
        [field.unit_names[unit].to_owned(), name.to_owned()]
    })
}

fn known(field: &Field, on: &str, holder: &Holder) -> [String; COLUMNS.len()] {
    let lot = holder.lot().map(|lot| &field.lots[lot]);
    let [code, name] = unit(field, holder.unit);
    [
        on.to_owned(),
        code,
        name,
        lot.map(|lot| lot.lot_no.to_string()).unwrap_or_default(),
        lot.and_then(|lot| lot.maker).map(|maker| field.makers[maker].to_owned()).unwrap_or_default(),
        field.part_names[part_of(field, holder.stock)].to_owned(),
        lot.map(|lot| field.revisions[lot.revision].revision.to_string()).unwrap_or_default(),
        size_of(field, holder.stock).map(|size| field.sizes[size].to_owned()).unwrap_or_default(),
        state(holder.unit.is_some(), holder.in_service).to_owned(),
        holder.items.best.to_string(),
        tidy(holder.containing.best),
        tidy(holder.containing.low),
        tidy(holder.containing.high),
    ]
}

fn unknown(field: &Field, on: &str, row: &UnknownLot) -> [String; COLUMNS.len()] {
    let [code, name] = unit(field, row.unit);
    [
        on.to_owned(),
        code,
        name,
        String::new(),
        String::new(),
        field.part_names[row.item].to_owned(),
        String::new(),
        row.size.map(|size| field.sizes[size].to_owned()).unwrap_or_default(),
        state(row.unit.is_some(), row.in_service).to_owned(),
        row.items.to_string(),
        String::new(),
        "0".to_owned(),
        row.items.to_string(),
    ]
}

/// Without the last digits that sums of shares leave behind.
fn tidy(number: f64) -> String {
    ((number * 1e6).round() / 1e6).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::lots::sample;

    #[test]
    fn every_holder_has_a_row_and_what_is_of_no_known_lot_stands_beside() {
        let (field, analysis) = sample::field();
        let lot = sample::lot(&field, sample::TAPE).unwrap();
        let found = Whereabouts::new(&field, &analysis.ledger, lot);
        let file = String::from_utf8(write(&field, &found).unwrap()).unwrap();
        let rows: Vec<&str> = file.lines().collect();
        assert_eq!(rows[0], COLUMNS.join(","));
        assert_eq!(rows.len(), 1 + found.holders.len() + found.unknown.len());
        let on = analysis.as_of;
        // 300 of TB-0418 issued to COVE-2, 40 went to RIDGE-1 and 12 to the store.
        let ridge = format!("{on},RIDGE-1,Ridge team,TB-0418,Harbour Loft,RC-100,A,M,in_service,40,40,40,40");
        assert!(rows.contains(&ridge.as_str()), "{file}");
        assert!(
            rows.contains(&format!("{on},COVE-2,Cove boat crew,,,RC-100,,,in_service,9,,0,9").as_str()),
            "{file}"
        );
    }
}
