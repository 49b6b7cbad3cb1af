//! The logarithm of the likelihood of lifetimes in `(a, b)`, where `z = b y - a` and `y` is log age from a centre.

use super::kernel::{Between, CERTAIN, Extreme, Kernel, Normal};
use crate::lifetimes::{End, Lifetimes};

#[derive(Clone, Copy, Debug)]
struct Weighted {
    y: f64,
    w: f64,
}

#[derive(Clone, Copy, Debug)]
struct Span {
    /// Log age last seen alive, negative infinity for age 0.
    low: f64,
    high: f64,
    w: f64,
}

/// Value, slopes and curvatures at a point `(a, b)`.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Local {
    pub(crate) value: f64,
    pub(crate) da: f64,
    pub(crate) db: f64,
    pub(crate) daa: f64,
    pub(crate) dab: f64,
    pub(crate) dbb: f64,
}

impl Local {
    /// Adds a term of one `z = b y - a` from its derivatives in `z`.
    #[inline]
    fn add(&mut self, value: f64, slope: f64, curve: f64, y: f64) {
        let bent = curve * y;
        self.value += value;
        self.da -= slope;
        self.db += slope * y;
        self.daa += curve;
        self.dab -= bent;
        self.dbb += bent * y;
    }
}

/// Which standard distribution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Standard {
    Extreme,
    Normal,
}

/// Lifetimes arranged for quick passes: a truncated life is a survivor to its end less a survivor to its entry.
#[derive(Clone, Debug)]
pub(crate) struct Likelihood {
    pub(crate) standard: Standard,
    /// Log age from which `y` is counted.
    pub(crate) centre: f64,
    failed: Vec<Weighted>,
    survived: Vec<Weighted>,
    between: Vec<Span>,
    exact_weight: f64,
    exact_log_ages: f64,
}

impl Likelihood {
    pub(crate) fn new(standard: Standard, lifetimes: &Lifetimes) -> Self {
        let centre = centre(lifetimes);
        let mut all = Self {
            standard,
            centre,
            failed: Vec::new(),
            survived: Vec::new(),
            between: Vec::new(),
            exact_weight: 0.0,
            exact_log_ages: 0.0,
        };
        for life in lifetimes.lives() {
            let w = life.weight;
            match life.end {
                End::Failed(age) => {
                    let y = age.ln() - centre;
                    all.failed.push(Weighted { y, w });
                    all.exact_weight += w;
                    all.exact_log_ages += w * (y + centre);
                }
                End::Survived(age) => all.survived.push(Weighted { y: age.ln() - centre, w }),
                End::FailedBefore(age) => {
                    all.between.push(Span { low: f64::NEG_INFINITY, high: age.ln() - centre, w });
                }
                End::FailedBetween(low, high) => {
                    all.between.push(Span { low: low.ln() - centre, high: high.ln() - centre, w });
                }
            }
            if life.entry > 0.0 {
                all.survived.push(Weighted { y: life.entry.ln() - centre, w: -w });
            }
        }
        all
    }

    /// Both samples as one, the ages of the second divided by `e^shift`; densities stay those of the ages as given.
    pub(crate) fn joined(&self, second: &Self, shift: f64) -> Self {
        let move_by = second.centre - self.centre - shift;
        let moved = |rows: &[Weighted]| -> Vec<Weighted> {
            rows.iter().map(|r| Weighted { y: r.y + move_by, w: r.w }).collect()
        };
        let mut all = self.clone();
        all.failed.extend(moved(&second.failed));
        all.survived.extend(moved(&second.survived));
        all.between.extend(second.between.iter().map(|s| Span {
            low: s.low + move_by,
            high: s.high + move_by,
            w: s.w,
        }));
        all.exact_weight += second.exact_weight;
        all.exact_log_ages += second.exact_log_ages;
        all
    }

    /// Value and derivatives at `(a, b)`, `b > 0`.
    pub(crate) fn at(&self, a: f64, b: f64) -> Local {
        match self.standard {
            Standard::Extreme => self.pass::<Extreme>(a, b),
            Standard::Normal => self.pass::<Normal>(a, b),
        }
    }

    fn pass<K: Kernel>(&self, a: f64, b: f64) -> Local {
        let mut sum = Local::default();
        for &Weighted { y, w } in &self.survived {
            let jet = K::ln_survival(b * y - a);
            sum.add(w * jet.value, w * jet.slope, w * jet.curve, y);
        }
        for &Weighted { y, w } in &self.failed {
            let jet = K::ln_density(b * y - a);
            sum.add(w * jet.value, w * jet.slope, w * jet.curve, y);
        }
        for &Span { low, high, w } in &self.between {
            let late = K::ln_survival(b * high - a);
            if low == f64::NEG_INFINITY {
                let part = Between::new(CERTAIN, late);
                sum.add(w * part.value, w * part.slopes.1, w * part.curves.1, high);
                continue;
            }
            let part = Between::new(K::ln_survival(b * low - a), late);
            sum.add(w * part.value, w * part.slopes.0, w * part.curves.0, low);
            sum.add(0.0, w * part.slopes.1, w * part.curves.1, high);
            let mixed = w * part.mixed;
            sum.daa += 2.0 * mixed;
            sum.dab -= mixed * (low + high);
            sum.dbb += 2.0 * mixed * low * high;
        }
        sum.value += self.exact_weight * b.ln() - self.exact_log_ages;
        sum.db += self.exact_weight / b;
        sum.dbb -= self.exact_weight / (b * b);
        sum
    }

