//! The picture of the field that pages and the API read: made once from the store, made anew when the books move on.

use std::sync::Arc;

use chrono::NaiveDate;
use domain::analysis::{Analysis, analyse};
use domain::catalogue::Catalogue;
use domain::field::Field;
use store::{Store, StoreError};
use tokio::sync::Mutex;

/// The field with its analysis, as of one day and one number of the journal.
#[derive(Debug)]
pub struct Picture {
    /// Everything known.
    pub field: Field,
    /// What it says.
    pub analysis: Analysis,
    /// The modes it speaks in, shipped and added.
    pub catalogue: Arc<Catalogue>,
    journal_number: i64,
    as_of: NaiveDate,
}

/// The latest picture. Readers of a stale one wait for the one that is being made; it is made once for all of them.
#[derive(Debug, Default)]
pub struct Gallery(Mutex<Option<Arc<Picture>>>);

impl Gallery {
    /// The picture as of a day, with everything that was committed before the call.
    ///
    /// # Errors
    /// A failure of the store.
    pub async fn current(&self, store: &Store, today: NaiveDate) -> Result<Arc<Picture>, StoreError> {
        let mut latest = self.0.lock().await;
        let journal_number = store.journal_number().await?;
        if let Some(picture) = &*latest
            && picture.journal_number == journal_number
            && picture.as_of == today
        {
            return Ok(Arc::clone(picture));
        }
        // The number is read before the books: a write between the two makes the picture newer than its number, so
        // that it is made once more, and never taken for newer than it is.
        let picture = Arc::new(draw(store, today, journal_number).await?);
        *latest = Some(Arc::clone(&picture));
        Ok(picture)
    }
}

async fn draw(store: &Store, as_of: NaiveDate, journal_number: i64) -> Result<Picture, StoreError> {
    let catalogue = Arc::new(store.catalogue().await?);
    let field = store.load_field(&catalogue).await?;
    let drawn = tokio::task::spawn_blocking(move || {
        let analysis = analyse(&field, as_of);
        Picture { field, analysis, catalogue, journal_number, as_of }
    });
    drawn.await.map_err(|error| StoreError::Database(Box::new(error)))
}
