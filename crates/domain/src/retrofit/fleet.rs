//! The fleet month by month under one option: who wears the old design and who the new, and how old their parts are.
//!
//! Expected numbers throughout. Items that leave are replaced, so that the fleet keeps its size; a replaced or converted
//! item begins at age 0. Before the cut-in everything new is of the old design, under every option.

use stats::forecast::Use;

use super::Ground;
use crate::change_record::Retrofit;

/// Months of a year.
const YEAR: f64 = 12.0;

/// Longest time that reach is followed.
const LONGEST_MONTHS: u32 = 600;

/// The share of the fleet that counts as all of it.
pub const FULL: f64 = 0.99;

/// What one option comes to within the months looked at.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Course {
    /// Use of the old design by age, within the months looked at.
    pub(super) old: Vec<Use>,
    /// Use of the new design.
    pub(super) new: Vec<Use>,
    /// Issued items that were converted.
    pub(super) converted: f64,
    /// New items that were issued to the change.
    pub(super) issued: f64,
    /// Unissued old items that were set aside.
    pub(super) set_aside: f64,
    /// Share with the change at the end of each month looked at.
    pub(super) reach: Vec<f64>,
    /// The month in which the share reaches [`FULL`].
    pub(super) full: Option<u32>,
}

/// Parts by age in months.
#[derive(Clone, Debug, Default)]
struct Ages(Vec<f64>);

impl Ages {
    fn total(&self) -> f64 {
        self.0.iter().sum()
    }

    fn add(&mut self, month: usize, items: f64) {
        if self.0.len() <= month {
            self.0.resize(month + 1, 0.0);
        }
        self.0[month] += items;
    }

    /// Takes a share of every age away and says how many that were.
    fn take(&mut self, share: f64) -> f64 {
        let taken = self.total() * share;
        self.0.iter_mut().for_each(|items| *items *= 1.0 - share);
        taken
    }

    fn grow_older(&mut self) {
        self.0.insert(0, 0.0);
    }
}

/// Uses of one design by age, added up over the months.
#[derive(Default)]
struct Used(Ages);

impl Used {
    fn a_month_of(&mut self, ages: &Ages) {
        for (month, &items) in ages.0.iter().enumerate().filter(|(_, items)| **items > 0.0) {
            self.0.add(month, items);
        }
    }

    fn uses(self) -> Vec<Use> {
        let rows = self.0.0.into_iter().enumerate().filter(|(_, items)| *items > 0.0);
        rows.map(|(month, items)| Use { from: month as f64 / YEAR, to: (month + 1) as f64 / YEAR, items })
            .collect()
    }
}

/// Follows the fleet under an option; under none where everything stays of the old design.
pub(super) fn follow(ground: &Ground, option: Option<Retrofit>, recall_months: f64) -> Course {
    let mut course = Course::default();
    let (mut old, mut new) = (Ages::default(), Ages::default());
    for &(age_years, items) in &ground.ages {
        old.add((age_years * YEAR).floor().max(0.0) as usize, items);
    }
    let fleet = old.total();
    let mut in_store = ground.in_store;
    let leaving = -(-ground.leaving_per_year / YEAR).exp_m1();
    let returning = -(-ground.returning_per_year / YEAR).exp_m1();
    let (mut used_old, mut used_new) = (Used::default(), Used::default());
    if matches!(option, Some(Retrofit::NextLot | Retrofit::OnReturn | Retrofit::RecallAll)) {
        course.set_aside = in_store;
        in_store = 0.0;
    }
    for month in 0..LONGEST_MONTHS {
        let within = month < ground.months;
        if within {
            used_old.a_month_of(&old);
            used_new.a_month_of(&new);
        } else if option.is_none() || course.full.is_some() {
            break;
        }
        old.grow_older();
        new.grow_older();
        let gone_old = old.take(leaving);
        let gone_new = new.take(leaving);
        let gone = gone_old + gone_new;
        let since = month.checked_sub(ground.months_to_cut_in).filter(|_| option.is_some());
        let of_old = match since {
            None => gone,
            Some(_) => gone.min(in_store),
        };
        if since.is_some() {
            in_store -= of_old;
        }
        old.add(0, of_old);
        new.add(0, gone - of_old);
        let converted = match (option, since) {
            (Some(Retrofit::OnReturn), Some(_)) => old.take(returning),
            (Some(Retrofit::RecallAll), Some(since)) => {
                let left = recall_months - f64::from(since);
                old.take(if left <= 1.0 { 1.0 } else { left.recip() })
            }
            _ => 0.0,
        };
        new.add(0, converted);
        if within {
            course.converted += converted;
            course.issued += gone - of_old;
        }
        let share = if fleet > 0.0 { new.total() / fleet } else { 0.0 };
        if within {
            course.reach.push(share);
        }
        if share >= FULL && course.full.is_none() {
            course.full = Some(month + 1);
        }
    }
    course.old = used_old.uses();
    course.new = used_new.uses();
    course
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ground() -> Ground {
        Ground {
            past: vec![Use { from: 0.0, to: 2.0, items: 1000.0 }],
            failures: 20,
            shape: 1.0,
            variance_of_log_shape: 0.0,
            ages: vec![(1.0, 600.0), (3.0, 400.0)],
            in_store: 50.0,
            leaving_per_year: 0.2,
            returning_per_year: 0.5,
            months_to_cut_in: 6,
            months: 36,
            delta_g: Some(22.0),
        }
    }

    fn item_years(uses: &[Use]) -> f64 {
        uses.iter().map(|u| u.items * (u.to - u.from)).sum()
    }

    #[test]
    fn the_fleet_keeps_its_size_whatever_is_done() {
        let ground = ground();
        for option in [None].into_iter().chain(Retrofit::ALL.iter().copied().map(Some)) {
            let course = follow(&ground, option, 12.0);
            let years = item_years(&course.old) + item_years(&course.new);
            assert!((years - 3000.0).abs() < 1e-6, "{option:?}: {years}");
        }
    }

    #[test]
    fn nothing_changes_before_the_cut_in_and_a_recall_ends_when_it_should() {
        let recall = follow(&ground(), Some(Retrofit::RecallAll), 12.0);
        assert!(recall.reach[..6].iter().all(|share| *share == 0.0));
        assert_eq!(recall.full, Some(18));
        assert_eq!(recall.set_aside, 50.0);
    }

    /// Exponential replacement at 0.2 a year reaches 99 % after ln(100)/0.2 = 23.03 years (worked by hand): 276.3 months
    /// behind the cut-in, and later where 50 old items in store go out first.
    #[test]
    fn new_lots_alone_take_decades_and_old_stock_takes_longer() {
        let next = follow(&ground(), Some(Retrofit::NextLot), 12.0).full.expect("within the time followed");
        let run_out = follow(&ground(), Some(Retrofit::RunOut), 12.0).full.expect("within the time followed");
        assert_eq!(next, 283);
        assert!(run_out > next, "{run_out}");
    }

    #[test]
    fn what_comes_back_anyway_converts_more_than_what_is_replaced() {
        let ground = ground();
        let [next, back] = [Retrofit::NextLot, Retrofit::OnReturn].map(|o| follow(&ground, Some(o), 12.0));
        assert_eq!(next.converted, 0.0);
        assert!(back.converted > 400.0 && back.reach[35] > next.reach[35]);
    }
}
