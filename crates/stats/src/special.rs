//! Special functions computed here because the general crates measured were wrong in common ranges.
//!
//! Both tails of a distribution are computed, never one as 1 minus the other where that would lose digits, and
//! inverses take both tails of the wanted probability for the same reason. Outside its domain (a shape of 0 or
//! less, a negative or NaN argument) a function answers NaN; it never panics or hangs.

pub mod beta;
pub mod digamma;
pub mod gamma;
pub mod normal;
pub mod student;

mod beta_density;
mod beta_uniform;
mod deviance;
mod gamma_start;
mod gamma_uniform;
pub(crate) mod root;

pub(crate) use deviance::LN_SQRT_TAU;

/// A probability with its complement, each accurate by itself: `lower + upper = 1`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tails {
    /// Probability of a value at or below the point.
    pub lower: f64,
    /// Probability of a value above the point.
    pub upper: f64,
}

impl Tails {
    /// Neither tail is known.
    pub const NAN: Self = Self { lower: f64::NAN, upper: f64::NAN };

    /// From a lower tail `p`; use [`Tails::from_upper`] when `1 - p` is what is small.
    pub fn from_lower(p: f64) -> Self {
        Self { lower: p, upper: 1.0 - p }
    }

    /// From an upper tail `q`.
    pub fn from_upper(q: f64) -> Self {
        Self { lower: 1.0 - q, upper: q }
    }

    /// The same two tails seen from the other end.
    pub fn swapped(self) -> Self {
        Self { lower: self.upper, upper: self.lower }
    }

    /// Whether both are probabilities.
    fn valid(self) -> bool {
        (0.0..=1.0).contains(&self.lower) && (0.0..=1.0).contains(&self.upper)
    }
}
