#![doc = include_str!("../README.md")]

mod conditional;
mod error;
mod value;

pub mod binomial;
pub mod false_discovery;
pub mod poisson_rate;
pub mod product;
pub mod special;

pub use error::StatsError;
pub use value::{Confidence, Exposure, Interval, Probability};
