//! Where the climb to the summit of a likelihood begins.

use super::fit::climb_from;
use super::likelihood::{Likelihood, Local, Moments, Span, Standard, Weighted};

/// Standard deviation of the smallest extreme value, `pi / sqrt 6`.
const EXTREME_SPREAD: f64 = 1.282_549_830_161_864;

/// A point with the likelihood there.
pub(super) struct Place {
    pub(super) a: f64,
    pub(super) b: f64,
    pub(super) local: Local,
}

impl Likelihood {
    /// A place to climb from. Where both parameters are free, failures within intervals are first taken as failures at their
    /// middle, for which a pass costs little, and the summit of that is tried.
    pub(super) fn start(&self, free_shape: bool) -> Place {
        if free_shape && !self.between.is_empty() {
            let middles = self.at_middles();
            if let Ok(summit) = climb_from(&middles, middles.first_guess(true), true) {
                let (a, b) = summit.point;
                let local = self.at(a, b);
                if local.is_finite() {
                    return Place { a, b, local };
                }
            }
        }
        self.first_guess(free_shape)
    }

    /// Each failure within an interval as one at its middle.
    fn at_middles(&self) -> Self {
        let mut middles: Vec<Weighted> = self.between.iter().map(Span::middle).collect();
        let exact = middles.iter().fold(self.exact, |sum, &row| sum.and(row));
        if self.standard == Standard::Normal {
            middles.clear();
        }
        middles.extend(&self.survived);
        Self { exact, survived: middles, before: self.before.clone(), between: Vec::new(), ..*self }
    }

    /// The spread of the failures where the shape is free and most failed, else a shape of 1, and the scale that would make
    /// the expected number of failures of a Weibull the seen one.
    fn first_guess(&self, free_shape: bool) -> Place {
        let middles = self.between.iter().map(Span::middle);
        let sums = middles.chain(self.before.iter().copied()).fold(self.exact, Moments::and);
        let extreme = self.standard == Standard::Extreme;
        let rows: f64 = self.survived.iter().map(|r| r.w).sum();
        let survivors = if extreme { rows - self.exact.w } else { rows };
        let mut b = 1.0;
        let variance = (sums.wyy - sums.wy * sums.wy / sums.w) / sums.w;
        if free_shape && sums.w > survivors && variance > 1e-20 {
            b = if extreme { EXTREME_SPREAD } else { 1.0 } / variance.sqrt();
        }
        loop {
            let hazard = |y: f64, w: f64| w * (b * y).exp();
            let mut total: f64 = self.survived.iter().chain(&self.before).map(|r| hazard(r.y, r.w)).sum();
            total += self.between.iter().map(|s| hazard(s.high, s.w)).sum::<f64>();
            if !extreme && self.exact.w > 0.0 {
                total += hazard(self.exact.wy / self.exact.w, self.exact.w);
            }
            let a = (total / sums.w).ln();
            let a = if a.is_finite() { a } else { 0.0 };
            let local = self.at(a, b);
            if local.is_finite() || b < 1e-6 {
                return Place { a, b, local };
            }
            b *= 0.5;
        }
    }
}
