//! What can go wrong with what is kept, in terms a caller can act on.

use domain::change_record::NotAllowed;
use domain::words::Problem;
use sea_orm::{DbErr, RuntimeErr, SqlErr};

/// The result of asking the store; the error can be named, as derived code of the rows does.
pub type Result<T, E = StoreError> = std::result::Result<T, E>;

/// Why the store could not do what it was asked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The database could not be reached or refused a statement.
    #[error("the database failed: {0}")]
    Database(#[source] Box<dyn std::error::Error + Send + Sync>),
    /// The address of the database can't be used.
    #[error("DATABASE_URL: {0}")]
    Address(String),
    /// A stored value can't be read as what it should be.
    #[error("the stored value {table}.{column} of row {id} can't be read")]
    Corrupt {
        /// The table.
        table: &'static str,
        /// The column.
        column: &'static str,
        /// The key of the row.
        id: String,
    },
    /// The key belongs to something else.
    #[error("there is a {noun} `{key}` already")]
    Taken {
        /// What kind of thing.
        noun: &'static str,
        /// Its key.
        key: String,
    },
    /// What was to be changed does not exist.
    #[error("there is no {noun} `{key}`")]
    Missing {
        /// What kind of thing.
        noun: &'static str,
        /// The key asked for.
        key: String,
    },
    /// Somebody else changed it meanwhile.
    #[error("the {noun} `{key}` was changed by somebody else meanwhile")]
    Overtaken {
        /// What kind of thing.
        noun: &'static str,
        /// Its key.
        key: String,
    },
    /// The step is not allowed from where the change stands.
    #[error(transparent)]
    NotAllowed(#[from] NotAllowed),
    /// A value breaks a rule of the trade.
    #[error(transparent)]
    Refused(#[from] Problem),
    /// The mail that was to be written with it could not be put into words.
    #[error("the mail could not be put into words: {0}")]
    Mail(#[source] Box<dyn std::error::Error + Send + Sync>),
    /// Another import is under way; there is one at a time.
    #[error("another import is under way; try again when it has ended")]
    ImportRunning,
}

impl From<DbErr> for StoreError {
    fn from(error: DbErr) -> Self {
        if state_of(&error).as_deref() == Some(NO_SUCH_CHARACTER) {
            return Problem::new("text", "expected text without a zero character (U+0000)").into();
        }
        Self::Database(Box::new(error))
    }
}

/// How PostgreSQL refuses text with a zero character in it, "character not in repertoire"; SQLite takes it.
const NO_SUCH_CHARACTER: &str = "22021";

/// The SQLSTATE of a refused statement.
fn state_of(error: &DbErr) -> Option<String> {
    let (DbErr::Exec(RuntimeErr::SqlxError(error)) | DbErr::Query(RuntimeErr::SqlxError(error))) = error
    else {
        return None;
    };
    error.as_database_error()?.code().map(Into::into)
}

/// Whether an insert was refused for one column that holds each value once: SQLite names the column, PostgreSQL the index,
/// whose name ends in it.
pub(crate) fn is_taken_in(error: &DbErr, column: &str) -> bool {
    matches!(error.sql_err(), Some(SqlErr::UniqueConstraintViolation(says)) if says.contains(column))
}

impl StoreError {
    pub(crate) fn missing(noun: &'static str, key: impl std::fmt::Display) -> Self {
        Self::Missing { noun, key: key.to_string() }
    }

    pub(crate) fn taken(noun: &'static str, key: impl std::fmt::Display) -> Self {
        Self::Taken { noun, key: key.to_string() }
    }

    /// Tells a key that is taken from other failures of an insert.
    pub(crate) fn of_insert(error: DbErr, noun: &'static str, key: impl std::fmt::Display) -> Self {
        match error.sql_err() {
            Some(SqlErr::UniqueConstraintViolation(_)) => Self::taken(noun, key),
            _ => error.into(),
        }
    }
}
