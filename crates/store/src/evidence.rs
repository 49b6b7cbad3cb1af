//! Frozen evidence: one document each time a record is put before the board or decided on, never altered.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter, moment};
use crate::read_back::Row;
use crate::sha256::sha256_hex;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "evidence")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub change_no: String,
    pub occasion: String,
    pub digest: String,
    pub document: String,
    pub revision: i64,
    pub frozen_at: DateTime<Utc>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

/// Evidence to be frozen together with the act that rests on it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewEvidence {
    /// What it is frozen for.
    pub occasion: String,
    /// The whole document.
    pub document: String,
}

/// Evidence as it was frozen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FrozenEvidence {
    /// Its number.
    pub id: i64,
    /// The change.
    pub change_no: String,
    /// What it was frozen for.
    pub occasion: String,
    /// The revision of the record.
    pub revision: u32,
    /// The SHA-256 digest of the document, hexadecimal, as kept when it was frozen.
    pub digest: String,
    /// The document.
    pub document: String,
    /// When.
    pub frozen_at: DateTime<Utc>,
}

/// What is told of frozen evidence where nobody needs the document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EvidenceSeal {
    /// What it was frozen for.
    pub occasion: String,
    /// The digest of its document.
    pub digest: String,
    /// When.
    pub frozen_at: DateTime<Utc>,
}

impl FrozenEvidence {
    /// Whether the document still has the digest it was frozen with.
    pub fn is_whole(&self) -> bool {
        digest_of(&self.document) == self.digest
    }
}

/// The SHA-256 digest of a document, hexadecimal.
pub fn digest_of(document: &str) -> String {
    sha256_hex(document.as_bytes())
}

/// Freezes a document in the transaction of the act that rests on it.
pub(crate) async fn freeze(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    (change_no, revision): (&str, i64),
    new: &NewEvidence,
) -> Result<()> {
    let digest = digest_of(&new.document);
    let row = ActiveModel {
        id: NotSet,
        change_no: Set(change_no.to_owned()),
        occasion: Set(new.occasion.clone()),
        digest: Set(digest.clone()),
        document: Set(new.document.clone()),
        revision: Set(revision),
        frozen_at: Set(moment(now)),
    };
    Entity::insert(row).exec_without_returning(db).await?;
    // The journal keeps the digest too: whoever alters the document would have to alter both.
    let after = serde_json::json!({ "occasion": new.occasion, "revision": revision, "digest": digest });
    enter(db, by, now, Entry::new("freeze", "evidence", change_no).after(after)).await?;
    Ok(())
}

/// The digest of what was frozen last of a change, as kept then.
pub(crate) async fn latest_digest(db: &impl ConnectionTrait, change_no: &str) -> Result<Option<String>> {
    let latest = Entity::find().filter(Column::ChangeNo.eq(change_no)).order_by_desc(Column::Id);
    Ok(latest.select_only().column(Column::Digest).into_tuple().one(db).await?)
}

impl Store {
    /// What was frozen of a change, without the documents, the earliest first.
    pub async fn evidence_seals(&self, change_no: &str) -> Result<Vec<EvidenceSeal>> {
        let select =
            Entity::find().filter(Column::ChangeNo.eq(change_no)).order_by_asc(Column::Id).select_only();
        let rows: Vec<(String, String, DateTime<Utc>)> = select
            .columns([Column::Occasion, Column::Digest, Column::FrozenAt])
            .into_tuple()
            .all(self.reader())
            .await?;
        let seal = |(occasion, digest, frozen_at)| EvidenceSeal { occasion, digest, frozen_at };
        Ok(rows.into_iter().map(seal).collect())
    }

    /// The evidence of a change, the latest first.
    pub async fn list_evidence(&self, change_no: &str) -> Result<Vec<FrozenEvidence>> {
        let select = Entity::find().filter(Column::ChangeNo.eq(change_no)).order_by_desc(Column::Id);
        select.all(self.reader()).await?.into_iter().map(evidence_of).collect()
    }
}

fn evidence_of(row: Model) -> Result<FrozenEvidence> {
    Ok(FrozenEvidence {
        revision: Row { table: "evidence", id: &row.id }.number("revision", row.revision)?,
        id: row.id,
        change_no: row.change_no,
        occasion: row.occasion,
        digest: row.digest,
        document: row.document,
        frozen_at: row.frozen_at,
    })
}
