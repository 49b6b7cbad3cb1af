//! Masses of specimens of part revisions.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::weighing::Weighing;
use domain::words::Problem;
use sea_orm::QueryOrder as _;
use sea_orm::entity::prelude::*;
use serde_json::Value as Json;

use crate::connect::Store;
use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::insert::insert_live;
use crate::journal::{self, Entry, enter, named};
use crate::read_back::filled;
use crate::stored::{Stored, find, seen};
use crate::twice;
use crate::written_here::{WrittenHere, need_reason, numbered, take_off};
use crate::{change_record, json, part};

/// How the journal names that specimens of a revision were weighed.
const NOUN: &str = "part revision";
const WEIGH: &str = "weigh";

#[derive(Clone, Debug, PartialEq, DeriveEntityModel)]
#[sea_orm(table_name = "weighing")]
pub(crate) struct Model {
    #[sea_orm(primary_key)]
    pub id: i64,
    pub part_no: String,
    pub revision: String,
    pub size: Option<String>,
    pub specimen: String,
    pub mass_g: f64,
    pub identity: String,
    pub import_id: Option<i64>,
}

#[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
pub(crate) enum Relation {}

impl ActiveModelBehavior for ActiveModel {}

impl Stored for Entity {
    type Noun = Weighing;
    const KEY: &'static [&'static str] = &["identity"];

    fn model(noun: &Weighing, import_id: Option<i64>, _twins: &mut Twins) -> Model {
        let mut row = Model {
            id: 0,
            part_no: noun.part_no.clone(),
            revision: noun.revision.clone(),
            size: filled(noun.size.as_deref()),
            specimen: noun.specimen.clone(),
            mass_g: noun.mass_g,
            identity: String::new(),
            import_id,
        };
        row.identity = Identity::default()
            .part(&row.part_no)
            .part(&row.revision)
            .part(&row.specimen)
            .part(&row.size)
            .key();
        row
    }

    fn noun(row: Model) -> Result<Weighing> {
        Ok(Weighing {
            part_no: row.part_no,
            revision: row.revision,
            size: row.size,
            specimen: row.specimen,
            mass_g: row.mass_g,
        })
    }
}

/// Specimens of one part revision and size that were weighed at one sitting.
#[derive(Clone, Debug, PartialEq)]
pub struct NewWeighings {
    /// The change they are weighed for.
    pub change_no: String,
    /// The part.
    pub part_no: String,
    /// Its revision.
    pub revision: String,
    /// Their size; `None` for an unsized part.
    pub size: Option<String>,
    /// Grams of each specimen.
    pub grams: Vec<f64>,
    /// The number of the latest entry in the journal that whoever weighs has seen: what was weighed until then is not this
    /// sitting sent again. 0 where nobody looked.
    pub shown: i64,
}

impl Store {
    /// Adds weighed specimens, numbered on from those that are there. The same sitting sent twice is weighed once: it is the
    /// same where somebody has just added the same masses, all of them and no others, in the same order.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is no such change or revision; [`crate::StoreError::NotAllowed`] once the
    /// change is before the board, which decides on what was weighed until then; [`crate::StoreError::Refused`] for a mass that is not above
    /// nought.
    pub async fn add_weighings(&self, by: &Actor, now: DateTime<Utc>, new: &NewWeighings) -> Result<()> {
        let tx = self.begin().await?;
        change_record::need_open(&tx, &new.change_no).await?;
        part::need_revision(&tx, &new.part_no, &new.revision).await?;
        let key = format!("{} {}", new.part_no, new.revision);
        if is_sent_twice(&tx, by, now, (&key, new)).await? {
            return Ok(());
        }
        let mut number = last_specimen(&tx, new).await?;
        for &mass_g in &new.grams {
            number += 1;
            let weighing = Weighing {
                part_no: new.part_no.clone(),
                revision: new.revision.clone(),
                size: new.size.clone(),
                specimen: number.to_string(),
                mass_g,
            };
            weighing.check()?;
            let row = Entity::model(&weighing, None, &mut Twins::default());
            let entry = Entry::new(WEIGH, NOUN, &key).after(json::row(row.clone()));
            insert_live::<Entity>(&tx, row, "weighing", &weighing.specimen).await?;
            enter(&tx, by, now, entry).await?;
        }
        Ok(tx.commit().await?)
    }

