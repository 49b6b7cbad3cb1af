//! `/report`: the form a unit sends, on a phone, with gloves on.

pub mod answers;
pub mod door;
pub mod form;
pub mod keep;
pub(crate) mod offer;
pub mod plain;
pub mod send;
#[cfg(test)]
mod tests;
pub mod upload;
