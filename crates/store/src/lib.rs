//! What the program keeps: SQLite or PostgreSQL behind one [`Store`]; the only crate that knows the database library.
//!
//! Every write takes who acts and when, and ends in one transaction together with its journal entry.

mod api_key;
mod connect;
mod error;
mod identity;
mod insert;
mod journal;
mod json;
mod lot;
mod page;
mod part;
mod read_back;
mod sign_in;
mod sign_in_link;
mod stored;
mod structure;
mod unit;
mod unit_link;
mod user;

pub use api_key::{ApiKey, NewApiKey};
pub use connect::Store;
pub use error::{Result, StoreError};
pub use journal::{JournalEntry, JournalFilter};
pub use page::Page;
pub use unit_link::{NewUnitLink, UnitLink};
pub use user::{NewUser, User, UserEdit};