    /// A first guess of `(a, b)`: the spread of exact failures where the shape is free and most failed so, else a shape
    /// of 1, and the scale that would make the expected number of failures of a Weibull the seen one.
    pub(crate) fn start(&self, free_shape: bool) -> (f64, f64) {
        let spans: f64 = self.between.iter().map(|s| s.w).sum();
        let survivors: f64 = self.survived.iter().map(|s| s.w).sum::<f64>().max(0.0);
        let failures = self.exact_weight + spans;
        let mut b = 1.0;
        if free_shape && self.exact_weight > spans + survivors {
            let mean = self.failed.iter().map(|r| r.w * r.y).sum::<f64>() / self.exact_weight;
            let square: f64 = self.failed.iter().map(|r| r.w * (r.y - mean).powi(2)).sum();
            if square > 0.0 {
                b = (square / self.exact_weight).sqrt().recip();
            }
        }
        loop {
            let mut total: f64 =
                self.failed.iter().chain(&self.survived).map(|r| r.w * (b * r.y).exp()).sum();
            total += self.between.iter().map(|s| s.w * (b * s.high).exp()).sum::<f64>();
            let a = (total / failures).ln();
            if (a.is_finite() && self.at(a, b).value.is_finite()) || b < 1e-6 {
                return (if a.is_finite() { a } else { 0.0 }, b);
            }
            b *= 0.5;
        }
    }
}

/// Weighted mean of the log ages at failure, which keeps `y` small whatever the unit.
fn centre(lifetimes: &Lifetimes) -> f64 {
    let (mut sum, mut weight) = (0.0, 0.0);
    for life in lifetimes.lives() {
        let y = match life.end {
            End::Survived(_) => continue,
            End::Failed(age) | End::FailedBefore(age) => age.ln(),
            End::FailedBetween(low, high) => 0.5 * (low.ln() + high.ln()),
        };
        sum += life.weight * y;
        weight += life.weight;
    }
    if weight > 0.0 { sum / weight } else { lifetimes.longest().ln() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lifetimes::Life;
    use nalgebra::SVector;
    use num_dual::{Dual2SVec64, DualNum, hessian};

    type Dual = Dual2SVec64<2>;

    /// The Weibull's log likelihood of the lives below, as in the textbook, in dual numbers.
    fn by_definition(v: SVector<Dual, 2>) -> Dual {
        let [a, b] = [v[0], v[1]];
        let e = |age: f64| (b * age.ln() - a).exp();
        let exact = |age: f64| b * age.ln() - a - e(age) + b.ln() - age.ln();
        let left = (-(-e(4.0)).exp() + 1.0).ln();
        let interval = ((-e(5.0)).exp() - (-e(8.0)).exp()).ln();
        exact(3.0) * 2.0 + exact(7.0) - e(9.0) * 5.0 + e(2.0) * 5.0 + left + interval * 3.0
    }

    #[test]
    fn derivatives_agree_with_dual_numbers() {
        let lives = [
            Life::failed(3.0).times(2.0),
            Life::failed(7.0),
            Life::survived(9.0).watched_from(2.0).times(5.0),
            Life::failed_before(4.0),
            Life::failed_between(5.0, 8.0).times(3.0),
        ];
        let ours = Likelihood::new(Standard::Extreme, &Lifetimes::new(lives).expect("lives"));
        let (a, b) = (3.1, 1.4);
        // The centre moves a: z = b (y - centre) - a' with a' = a - b centre.
        let here = ours.at(a - b * ours.centre, b);
        let (value, slope, curve) = hessian(by_definition, &SVector::from([a, b]));
        let c = ours.centre;
        let db = here.db - c * here.da;
        let dab = here.dab - c * here.daa;
        let dbb = here.dbb - 2.0 * c * here.dab + c * c * here.daa;
        let pairs = [
            (here.value, value),
            (here.da, slope[0]),
            (db, slope[1]),
            (here.daa, curve[(0, 0)]),
            (dab, curve[(0, 1)]),
            (dbb, curve[(1, 1)]),
        ];
        for (one, two) in pairs {
            assert!((one - two).abs() < 1e-11 * (1.0 + two.abs()), "{one} {two}");
        }
    }
}
