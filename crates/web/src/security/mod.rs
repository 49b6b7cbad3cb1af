//! Doors: passwords, sessions, who is signed in, response headers and limits.

pub mod floods;
pub mod form_text;
pub mod headers;
pub mod limits;
pub mod password;
pub mod request_number;
pub mod session;
mod signed_in;
#[cfg(test)]
mod tests;
pub mod tries;

pub use signed_in::{SignedIn, Visitor};
