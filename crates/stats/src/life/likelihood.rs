//! The logarithm of the likelihood of lifetimes in `(a, b)`, where `z = b y - a` and `y` is log age from a centre.

use super::distribution::Model;
use super::kernel::{Extreme, Kernel, Normal};
use crate::lifetimes::{End, Lifetimes};

#[derive(Clone, Copy, Debug)]
pub(super) struct Weighted {
    pub(super) y: f64,
    pub(super) w: f64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Span {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) w: f64,
}

impl Span {
    pub(super) fn middle(&self) -> Weighted {
        Weighted { y: 0.5 * (self.low + self.high), w: self.w }
    }
}

/// Sums over exact failures: of weights, and of weights times `y` and its square.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Moments {
    pub(crate) w: f64,
    pub(crate) wy: f64,
    pub(crate) wyy: f64,
}

impl Moments {
    /// The sums with one failure more.
    pub(super) fn and(self, row: Weighted) -> Self {
        let wy = row.w * row.y;
        Self { w: self.w + row.w, wy: self.wy + wy, wyy: self.wyy + wy * row.y }
    }

    /// The sums once every `y` has moved.
    fn moved(self, by: f64) -> Self {
        let wy = self.wy + by * self.w;
        Self { w: self.w, wy, wyy: self.wyy + by * (self.wy + wy) }
    }
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
    /// Whether one can go on from here.
    pub(super) fn is_finite(&self) -> bool {
        self.value.is_finite() && self.da.is_finite() && self.db.is_finite()
    }

