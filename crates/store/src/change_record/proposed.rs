//! The revision that a change proposes: in the books from the draft on, so that it can be weighed and tested, but
//! without a release date.

use chrono::{DateTime, Utc};
use domain::change::Change;
use domain::part::PartRevision;
use domain::permission::Actor;
use domain::structure::Component;
use domain::words::Problem;
use sea_orm::entity::prelude::*;

use crate::error::Result;
use crate::identity::Twins;
use crate::insert::{insert_live, prepare};
use crate::journal::{Entry, enter};
use crate::stored::{Stored as _, find};
use crate::{json, part, structure};

/// Adds the revision after the change where the books lack it, built as the revision before.
///
/// # Errors
/// [`crate::StoreError::Refused`] where the part has no such revision before.
pub(super) async fn add_proposed(
    db: &impl ConnectionTrait,
    by: &Actor,
    now: DateTime<Utc>,
    change: &Change,
) -> Result<()> {
    let Some(before) = revision(db, &change.part_no, &change.from_revision).await? else {
        let why = format!("part {} has no such revision", change.part_no);
        return Err(Problem::new("from_revision", why).into());
    };
    if revision(db, &change.part_no, &change.to_revision).await?.is_some() {
        return Ok(());
    }
    let proposed = PartRevision {
        revision: change.to_revision.clone(),
        released_on: None,
        replaces_revision: Some(change.from_revision.clone()),
        change_no: Some(change.change_no.clone()),
        ..before
    };
    let key = format!("{} {}", proposed.part_no, proposed.revision);
    let row = part::Entity::model(&proposed, None, &mut Twins::default());
    insert_live::<part::Entity>(db, row.clone(), "part revision", &key).await?;
    copy_structure(db, change).await?;
    enter(db, by, now, Entry::new("propose", "part revision", &key).after(json::row(row))).await?;
    Ok(())
}

async fn revision(db: &impl ConnectionTrait, part_no: &str, revision: &str) -> Result<Option<PartRevision>> {
    let of_part = find::<part::Entity>().filter(part::Column::PartNo.eq(part_no));
    let row = of_part.filter(part::Column::Revision.eq(revision)).one(db).await?;
    row.map(part::Entity::noun).transpose()
}

/// What the revision before is made of, the proposed one is made of too until somebody says otherwise.
async fn copy_structure(db: &impl ConnectionTrait, change: &Change) -> Result<()> {
    use structure::{Column, Entity};
    let of_part = find::<Entity>().filter(Column::ParentPartNo.eq(&change.part_no));
    let rows = of_part.filter(Column::ParentRevision.eq(&change.from_revision)).all(db).await?;
    let mut twins = Twins::default();
    let lines = rows.into_iter().map(|row| {
        let line = Component { parent_revision: change.to_revision.clone(), ..Entity::noun(row)? };
        Ok(Entity::model(&line, None, &mut twins))
    });
    prepare::<Entity>(lines.collect::<Result<_>>()?).insert(db).await?;
    Ok(())
}
