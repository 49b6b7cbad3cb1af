#![doc = include_str!("../README.md")]

mod conditional;
mod error;
mod value;

pub mod anytime;
pub mod binomial;
pub mod false_discovery;
pub mod poisson_rate;
pub mod product;
pub mod rate_ratio;
pub mod special;
pub mod stratified;
pub mod success_run;
pub mod uncertainty;

pub use error::StatsError;
pub use value::{Confidence, Exposure, Interval, Probability};
