//! The picture of the field that pages and the API read: made from the store once, and kept in step with the books.
//!
//! A report that comes or is sorted is taken in by the next reader, who finds it in all counts, rates and risks. What takes
//! longer (lots, life, forecast, watch) follows at once while that is quick, else behind the readers, and each recurrence
//! says how many reports these figures don't know yet. Any other change of the books has them read anew.

mod background;
mod live;
mod progress;

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use domain::analysis::Analysis;
use domain::catalogue::Catalogue;
use domain::field::Field;
use store::{Since, Store, StoreError};
use tokio::sync::{Mutex as Turn, MutexGuard as Held};

use self::background::in_background;
use self::live::Live;
use self::progress::Progress;
use crate::clock::Clock;
use crate::config::WatchConfig;

/// Books that take longer to read and analyse than this are read while readers look at the picture before.
const PATIENCE: TimeDelta = TimeDelta::seconds(1);
/// Figures that take longer than this to catch up with new reports do so behind the readers.
const QUICK: TimeDelta = TimeDelta::milliseconds(100);
/// Changes that are read from the books at once.
const FOLLOWED_AT_ONCE: u64 = 5_000;
/// How long the first readers wait for a picture before they are told how far it is.
const FIRST_WAIT: Duration = Duration::from_secs(3);
/// What an act is told whose figures don't know the latest of the books.
const BEHIND: &str =
    "The figures don't know yet what was kept moments ago. Look again in a minute; nothing was changed.";
/// What the log says where figures can't follow; the next reader has them try again.
const FAILED: &str = "catching up failed";
/// Behind the readers, figures rest for so many times as long as they took, so that readers come first.
const REST: i32 = 2;

/// The field with its analysis, as of one day and one number of the journal.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Everything known.
    pub field: Field,
    /// What it says.
    pub analysis: Arc<Analysis>,
    /// The modes it speaks in, shipped and added.
    pub catalogue: Arc<Catalogue>,
    /// When the books were last looked at for it.
    pub books_of: DateTime<Utc>,
    journal_number: i64,
    /// Whether some figures don't know all of it yet.
    is_behind: bool,
}

/// Why there is no picture to look at.
#[derive(Debug, thiserror::Error)]
pub enum NoPicture {
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The books are still being read; the sentence says how far that is.
    #[error("{0}")]
    NotYet(String),
}

/// The latest picture, and what makes the next.
#[derive(Debug, Default)]
pub struct Gallery {
    latest: Mutex<Option<Arc<Picture>>>,
    /// What the latest picture was made from. Held for moments, or for as long as books take that were last read within
    /// [`PATIENCE`].
    live: Turn<Option<Live>>,
    /// Whose turn it is to read the books, and to catch up behind the readers.
    reading: Arc<Turn<()>>,
    catching_up: Arc<Turn<()>>,
    progress: Progress,
    watch: WatchConfig,
}

impl Gallery {
    /// One without a picture, whose pictures are watched as asked.
    pub fn new(watch: WatchConfig) -> Self {
        Self { watch, ..Self::default() }
    }

    /// The picture to look at now.
    ///
    /// # Errors
    /// A failure of the store, or that the first picture takes long.
    pub async fn current(self: &Arc<Self>, store: &Store, clock: &Clock) -> Result<Arc<Picture>, NoPicture> {
        let wanted = (store.journal_number().await?, clock.today());
        if let Some(picture) = self.latest().filter(|picture| picture.is_of(wanted) && !picture.is_behind) {
            return Ok(picture);
        }
        let mut live = self.live.lock().await;
        let Some(now) = live.as_mut() else {
            drop(live);
            return self.first(store, clock).await;
        };
        if now.is_of(wanted) {
            self.catch_up(now, clock).await;
            return Ok(self.hang(now));
        }
        while now.as_of() == wanted.1
            && let Since::Reports { number, reports } =
                store.changes_since(now.number, FOLLOWED_AT_ONCE).await?
            && number > now.number
            && now.take_in(number, reports, clock.now())
        {
            if now.is_of(wanted) {
                self.catch_up(now, clock).await;
                return Ok(self.hang(now));
            }
        }
        if now.took > PATIENCE {
            self.read_behind(store, clock);
            return Ok(self.latest().unwrap_or_else(|| self.hang(now)));
        }
        self.read_now(live, store, clock).await
    }

    /// The picture that knows all the books held when it was asked for, in its slow figures too: for acts that put figures
    /// on record, which wait for it where readers don't.
    ///
    /// # Errors
    /// A failure of the store, or that the books take longer to read than somebody can wait.
    pub async fn in_step(self: &Arc<Self>, store: &Store, clock: &Clock) -> Result<Arc<Picture>, NoPicture> {
        let wanted = (store.journal_number().await?, clock.today());
        let followed = tokio::time::timeout(FIRST_WAIT, async {
            loop {
                self.current(store, clock).await?;
                if let Some(now) = self.live.lock().await.as_ref().filter(|now| now.is_of(wanted)) {
                    return Ok::<_, NoPicture>(now.clone());
                }
                // Somebody reads them; what was begun before the latest entry doesn't hold it, and is begun anew.
                drop(self.reading.lock().await);
            }
        });
        let mut now = followed.await.map_err(|_| NoPicture::NotYet(BEHIND.to_owned()))??;
        let caught_up = tokio::task::spawn_blocking(move || {
            now.study.catch_up();
            Arc::new(now.picture())
        });
        Ok(caught_up.await.map_err(|error| StoreError::Database(Box::new(error)))?)
    }

