//! Documents that have left the house: each file as it went, with its figures.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::published::{DocumentKind, Figure};
use sea_orm::ActiveValue::{NotSet, Set};
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use crate::connect::Store;
use crate::error::Result;
use crate::journal::{Entry, enter, moment, named};
use crate::json;
use crate::page::Page;
use crate::read_back::Row;

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "published")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub kind: String,
    pub subject: String,
    pub maker: Option<String>,
    pub title: String,
    pub sha256: String,
    pub as_of: DateTime<Utc>,
    pub by: String,
    pub at: DateTime<Utc>,
    pub bytes: Vec<u8>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

mod figure {
    //! The figures of one document.

    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
    #[sea_orm(table_name = "published_figure")]
    pub(crate) struct Model {
        #[sea_orm(primary_key)]
        pub id: i64,
        pub published_id: i64,
        pub measure: String,
        pub filter: String,
        pub text: String,
        pub value: Option<f64>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(crate) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

/// A document about to leave.
#[derive(Clone, Debug, PartialEq)]
pub struct NewPublished {
    /// Which one.
    pub kind: DocumentKind,
    /// The number of the change or the lot it is about.
    pub subject: String,
    /// The lot's maker, where several use one number.
    pub maker: Option<String>,
    /// Its title.
    pub title: String,
    /// When the books were read for its figures.
    pub as_of: DateTime<Utc>,
    /// The SHA-256 digest of the file, hexadecimal.
    pub sha256: String,
    /// The file.
    pub bytes: Vec<u8>,
    /// Its figures.
    pub figures: Vec<Figure>,
}

/// A document that has left, without its file.
#[derive(Clone, Debug, PartialEq)]
pub struct Published {
    /// The store's number.
    pub id: i64,
    /// Which one.
    pub kind: DocumentKind,
    /// The number of the change or the lot it is about.
    pub subject: String,
    /// The lot's maker.
    pub maker: Option<String>,
    /// Its title.
    pub title: String,
    /// When the books were read for its figures.
    pub as_of: DateTime<Utc>,
    /// The SHA-256 digest of the file, hexadecimal.
    pub sha256: String,
    /// Who let it go.
    pub by: String,
    /// When.
    pub at: DateTime<Utc>,
    /// Its figures, in the order of the document.
    pub figures: Vec<Figure>,
}

impl Store {
    /// Keeps a document that leaves the house, and gives its number; the same file is kept once.
    pub async fn publish(&self, by: &Actor, now: DateTime<Utc>, new: &NewPublished) -> Result<i64> {
        let tx = self.begin().await?;
        let same =
            Entity::find().filter(Column::Sha256.eq(new.sha256.as_str())).select_only().column(Column::Id);
        if let Some(id) = same.into_tuple::<i64>().one(&tx).await? {
            return Ok(id);
        }
        let row = ActiveModel {
            id: NotSet,
            kind: Set(new.kind.word().to_owned()),
            subject: Set(new.subject.clone()),
            maker: Set(new.maker.clone()),
            title: Set(new.title.clone()),
            sha256: Set(new.sha256.clone()),
            as_of: Set(moment(new.as_of)),
            by: Set(named(by).0),
            at: Set(moment(now)),
            bytes: Set(new.bytes.clone()),
        };
        let row = Entity::insert(row).exec_with_returning(&tx).await?;
        let id = row.id;
        for figure in &new.figures {
            let row = figure::ActiveModel {
                id: NotSet,
                published_id: Set(id),
                measure: Set(figure.measure.word().to_owned()),
                filter: Set(figure.filter.clone()),
                text: Set(figure.text.clone()),
                value: Set(figure.value),
            };
            figure::Entity::insert(row).exec_without_returning(&tx).await?;
        }
        enter(&tx, by, now, Entry::new("publish", "published", &new.subject).after(json::row(row))).await?;
        tx.commit().await?;
        Ok(id)
    }

    /// What has left, latest first.
    ///
    /// # Errors
    /// A stored word that can't be read.
    pub async fn list_published(&self, page: Page) -> Result<Vec<Published>> {
        let db = self.reader();
        let rows: Vec<Facts> = Entity::find()
            .order_by_desc(Column::Id)
            .offset(page.offset())
            .limit(page.size)
            .select_only()
            .columns([Column::Id, Column::Kind, Column::Subject, Column::Maker, Column::Title])
            .columns([Column::Sha256, Column::AsOf, Column::By, Column::At])
            .into_tuple()
            .all(db)
            .await?;
        let ids = rows.iter().map(|row| row.0);
        let figures = figure::Entity::find().filter(figure::Column::PublishedId.is_in(ids));
        let figures = figures.order_by_asc(figure::Column::Id).all(db).await?;
        rows.into_iter().map(|row| read(row, &figures)).collect()
    }

    /// The file of one, with its kind and subject.
    pub async fn find_published_file(&self, id: i64) -> Result<Option<(String, Vec<u8>)>> {
        let row = Entity::find_by_id(id).one(self.reader()).await?;
        Ok(row.map(|row| (format!("{} {}", row.subject, row.kind), row.bytes)))
    }
}

/// A row without its file: id, kind, subject, maker, title, digest, as of, by, at.
type Facts = (i64, String, String, Option<String>, String, String, DateTime<Utc>, String, DateTime<Utc>);

fn read(row: Facts, figures: &[figure::Model]) -> Result<Published> {
    let (id, kind, subject, maker, title, sha256, as_of, by, at) = row;
    let own = figures.iter().filter(|figure| figure.published_id == id).map(|figure| {
        let read = Row { table: "published_figure", id: &figure.id };
        Ok(Figure {
            measure: read.word("measure", &figure.measure)?,
            filter: figure.filter.clone(),
            value: figure.value,
            text: figure.text.clone(),
        })
    });
    let figures = own.collect::<Result<_>>()?;
    let kind = Row { table: "published", id: &id }.word("kind", &kind)?;
    Ok(Published { id, kind, subject, maker, title, as_of, sha256, by, at, figures })
}
