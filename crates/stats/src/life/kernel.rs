//! The standard forms of the family: logarithms of survival and density at `z`, with two derivatives.

use crate::special::{LN_SQRT_TAU, normal};

/// A function at a point with its first and second derivative.
#[derive(Clone, Copy)]
pub(crate) struct Jet {
    pub(crate) value: f64,
    pub(crate) slope: f64,
    pub(crate) curve: f64,
}

/// A standard distribution of `z`.
pub(crate) trait Kernel {
    /// `ln S(z)`.
    fn ln_survival(z: f64) -> Jet;
    /// `ln f(z)`.
    fn ln_density(z: f64) -> Jet;
}

/// The smallest extreme value distribution, the logarithm of a Weibull life.
pub(crate) struct Extreme;

impl Kernel for Extreme {
    fn ln_survival(z: f64) -> Jet {
        let e = -z.exp();
        Jet { value: e, slope: e, curve: e }
    }

    fn ln_density(z: f64) -> Jet {
        let e = -z.exp();
        Jet { value: z + e, slope: 1.0 + e, curve: e }
    }
}

/// The normal distribution, the logarithm of a lognormal life.
pub(crate) struct Normal;

impl Kernel for Normal {
    fn ln_survival(z: f64) -> Jet {
        let value = normal::ln_upper(z);
        let hazard = (-0.5 * z * z - LN_SQRT_TAU - value).exp();
        Jet { value, slope: -hazard, curve: -hazard * (hazard - z) }
    }

    fn ln_density(z: f64) -> Jet {
        Jet { value: -0.5 * z * z - LN_SQRT_TAU, slope: -z, curve: -1.0 }
    }
}

/// `ln (S(z1) - S(z2))` with its derivatives, from the jets of `ln S` at both.
pub(crate) struct Between {
    pub(crate) value: f64,
    pub(crate) slopes: (f64, f64),
    pub(crate) curves: (f64, f64),
    pub(crate) mixed: f64,
}

impl Between {
    /// `early` at the lower age, `late` at the higher.
    pub(crate) fn new(early: Jet, late: Jet) -> Self {
        let share = -(late.value - early.value).exp_m1();
        let (of_early, of_late) = (1.0 / share, (1.0 - share) / share);
        let first = early.slope * of_early;
        let second = if of_late == 0.0 { 0.0 } else { -late.slope * of_late };
        let early_curve = (early.curve + early.slope * early.slope) * of_early;
        let late_curve = if of_late == 0.0 { 0.0 } else { (late.curve + late.slope * late.slope) * of_late };
        Self {
            value: early.value + share.ln(),
            slopes: (first, second),
            curves: (early_curve - first * first, -late_curve - second * second),
            mixed: -first * second,
        }
    }
}

/// `ln S = 0` at age 0, where every unit is alive.
pub(crate) const CERTAIN: Jet = Jet { value: 0.0, slope: 0.0, curve: 0.0 };
