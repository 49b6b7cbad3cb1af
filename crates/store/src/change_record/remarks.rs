//! Remarks and enclosures: they are added at any time, to any record, and stay.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::words::Problem;
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use super::gathered::{ByChange, by_change};
use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter, moment, named};
use crate::json;
use crate::read_back::Row;
use crate::twice;

/// Enclosures of one record at most.
const MOST_ENCLOSURES: u64 = 40;

/// A remark on a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// Who made it.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// What it says.
    pub words: String,
}

/// A file to be enclosed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewEnclosure {
    /// Its name as it came.
    pub name: String,
    /// What it is, such as `application/pdf`.
    pub media_type: String,
    /// The SHA-256 digest of its bytes, hexadecimal.
    pub sha256: String,
    /// The file.
    pub bytes: Vec<u8>,
}

/// What is known of an enclosure without its bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EnclosureFacts {
    /// The store's number.
    pub id: i64,
    /// Its name.
    pub name: String,
    /// Its digest.
    pub sha256: String,
    /// Bytes.
    pub size: u64,
    /// Who enclosed it.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
}

/// A file that was enclosed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Enclosure {
    /// The change it belongs to.
    pub change_no: String,
    /// The file.
    pub file: NewEnclosure,
}

mod remark {
    use chrono::{DateTime, Utc};
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "change_remark")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub change_no: String,
        pub by: String,
        pub words: String,
        pub at: DateTime<Utc>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

mod enclosure {
    use chrono::{DateTime, Utc};
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "change_enclosure")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub change_no: String,
        pub name: String,
        pub media_type: String,
        pub sha256: String,
        pub by: String,
        pub at: DateTime<Utc>,
        pub size: i64,
        pub bytes: Vec<u8>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

pub(super) async fn remarks_of(db: &impl ConnectionTrait, changes: &[String]) -> Result<ByChange<Remark>> {
    use remark::Column as C;
    let rows = remark::Entity::find().filter(C::ChangeNo.is_in(changes)).order_by_asc(C::Id);
    by_change(rows.all(db).await?, |row| {
        Ok((row.change_no, Remark { by: row.by, at: row.at, words: row.words }))
    })
}

pub(super) async fn enclosures_of(
    db: &impl ConnectionTrait,
    changes: &[String],
) -> Result<ByChange<EnclosureFacts>> {
    use enclosure::Column as C;
    type Facts = (String, i64, String, String, i64, String, DateTime<Utc>);
    let rows: Vec<Facts> = enclosure::Entity::find()
        .filter(C::ChangeNo.is_in(changes))
        .order_by_asc(C::Id)
        .select_only()
        .columns([C::ChangeNo, C::Id, C::Name, C::Sha256, C::Size, C::By, C::At])
        .into_tuple()
        .all(db)
        .await?;
    by_change(rows, |(change_no, id, name, sha256, size, by, at)| {
        let size = Row { table: "change_enclosure", id: &id }.number("size", size)?;
        Ok((change_no, EnclosureFacts { id, name, sha256, size, by, at }))
    })
}

impl Store {
    /// Adds a remark to a change, wherever it stands; the same remark sent twice is kept once.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is no such change.
    pub async fn remark(&self, by: &Actor, now: DateTime<Utc>, change_no: &str, words: &str) -> Result<()> {
        let tx = self.begin().await?;
        super::need(&tx, change_no).await?;
        let of_change = remark::Entity::find().filter(remark::Column::ChangeNo.eq(change_no));
        let latest = of_change.order_by_desc(remark::Column::Id).one(&tx).await?;
        // The same words after somebody else's are another answer.
        if latest.is_some_and(|latest| {
            latest.words == words && latest.by == named(by).0 && latest.at >= twice::since(now)
        }) {
            return Ok(());
        }
        let row = remark::ActiveModel {
            id: NotSet,
            change_no: Set(change_no.to_owned()),
            by: Set(named(by).0),
            words: Set(words.to_owned()),
            at: Set(moment(now)),
        };
        let row = row.insert(&tx).await?;
        enter(&tx, by, now, Entry::new("add", "remark", change_no).after(json::row(row))).await?;
        Ok(tx.commit().await?)
    }

    /// Encloses a file with a change, wherever it stands, and says whether it was new; the same file is kept once.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is no such change; [`crate::StoreError::Refused`] where it has too
    /// many already.
    pub async fn enclose(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        change_no: &str,
        file: &NewEnclosure,
    ) -> Result<bool> {
        let tx = self.begin().await?;
        super::need(&tx, change_no).await?;
        let of_change = enclosure::Entity::find().filter(enclosure::Column::ChangeNo.eq(change_no));
        let same = of_change.clone().filter(enclosure::Column::Sha256.eq(file.sha256.as_str()));
        if same.count(&tx).await? > 0 {
            return Ok(false);
        }
        if of_change.count(&tx).await? >= MOST_ENCLOSURES {
            let why = format!("the record has {MOST_ENCLOSURES} enclosures already, which is the most");
            return Err(Problem::new("file", why).into());
        }
        let row = enclosure::ActiveModel {
            id: NotSet,
            change_no: Set(change_no.to_owned()),
            name: Set(file.name.clone()),
            media_type: Set(file.media_type.clone()),
            sha256: Set(file.sha256.clone()),
            by: Set(named(by).0),
            at: Set(moment(now)),
            size: Set(i64::try_from(file.bytes.len()).unwrap_or(i64::MAX)),
            bytes: Set(file.bytes.clone()),
        };
        let row = row.insert(&tx).await?;
        enter(&tx, by, now, Entry::new("add", "enclosure", change_no).after(json::row(row))).await?;
        tx.commit().await?;
        Ok(true)
    }

    /// An enclosure by number.
    pub async fn find_enclosure(&self, id: i64) -> Result<Option<Enclosure>> {
        let row = enclosure::Entity::find_by_id(id).one(self.reader()).await?;
        Ok(row.map(|row| {
            let enclosure::Model { change_no, name, media_type, sha256, bytes, .. } = row;
            Enclosure { change_no, file: NewEnclosure { name, media_type, sha256, bytes } }
        }))
    }
}
