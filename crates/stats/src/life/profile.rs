//! Limits from the profile likelihood: where the best fit with one quantity held falls by half a chi-square.

use super::distribution::{Distribution, Model};
use super::fit::Fit;
use super::likelihood::{Likelihood, Local};
use crate::special::{Tails, student};
use crate::value::{Confidence, Interval, Probability};

/// Farther than this from the estimate, in the logarithm, a limit is taken as not existing.
pub(super) const FARTHEST: f64 = 600.0;

/// The quantity held, as a way of writing `(a, b)` by its logarithm `psi` and one free parameter.
#[derive(Clone, Copy)]
enum Held {
    /// A quantile with standard quantile `z`: `a = b psi - z`, `b` free.
    Quantile { z: f64 },
    /// The shape: `b = e^psi`, `a` free.
    Shape,
    /// A quantile of an exponential: `a = psi - z`, nothing free.
    Exponential { z: f64 },
}

/// The likelihood seen along the free parameter.
struct Seen {
    value: f64,
    /// Slope in `psi`, the free parameter held.
    along: f64,
    /// Slope and curvature in the free parameter, and the slope's own slope in `psi`.
    slope: f64,
    curve: f64,
    mixed: f64,
}

impl Held {
    fn point(self, psi: f64, free: f64) -> (f64, f64) {
        match self {
            Self::Quantile { z } => (free * psi - z, free),
            Self::Shape => (free, psi.exp()),
            Self::Exponential { z } => (psi - z, 1.0),
        }
    }

    fn see(self, likelihood: &Likelihood, psi: f64, free: f64) -> Seen {
        let (a, b) = self.point(psi, free);
        let Local { value, da, db, daa, dab, dbb } = likelihood.at(a, b);
        match self {
            Self::Quantile { .. } => Seen {
                value,
                along: b * da,
                slope: db + psi * da,
                curve: dbb + 2.0 * psi * dab + psi * psi * daa,
                mixed: b * (dab + psi * daa) + da,
            },
            Self::Shape => Seen { value, along: b * db, slope: da, curve: daa, mixed: b * dab },
            Self::Exponential { .. } => Seen { value, along: da, slope: 0.0, curve: -1.0, mixed: 0.0 },
        }
    }

    fn allows(self, free: f64) -> bool {
        !matches!(self, Self::Quantile { .. }) || free > 0.0
    }
}

/// The best value with `psi` held, its slope in `psi`, where it is reached, and how that place moves with `psi`.
struct Best {
    value: f64,
    along: f64,
    free: f64,
    drift: f64,
}

fn best(held: Held, likelihood: &Likelihood, psi: f64, start: f64) -> Option<Best> {
    let mut free = start;
    let mut here = held.see(likelihood, psi, free);
    let mut shrink = 0;
    while !(here.value.is_finite() && here.slope.is_finite()) {
        free *= 0.5;
        shrink += 1;
        if shrink > 60 {
            return None;
        }
        here = held.see(likelihood, psi, free);
    }
    for _ in 0..100 {
        let step = if here.curve < 0.0 {
            -here.slope / here.curve
        } else {
            here.slope.signum() * (0.1 + free.abs())
        };
        let gain = 0.5 * step * here.slope;
        if here.curve < 0.0 && gain < 1e-9 {
            // So near the top its height is known from here to the third order of the step.
            let drift = -here.mixed / here.curve;
            let along = here.along + here.mixed * step;
            return Some(Best { value: here.value + gain, along, free: free + step, drift });
        }
        let mut share = 1.0_f64;
        let slack = 1e-12 * (1.0 + here.value.abs());
        loop {
            let there = free + share * step;
            if held.allows(there) {
                let seen = held.see(likelihood, psi, there);
                if seen.value >= here.value - slack && seen.slope.is_finite() {
                    (free, here) = (there, seen);
                    break;
                }
            }
            share *= 0.5;
            if share < 1e-10 {
                return None;
            }
        }
    }
    None
}