    /// Starts to make the first picture, before anybody asks for it.
    pub fn prepare(self: &Arc<Self>, store: &Store, clock: &Clock) {
        self.read_behind(store, clock);
    }

    /// How far the first picture is; `None` once it hangs.
    pub fn awaited(&self) -> Option<String> {
        self.latest().is_none().then(|| self.progress.sentence())
    }

    #[cfg(test)]
    pub(crate) async fn hold_the_books(&self) -> tokio::sync::OwnedMutexGuard<()> {
        Arc::clone(&self.reading).lock_owned().await
    }

    /// Waits a while for the first picture.
    async fn first(self: &Arc<Self>, store: &Store, clock: &Clock) -> Result<Arc<Picture>, NoPicture> {
        let gallery = Arc::clone(self);
        let (store, clock) = (store.clone(), clock.clone());
        // On its own, so that it goes on when the reader no longer waits.
        let reading = tokio::spawn(async move {
            let _turn = gallery.reading.lock().await;
            match gallery.latest() {
                Some(picture) => Ok(picture),
                None => gallery.read(&store, &clock).await,
            }
        });
        match tokio::time::timeout(FIRST_WAIT, reading).await {
            Ok(read) => Ok(read.map_err(|error| StoreError::Database(Box::new(error)))??),
            Err(_) => Err(NoPicture::NotYet(self.progress.sentence())),
        }
    }

    /// Reads the books anew for somebody who waits for them, while the others wait too.
    async fn read_now(
        &self,
        mut live: Held<'_, Option<Live>>,
        store: &Store,
        clock: &Clock,
    ) -> Result<Arc<Picture>, NoPicture> {
        let now = live.insert(Live::read(store, clock, self.watch, &self.progress).await?);
        Ok(self.hang(now))
    }

    /// Starts to read the books anew unless somebody is at it.
    fn read_behind(self: &Arc<Self>, store: &Store, clock: &Clock) {
        let Ok(turn) = Arc::clone(&self.reading).try_lock_owned() else { return };
        let (gallery, store, clock) = (Arc::clone(self), store.clone(), clock.clone());
        tokio::spawn(async move {
            if let Err(error) = gallery.read(&store, &clock).await {
                tracing::error!(%error, "the picture of the field could not be made");
            }
            drop(turn);
        });
    }

    async fn read(&self, store: &Store, clock: &Clock) -> Result<Arc<Picture>, StoreError> {
        let read = Live::read(store, clock, self.watch, &self.progress).await?;
        let mut live = self.live.lock().await;
        Ok(self.hang(live.insert(read)))
    }

    /// Has the slow figures follow what was taken in: at once where that is quick. A reader who no longer waits takes what was
    /// worked out away, so that the next one begins anew.
    async fn catch_up(self: &Arc<Self>, now: &mut Live, clock: &Clock) {
        if !now.study.is_behind() {
            return;
        }
        let Ok(turn) = Arc::clone(&self.catching_up).try_lock_owned() else { return };
        if now.caught_up_in <= QUICK {
            let mut study = now.study.clone();
            let began = clock.now();
            let caught_up = tokio::task::spawn_blocking(move || {
                study.catch_up();
                study
            });
            match caught_up.await {
                Ok(study) => (now.study, now.caught_up_in) = (study, clock.now() - began),
                Err(error) => tracing::error!(%error, "{FAILED}"),
            }
            return;
        }
        let (gallery, clock) = (Arc::clone(self), clock.clone());
        tokio::spawn(async move {
            while let Some(took) = gallery.catch_up_behind(&clock).await {
                tokio::time::sleep((took * REST).to_std().unwrap_or_default()).await;
            }
            drop(turn);
        });
    }

    /// One round of catching up on a copy, and how long it took; `None` where there was nothing to do.
    async fn catch_up_behind(&self, clock: &Clock) -> Option<TimeDelta> {
        let began = clock.now();
        let (mut study, of) = {
            let mut live = self.live.lock().await;
            let now = live.as_mut().filter(|now| now.study.is_behind())?;
            now.taken_since.clear();
            (now.study.clone(), now.made_at)
        };
        let caught_up = tokio::task::spawn_blocking(move || {
            in_background(|| study.catch_up());
            study
        });
        let study = caught_up.await.inspect_err(|error| tracing::error!(%error, "{FAILED}")).ok()?;
        let took = clock.now() - began;
        let mut live = self.live.lock().await;
        // Where the books were read anew meanwhile, what was worked out is of no use; what came since then may be behind.
        if let Some(now) = live.as_mut().filter(|now| now.made_at == of) {
            now.put(study, took);
            self.hang(now);
        }
        Some(took)
    }

    /// Hangs the picture of what is known now.
    fn hang(&self, now: &Live) -> Arc<Picture> {
        let picture = Arc::new(now.picture());
        *self.lock() = Some(Arc::clone(&picture));
        picture
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
        Self { field, analysis: Arc::new(analysis), catalogue, books_of, journal_number: 0, is_behind: false }
    }

    /// Whether every figure knows all of the books up to a number of the journal.
    pub(crate) const fn knows_all_until(&self, journal_number: i64) -> bool {
        self.journal_number >= journal_number && !self.is_behind
    }

    fn is_of(&self, (journal_number, today): (i64, NaiveDate)) -> bool {
        self.journal_number >= journal_number && self.analysis.as_of == today
    }
}

#[cfg(test)]
mod tests;