    /// Specimens of a revision that were weighed here, in the order they came; those of books are corrected in the books.
    ///
    /// # Errors
    /// A failure of the database.
    pub async fn weighed_here(&self, part_no: &str, revision: &str) -> Result<Vec<WrittenHere<Weighing>>> {
        let rows = written_here(part_no, revision).all(self.reader()).await?;
        numbered::<Entity>(rows, |row| row.id)
    }

    /// Size and grams of every specimen of a part that is on record, whatever its revision.
    ///
    /// # Errors
    /// A failure of the database.
    pub async fn weighed(&self, part_no: &str) -> Result<Vec<(Option<String>, f64)>> {
        let rows = seen::<Entity>().filter(Column::PartNo.eq(part_no)).all(self.reader()).await?;
        Ok(rows.into_iter().map(|row| (row.size, row.mass_g)).collect())
    }

    /// Takes back a specimen that was weighed here for a change, with the reason; the journal keeps both.
    ///
    /// # Errors
    /// [`crate::StoreError::NotAllowed`] once the change is before the board; [`crate::StoreError::Refused`] where no such
    /// specimen of the revision it proposes was weighed here, or without a reason.
    pub async fn take_back_weighing(
        &self,
        by: &Actor,
        now: DateTime<Utc>,
        (change_no, id): (&str, i64),
        reason: &str,
    ) -> Result<()> {
        let reason = need_reason(reason)?;
        let tx = self.begin().await?;
        change_record::need_open(&tx, change_no).await?;
        let change = change_record::need(&tx, change_no).await?;
        let row =
            written_here(&change.part_no, &change.to_revision).filter(Column::Id.eq(id)).one(&tx).await?;
        let row = row.ok_or_else(|| Problem::new("line", "this specimen is no longer on record"))?;
        let key = format!("{} {}", row.part_no, row.revision);
        let entry = Entry::new("take back weighing", NOUN, &key);
        take_off::<Entity>(&tx, by, now, (entry, row), reason).await?;
        Ok(tx.commit().await?)
    }
}

fn written_here(part_no: &str, revision: &str) -> Select<Entity> {
    find::<Entity>()
        .filter(Column::PartNo.eq(part_no))
        .filter(Column::Revision.eq(revision))
        .filter(Column::ImportId.is_null())
}

/// Size and grams of each specimen, as the journal has them.
type Sitting = Vec<(Option<String>, Option<f64>)>;

/// Whether somebody has just added the same specimens at one sitting, which the journal has under one moment.
async fn is_sent_twice(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    (key, new): (&str, &NewWeighings),
) -> Result<bool> {
    use journal::Column as C;
    let Some(person) = named(by).1 else { return Ok(false) };
    let entries = journal::Entity::find()
        .filter(C::Noun.eq(NOUN))
        .filter(C::Key.eq(key))
        .filter(C::Act.eq(WEIGH))
        .filter(C::UserId.eq(person))
        .filter(C::Id.gt(new.shown))
        .filter(C::At.gte(twice::since(now)))
        .order_by_asc(C::Id);
    let mut sittings: BTreeMap<DateTime<Utc>, Sitting> = BTreeMap::new();
    for entry in entries.all(db).await? {
        let after = entry.after.as_deref().and_then(|after| serde_json::from_str::<Json>(after).ok());
        let after = after.unwrap_or_default();
        let size = after["size"].as_str().map(str::to_owned);
        sittings.entry(entry.at).or_default().push((size, after["mass_g"].as_f64()));
    }
    let size = filled(new.size.as_deref());
    let meant: Sitting = new.grams.iter().map(|&grams| (size.clone(), Some(grams))).collect();
    Ok(sittings.into_values().any(|sitting| sitting == meant))
}

/// The highest number among specimens of a revision and size; specimens with other names don't count.
async fn last_specimen(db: &impl ConnectionTrait, new: &NewWeighings) -> Result<u64> {
    let rows = seen::<Entity>()
        .filter(Column::PartNo.eq(&new.part_no))
        .filter(Column::Revision.eq(&new.revision))
        .all(db)
        .await?;
    let of_size = rows.iter().filter(|row| row.size == filled(new.size.as_deref()));
    Ok(of_size.filter_map(|row| row.specimen.parse().ok()).max().unwrap_or(0))
}
