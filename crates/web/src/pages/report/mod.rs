//! `/report`: the form a unit sends, on a phone, with gloves on.

pub mod answers;
pub mod form;
pub(crate) mod offer;
pub mod plain;
pub mod send;
pub mod upload;
