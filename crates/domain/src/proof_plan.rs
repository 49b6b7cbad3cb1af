//! The plan of a proof, made when a change is approved: at which ratio it is worth having, with which power that is to be
//! shown, what exposure this takes and when the new lots will have gathered it.

use chrono::{Days, NaiveDate};
use stats::rate_ratio::exposure_beside;
use stats::stratified::Stratum;
use stats::{Exposure, anytime, poisson_rate};

use crate::analysis::{CONFIDENCE, ChangeCounts, RATIO_WORTH_HAVING};
use crate::field::DAYS_PER_YEAR;
use crate::words::Problem;

/// What is compared, in words that belong beside every plan.
pub const MEASURE: &str = "Chargeable failures in service per 1,000 item-years, items built to the change against items before it, at equal age";

/// Farther ahead nobody can say how stocks grow.
const FARTHEST_YEARS: f64 = 30.0;

/// What a person decides of a proof beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProofPlan {
    /// Rate after over rate before at which the change is worth having.
    pub ratio_worth_having: f64,
    /// Chance of showing it if the change does just that.
    pub power: f64,
}

impl Default for ProofPlan {
    fn default() -> Self {
        Self { ratio_worth_having: RATIO_WORTH_HAVING, power: 0.8 }
    }
}

impl ProofPlan {
    /// Refuses ratios that are no fall and powers that promise nothing or too much.
    pub fn check(&self) -> Result<(), Problem> {
        if !(0.01..=0.95).contains(&self.ratio_worth_having) {
            return Err(Problem::new("ratio_worth_having", "expected a ratio from 0.01 to 0.95"));
        }
        if !(0.5..=0.99).contains(&self.power) {
            return Err(Problem::new("power", "expected a chance from 0.5 to 0.99"));
        }
        Ok(())
    }
}

/// What a plan comes to, by what was counted on a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Planned {
    /// The rate before, per 1,000 item-years, at ages compared.
    pub rate_before: f64,
    /// Item-years of the new lots for one look at a date fixed beforehand, one-sided 5 %.
    pub item_years_for_one_look: Option<f64>,
    /// Item-years for the verdict, which may be looked at every week.
    pub item_years: Option<f64>,
    /// Item-years gathered so far.
    pub gathered: f64,
    /// When they should be reached, by the items of the new lots in service and the issues of the last year.
    pub reached_on: Option<NaiveDate>,
}

impl Planned {
    /// Item-years still to be gathered; nought when there are enough.
    pub fn still(&self) -> Option<f64> {
        Some((self.item_years? - self.gathered).max(0.0))
    }
}

/// Works a plan out. `None` where nothing failed before or nothing was in service, so that nothing can be planned.
///
/// The new lots' exposure grows with the items that are in service and with as many new ones a year as were issued in
/// the last year: `E(t) = E + n t + g t^2 / 2`. What is lost or returned is not taken off. The rate before is that over
/// all ages compared; a mode that comes with age takes longer than said here.
pub fn planned(plan: ProofPlan, counts: &ChangeCounts, from: NaiveDate) -> Option<Planned> {
    let sum = |part: fn(&Stratum) -> f64| counts.by_age.iter().map(part).sum::<f64>();
    let (failures, years) = (sum(|s| s.before_count as f64), sum(|s| s.before_exposure));
    let gathered = sum(|s| s.after_exposure);
    let exposure = Exposure::new(years).ok().filter(|_| failures > 0.0)?;
    let rate = failures / years;
    let ratio = plan.ratio_worth_having;
    let one_look = exposure_beside(rate, exposure, ratio, CONFIDENCE, plan.power).ok().flatten();
    let item_years = anytime_exposure(failures as u64, years, plan);
    let reached_on = item_years.and_then(|needed| {
        let (items, a_year) =
            ((counts.reach.built + counts.reach.retrofitted) as f64, counts.issued_last_year as f64);
        let wait = years_until(needed - gathered, items, a_year)?;
        from.checked_add_days(Days::new((wait * DAYS_PER_YEAR).ceil() as u64))
    });
    Some(Planned {
        rate_before: 1000.0 * rate,
        item_years_for_one_look: one_look,
        item_years,
        gathered,
        reached_on,
    })
}

/// Years until so much exposure has come together, from items in service and items added a year.
fn years_until(exposure: f64, items: f64, a_year: f64) -> Option<f64> {
    if exposure <= 0.0 {
        return Some(0.0);
    }
    let wait = if a_year > 0.0 {
        ((items * items + 2.0 * a_year * exposure).sqrt() - items) / a_year
    } else {
        exposure / items
    };
    (wait.is_finite() && wait <= FARTHEST_YEARS).then_some(wait)
}

