//! What the program keeps: SQLite or PostgreSQL behind one [`Store`]; the only crate that knows the database library.
//!
//! Every write takes who acts and when, and ends in one transaction together with its journal entry.

mod answer;
mod api_key;
mod bench_test;
mod books;
mod catalogue_mode;
mod change;
mod change_record;
mod confirmed;
mod connect;
mod demand;
mod effectivity;
mod error;
mod event;
mod field;
mod fit;
mod following;
mod handling;
mod identity;
mod import;
mod insert;
mod inspection;
mod intake;
mod journal;
mod json;
mod known;
mod lot;
mod lot_use;
mod movement;
mod pack_import;
mod page;
mod part;
mod person;
mod photo;
mod question;
mod queue;
mod read_back;
mod recurrence;
mod report;
mod requirement;
mod serial;
mod setting;
mod sign_in;
mod sign_in_link;
mod size_share;
mod sorting;
mod stored;
mod structure;
mod unit;
mod unit_link;
mod use_pattern;
mod user;
mod weighing;

pub use answer::Answer;
pub use api_key::{ApiKey, NewApiKey};
pub use books::Books;
pub use change_record::{
    ChangeRecord, CriterionAnswer, Decision, NewChange, NewDecision, RecordBody, RecordEdit,
    RequirementAnswer,
};
pub use connect::Store;
pub use error::{Result, StoreError};
pub use following::{ReadField, Since};
pub use handling::Handling;
pub use import::Import;
pub use intake::{IntakeFacts, Receipt};
pub use journal::{JournalEntry, JournalFilter};
pub use pack_import::{OpenImport, PastImport};
pub use page::Page;
pub use photo::{NewPhoto, Photo, PhotoFacts};
pub use question::Question;
pub use queue::{ReportFile, ReportLine};
pub use recurrence::{Judgement, RecurrenceEdit, RecurrenceRecord};
pub use unit_link::{NewUnitLink, UnitLink};
pub use user::{NewUser, User, UserEdit};
pub use weighing::NewWeighings;
