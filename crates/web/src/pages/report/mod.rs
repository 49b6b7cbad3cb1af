//! `/report`: the form a unit sends, on a phone, with gloves on.

pub mod answers;
pub mod door;
pub mod form;
mod install;
pub mod keep;
mod label;
pub(crate) mod offer;
pub mod plain;
mod scanned;
pub mod send;
#[cfg(test)]
mod tests;
pub mod upload;
