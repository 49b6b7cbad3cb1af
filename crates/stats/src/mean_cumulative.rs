//! The mean cumulative function: how many repairs a unit has had by an age, on average, without a model.

use crate::error::StatsError;
use crate::history::History;
use crate::value::{Confidence, Interval};

/// The estimate at one age at which something was repaired.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Age of the repairs.
    pub age: f64,
    /// Units watched at that age: `start < age <= end`.
    pub at_risk: u64,
    /// Repairs at it.
    pub repairs: u64,
    /// Mean repairs a unit has had by then, `sum d/r`.
    pub mean: f64,
    /// Variance that allows units to differ and repairs to depend on each other (Lawless and Nadeau),
    /// `sum_i [sum_k Y_i(t_k) (d_ik - d_k/r_k) / r_k]^2`; never negative.
    pub variance: f64,
    /// Variance `sum d/r^2` if repairs came as a Poisson process; for comparison.
    pub poisson_variance: f64,
    /// Nelson's unbiased variance (divisors `r - 1`, covariances between ages); may be negative by chance. `None`
    /// where one unit was left, or where a unit is watched that was not at the first repair's age.
    pub nelson_variance: Option<f64>,
}

impl Point {
    /// Limits `M exp(-+ z sqrt(variance)/M)`.
    ///
    /// They are somewhat narrow with few units: in simulation 95 % limits held in 92 % to 93 % of cases with 20 units, in
    /// 94 % with 100.
    pub fn limits(&self, confidence: Confidence) -> Interval {
        let z = confidence.normal_reach();
        let reach = (z * self.variance.sqrt() / self.mean).exp();
        Interval { low: self.mean / reach, high: self.mean * reach }
    }
}

/// Estimates the mean cumulative function at every age with a repair; no repairs give no points.
///
/// Takes time in proportion to units times ages with a repair.
///
/// Sources: W. Nelson, Technometrics 37 (1995); J. F. Lawless and C. Nadeau, Technometrics 37 (1995); W. Q. Meeker and
/// L. A. Escobar, Statistical Methods for Reliability Data (1998), chapter 16.
///
/// ```
/// use stats::{history::History, mean_cumulative::mean_cumulative};
/// let two = [History::new(0.0, 10.0, [2.0, 5.0]).unwrap(), History::new(0.0, 4.0, [3.0]).unwrap()];
/// let points = mean_cumulative(&two).unwrap();
/// assert_eq!(points.iter().map(|p| p.mean).collect::<Vec<_>>(), [0.5, 1.0, 2.0]);
/// ```
///
/// # Errors
/// [`StatsError::TooFew`] for no units.
pub fn mean_cumulative(units: &[History]) -> Result<Vec<Point>, StatsError> {
    if units.is_empty() {
        return Err(StatsError::TooFew { what: "units watched", given: 0, needed: 1 });
    }
    let mut ages: Vec<f64> = units.iter().flat_map(History::repairs).copied().collect();
    ages.sort_unstable_by(f64::total_cmp);
    ages.dedup();
    let mut each: Vec<Unit> =
        units.iter().map(|history| Unit { history, next: 0, own: 0.0, apart: 0.0 }).collect();
    let (mut mean, mut poisson, mut nelson) = (0.0, 0.0, Some(0.0));
    let first = ages.first().copied().unwrap_or_default();
    let mut points = Vec::with_capacity(ages.len());
    let mut seen: Vec<(usize, f64)> = Vec::with_capacity(units.len());
    for age in ages {
        seen.clear();
        let mut repairs = 0;
        let mut late = false;
        for (index, unit) in each.iter_mut().enumerate() {
            if unit.history.start() < age && age <= unit.history.end() {
                let own = unit.repairs_at(age);
                repairs += own;
                late |= unit.history.start() >= first;
                seen.push((index, own as f64));
            }
        }
        let r = seen.len() as f64;
        let share = repairs as f64 / r;
        // Nelson's covariances with the earlier ages come through each unit's own sum of d/r.
        let (mut square, mut with_earlier) = (0.0, 0.0);
        for &(index, own) in &seen {
            let unit = &mut each[index];
            square += (own - share) * (own - share);
            with_earlier += (own - share) * unit.own;
            unit.own += own / r;
            unit.apart += (own - share) / r;
        }
        mean += share;
        poisson += share / r;
        nelson = nelson
            .filter(|_| r > 1.0 && !late)
            .map(|sum| sum + square / (r * (r - 1.0)) + 2.0 * with_earlier / (r - 1.0));
        points.push(Point {
            age,
            at_risk: seen.len() as u64,
            repairs,
            mean,
            variance: each.iter().map(|unit| unit.apart * unit.apart).sum(),
            poisson_variance: poisson,
            nelson_variance: nelson,
        });
    }
    Ok(points)
}

struct Unit<'a> {
    history: &'a History,
    /// First repair not yet passed.
    next: usize,
    /// Sum of the unit's own `d/r`.
    own: f64,
    /// Sum of `(d - mean d)/r`.
    apart: f64,
}

impl Unit<'_> {
    fn repairs_at(&mut self, age: f64) -> u64 {
        let from = self.next;
        let repairs = self.history.repairs();
        while self.next < repairs.len() && repairs[self.next] <= age {
            self.next += 1;
        }
        (self.next - from) as u64
    }
}
