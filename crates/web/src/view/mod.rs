//! What templates share: the shell around a page and the parts that sheets are made of.

pub mod shell;

pub use shell::{Place, Shell};
