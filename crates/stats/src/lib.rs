//! Counts, lives and the intervals around them, as plain numbers.
//!
#![doc = include_str!("../README.md")]

mod conditional;
mod cross_table;
mod dealing;
mod draws;
mod error;
mod value;

pub mod agreement;
pub mod anytime;
pub mod bench;
pub mod binomial;
pub mod cusum;
pub mod excess;
pub mod false_discovery;
pub mod forecast;
pub mod funnel;
pub mod grouping;
pub mod history;
pub mod life;
pub mod lifetimes;
pub mod load_carriage;
pub mod log_rank;
pub mod mean_cumulative;
pub mod poisson_rate;
pub mod power_law;
pub mod product;
pub mod rate_ratio;
pub mod reporting_delay;
pub mod reporting_fraction;
pub mod scan;
pub mod shrinkage;
pub mod special;
pub mod stratified;
pub mod strength;
pub mod success_run;
pub mod survival;
pub mod uncertainty;

pub use error::StatsError;
pub use value::{Confidence, Exposure, Interval, Probability};
