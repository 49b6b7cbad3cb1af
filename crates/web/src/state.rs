//! What every handler is handed: settings, stores, templates, clock and secrets.

use std::sync::{Arc, OnceLock};

use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Response};
use chrono::{DateTime, NaiveDate, Utc};
use domain::suggestion::Learned;
use store::Store;

use crate::clock::Clock;
use crate::config::Config;
use crate::error::AppError;
use crate::pack::Waiting;
use crate::photo::Album;
use crate::picture::{Gallery, Picture};
use crate::school::School;
use crate::secrets::Secrets;
use crate::security::floods::Floods;
use crate::security::password::Passwords;
use crate::security::tries::Tries;
use crate::templates::{Page, Templates};
use crate::upload::WaitingLists;

/// Shared by all handlers; cloning it copies one pointer.
#[derive(Clone)]
pub struct AppState(Arc<Inner>);

struct Inner {
    config: Config,
    store: Store,
    templates: Templates,
    clock: Clock,
    secrets: Secrets,
    passwords: Passwords,
    tries: Tries,
    floods: Floods,
    base_url: OnceLock<String>,
    gallery: Arc<Gallery>,
    school: Arc<School>,
    waiting: Waiting,
    album: Album,
    lists: WaitingLists,
    #[cfg(test)]
    folder: OnceLock<tempfile::TempDir>,
}

impl AppState {
    /// Opens everything the configuration names.
    ///
    /// # Errors
    /// A template that doesn't parse, or a store that doesn't open.
    pub async fn new(config: Config) -> Result<Self, Box<dyn std::error::Error + Send + Sync>> {
        Self::with_clock(config, Clock::of_machine()).await
    }

    /// The same under another clock.
    ///
    /// # Errors
    /// As [`AppState::new`].
    pub async fn with_clock(
        config: Config,
        clock: Clock,
    ) -> Result<Self, Box<dyn std::error::Error + Send + Sync>> {
        let folder = &config.storage.data_folder;
        std::fs::create_dir_all(folder)
            .map_err(|error| format!("BARTACK_DATA is {}: {error}", folder.display()))?;
        let waiting = Waiting::new(folder);
        let store = Store::connect(&config.storage.database_url).await?;
        let album = match &config.storage.bucket {
            Some(bucket) => Album::in_bucket(bucket)?,
            None => Album::in_folder(folder.join("photos"))?,
        };
        let passwords = Passwords::new().await?;
        let base_url = OnceLock::new();
        if let Some(url) = &config.server.public_url {
            let _ = base_url.set(url.clone());
        }
        let templates = Templates::load(&config.documents.control.marking)?;
        let floods = Floods::new(config.limits.link_reports);
        Ok(Self(Arc::new(Inner {
            gallery: Arc::new(Gallery::new(config.watch)),
            school: Arc::default(),
            lists: WaitingLists::under(&config.storage.data_folder),
            waiting,
            album,
            config,
            store,
            templates,
            clock,
            secrets: Secrets,
            passwords,
            tries: Tries::default(),
            floods,
            base_url,
            #[cfg(test)]
            folder: OnceLock::new(),
        })))
    }

    /// The settings.
    pub fn config(&self) -> &Config {
        &self.0.config
    }

    /// What is kept.
    pub fn store(&self) -> &Store {
        &self.0.store
    }

    /// Where photographs are kept.
    pub fn album(&self) -> &Album {
        &self.0.album
    }

    /// Keeps a test's folder for as long as the state is used.
    #[cfg(test)]
    pub(crate) fn hold(&self, folder: tempfile::TempDir) {
        let _ = self.0.folder.set(folder);
    }

    /// The templates.
    pub fn templates(&self) -> &Templates {
        &self.0.templates
    }

    /// The time in UTC.
    pub fn now(&self) -> DateTime<Utc> {
        self.0.clock.now()
    }

    /// The day in UTC.
    pub fn today(&self) -> NaiveDate {
        self.0.clock.today()
    }

    /// Where tokens and ids are drawn.
    pub fn secrets(&self) -> Secrets {
        self.0.secrets
    }

    /// Where passwords are hashed and checked.
    pub fn passwords(&self) -> &Passwords {
        &self.0.passwords
    }

    /// Wrong passwords by name.
    pub fn tries(&self) -> &Tries {
        &self.0.tries
    }

    /// Reports by unit link.
    pub fn floods(&self) -> &Floods {
        &self.0.floods
    }

    /// The field and what it says today.
    ///
    /// # Errors
    /// A failure of the store; that the program has just started and isn't so far yet.
    pub async fn picture(&self) -> Result<Arc<Picture>, AppError> {
        Ok(self.0.gallery.current(&self.0.store, &self.0.clock).await?)
    }

    /// The same, for acts that put figures on record: it knows all that was kept until now.
    ///
    /// # Errors
    /// As [`AppState::picture`]; that the books take long to read.
    pub async fn picture_in_step(&self) -> Result<Arc<Picture>, AppError> {
        Ok(self.0.gallery.in_step(&self.0.store, &self.0.clock).await?)
    }

    /// As [`AppState::picture`], for who has nothing better to do than to wait for the first one.
    ///
    /// # Errors
    /// A failure of the store.
    pub async fn picture_however_long(&self) -> Result<Arc<Picture>, AppError> {
        loop {
            match self.picture().await {
                Err(AppError::NotYet(_)) => {}
                known => return known,
            }
        }
    }

    /// The model behind suggestions.
    ///
    /// # Errors
    /// A failure of the store.
    pub async fn learned(&self) -> Result<Arc<Learned>, AppError> {
        Ok(self.0.school.learned(&self.0.store).await?)
    }

    /// Where it is learned.
    #[cfg(test)]
    pub(crate) fn school(&self) -> &School {
        &self.0.school
    }

    /// Keeps the books from being read until what is given back is dropped.
    #[cfg(test)]
    pub(crate) async fn hold_the_books(&self) -> tokio::sync::OwnedMutexGuard<()> {
        self.0.gallery.hold_the_books().await
    }

    /// Starts to read the books, so that the first reader finds figures or is told how far they are, and to learn from what
    /// was sorted.
    pub fn prepare(&self) {
        self.0.gallery.prepare(&self.0.store, &self.0.clock);
        self.0.school.learn_behind(&self.0.store);
    }

    /// How far the first picture is; `None` once there is one.
    pub fn picture_awaited(&self) -> Option<String> {
        self.0.gallery.awaited()
    }

    /// Uploaded packs between check and import.
    pub fn waiting(&self) -> &Waiting {
        &self.0.waiting
    }

    /// Lists of failures whose columns nobody has matched yet.
    pub(crate) fn lists(&self) -> &WaitingLists {
        &self.0.lists
    }

    /// How readers reach the program, without a trailing slash, such as `https://rescue.example`.
    pub fn base_url(&self) -> &str {
        self.0.base_url.get().map_or("", String::as_str)
    }

    /// Fixes the address readers use, once the real port is known; the configured one wins.
    pub fn settle_base_url(&self, url: String) {
        let _ = self.0.base_url.set(url);
    }

    /// Renders a page with status 200.
    pub fn page(&self, page: &impl Page) -> Result<Response, AppError> {
        Ok(Html(self.0.templates.render(page)?).into_response())
    }

    /// Renders the page of what was sent and can't be kept, with status 422.
    pub fn refused(&self, page: &impl Page) -> Result<Response, AppError> {
        Ok((StatusCode::UNPROCESSABLE_ENTITY, self.page(page)?).into_response())
    }
}
