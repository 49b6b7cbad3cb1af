//! The lock of the import under way: it ends with the program, however the program ends.

use std::fs::{File, OpenOptions, TryLockError};

use sea_orm::{ConnectionTrait as _, DatabaseTransaction, TransactionTrait as _};

use crate::connect::{ImportLock, Store};
use crate::error::{Result, StoreError};

/// The number under which a session of the server holds the lock; arbitrary, but for ever.
const IMPORT_LOCK: i64 = 0x6261_7274_6163_6b02;

/// A lock that is held.
pub(super) enum Lock {
    /// On a file beside the database; the system takes it back when the program ends.
    File { file: File },
    /// In a transaction that does nothing else; the server takes it back when the connection ends.
    Session { transaction: DatabaseTransaction },
}

impl Lock {
    /// Takes the lock; `None` where somebody holds it.
    pub(super) async fn take(store: &Store) -> Result<Option<Self>> {
        match store.import_lock() {
            ImportLock::File(path) => {
                let failed = |error| StoreError::Database(Box::new(error));
                let file =
                    OpenOptions::new().create(true).truncate(false).write(true).open(path).map_err(failed)?;
                match file.try_lock() {
                    Ok(()) => Ok(Some(Self::File { file })),
                    Err(TryLockError::WouldBlock) => Ok(None),
                    Err(TryLockError::Error(error)) => Err(failed(error)),
                }
            }
            ImportLock::Session(pool) => {
                let transaction = pool.begin().await?;
                let sql = format!("SELECT pg_try_advisory_xact_lock({IMPORT_LOCK})");
                let statement = sea_orm::Statement::from_string(transaction.get_database_backend(), sql);
                let row = transaction.query_one_raw(statement).await?;
                let taken = row.is_some_and(|row| row.try_get_by_index(0).unwrap_or(false));
                Ok(taken.then_some(Self::Session { transaction }))
            }
        }
    }

    /// Gives the lock back.
    pub(super) async fn release(self) -> Result<()> {
        match self {
            Self::File { file } => file.unlock().map_err(|error| StoreError::Database(Box::new(error))),
            Self::Session { transaction } => Ok(transaction.rollback().await?),
        }
    }
}
