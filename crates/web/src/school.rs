//! The model behind suggestions: learned from what people sorted, and learned anew behind readers as they sort on.

use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

use domain::catalogue::Catalogue;
use domain::suggestion::{Example, Learned, starters};
use store::{Store, StoreError};
use tokio::sync::Mutex as Turn;

/// Confirmed reports that are learned from, the latest.
pub(crate) const MOST: u64 = 20_000;

/// A model and what it was learned from.
struct Lesson {
    learned: Arc<Learned>,
    journal_number: i64,
    /// A digest of catalogue and examples: while they stay the same, so does the model.
    read: u64,
}

/// The latest model, and whose turn it is to learn the next. Readers never wait for a lesson but the first.
#[derive(Default)]
pub struct School {
    latest: Mutex<Option<Arc<Lesson>>>,
    turn: Arc<Turn<()>>,
}

impl School {
    /// The model as it stands; what was sorted since is learned behind.
    ///
    /// # Errors
    /// A failure of the store.
    pub async fn learned(self: &Arc<Self>, store: &Store) -> Result<Arc<Learned>, StoreError> {
        let journal_number = store.journal_number().await?;
        let latest = self.lock().clone();
        match latest {
            Some(lesson) if lesson.journal_number == journal_number => Ok(Arc::clone(&lesson.learned)),
            Some(lesson) => {
                self.learn_behind(store);
                Ok(Arc::clone(&lesson.learned))
            }
            None => {
                self.learn_behind(store);
                tokio::task::spawn_blocking(untaught)
                    .await
                    .map_err(|error| StoreError::Database(Box::new(error)))
            }
        }
    }

    /// Starts a lesson unless somebody is at it. Until the first is over, suggestions know the catalogue and the starter
    /// examples alone.
    pub(crate) fn learn_behind(self: &Arc<Self>, store: &Store) {
        let Ok(turn) = Arc::clone(&self.turn).try_lock_owned() else { return };
        let (school, store) = (Arc::clone(self), store.clone());
        tokio::spawn(async move {
            if let Err(error) = school.learn(&store).await {
                tracing::error!(%error, "the model behind suggestions could not be learned anew");
            }
            drop(turn);
        });
    }

    async fn learn(&self, store: &Store) -> Result<(), StoreError> {
        // As with the picture, the number is read before the books.
        let journal_number = store.journal_number().await?;
        let catalogue = store.catalogue().await?;
        let confirmed = store.confirmed_examples(MOST).await?;
        let read = digest(&catalogue, &confirmed);
        let known = self.lock().clone().filter(|lesson| lesson.read == read);
        let learned = match known {
            Some(lesson) => Arc::clone(&lesson.learned),
            None => tokio::task::spawn_blocking(move || taught(&catalogue, &confirmed))
                .await
                .map_err(|error| StoreError::Database(Box::new(error)))?,
        };
        *self.lock() = Some(Arc::new(Lesson { learned, journal_number, read }));
        Ok(())
    }

    /// Waits until no lesson is going on.
    #[cfg(test)]
    pub(crate) async fn break_time(&self) {
        drop(self.turn.lock().await);
    }

    /// Nobody panics while holding it, and a lesson is whole or not there.
    fn lock(&self) -> MutexGuard<'_, Option<Arc<Lesson>>> {
        self.latest.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The model of the catalogue and the starter examples alone, learned once.
pub(crate) fn untaught() -> Arc<Learned> {
    static UNTAUGHT: OnceLock<Arc<Learned>> = OnceLock::new();
    Arc::clone(UNTAUGHT.get_or_init(|| Arc::new(Learned::train(Catalogue::shipped(), starters(), &[]))))
}

/// The model of a catalogue and what people confirmed.
pub(crate) fn taught(catalogue: &Catalogue, confirmed: &[Example]) -> Arc<Learned> {
    if confirmed.is_empty() && catalogue == Catalogue::shipped() {
        return untaught();
    }
    Arc::new(Learned::train(catalogue, starters(), confirmed))
}

fn digest(catalogue: &Catalogue, confirmed: &[Example]) -> u64 {
    let mut hasher = DefaultHasher::new();
    for mode in catalogue.modes() {
        (&mode.code, &mode.name, &mode.mechanism, &mode.how_found, &mode.field_words).hash(&mut hasher);
    }
    for one in confirmed {
        (&one.narrative, &one.mode).hash(&mut hasher);
    }
    hasher.finish()
}
