//! What the options of retrofit are compared on, from the ledger and the fitted life.

use std::collections::BTreeMap;

use stats::forecast::Use;

use super::forecast::shape_to_come;
use super::holders::Holders;
use super::service::Out;
use super::side::{Side, Sides};
use super::{Analysis, ChangeResult};
use crate::effectivity::Stage;
use crate::field::{ChangeFacts, DAYS_PER_YEAR, Day, Field};
use crate::ledger::Books;
use crate::retrofit::{Ground, MONTHS};

/// Days of a month.
const MONTH_DAYS: f64 = DAYS_PER_YEAR / 12.0;

/// What is known of a change's fleet, and whether a life was fitted.
#[derive(Clone, Debug, PartialEq)]
pub struct FleetGround {
    /// What the options are compared on.
    pub ground: Ground,
    /// Whether the rate was taken as steady, for want of a fitted life.
    pub assumed_steady: bool,
    /// Items in service whose lot doesn't tell whether they have the change; left out.
    pub not_told: u64,
}

/// The ground of one change's options; `None` without a rate before.
///
/// Items leave for good when they are lost, retired or come back worn or damaged; whatever comes back otherwise can be
/// converted on the way. The shape is that of the recurrence with most failures among those the change is meant to cure.
pub fn fleet_ground(field: &Field, analysis: &Analysis, result: &ChangeResult) -> Option<FleetGround> {
    let change = &field.changes[result.change];
    let failures = u32::try_from(result.rate_before?.occasions).ok()?;
    let ledger = &analysis.ledger;
    let (sides, holders) = (Sides::new(field, change), Holders::of_part(field, change.part));
    let mut past: BTreeMap<i32, f64> = BTreeMap::new();
    let mut ages: BTreeMap<i32, f64> = BTreeMap::new();
    let (mut years, mut not_told) = (0.0, 0);
    let spells = ledger.spells.iter().filter(|s| s.books.has(Books::BEST));
    for spell in spells.filter(|s| holders.has_stock(field, s.stock)) {
        years += spell.item_years();
        let side = sides.of_spell(ledger, spell);
        let age = ledger.part_age_days(spell, change.part).max(0);
        if side == Side::Before {
            // What nobody reported of is no past without failures.
            let unseen = analysis.reports_begin.map_or(0, |day| (day.0 - spell.from.0).max(0));
            let seen = (spell.to.0 - spell.from.0 - unseen).max(0);
            add_use(&mut past, age + unseen, seen, f64::from(spell.quantity));
        }
        if spell.open {
            match side {
                Side::Before => {
                    let now = age + spell.to.0 - spell.from.0;
                    *ages.entry(month(now)).or_default() += f64::from(spell.quantity);
                }
                Side::Mixed(_) | Side::Neither => not_told += u64::from(spell.quantity),
                Side::After => {}
            }
        }
    }
    let in_store = ledger.held.iter().filter(|held| !held.in_service && holders.has_stock(field, held.stock));
    let in_store = in_store.filter(|held| sides.of_items(ledger, held.stock, held.clocks) == Side::Before);
    let life = analysis
        .recurrences
        .iter()
        .filter(|r| change.cures(r.part, r.mode))
        .filter_map(|r| r.life.as_ref().ok())
        .max_by_key(|life| life.failures);
    // As the forecast has it, for the same failures are to come.
    let (shape, variance_of_log_shape) = shape_to_come(life);
    let (leaving, returning) = flows(field, &holders, ledger.as_of);
    let per_year = |items: u64| if years > 0.0 { items as f64 / years } else { 0.0 };
    let in_years = |month: i32| (f64::from(month) + 0.5) / 12.0;
    let ground = Ground {
        past: past
            .into_iter()
            .map(|(month, items)| Use {
                from: f64::from(month) / 12.0,
                to: f64::from(month + 1) / 12.0,
                items,
            })
            .collect(),
        failures,
        shape,
        variance_of_log_shape,
        ages: ages.into_iter().map(|(month, items)| (in_years(month), items)).collect(),
        in_store: in_store.map(|held| f64::from(held.quantity)).sum(),
        leaving_per_year: per_year(leaving),
        returning_per_year: per_year(returning),
        months_to_cut_in: months_to_cut_in(change, ledger.as_of),
        months: MONTHS,
        delta_g: result.mass_tariff_mean.map(|mean| mean.difference_g),
    };
    Some(FleetGround { ground, assumed_steady: life.is_none(), not_told })
}

fn month(days: i32) -> i32 {
    (f64::from(days) / MONTH_DAYS).floor() as i32
}

/// Adds items over a span of ages in days to months of age, each by the share of it that was passed.
fn add_use(past: &mut BTreeMap<i32, f64>, from_days: i32, days: i32, items: f64) {
    let (from, to) = (f64::from(from_days) / MONTH_DAYS, f64::from(from_days + days) / MONTH_DAYS);
    for month in month(from_days)..=month(from_days + days) {
        let share = to.min(f64::from(month + 1)) - from.max(f64::from(month));
        if share > 0.0 {
            *past.entry(month).or_default() += items * share;
        }
    }
}

/// Items that left service for good, and that came back to go out again, up to a day.
fn flows(field: &Field, holders: &Holders, as_of: Day) -> (u64, u64) {
    let (mut leaving, mut returning) = (0, 0);
    let movements = field.movements.iter().filter(|m| m.day <= as_of);
    for movement in movements.filter(|m| holders.has_stock(field, m.stock)) {
        let items = u64::from(movement.quantity);
        match Out::of(field, movement) {
            Some(Out::Gone) => leaving += items,
            Some(Out::Back | Out::Repair) => returning += items,
            None => {}
        }
    }
    (leaving, returning)
}

/// Whole months to the first lot, by what was approved, else proposed; 0 once lots are built or where no date is said.
fn months_to_cut_in(change: &ChangeFacts, as_of: Day) -> u32 {
    if change.state.is_some_and(crate::change::ChangeState::is_built) {
        return 0;
    }
    let first = |stage| {
        let dates = change.effectivity.iter().filter(|e| e.stage == stage).filter_map(|e| e.from_date);
        dates.min()
    };
    let on = first(Stage::Approved).or_else(|| first(Stage::Proposed));
    on.map_or(0, |day| (f64::from((day.0 - as_of.0).max(0)) / MONTH_DAYS).ceil() as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn use_is_split_over_months_of_age_and_adds_up() {
        let mut past = BTreeMap::new();
        add_use(&mut past, 10, 365, 4.0);
        let years: f64 = past.values().map(|items| items / 12.0).sum();
        assert!((years - 4.0 * 365.0 / DAYS_PER_YEAR).abs() < 1e-9, "{years}");
        assert!((past[&5] - 4.0).abs() < 1e-9, "a month passed whole");
        assert_eq!(past.keys().copied().collect::<Vec<_>>(), (0..=12).collect::<Vec<_>>());
    }
}
