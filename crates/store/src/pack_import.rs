//! What is kept of each import: when, by whom, of which files, and whether its rows may be seen.

use chrono::{DateTime, Utc};
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::read_back::Row;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "pack_import")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub begun_at: DateTime<Utc>,
    pub ended_at: Option<DateTime<Utc>>,
    pub state: String,
    pub by: String,
    pub digests: String,
    pub counts: Option<String>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Rows are being brought in, and nobody sees them.
pub(crate) const STAGING: &str = "staging";
/// Everybody sees the rows.
pub(crate) const VISIBLE: &str = "visible";
/// The rows were taken out again.
pub(crate) const ABANDONED: &str = "abandoned";

/// An import that was published.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PastImport {
    /// Its number.
    pub id: i64,
    /// When it began.
    pub begun_at: DateTime<Utc>,
    /// When its rows became visible.
    pub ended_at: Option<DateTime<Utc>>,
    /// Who brought it in.
    pub by: String,
    /// Each file and its digest.
    pub digests: Vec<(String, String)>,
    /// Each table and how many rows were new.
    pub counts: Vec<(String, u64)>,
}

/// An import that didn't come to its end, or not yet; nothing of it is in the books.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenImport {
    /// Its number.
    pub id: i64,
    /// When it began.
    pub begun_at: DateTime<Utc>,
    /// Who began it.
    pub by: String,
}

impl From<Model> for OpenImport {
    fn from(row: Model) -> Self {
        Self { id: row.id, begun_at: row.begun_at, by: row.by }
    }
}

fn past(row: Model) -> Result<PastImport> {
    let read = Row { table: "pack_import", id: &row.id };
    let digests: std::collections::BTreeMap<String, String> =
        serde_json::from_str(&row.digests).map_err(|_| read.corrupt("digests"))?;
    let counts: std::collections::BTreeMap<String, u64> =
        serde_json::from_str(row.counts.as_deref().unwrap_or("{}")).map_err(|_| read.corrupt("counts"))?;
    Ok(PastImport {
        id: row.id,
        begun_at: row.begun_at,
        ended_at: row.ended_at,
        by: row.by,
        digests: digests.into_iter().collect(),
        counts: counts.into_iter().collect(),
    })
}

impl Store {
    /// Imports that were published, latest first.
    pub async fn list_imports(&self) -> Result<Vec<PastImport>> {
        let rows = Entity::find()
            .filter(Column::State.eq(VISIBLE))
            .order_by_desc(Column::Id)
            .all(self.reader())
            .await?;
        rows.into_iter().map(past).collect()
    }

    /// Imports that failed or were killed, and whose rows were taken out again, latest first.
    pub async fn list_stopped_imports(&self) -> Result<Vec<OpenImport>> {
        let rows = Entity::find()
            .filter(Column::State.eq(ABANDONED))
            .order_by_desc(Column::Id)
            .all(self.reader())
            .await?;
        Ok(rows.into_iter().map(OpenImport::from).collect())
    }

    /// The import that is under way, in this program or another. One that was killed meanwhile is swept first.
    pub async fn find_import_under_way(&self) -> Result<Option<OpenImport>> {
        let staging = || Entity::find().filter(Column::State.eq(STAGING)).order_by_desc(Column::Id);
        if staging().one(self.reader()).await?.is_none() || self.sweep_imports().await? > 0 {
            return Ok(None);
        }
        Ok(staging().one(self.reader()).await?.map(OpenImport::from))
    }
}
