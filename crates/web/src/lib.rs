//! The axum service and the command line: thin, and the only crate that knows HTTP, HTML and the clock.

pub mod address;
pub(crate) mod alarm;
pub mod analyse;
pub mod api;
pub mod assets;
pub(crate) mod bounces;
pub mod calc;
pub mod charts;
pub mod cli;
pub mod clock;
pub mod config;
pub(crate) mod digest;
pub mod error;
pub mod evidence;
pub mod format;
mod handed_out;
pub(crate) mod mail;
mod mail_folder;
pub(crate) mod mailbox;
pub(crate) mod notices;
pub mod pack;
pub mod pages;
#[cfg(feature = "pdf")]
mod paper;
pub mod photo;
pub mod picture;
pub mod preferences;
pub mod router;
pub mod school;
pub mod secrets;
pub mod security;
pub mod server;
mod signals;
pub mod simulate;
pub mod state;
pub mod templates;
pub(crate) mod tidings;
pub mod tongue;
pub(crate) mod upload;
pub mod view;

#[cfg(test)]
pub(crate) mod testing;
