//! Life distributions fitted to lifetimes by maximum likelihood, with limits from the profile likelihood.
//!
//! Exponential, Weibull and lognormal are one family in the logarithm of age: with `z = (ln t - mu) / sigma` the
//! Weibull has `S(t) = exp(-e^z)`, scale `eta = e^mu` and shape `beta = 1/sigma`; the exponential is the Weibull
//! with `sigma = 1`; the lognormal has the normal's `S(t) = 1 - Phi(z)`. A life with weight `w` adds
//! `w (ln L - ln S(entry))` with `L = f(t)` for an exact failure, `S(t)` for a survivor, `F(t)` for one found failed
//! and `S(low) - S(high)` for an interval; `f` is the density in `t`.
//!
//! Sources: W. Q. Meeker and L. A. Escobar, Statistical Methods for Reliability Data (1998), chapters 7 to 9 and 11;
//! J. Burridge, "A note on maximum likelihood estimation for regression models using grouped data", J. R. Statist.
//! Soc. B 43 (1981), for the form `z = b ln t - a` in which the logarithm of the likelihood has one summit.

pub mod fixed_shape;
pub mod two_samples;

mod distribution;
mod existence;
mod fit;
mod kernel;
mod likelihood;
mod profile;
mod start;

pub use distribution::{Distribution, Model};
pub use existence::NoFit;
pub use fit::{Covariance, Fit, fit};
