//! Numbers and dates as words that nobody can misread; templates only ever get text made here.

mod cell;
mod date;
mod mass;
mod number;
mod rate;
mod words;

pub use cell::harmless;
pub use date::{date, foretold, moment, month, span};
pub use mass::{MassUnit, UnknownMassUnit};
pub use number::{chance, count, counted, decimals, percent, significant};
pub use rate::{interval, rate, ratio};
pub use words::{sentence, titled};
