//! Whether somebody decided in between: a decision is about what its form showed, and overwrites nothing unseen.
//!
//! What was shown is a number of the journal. Numbers are drawn under the writers' lock, so that whoever read one has
//! seen everything before it.

use domain::permission::Actor;
use sea_orm::entity::prelude::*;
use sea_orm::{QueryOrder as _, QuerySelect as _};

use crate::error::{Result, StoreError};
use crate::journal::{Column, Entity, Model, named};

/// The entries by which a decision is overtaken.
pub(crate) struct About<'a> {
    /// What an error names it as.
    pub(crate) noun: &'static str,
    /// Under which nouns the journal has them.
    pub(crate) nouns: &'a [&'a str],
    /// Under which key.
    pub(crate) key: &'a str,
    /// Of which acts.
    pub(crate) acts: &'a [&'a str],
}

impl About<'_> {
    // Without a limit: an index finds the few entries about a thing, and a limit would tempt the planner to walk
    // backwards through the whole journal instead.
    fn entries(&self) -> Select<Entity> {
        Entity::find()
            .filter(Column::Noun.is_in(self.nouns.iter().copied()))
            .filter(Column::Key.eq(self.key))
            .filter(Column::Act.is_in(self.acts.iter().copied()))
    }

    /// The number of the latest; 0 where there is none.
    pub(crate) async fn latest(&self, db: &impl ConnectionTrait) -> Result<i64> {
        let ids = self.entries().select_only().column(Column::Id).into_tuple::<i64>().all(db).await?;
        Ok(ids.into_iter().max().unwrap_or(0))
    }

    /// Those after the one that was shown, in their order.
    pub(crate) async fn since(&self, db: &impl ConnectionTrait, shown: i64) -> Result<Vec<Model>> {
        Ok(self.entries().filter(Column::Id.gt(shown)).order_by_asc(Column::Id).all(db).await?)
    }

    /// Looks whether a decision on what was shown may go ahead; one that nobody looked at anything for always may.
    /// Gives the entry that this decision would only repeat, if it says the same: the same act of the same person, and
    /// nothing else since. Two clicks on one button send a form twice.
    ///
    /// # Errors
    /// [`StoreError::Overtaken`] where anything else came in between.
    pub(crate) async fn check(
        &self,
        db: &impl ConnectionTrait,
        (by, act): (&Actor, &str),
        shown: Option<i64>,
    ) -> Result<Option<Model>> {
        let Some(shown) = shown else { return Ok(None) };
        let mut since = self.since(db, shown).await?;
        let (_, person) = named(by);
        match since.as_slice() {
            [] => Ok(None),
            [only] if only.act == act && person.is_some() && only.user_id == person => Ok(since.pop()),
            _ => Err(self.error()),
        }
    }

    /// Lets a decision end that only repeats an entry; one that says something else was overtaken by it.
    pub(crate) fn repeats(&self, is_the_same: bool) -> Result<()> {
        if is_the_same { Ok(()) } else { Err(self.error()) }
    }

    fn error(&self) -> StoreError {
        StoreError::Overtaken { noun: self.noun, key: self.key.to_owned() }
    }
}
