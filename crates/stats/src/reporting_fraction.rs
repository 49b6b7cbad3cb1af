//! Which share of the failures gets reported: voluntary reports held against an inspection of a sample.

use crate::error::{StatsError, not_negative, positive};
use crate::special::beta::{self, Split, logit_density};
use crate::special::{Tails, gamma, normal, root};
use crate::value::{Confidence, Interval};

/// Reports from the field and an inspection of some of the items, over the same stretch of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Survey {
    /// Items in service.
    pub items: u64,
    /// Failures reported by their users.
    pub reports: u64,
    /// Items inspected.
    pub inspected: u64,
    /// Of these, found to have failed.
    pub found: u64,
}

/// The reported share by the delta method.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delta {
    /// `reports x inspected / (items x found)`.
    pub fraction: f64,
    /// Variance of its logarithm.
    pub variance_of_log: f64,
    /// Log-normal limits; `high` can lie above 1.
    pub interval: Interval,
}

/// The reported share by a posterior distribution, which exists for any data.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Posterior {
    /// Median.
    pub median: f64,
    /// Equal-tailed limits.
    pub interval: Interval,
}

/// Several surveys taken together, each count replaced by the plain count that is known as well.
///
/// A sum `x = sum w c` of counts `c` with weights `w` is known as well as a plain count of `x^2 / sum w^2 c`
/// (A. J. Dobson et al., Statistics in Medicine 10 (1991)); scale `items` so that the share stays as it was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighted {
    /// Items in service, above 0.
    pub items: f64,
    /// Failures reported, 0 or more.
    pub reports: f64,
    /// Items inspected, above 0.
    pub inspected: f64,
    /// Found to have failed, 0 to `inspected`.
    pub found: f64,
}

/// A checked survey with its posterior laid out for integration.
#[derive(Clone, Debug)]
pub struct ReportingFraction {
    survey: Weighted,
    grid: Grid,
}

/// The narrower of the two posteriors as points with weights that add up to 1; the other is met in closed form at each.
#[derive(Clone, Debug)]
enum Grid {
    /// Chances of failure.
    Chances(Vec<(f64, f64)>),
    /// Reports expected, where there are so many that they are known far better than the chance.
    Reports(Vec<(f64, f64)>),
}

impl ReportingFraction {
    /// Takes a survey.
    ///
    /// The inspection must see the same failures as are reportable, over a window long enough for reports to arrive.
    ///
    /// # Errors
    /// [`StatsError::TooFew`] for no items inspected, [`StatsError::CountAboveTotal`] for more found than inspected or
    /// more inspected than in service.
    pub fn new(survey: Survey) -> Result<Self, StatsError> {
        let Survey { items, inspected, found, .. } = survey;
        if inspected == 0 {
            return Err(StatsError::TooFew { what: "items inspected", given: 0, needed: 1 });
        }
        if found > inspected {
            return Err(StatsError::CountAboveTotal {
                what: "items found failed",
                count: found,
                total: inspected,
            });
        }
        if inspected > items {
            return Err(StatsError::CountAboveTotal {
                what: "items inspected",
                count: inspected,
                total: items,
            });
        }
        Ok(Self::laid_out(Weighted {
            items: items as f64,
            reports: survey.reports as f64,
            inspected: inspected as f64,
            found: found as f64,
        }))
    }

    /// Takes counts that stand for several surveys.
    ///
    /// ```
    /// use stats::{Confidence, reporting_fraction::{ReportingFraction, Survey, Weighted}};
    /// let one = Survey { items: 10_000, reports: 40, inspected: 200, found: 4 };
    /// let same = Weighted { items: 10_000.0, reports: 40.0, inspected: 200.0, found: 4.0 };
    /// let limits = |share: ReportingFraction| share.posterior(Confidence::NINETY_FIVE).interval;
    /// assert_eq!(limits(ReportingFraction::new(one).unwrap()), limits(ReportingFraction::weighted(same).unwrap()));
    /// ```
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for a figure out of its range.
    pub fn weighted(survey: Weighted) -> Result<Self, StatsError> {
        positive("items", survey.items)?;
        not_negative("reports", survey.reports)?;
        positive("items inspected", survey.inspected)?;
        not_negative("items found failed", survey.found)?;
        not_negative("items inspected and found whole", survey.inspected - survey.found)?;
        Ok(Self::laid_out(survey))
    }

