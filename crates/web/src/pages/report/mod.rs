//! `/report`: the form a unit sends, on a phone, with gloves on.

pub mod answers;
pub mod form;
pub mod plain;