/// Item-years after at which the anytime interval lies below 1 with the wanted power, if the ratio is the one planned: of
/// the failures that would then come, so many are few enough.
fn anytime_exposure(failures: u64, years: f64, plan: ProofPlan) -> Option<f64> {
    let rate = failures as f64 / years;
    let enough = |after: f64| {
        let expected = rate * after;
        most_that_show(failures, years, after, expected).is_some_and(|most| {
            poisson_rate::lower_tail(most, expected * plan.ratio_worth_having) >= plan.power
        })
    };
    let (mut low, mut high) = (0.0, years / 64.0);
    while !enough(high) {
        if high > 1000.0 * years {
            return None;
        }
        (low, high) = (high, 2.0 * high);
    }
    while high - low > 0.005 * high {
        let middle = 0.5 * (low + high);
        if enough(middle) { high = middle } else { low = middle }
    }
    Some(high)
}

/// The most failures after that would still be shown to be fewer; `None` where even none at all would not.
fn most_that_show(failures: u64, years: f64, after: f64, expected: f64) -> Option<u64> {
    let shows = |count: u64| {
        let row = Stratum {
            before_count: failures,
            before_exposure: years,
            after_count: count,
            after_exposure: after,
        };
        anytime::ratio(&[row], CONFIDENCE).is_ok_and(|limits| limits.high < 1.0)
    };
    if !shows(0) {
        return None;
    }
    let (mut low, mut high) = (0, expected.ceil() as u64 + 1);
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if shows(middle) { low = middle } else { high = middle }
    }
    Some(low)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::Reach;

    fn counts(before: (u64, f64), after_years: f64, built: u64, issued_last_year: u64) -> ChangeCounts {
        let row = Stratum {
            before_count: before.0,
            before_exposure: before.1,
            after_count: 0,
            after_exposure: after_years,
        };
        ChangeCounts {
            by_age: vec![row],
            reach: Reach { built, ..Reach::default() },
            issued_last_year,
            ..ChangeCounts::default()
        }
    }

    fn day(text: &str) -> NaiveDate {
        text.parse().expect("a day")
    }

    #[test]
    fn looking_every_week_takes_more_exposure_than_one_look() {
        let found = planned(ProofPlan::default(), &counts((48, 4000.0), 0.0, 0, 2000), day("2026-01-01"));
        let found = found.expect("failures before");
        let (once, any) = (found.item_years_for_one_look.expect("enough"), found.item_years.expect("enough"));
        assert!(once < any && any < 6.0 * once, "{once} {any}");
        assert!((found.rate_before - 12.0).abs() < 1e-9);
        // 2,000 new items a year: half of 2,000 t^2 are the item-years after t years.
        let wait = (found.reached_on.expect("growth") - day("2026-01-01")).num_days() as f64 / DAYS_PER_YEAR;
        // A day more, to the whole day.
        assert!((1000.0 * wait * wait - any).abs() < 20.0, "{wait} {any}");
    }

    #[test]
    fn what_is_gathered_is_taken_off_and_a_weaker_effect_takes_longer() {
        let at = |ratio, gathered| {
            let plan = ProofPlan { ratio_worth_having: ratio, ..ProofPlan::default() };
            planned(plan, &counts((200, 10_000.0), gathered, 500, 500), day("2026-01-01")).expect("a plan")
        };
        let (half, quarter) = (at(0.5, 100.0), at(0.25, 100.0));
        assert!(quarter.item_years < half.item_years && half.item_years.is_some());
        let needed = half.item_years.expect("enough");
        assert!((half.still().expect("enough") - (needed - 100.0)).abs() < 1e-9);
        let done = at(0.5, needed + 1.0);
        assert_eq!((done.still(), done.reached_on), (Some(0.0), Some(day("2026-01-01"))));
    }

    #[test]
    fn too_few_failures_before_can_prove_nothing_and_no_issues_have_no_date() {
        let few = planned(ProofPlan::default(), &counts((2, 4000.0), 0.0, 0, 100), day("2026-01-01"));
        assert_eq!(few.map(|found| (found.item_years, found.reached_on)), Some((None, None)));
        assert_eq!(planned(ProofPlan::default(), &counts((0, 4000.0), 0.0, 0, 100), day("2026-01-01")), None);
        let still = planned(ProofPlan::default(), &counts((48, 4000.0), 0.0, 0, 0), day("2026-01-01"));
        assert_eq!(still.and_then(|found| found.reached_on), None);
    }

    #[test]
    fn a_plan_that_wants_no_fall_is_refused() {
        let plan = ProofPlan { ratio_worth_having: 1.0, power: 0.8 };
        assert_eq!(plan.check().unwrap_err().field, "ratio_worth_having");
        assert_eq!(ProofPlan { power: 1.0, ..ProofPlan::default() }.check().unwrap_err().field, "power");
    }
}