    fn laid_out(survey: Weighted) -> Self {
        Self { survey, grid: Grid::new(survey) }
    }

    /// The share by the delta method: `var(ln) = 1/R + (1 - k/n)/k` for `R` reports and `k` of `n` found failed.
    ///
    /// With `finite`, the second term is multiplied by `(N - n)/(N - 1)`: of `N` items the inspected ones are no longer
    /// uncertain. `None` without reports or without failures found, where no estimate exists; see [`Self::posterior`].
    pub fn delta(&self, confidence: Confidence, finite: bool) -> Option<Delta> {
        let Weighted { items, reports, inspected, found } = self.survey;
        if reports == 0.0 || found == 0.0 {
            return None;
        }
        let fraction = reports * (inspected / items) / found;
        let left = if finite && items > 1.0 { (items - inspected) / (items - 1.0) } else { 1.0 };
        let variance_of_log = 1.0 / reports + (1.0 - found / inspected) / found * left;
        let z = confidence.normal_reach();
        let reach = (z * variance_of_log.sqrt()).exp();
        let interval = Interval { low: fraction / reach, high: fraction * reach };
        Some(Delta { fraction, variance_of_log, interval })
    }

    /// Probability that the share is at most `fraction`, with what is left of it.
    ///
    /// Reports expected `~ Gamma(R + 1/2)`, chance of failure `p ~ Beta(k + 1/2, n - k + 1/2)`, share = reports
    /// expected `/ (N p)`: Jeffreys priors on both.
    fn tails(&self, fraction: f64) -> Tails {
        let Weighted { items, reports, inspected, found } = self.survey;
        let add = |sum: Tails, weight: f64, part: Tails| Tails {
            lower: sum.lower + weight * part.lower,
            upper: sum.upper + weight * part.upper,
        };
        let none = Tails { lower: 0.0, upper: 0.0 };
        match &self.grid {
            Grid::Chances(points) => points.iter().fold(none, |sum, &(chance, weight)| {
                add(sum, weight, gamma::tails(reports + 0.5, fraction * items * chance))
            }),
            Grid::Reports(points) => points.iter().fold(none, |sum, &(expected, weight)| {
                // The share is at most `fraction` where the chance is at least this.
                let least = expected / (fraction * items);
                let part = if least < 1.0 {
                    beta::tails(found + 0.5, inspected - found + 0.5, least, 1.0 - least).swapped()
                } else {
                    Tails { lower: 0.0, upper: 1.0 }
                };
                add(sum, weight, part)
            }),
        }
    }

    /// Probability that the share is at most 1, as it must be if both counts mean the same failures: a small value says
    /// that they don't.
    pub fn probability_at_most_one(&self) -> f64 {
        self.tails(1.0).lower
    }

    fn quantile(&self, wanted: Tails) -> f64 {
        let Weighted { items, reports, inspected, found } = self.survey;
        let centre = (reports + 0.5) * (inspected + 1.0) / (items * (found + 0.5));
        // Where it would lie were the logarithm of the share normal; a few tenths of its width bring the search around it.
        let width = ((reports + 0.5).recip() + (found + 0.5).recip()).sqrt();
        // By the smaller tail alone: the other may be above 1 by what rounding adds.
        let nearer = if wanted.lower < wanted.upper {
            Tails::from_lower(wanted.lower)
        } else {
            Tails::from_upper(wanted.upper)
        };
        let start = centre.ln() + width * normal::quantile(nearer).clamp(-8.0, 8.0);
        let gap = |log: f64| {
            let tails = self.tails(log.exp());
            if wanted.lower < wanted.upper {
                (tails.lower.max(1e-300) / wanted.lower).ln()
            } else {
                (wanted.upper / tails.upper.max(1e-300)).ln()
            }
        };
        root::widened(start, 0.25 * width, gap).exp()
    }

