//! Spare parts drawn beside reports: a second sight of how much is reported.
//!
//! Most parts are drawn because one failed, so that far more draws than reports says that units mend and don't tell. It is
//! no measure of failures: parts are drawn for stock, for wear and for other modes, and not every failure draws one.

use chrono::Months;
use stats::binomial::clopper_pearson;

use super::CONFIDENCE;
use super::seen::{Seen, in_service};
use crate::field::{Day, Field, PartId};

/// A failed part's demand and its reports, of all modes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    /// Over the months for which demand is on record and which are over.
    pub all: Sight,
    /// Over the last twelve of these months.
    pub last_year: Sight,
}

/// Parts drawn and items reported over the same months.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sight {
    /// The first day.
    pub from: Day,
    /// The day after the last.
    pub to: Day,
    /// Parts drawn.
    pub drawn: u64,
    /// Items that relevant reports of failures in service tell of.
    pub told: u64,
}

impl Sight {
    /// Reports for one part drawn with 95 % limits, taking each report for one of the draws; `None` where more were
    /// reported than drawn.
    pub fn share(&self) -> Option<(f64, f64, f64)> {
        let limits = clopper_pearson(self.told, self.drawn, CONFIDENCE).ok()?;
        Some((self.told as f64 / self.drawn as f64, limits.low, limits.high))
    }
}

/// Demand for a part beside its reports; `None` without demand on record for a month that is over.
pub(super) fn drawn(field: &Field, seen: &Seen, part: PartId) -> Option<Drawn> {
    // A month's demand is of all its days, and reports are of those that are past: a month that is not over has no match.
    let is_over = |month: Day| after(month).0 <= seen.as_of.0 + 1;
    let of_part = || field.demand.iter().filter(|d| d.part == part && is_over(d.month));
    let (first, last) = (of_part().map(|d| d.month).min()?, of_part().map(|d| d.month).max()?);
    let to = after(last);
    let reports = seen.of_part(part).flat_map(|(_, group)| group).map(|&id| &field.reports[id]);
    let served = reports.filter(|report| in_service(report));
    let told: Vec<(Day, u64)> = served.map(|r| (r.found_on, u64::from(r.quantity))).collect();
    let sight = |from: Day| Sight {
        from,
        to,
        drawn: of_part().filter(|d| d.month >= from).map(|d| u64::from(d.quantity_drawn)).sum(),
        told: told.iter().filter(|(day, _)| (from..to).contains(day)).map(|(_, items)| items).sum(),
    };
    let year_before = to.date().checked_sub_months(Months::new(12)).map_or(first, Day::from);
    Some(Drawn { all: sight(first), last_year: sight(first.max(year_before)) })
}

/// The day after the last of a month.
fn after(month: Day) -> Day {
    month.month().date().checked_add_months(Months::new(1)).map_or(month, Day::from)
}