/// Finds where `sqrt(2 (lmax - l(psi)))` reaches `wanted` on one side of the summit; infinite if it never does.
fn search(held: Held, likelihood: &Likelihood, summit: f64, at: (f64, f64), reach: f64, wanted: f64) -> f64 {
    let (centre, mut free) = at;
    let side = reach.signum();
    let (mut near, mut far) = (0.0_f64, f64::INFINITY);
    let mut distance = reach.abs();
    let mut last = 0.0;
    let mut drift = 0.0;
    for _ in 0..120 {
        let psi = centre + side * distance;
        let guess = free + drift * side * (distance - last);
        let start = if held.allows(guess) { guess } else { 0.5 * free };
        let root = best(held, likelihood, psi, start).map(|b| {
            (free, drift, last) = (b.free, b.drift, distance);
            let fall = (2.0 * (summit - b.value)).max(0.0).sqrt();
            (fall, -side * b.along / fall)
        });
        let next = if let Some((fall, slope)) = root {
            if (fall - wanted).abs() < 1e-10 * (1.0 + wanted) {
                return psi;
            }
            if fall < wanted {
                near = distance;
            } else {
                far = distance;
            }
            distance + (wanted - fall) / slope
        } else {
            // Nothing finite fits there: far below the likelihood wanted.
            far = distance;
            f64::NAN
        };
        if far == f64::INFINITY && distance > FARTHEST {
            return side * f64::INFINITY;
        }
        let widest = if far == f64::INFINITY { 2.0 * distance } else { far };
        let fine = next > near && next <= widest && next < far;
        let moved = if fine {
            next
        } else if far == f64::INFINITY {
            widest
        } else {
            0.5 * (near + far)
        };
        if (moved - distance).abs() < 1e-12 * (1.0 + distance) {
            return centre + side * moved;
        }
        distance = moved;
    }
    centre + side * distance
}

impl Fit {
    fn limits(&self, held: Held, psi: f64, free: f64, error: f64, confidence: Confidence) -> Interval {
        let wanted = student::chi_square_quantile(Tails::from_upper(confidence.risk()), 1.0).sqrt();
        let one = |side: f64| {
            let reach = side * (wanted * error).clamp(1e-12, FARTHEST);
            search(held, &self.likelihood, self.log_likelihood, (psi, free), reach, wanted)
        };
        Interval { low: one(-1.0), high: one(1.0) }
    }

    /// Profile limits of the age by which a fraction fails, such as B10 with 0.1.
    ///
    /// They hold all ages `t` for which the best fit through `(t, fraction)` has
    /// `2 (lmax - l) <= chi2_1(confidence)`. A limit that does not exist is 0 or infinite; with one or two failures the
    /// upper one can be astronomically large, see [`Fit::useful_upper`]. With some 20 failures in 30 lives, 95 % limits
    /// held B10 in 93 % (Weibull) and 95 % (lognormal) of simulated cases.
    ///
    /// ```
    /// use stats::{Confidence, Probability, life, lifetimes::{Life, Lifetimes}};
    /// let lives = [17.88, 28.92, 33.0, 41.52, 42.12, 45.6].map(Life::failed);
    /// let fit = life::fit(&Lifetimes::new(lives).unwrap(), life::Model::Weibull).unwrap();
    /// let tenth = Probability::new(0.1).unwrap();
    /// let limits = fit.quantile_limits(tenth, Confidence::NINETY_FIVE);
    /// assert!(limits.contains(fit.distribution().quantile(tenth)));
    /// ```
    pub fn quantile_limits(&self, fraction: Probability, confidence: Confidence) -> Interval {
        let z = Distribution::standard_quantile(self.distribution.model(), fraction);
        self.located(z, self.quantile_ln_standard_error(fraction), confidence)
    }

    /// Profile limits of the scale `e^mu`: `eta`, `theta` or the median.
    pub fn scale_limits(&self, confidence: Confidence) -> Interval {
        self.located(0.0, self.covariance().mu.sqrt(), confidence)
    }

    /// Profile limits of the shape `1/sigma`; the shape itself twice for an exponential.
    pub fn shape_limits(&self, confidence: Confidence) -> Interval {
        if self.distribution.model() == Model::Exponential {
            return Interval { low: 1.0, high: 1.0 };
        }
        let (a, b) = self.summit;
        let found = self.limits(Held::Shape, b.ln(), a, self.covariance().ln_sigma.sqrt(), confidence);
        Interval { low: found.low.exp(), high: found.high.exp() }
    }

    fn located(&self, z: f64, error: f64, confidence: Confidence) -> Interval {
        let (a, b) = self.summit;
        let held = match self.distribution.model() {
            Model::Exponential => Held::Exponential { z },
            Model::Weibull | Model::Lognormal => Held::Quantile { z },
        };
        let found = self.limits(held, (a + z) / b, b, error, confidence);
        let centre = self.likelihood.centre;
        Interval { low: (found.low + centre).exp(), high: (found.high + centre).exp() }
    }
}