    /// Median and limits of the share; very wide, and truly so, where nothing was found.
    ///
    /// Summed over all outcomes of three surveys that find 2 to 6 failures on average, 90 % limits hold in 87 % to 90 % of
    /// cases; those of [`Self::delta`], where they exist, in 91 % to 94 %.
    pub fn posterior(&self, confidence: Confidence) -> Posterior {
        let risk = confidence.half_risk();
        Posterior {
            median: self.quantile(Tails::from_lower(0.5)),
            interval: Interval {
                low: self.quantile(Tails::from_lower(risk)),
                high: self.quantile(Tails::from_upper(risk)),
            },
        }
    }

    /// Median and limits given that the share is at most 1.
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] where that has next to no probability.
    pub fn posterior_at_most_one(&self, confidence: Confidence) -> Result<Posterior, StatsError> {
        let at = self.at_most_one()?;
        Ok(Posterior { median: at(0.5, 0.5), interval: limits(at, confidence) })
    }

    /// Its limits alone, where the median is not asked for: it takes as long as each of them.
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] where a share of at most 1 has next to no probability.
    pub fn interval_at_most_one(&self, confidence: Confidence) -> Result<Interval, StatsError> {
        Ok(limits(self.at_most_one()?, confidence))
    }

    /// The share below which a part of what lies within 1 lies, and above which the rest.
    fn at_most_one(&self) -> Result<impl Fn(f64, f64) -> f64, StatsError> {
        let Tails { lower: inside, upper: outside } = self.tails(1.0);
        positive("probability of a share of at most 1", if inside > 1e-12 { inside } else { 0.0 })?;
        Ok(move |lower: f64, upper: f64| {
            self.quantile(Tails { lower: lower * inside, upper: upper * inside + outside })
        })
    }
}

/// Equal-tailed limits from what finds a share by what lies below it and above.
fn limits(at: impl Fn(f64, f64) -> f64, confidence: Confidence) -> Interval {
    let risk = confidence.half_risk();
    Interval { low: at(risk, 1.0 - risk), high: at(1.0 - risk, risk) }
}

impl Grid {
    fn new(survey: Weighted) -> Self {
        let Weighted { reports, inspected, found, .. } = survey;
        let (a, b, shape) = (found + 0.5, inspected - found + 0.5, reports + 0.5);
        let (of_chance, of_reports) = (((a + b) / (a * b)).sqrt(), shape.sqrt().recip());
        if of_reports < MUCH_NARROWER * of_chance {
            return Self::Reports(points(shape.ln(), 0.25 * of_reports, |log| {
                (log.exp(), gamma::poisson_term(shape, log.exp()))
            }));
        }
        let step = (0.5 * of_chance.min(of_reports)).min(0.28);
        Self::Chances(points((a / b).ln(), step, |logit| {
            let at = Split::from_odds(logit.exp());
            (at.x, logit_density(a, b, at.x, at.y))
        }))
    }
}

/// Below this ratio of widths a grid of chances would need thousands of points.
const MUCH_NARROWER: f64 = 0.01;

/// Points and weights of a density on both sides of its peak, evenly spaced in the logit or the logarithm.
///
/// There it is smooth, and so is what is averaged over it: plain sums in steps of half the narrower of the two
/// widths are exact to rounding.
fn points(peak: f64, step: f64, density: impl Fn(f64) -> (f64, f64)) -> Vec<(f64, f64)> {
    let highest = density(peak).1;
    let mut points = vec![density(peak)];
    for side in [step, -step] {
        let mut at = peak + side;
        loop {
            let point = density(at);
            // A step that rounding swallows would never leave the peak.
            if point.1 < 1e-17 * highest || at + side == at {
                break;
            }
            points.push(point);
            at += side;
        }
    }
    let total: f64 = points.iter().map(|(_, weight)| weight).sum();
    points.iter().map(|&(value, weight)| (value, weight / total)).collect()
}
