//! The analysis of a hundred thousand reports: it holds together, and finds the lots that were made bad.

use std::collections::HashSet;

use crate::common::{
    self,
    world::{Size, world},
};
use domain::analysis::analyse;

#[test]
fn a_hundred_thousand_reports_are_analysed_and_bad_lots_found() {
    let size = Size { reports: 100_000, lots: 2000, movements: 20_000, units: 100 };
    let (field, bad, _) = world(size, 0, common::draws(7));
    let analysis = analyse(&field, common::date("2025-01-01"));
    let again = analyse(&field, common::date("2025-01-01"));
    assert_eq!(
        analysis.recurrences, again.recurrences,
        "the same field gives the same figures to the last digit"
    );

    let relevant: usize = analysis.recurrences.iter().map(|r| r.reports as usize).sum();
    assert!(relevant <= analysis.counts.relevant && relevant > analysis.counts.relevant * 9 / 10);
    let mut flagged = HashSet::new();
    for recurrence in &analysis.recurrences {
        let on_lots: u32 = recurrence.lots.iter().map(|line| line.reports).sum();
        assert!(on_lots <= recurrence.reports);
        let years: f64 = recurrence.lots.iter().map(|line| line.item_years).sum();
        assert!(years <= recurrence.item_years.best * (1.0 + 1e-9));
        assert!(recurrence.item_years.low <= recurrence.item_years.best);
        assert!(recurrence.rate.is_some_and(|rate| rate.low <= rate.estimate && rate.estimate <= rate.high));
        flagged.extend(recurrence.lots.iter().filter(|line| line.flagged).map(|line| line.lot));
    }
    let flagged: HashSet<String> =
        flagged.into_iter().map(|lot| field.lots[lot].lot_no.to_string()).collect();
    let bad: HashSet<String> = bad.into_iter().collect();
    assert!(!bad.is_empty() && bad.is_subset(&flagged), "{flagged:?} {bad:?}");
    // A share of the flags may be false.
    assert!(flagged.len() <= bad.len() + 1, "{flagged:?} {bad:?}");
}
