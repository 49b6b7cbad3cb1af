//! Masses of specimens of part revisions.

use chrono::{DateTime, Utc};
use domain::permission::Actor;
use domain::weighing::Weighing;
use sea_orm::entity::prelude::*;

use crate::connect::Store;
use crate::error::Result;
use crate::identity::{Identity, Twins};
use crate::insert::insert_live;
use crate::journal::{Entry, enter};
use crate::read_back::filled;
use crate::stored::{Stored, seen};
use crate::{json, part};

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
    /// The part.
    pub part_no: String,
    /// Its revision.
    pub revision: String,
    /// Their size; `None` for an unsized part.
    pub size: Option<String>,
    /// Grams of each specimen.
    pub grams: Vec<f64>,
}

impl Store {
    /// Adds weighed specimens, numbered on from those that are there.
    ///
    /// # Errors
    /// [`crate::StoreError::Missing`] where there is no such revision; [`crate::StoreError::Refused`] for a mass that is not above
    /// nought.
    pub async fn add_weighings(&self, by: &Actor, now: DateTime<Utc>, new: &NewWeighings) -> Result<()> {
        let tx = self.begin().await?;
        part::need_revision(&tx, &new.part_no, &new.revision).await?;
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
            let key = format!("{} {}", new.part_no, new.revision);
            let entry = Entry::new("weigh", "part revision", &key).after(json::row(row.clone()));
            insert_live::<Entity>(&tx, row, "weighing", &weighing.specimen).await?;
            enter(&tx, by, now, entry).await?;
        }
        Ok(tx.commit().await?)
    }
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
