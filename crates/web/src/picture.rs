//! The picture of the field that pages and the API read: made from the store, made anew when the books move on.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use domain::analysis::{Analysis, analyse};
use domain::catalogue::Catalogue;
use domain::field::Field;
use store::{Store, StoreError};
use tokio::sync::Mutex as Turn;

use crate::clock::Clock;

/// A picture that takes longer to make than this is made while readers look at the one before.
const PATIENCE: TimeDelta = TimeDelta::seconds(1);

/// The field with its analysis, as of one day and one number of the journal.
#[derive(Debug)]
pub struct Picture {
    /// Everything known.
    pub field: Field,
    /// What it says.
    pub analysis: Analysis,
    /// The modes it speaks in, shipped and added.
    pub catalogue: Arc<Catalogue>,
    /// When the books were read for it.
    pub books_of: DateTime<Utc>,
    took: TimeDelta,
    journal_number: i64,
}

/// The latest picture, and whose turn it is to make the next. It is made once for all who want it.
///
/// Small books are folded again at once, so that a reader sees their own change. Where that takes longer than
/// [`PATIENCE`], readers get the picture before, which says of when it is, and the next one is made behind them.
#[derive(Debug, Default)]
pub struct Gallery {
    latest: Mutex<Option<Arc<Picture>>>,
    turn: Arc<Turn<()>>,
}

impl Gallery {
    /// The picture to look at now.
    ///
    /// # Errors
    /// A failure of the store.
    pub async fn current(self: &Arc<Self>, store: &Store, clock: &Clock) -> Result<Arc<Picture>, StoreError> {
        let wanted = (store.journal_number().await?, clock.today());
        match self.latest() {
            Some(picture) if picture.is_of(wanted) => Ok(picture),
            Some(picture) if picture.took > PATIENCE => {
                self.renew_behind(store, clock);
                Ok(picture)
            }
            _ => {
                let _turn = self.turn.lock().await;
                match self.latest() {
                    Some(picture) if picture.is_of(wanted) => Ok(picture),
                    _ => self.renew(store, clock).await,
                }
            }
        }
    }

    /// Starts to make the next picture unless somebody is at it.
    fn renew_behind(self: &Arc<Self>, store: &Store, clock: &Clock) {
        let Ok(turn) = Arc::clone(&self.turn).try_lock_owned() else { return };
        let (gallery, store, clock) = (Arc::clone(self), store.clone(), clock.clone());
        tokio::spawn(async move {
            if let Err(error) = gallery.renew(&store, &clock).await {
                tracing::error!(%error, "the picture of the field could not be made anew");
            }
            drop(turn);
        });
    }

    async fn renew(&self, store: &Store, clock: &Clock) -> Result<Arc<Picture>, StoreError> {
        let picture = Arc::new(draw(store, clock).await?);
        *self.lock() = Some(Arc::clone(&picture));
        Ok(picture)
    }

    fn latest(&self) -> Option<Arc<Picture>> {
        self.lock().clone()
    }

    /// Nobody panics while holding it, and a picture is whole or not there.
    fn lock(&self) -> MutexGuard<'_, Option<Arc<Picture>>> {
        self.latest.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Picture {
    /// A picture of a field that no store keeps, for samples.
    pub fn of(field: Field, analysis: Analysis, books_of: DateTime<Utc>) -> Self {
        let catalogue = Arc::new(Catalogue::shipped().clone());
        Self { field, analysis, catalogue, books_of, took: TimeDelta::zero(), journal_number: 0 }
    }

    fn is_of(&self, (journal_number, today): (i64, NaiveDate)) -> bool {
        self.journal_number == journal_number && self.books_of.date_naive() == today
    }
}

async fn draw(store: &Store, clock: &Clock) -> Result<Picture, StoreError> {
    let books_of = clock.now();
    // The number is read before the books: a write between the two makes the picture newer than its number, so
    // that it is made once more, and never taken for newer than it is.
    let journal_number = store.journal_number().await?;
    let catalogue = Arc::new(store.catalogue().await?);
    let field = store.load_field(&catalogue).await?;
    let clock = clock.clone();
    let drawn = tokio::task::spawn_blocking(move || {
        let analysis = analyse(&field, books_of.date_naive());
        let took = clock.now() - books_of;
        Picture { field, analysis, catalogue, books_of, took, journal_number }
    });
    drawn.await.map_err(|error| StoreError::Database(Box::new(error)))
}

#[cfg(test)]
mod tests {
    use domain::permission::Actor;
    use domain::unit::{Unit, UnitKind};

    use super::*;
    use crate::testing::{noon, state};

    async fn add_unit(store: &Store, code: &str) {
        let unit = Unit {
            unit: code.to_owned(),
            name: None,
            kind: UnitKind::Wearing,
            parent_unit: None,
            contact_email: None,
        };
        store.add_unit(&Actor::Program, noon(), &unit).await.unwrap();
    }

    /// A clock on which each reading is `step` after the last.
    fn walking(step: TimeDelta) -> Clock {
        let at = Mutex::new(noon());
        Clock::of(move || {
            let mut at = at.lock().unwrap();
            *at += step;
            *at
        })
    }

    #[tokio::test]
    async fn small_books_are_read_again_at_once() {
        let state = state().await;
        let (gallery, clock) = (Arc::new(Gallery::default()), Clock::standing_at(noon()));
        let before = gallery.current(state.store(), &clock).await.unwrap();
        assert!(Arc::ptr_eq(&before, &gallery.current(state.store(), &clock).await.unwrap()));
        add_unit(state.store(), "COVE-2").await;
        let after = gallery.current(state.store(), &clock).await.unwrap();
        assert_eq!((before.field.units.len(), after.field.units.len()), (0, 1));
    }

    #[tokio::test]
    async fn large_books_are_read_behind_readers_who_see_the_picture_before() {
        let state = state().await;
        let (gallery, slow) = (Arc::new(Gallery::default()), walking(TimeDelta::seconds(2)));
        let before = gallery.current(state.store(), &slow).await.unwrap();
        add_unit(state.store(), "COVE-2").await;
        let seen = gallery.current(state.store(), &slow).await.unwrap();
        assert!(Arc::ptr_eq(&before, &seen), "nobody waits");
        // The turn is free again once the next picture hangs.
        drop(gallery.turn.lock().await);
        let after = gallery.current(state.store(), &slow).await.unwrap();
        assert_eq!(after.field.units.len(), 1);
        assert!(after.books_of > before.books_of);
    }
}
