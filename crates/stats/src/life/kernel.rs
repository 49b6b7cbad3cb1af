//! The standard forms of the family: what exact failures, survivors and intervals add to the logarithm of the likelihood.

use super::likelihood::{Local, Moments, Span, Weighted};
use crate::special::{LN_SQRT_TAU, normal};

/// Intervals worked on together.
const BLOCK: usize = 64;

/// A standard distribution of `z = b y - a`.
pub(crate) trait Kernel {
    /// Exact failures: `ln f(z)` less the part of it that `survived` adds for them.
    fn exact(sums: Moments, a: f64, b: f64) -> Local;
    /// Survivors, and exact failures where [`Kernel::exact`] leaves that to them: `ln S(z)`.
    fn survived(rows: &[Weighted], a: f64, b: f64, sum: &mut Local);
    /// Failures found at the first look: `ln (1 - S(z))`.
    fn before(rows: &[Weighted], a: f64, b: f64, sum: &mut Local);
    /// Failures between two looks: `ln (S(z1) - S(z2))`.
    fn between(spans: &[Span], a: f64, b: f64, sum: &mut Local);
}

/// The smallest extreme value distribution, the logarithm of a Weibull life: `ln f(z) = z + ln S(z)`, `ln S(z) = -e^z`.
pub(crate) struct Extreme;

impl Kernel for Extreme {
    fn exact(sums: Moments, a: f64, b: f64) -> Local {
        Local { value: b * sums.wy - a * sums.w, da: -sums.w, db: sums.wy, ..Local::default() }
    }

    fn survived(rows: &[Weighted], a: f64, b: f64, sum: &mut Local) {
        let (mut plain, mut first, mut second) = (0.0, 0.0, 0.0);
        for &Weighted { y, w } in rows {
            let hazard = w * (b * y - a).exp();
            plain += hazard;
            let bent = hazard * y;
            first += bent;
            second += bent * y;
        }
        sum.value -= plain;
        sum.da += plain;
        sum.db -= first;
        sum.daa -= plain;
        sum.dab += first;
        sum.dbb -= second;
    }

    fn before(rows: &[Weighted], a: f64, b: f64, sum: &mut Local) {
        for &Weighted { y, w } in rows {
            let hazard = (b * y - a).exp();
            let share = -(-hazard).exp_m1();
            let odds = (1.0 - share) / share;
            // Beyond all survival nothing changes any more, however large the hazard.
            let hazard = if odds == 0.0 { 0.0 } else { hazard };
            let slope = hazard * odds;
            sum.add(w * share.ln(), w * slope, w * slope * (1.0 - hazard / share), y);
        }
    }

    /// With hazards `h1` and `h2` to both looks `ln (S(z1) - S(z2)) = -h1 + ln share`, `share = 1 - e^(h1 - h2)`.
    fn between(spans: &[Span], a: f64, b: f64, sum: &mut Local) {
        let mut shares = LnShares::default();
        // All calls first, block by block, so that the sums stay in registers.
        let (mut early, mut late, mut share) = ([0.0; BLOCK], [0.0; BLOCK], [0.0; BLOCK]);
        for block in spans.chunks(BLOCK) {
            for (i, span) in block.iter().enumerate() {
                early[i] = (b * span.low - a).exp();
                late[i] = (b * span.high - a).exp();
                share[i] = -(early[i] - late[i]).exp_m1();
            }
            for (i, &Span { low, high, w }) in block.iter().enumerate() {
                let (one, share) = (early[i], share[i]);
                let certain = share.recip();
                let odds = (1.0 - share) * certain;
                // Beyond all survival the late look says nothing, however large its hazard.
                let two = if odds == 0.0 { one } else { late[i] };
                let (gap, bend) = (two - one, odds * certain);
                let (slope1, slope2) = (-w * one * certain, w * two * odds);
                let (curve1, curve2) = (slope1 + w * one * bend * gap, slope2 - w * two * bend * gap);
                shares.add(w, share);
                sum.value -= w * one;
                sum.da -= slope1 + slope2;
                sum.db += slope1 * low + slope2 * high;
                sum.daa += curve1 + curve2;
                sum.dab -= curve1 * low + curve2 * high;
                let square = (high - low) * (high - low);
                sum.dbb += curve1 * low * low + curve2 * high * high - w * one * two * bend * square;
            }
        }
        sum.value += shares.sum();
    }
}

/// Sum of logarithms of shares, taken of their product as far as that keeps its digits.
struct LnShares {
    sum: f64,
    product: f64,
}

impl Default for LnShares {
    fn default() -> Self {
        Self { sum: 0.0, product: 1.0 }
    }
}

impl LnShares {
    #[inline]
    fn add(&mut self, w: f64, share: f64) {
        if w == 1.0 && share > 1e-100 {
            self.product *= share;
            if self.product < 1e-200 {
                self.sum += self.product.ln();
                self.product = 1.0;
            }
        } else {
            self.sum += w * share.ln();
        }
    }

    fn sum(&self) -> f64 {
        self.sum + self.product.ln()
    }
}

/// The normal distribution, the logarithm of a lognormal life.
pub(crate) struct Normal;

/// A function at a point with its first and second derivative.
#[derive(Clone, Copy)]
struct Jet {
    value: f64,
    slope: f64,
    curve: f64,
}

impl Normal {
    fn ln_survival(z: f64) -> Jet {
        let value = normal::ln_upper(z);
        let hazard = (-0.5 * z * z - LN_SQRT_TAU - value).exp();
        Jet { value, slope: -hazard, curve: -hazard * (hazard - z) }
    }
}

impl Kernel for Normal {
    fn exact(sums: Moments, a: f64, b: f64) -> Local {
        let Moments { w, wy, wyy } = sums;
        Local {
            value: -0.5 * (b * (b * wyy - 2.0 * a * wy) + a * a * w) - w * LN_SQRT_TAU,
            da: b * wy - a * w,
            db: a * wy - b * wyy,
            daa: -w,
            dab: wy,
            dbb: -wyy,
        }
    }

    fn survived(rows: &[Weighted], a: f64, b: f64, sum: &mut Local) {
        for &Weighted { y, w } in rows {
            let jet = Self::ln_survival(b * y - a);
            sum.add(w * jet.value, w * jet.slope, w * jet.curve, y);
        }
    }

    fn before(rows: &[Weighted], a: f64, b: f64, sum: &mut Local) {
        for &Weighted { y, w } in rows {
            // The share failed by z is the share that survives -z.
            let jet = Self::ln_survival(a - b * y);
            sum.add(w * jet.value, -w * jet.slope, w * jet.curve, y);
        }
    }

    fn between(spans: &[Span], a: f64, b: f64, sum: &mut Local) {
        for &Span { low, high, w } in spans {
            let (early, late) = (Self::ln_survival(b * low - a), Self::ln_survival(b * high - a));
            let share = -(late.value - early.value).exp_m1();
            let (of_early, of_late) = (1.0 / share, (1.0 - share) / share);
            let first = early.slope * of_early;
            let second = if of_late == 0.0 { 0.0 } else { -late.slope * of_late };
            let early_curve = (early.curve + early.slope * early.slope) * of_early - first * first;
            let late_curve =
                if of_late == 0.0 { 0.0 } else { (late.curve + late.slope * late.slope) * of_late };
            sum.add(w * (early.value + share.ln()), w * first, w * early_curve, low);
            sum.add(0.0, w * second, w * (-late_curve - second * second), high);
            let mixed = -w * first * second;
            sum.daa += 2.0 * mixed;
            sum.dab -= mixed * (low + high);
            sum.dbb += 2.0 * mixed * low * high;
        }
    }
}
