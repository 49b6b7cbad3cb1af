//! Receives a pack: streamed to a folder of its own, measured, opened, checked, and kept until somebody decides.

use std::collections::BTreeSet;

use axum::extract::Multipart;
use axum::extract::multipart::{Field, MultipartError};
use axum::http::StatusCode;
use tokio::fs::File;
use tokio::io::AsyncWriteExt as _;

use super::{inspected, take};
use crate::error::AppError;
use crate::pack::{Arrival, ImportError, OpenError, Record};
use crate::state::AppState;

/// Packs that one person may have waiting.
const MOST_WAITING: usize = 5;
/// Files that are received; a pack has twenty.
const MOST_FILES: usize = 40;
/// Times the largest pack that is read to its end only to say that it is too large.
const PATIENCE: u64 = 4;

/// Why nothing was kept.
pub(super) enum Fault {
    /// The reader's to mend.
    Told(StatusCode, String),
    /// Ours.
    Inside(AppError),
}

impl From<std::io::Error> for Fault {
    fn from(error: std::io::Error) -> Self {
        Self::Inside(AppError::inside(error))
    }
}

fn told(why: impl Into<String>) -> Fault {
    Fault::Told(StatusCode::UNPROCESSABLE_ENTITY, why.into())
}

/// Receives and checks a pack, and gives its name.
pub(super) async fn receive(state: &AppState, owner: i64, form: Multipart) -> Result<String, Fault> {
    state.waiting().sweep(state.now(), false)?;
    let waiting = state.waiting().list(owner)?.len();
    let arrival = state.waiting().begin(&state.secrets().token())?;
    let names = Receiving { arrival: &arrival, most: state.config().limits.pack_bytes as u64, read: 0 }
        .all(form)
        .await?;
    if waiting >= MOST_WAITING {
        return Err(told(format!(
            "You have {MOST_WAITING} packs waiting below, so this one wasn't kept. Take one in or forget it first."
        )));
    }
    arrival.settle()?;
    let found = match inspected(state, arrival.id()).await {
        Ok(found) => found,
        Err(ImportError::Unopened(OpenError::Refused(lines))) => return Err(told(unopened(&names, &lines))),
        Err(ImportError::Unreadable(error)) => {
            return Err(told(format!("The pack can't be read, so nothing was kept. {error}.")));
        }
        Err(error) => {
            let why = take::told(state, &error).await;
            return Err(Fault::Told(StatusCode::INTERNAL_SERVER_ERROR, why));
        }
    };
    let (id, record) = (arrival.id().to_owned(), Record::new(owner, state.now(), names, &found));
    state.waiting().keep(arrival, &record, &found.preview.refusals)?;
    Ok(id)
}

/// Why a pack doesn't open, by the name it was sent under.
fn unopened(names: &[String], lines: &[String]) -> String {
    let is_zip = |name: &String| name.to_ascii_lowercase().ends_with(".zip");
    match names {
        [name] if is_zip(name) && lines.iter().all(|line| line.starts_with(name.as_str())) => {
            format!("{name} is called a zip, but it isn't one, so nothing was kept.")
        }
        [name] if is_zip(name) => {
            format!("{name} can't be taken, so nothing was kept: {}.", lines.join("; "))
        }
        _ if names.iter().any(is_zip) => {
            "Send either one zip or CSV files, not both; nothing was kept.".to_owned()
        }
        _ => format!("This isn't a data pack, so nothing was kept: {}.", lines.join("; ")),
    }
}

struct Receiving<'a> {
    arrival: &'a Arrival,
    most: u64,
    read: u64,
}

impl Receiving<'_> {
    /// Receives every file and gives their names.
    async fn all(mut self, mut form: Multipart) -> Result<Vec<String>, Fault> {
        let mut names = BTreeSet::new();
        let mut wrong = None;
        while let Some(field) = form.next_field().await.map_err(|error| cut_off(&error))? {
            let sent = field.file_name().unwrap_or_default().to_owned();
            // A browser sends a nameless file where none was chosen; other fields are not ours.
            let name = match plain(&sent) {
                _ if sent.is_empty() => None,
                Some(name) if names.len() == MOST_FILES || !names.insert(name.to_owned()) => {
                    wrong.get_or_insert_with(|| double_or_many(name, names.len()));
                    None
                }
                Some(name) => Some(name),
                None => {
                    wrong = Some("A file has a name that can't be used.".to_owned());
                    None
                }
            };
            self.file(name, field).await?;
        }
        if self.read > self.most {
            let why = format!(
                "This is larger than the {} MB that are taken at once, so nothing was kept. Pack it as a zip, or \
                 send it in parts.",
                self.most >> 20
            );
            return Err(Fault::Told(StatusCode::PAYLOAD_TOO_LARGE, why));
        }
        match wrong {
            Some(why) => Err(told(format!("{why} Nothing was kept."))),
            None if names.is_empty() => Err(told("Choose the files first: one zip, or CSV files of a pack.")),
            None => Ok(names.into_iter().collect()),
        }
    }

    /// Writes a file as it comes; what is too large is read and dropped.
    async fn file(&mut self, name: Option<&str>, mut field: Field<'_>) -> Result<(), Fault> {
        let mut file = match name {
            Some(name) => Some(File::create_new(self.arrival.files().join(name)).await?),
            None => None,
        };
        while let Some(chunk) = field.chunk().await.map_err(|error| cut_off(&error))? {
            self.read += chunk.len() as u64;
            if self.read > self.most.saturating_mul(PATIENCE) {
                let why = "This is far larger than can be taken, so nothing was kept.".to_owned();
                return Err(Fault::Told(StatusCode::PAYLOAD_TOO_LARGE, why));
            }
            match &mut file {
                Some(file) if self.read <= self.most => file.write_all(&chunk).await?,
                _ => {}
            }
        }
        if let Some(file) = &mut file {
            file.flush().await?;
        }
        Ok(())
    }
}

fn double_or_many(name: &str, many: usize) -> String {
    if many == MOST_FILES {
        format!("A pack has at most twenty files; these are more than {MOST_FILES}.")
    } else {
        format!("{name} was sent twice.")
    }
}

/// A file's own name without the folders it came from, if it is one.
fn plain(sent: &str) -> Option<&str> {
    let name = sent.rsplit(['/', '\\']).next().unwrap_or_default();
    let usable =
        !matches!(name, "" | "." | "..") && name.len() <= 100 && !name.contains(|c: char| c.is_control());
    usable.then_some(name)
}

fn cut_off(error: &MultipartError) -> Fault {
    tracing::info!(%error, "an upload broke off");
    told("The files arrived damaged or broke off, so nothing was kept. Please send them again.")
}
