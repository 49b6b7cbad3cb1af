//! Words about lots and items that the pages of this noun share.

use domain::field::{Field, LotId, UnitId};
use domain::lineage::Held;

use crate::format;
use crate::pages::recurrences::part_name;

/// `coil tape A`.
pub(super) fn made_words(field: &Field, lot: LotId) -> String {
    let revision = &field.revisions[field.lots[lot].revision];
    format!("{} {}", part_name(field, revision.part), revision.revision)
}

/// `coil tape lot NT22-0143`.
pub(super) fn named(field: &Field, lot: LotId) -> String {
    format!("{} lot {}", part_name(field, field.part_of_lot(lot)), field.lots[lot].lot_no)
}

/// `COVE-2 (Cove boat crew)`.
pub(super) fn unit_words(field: &Field, unit: UnitId) -> String {
    match &field.units[unit].name {
        Some(name) => format!("{} ({name})", &field.unit_names[unit]),
        None => field.unit_names[unit].to_owned(),
    }
}

/// A quantity of any unit of measure: whole where it is whole.
pub(super) fn quantity(number: f64) -> String {
    if (number - number.round()).abs() < 1e-6 {
        format::decimals(number.round(), 0)
    } else {
        format::significant(number, 3)
    }
}

/// Items to be expected: a part of one is said as such.
pub(super) fn items(number: f64) -> String {
    if number > 0.0 && number < 0.95 { "under 1".into() } else { format::decimals(number, 0) }
}

/// `26`, or `16 (0 to 20)` where the books or the shares leave a span.
pub(super) fn span(held: Held) -> String {
    if held.high - held.low < 0.5 {
        return items(held.best);
    }
    format!("{} ({} to {})", items(held.best), format::decimals(held.low, 0), format::decimals(held.high, 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_is_told_only_where_there_is_one() {
        assert_eq!(span(Held { best: 26.0, low: 26.0, high: 26.0 }), "26");
        assert_eq!(span(Held { best: 15.6, low: 0.0, high: 20.0 }), "16 (0 to 20)");
        assert_eq!(span(Held { best: 0.4, low: 0.0, high: 1.0 }), "under 1 (0 to 1)");
    }

    #[test]
    fn lengths_keep_their_fraction() {
        assert_eq!((quantity(1200.0), quantity(12.345)), ("1,200".into(), "12.3".into()));
    }
}
