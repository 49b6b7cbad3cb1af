//! Brings a pack in: rows are staged in short transactions, seen by nobody, and made visible by one last one.
//!
//! One import at a time; a lock that dies with the program says whether it is alive, so that what a killed import
//! left behind can be told from one under way and swept.

mod already;
mod lock;
mod nouns;
mod sweep;

use std::time::{Duration, Instant};

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait as _, EntityTrait as _, QueryFilter as _};
use serde_json::Value as Json;

use crate::connect::Store;
use crate::error::{Result, StoreError};
use crate::identity::Twins;
use crate::import::lock::Lock;
use crate::insert::{Prepared, prepare};
use crate::journal::{Entry, enter, moment, named};
use crate::pack_import::{self, STAGING, VISIBLE};
use crate::stored::Stored;
use crate::waiting;

/// Rows of one transaction: about a tenth of a second.
const ROWS_AT_ONCE: usize = 4_000;

/// How long an import may write without letting writers of other programs in.
const UNTIL_REST: Duration = Duration::from_millis(700);

/// An import under way.
///
/// Dropped without [`Import::publish`] or [`Import::abandon`], as when the program is killed, it leaves staged rows
/// that nobody sees and that the next import or start sweeps away.
pub struct Import {
    store: Store,
    id: i64,
    by: Actor,
    digests: Json,
    twins: Twins,
    rested: Instant,
    lock: Lock,
}

/// The turn to import, of which there is one: while it is held, no other pack changes what a pack was checked against.
///
/// Dropped without [`ImportTurn::release`] it ends too, on a server once that has heard of it.
pub struct ImportTurn {
    store: Store,
    lock: Lock,
}

impl Store {
    /// Takes the turn to import, so that a pack can be checked before anything of it is staged.
    ///
    /// # Errors
    /// [`StoreError::ImportRunning`] while somebody has it, in this program or another.
    pub async fn import_turn(&self) -> Result<ImportTurn> {
        let lock = Lock::take(self).await?.ok_or(StoreError::ImportRunning)?;
        sweep::staged(self).await?;
        Ok(ImportTurn { store: self.clone(), lock })
    }

    /// Takes the turn and begins an import of files, each named with its digest.
    ///
    /// # Errors
    /// As [`Store::import_turn`].
    pub async fn begin_import(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        digests: &[(String, String)],
    ) -> Result<Import> {
        self.import_turn().await?.begin(by, now, digests).await
    }

    /// Takes out what killed imports left behind, unless one is alive; says how many there were. Connecting does so.
    pub async fn sweep_imports(&self) -> Result<u64> {
        let Some(lock) = Lock::take(self).await? else { return Ok(0) };
        let swept = sweep::staged(self).await?;
        lock.release().await?;
        Ok(swept)
    }
}

impl ImportTurn {
    /// Begins an import of files, each named with its digest.
    pub async fn begin(self, by: &Actor, now: DateTime<Utc>, digests: &[(String, String)]) -> Result<Import> {
        let Self { store, lock } = self;
        let digests = Json::Object(digests.iter().map(|(k, v)| (k.clone(), v.as_str().into())).collect());
        let row = pack_import::ActiveModel {
            id: NotSet,
            begun_at: Set(moment(now)),
            ended_at: Set(None),
            state: Set(STAGING.to_owned()),
            by: Set(named(by).0),
            digests: Set(digests.to_string()),
            counts: Set(None),
        };
        let tx = store.begin().await?;
        let id = pack_import::Entity::insert(row).exec(&tx).await?.last_insert_id;
        tx.commit().await?;
        let (by, twins, rested) = (by.clone(), Twins::default(), Instant::now());
        Ok(Import { store, id, by, digests, twins, rested, lock })
    }

    /// Gives the turn back; nothing was staged.
    pub async fn release(self) -> Result<()> {
        self.lock.release().await
    }
}

impl Import {
    /// The number of the import.
    #[must_use]
    pub const fn id(&self) -> i64 {
        self.id
    }

    /// Makes every staged row visible at once, with one journal entry of the files' digests and the counts.
    pub async fn publish(self, now: DateTime<Utc>, counts: &[(String, u64)]) -> Result<()> {
        let counts = Json::Object(counts.iter().map(|(k, v)| (k.clone(), Json::from(*v))).collect());
        let tx = self.store.begin().await?;
        let done = pack_import::Entity::update_many()
            .col_expr(pack_import::Column::State, Expr::value(VISIBLE))
            .col_expr(pack_import::Column::EndedAt, Expr::value(moment(now)))
            .col_expr(pack_import::Column::Counts, Expr::value(counts.to_string()))
            .filter(pack_import::Column::Id.eq(self.id))
            .filter(pack_import::Column::State.eq(STAGING))
            .exec(&tx)
            .await?;
        if done.rows_affected != 1 {
            return Err(StoreError::missing("import under way", self.id));
        }
        waiting::place_all(&tx).await?;
        let after = serde_json::json!({ "digests": self.digests, "counts": counts });
        enter(&tx, &self.by, now, Entry::new("import", "pack", &self.id.to_string()).after(after)).await?;
        tx.commit().await?;
        self.lock.release().await
    }

    /// Takes every staged row out again; nobody saw any.
    pub async fn abandon(self) -> Result<()> {
        sweep::one(&self.store, self.id).await?;
        self.lock.release().await
    }

    /// Stages nouns and says how many were new.
    async fn add<E: Stored>(&mut self, nouns: &[E::Noun]) -> Result<u64> {
        let mut new = 0;
        for chunk in nouns.chunks(ROWS_AT_ONCE) {
            // What can be done before the transaction is: meanwhile others write.
            let rows = chunk.iter().map(|noun| E::model(noun, Some(self.id), &mut self.twins)).collect();
            new += self.write(prepare::<E>(rows)).await?;
        }
        Ok(new)
    }

    async fn write<E: Stored>(&mut self, rows: Prepared<E>) -> Result<u64> {
        self.let_others_in().await;
        let tx = self.store.begin().await?;
        let new = rows.insert(&tx).await?;
        tx.commit().await?;
        Ok(new)
    }

    /// `SQLite` has no queue for writers of other programs: they look now and then whether they can, so they need
    /// a gap longer than the time between two looks.
    async fn let_others_in(&mut self) {
        let Some(gap) = self.store.gap_for_other_programs() else { return };
        if self.rested.elapsed() >= UNTIL_REST {
            tokio::time::sleep(gap).await;
            self.rested = Instant::now();
        }
    }
}