    /// Adds a term of one `z = b y - a` from its derivatives in `z`.
    #[inline]
    pub(super) fn add(&mut self, value: f64, slope: f64, curve: f64, y: f64) {
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

/// Lifetimes arranged for quick passes.
///
/// A truncated life is a survivor to its end less a survivor to its entry. Exact failures count by their sums, since the
/// logarithm of a normal density is a polynomial, and that of the extreme value's is `z + ln S(z)`.
#[derive(Clone, Debug)]
pub(crate) struct Likelihood {
    pub(crate) standard: Standard,
    /// Log age from which `y` is counted.
    pub(crate) centre: f64,
    pub(super) exact: Moments,
    /// Logarithms of the ages of exact failures, by which densities of `y` and of age differ.
    pub(super) ln_ages: f64,
    /// Rows that count by their survival; for the extreme value distribution exact failures are among them.
    pub(super) survived: Vec<Weighted>,
    /// Found failed at their first look.
    pub(super) before: Vec<Weighted>,
    pub(super) between: Vec<Span>,
}

impl Likelihood {
    pub(crate) fn new(model: Model, lifetimes: &Lifetimes) -> Self {
        if model == Model::Exponential { Self::exponential(lifetimes) } else { Self::free(model, lifetimes) }
    }

    fn free(model: Model, lifetimes: &Lifetimes) -> Self {
        let (mut failed, mut survived, mut entered) = (Vec::new(), Vec::new(), Vec::new());
        let (mut before, mut between) = (Vec::new(), Vec::new());
        for life in lifetimes.lives() {
            let w = life.weight;
            match life.end {
                End::Failed(age) => failed.push(Weighted { y: age.ln(), w }),
                End::Survived(age) => survived.push(Weighted { y: age.ln(), w }),
                End::FailedBefore(age) => before.push(Weighted { y: age.ln(), w }),
                End::FailedBetween(low, high) => between.push(Span { low: low.ln(), high: high.ln(), w }),
            }
            if life.entry > 0.0 {
                entered.push(Weighted { y: life.entry.ln(), w: -w });
            }
        }
        survived.append(&mut entered);
        let centre = centre(&failed, &before, &between).unwrap_or_else(|| lifetimes.longest().ln());
        for row in failed.iter_mut().chain(&mut survived).chain(&mut before) {
            row.y -= centre;
        }
        for span in &mut between {
            span.low -= centre;
            span.high -= centre;
        }
        let exact = failed.iter().fold(Moments::default(), |sum, &row| sum.and(row));
        let ln_ages = exact.wy + exact.w * centre;
        let standard = model.standard();
        if standard == Standard::Extreme {
            failed.append(&mut survived);
            survived = failed;
        }
        Self { standard, centre, exact, ln_ages, survived, before, between }
    }

    /// With `b` held at 1 the ages at which time on watch ends count by their sum, and need no logarithm.
    fn exponential(lifetimes: &Lifetimes) -> Self {
        // No age is above 1 in this unit.
        let unit = lifetimes.longest().max(f64::MIN_POSITIVE);
        let (centre, per_unit) = (unit.ln(), unit.recip());
        let (mut failed, mut time) = (0.0, 0.0);
        let (mut before, mut between) = (Vec::new(), Vec::new());
        for life in lifetimes.lives() {
            let w = life.weight;
            let mut watched_to = 0.0;
            match life.end {
                End::Failed(age) => {
                    failed += w;
                    watched_to = age;
                }
                End::Survived(age) => watched_to = age,
                End::FailedBefore(age) => before.push(Weighted { y: age.ln() - centre, w }),
                End::FailedBetween(low, high) => {
                    between.push(Span { low: low.ln() - centre, high: high.ln() - centre, w });
                }
            }
            time += w * ((watched_to - life.entry) * per_unit);
        }
        let exact = Moments { w: failed, ..Moments::default() };
        let survived = vec![Weighted { y: 0.0, w: time }];
        let (standard, ln_ages) = (Standard::Extreme, failed * centre);
        Self { standard, centre, exact, ln_ages, survived, before, between }
    }

    /// Both samples as one, the ages of the second divided by `e^shift`; densities stay those of the ages as given.
    pub(crate) fn joined(&self, second: &Self, shift: f64) -> Self {
        let move_by = second.centre - self.centre - shift;
        let moved = |r: &Weighted| Weighted { y: r.y + move_by, w: r.w };
        let mut all = self.clone();
        all.survived.extend(second.survived.iter().map(moved));
        all.before.extend(second.before.iter().map(moved));
        all.between.extend(second.between.iter().map(|s| Span {
            low: s.low + move_by,
            high: s.high + move_by,
            w: s.w,
        }));
        let exact = second.exact.moved(move_by);
        all.exact.w += exact.w;
        all.exact.wy += exact.wy;
        all.exact.wyy += exact.wyy;
        all.ln_ages += second.ln_ages;
        all
    }

    /// Weight of all failures.
    pub(super) fn failures(&self) -> f64 {
        let between: f64 = self.between.iter().map(|s| s.w).sum();
        self.exact.w + between + self.before.iter().map(|r| r.w).sum::<f64>()
    }

    /// Value and derivatives at `(a, b)`, `b > 0`.
    pub(crate) fn at(&self, a: f64, b: f64) -> Local {
        let mut sum = match self.standard {
            Standard::Extreme => self.pass::<Extreme>(a, b),
            Standard::Normal => self.pass::<Normal>(a, b),
        };
        let failed = self.exact.w;
        sum.value += failed * b.ln() - self.ln_ages;
        sum.db += failed / b;
        sum.dbb -= failed / (b * b);
        sum
    }

    fn pass<K: Kernel>(&self, a: f64, b: f64) -> Local {
        let mut sum = K::exact(self.exact, a, b);
        K::survived(&self.survived, a, b, &mut sum);
        K::before(&self.before, a, b, &mut sum);
        K::between(&self.between, a, b, &mut sum);
        sum
    }
}

/// Weighted mean of the log ages at failure, which keeps `y` small whatever the unit.
fn centre(failed: &[Weighted], before: &[Weighted], between: &[Span]) -> Option<f64> {
    let (mut sum, mut weight) = (0.0, 0.0);
    let points = failed.iter().chain(before).copied();
    for Weighted { y, w } in points.chain(between.iter().map(Span::middle)) {
        sum += w * y;
        weight += w;
    }
    (weight > 0.0).then(|| sum / weight)
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
        let ours = Likelihood::new(Model::Weibull, &Lifetimes::new(lives).expect("lives"));
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

    #[test]
    fn slopes_agree_with_differences() {
        let lives = [
            Life::failed(3.0).times(2.0),
            Life::failed(7.0),
            Life::survived(9.0).watched_from(2.0).times(5.0),
            Life::failed_before(4.0).times(1.5),
            Life::failed_between(5.0, 8.0).times(3.0),
            Life::failed_between(6.0, 6.5),
        ];
        let lives = Lifetimes::new(lives).expect("lives");
        for model in [Model::Weibull, Model::Lognormal] {
            let ours = Likelihood::new(model, &lives);
            let (a, b, h) = (0.2, 1.4, 1e-5);
            let here = ours.at(a, b);
            let [left, right] = [-h, h].map(|step| ours.at(a + step, b));
            let [below, above] = [-h, h].map(|step| ours.at(a, b + step));
            let rise = |from: f64, to: f64| (to - from) / (2.0 * h);
            for (exact, near) in [
                (here.da, rise(left.value, right.value)),
                (here.db, rise(below.value, above.value)),
                (here.daa, rise(left.da, right.da)),
                (here.dab, rise(left.db, right.db)),
                (here.dab, rise(below.da, above.da)),
                (here.dbb, rise(below.db, above.db)),
            ] {
                assert!((exact - near).abs() < 1e-8 * (1.0 + exact.abs()), "{model:?}: {exact} {near}");
            }
        }
    }
}
