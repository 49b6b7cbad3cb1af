//! Brings a pack into the store: checked as a whole, staged unseen, published at once.

use std::path::PathBuf;

use chrono::{DateTime, Utc};
use domain::pack::{Known, Table};
use domain::permission::Actor;
use store::{Store, StoreError};
use tokio::sync::mpsc::{Receiver, channel};
use tokio::task::{JoinError, spawn_blocking};

use super::batch::Batch;
use super::check::{CheckError, CheckOptions, Preview, check_against};
use super::clash::find_clashes;
use super::digest::digests;
use super::inspect::unbalanced;
use super::read::{ReadError, read_pack};
use super::refusal::{LeftAlone, Refusal};
use super::refused::{ClosedFile, RefusedFile};
use super::source::{OpenError, PackSource};
use super::stage::{Sending, WAITING, stage};

/// How to import.
#[derive(Clone, Debug)]
pub struct ImportOptions {
    /// Who imports.
    pub by: Actor,
    /// The reader's time: nothing can have happened after it.
    pub now: DateTime<Utc>,
    /// Take the good rows and write the others to this file; refuse everything when `None`.
    pub refused_to: Option<PathBuf>,
    /// Refuse books that don't balance.
    pub strict: bool,
    /// Refusals kept for showing; all are counted.
    pub keep: usize,
}

/// How far an import is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Progress {
    /// So many rows of a table have been held against the books.
    Compared(Table, u64),
    /// So many rows of a table have been checked.
    Checked(Table, u64),
    /// So many rows have been staged, of so many in all.
    Staged(u64, u64),
}

/// What an import did with one table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The table.
    pub table: Table,
    /// Rows that are new in the books.
    pub new: u64,
    /// Rows that the books had already, by their key or word for word; those are left as they are.
    pub here: u64,
    /// Rows refused.
    pub refused: u64,
    /// Of those that the books had already, the ones that say otherwise.
    pub left: LeftAlone,
}

/// What an import did.
#[derive(Clone, Debug)]
pub struct Imported {
    /// For each file of the pack, in order of dependency.
    pub tables: Vec<Taken>,
    /// Where the refused rows are, where there are any.
    pub refused_file: Option<PathBuf>,
}

/// Why nothing was imported.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// Rows or files are refused.
    #[error("the pack has rows that can't be taken; nothing was imported")]
    Refused(Box<Preview>),
    /// It is no pack.
    #[error(transparent)]
    Unopened(OpenError),
    /// The pack can't be read.
    #[error(transparent)]
    Unreadable(#[from] CheckError),
    /// The pack is not what it was a moment ago, when it was checked.
    #[error("the pack changed while it was read; nothing was imported")]
    Changed,
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The file of refused rows can't be written.
    #[error("{}: {}", .0.display(), .1)]
    RefusedFile(PathBuf, #[source] std::io::Error),
    /// A thread came to grief.
    #[error("reading the pack stopped short: {0}")]
    Thread(#[from] JoinError),
}

/// Imports a pack, all or nothing; with [`ImportOptions::refused_to`] the good rows, all or nothing.
///
/// It has the turn to import from before it looks at the books until it is in them: of two packs that contradict each
/// other the second is checked against the first.
///
/// # Errors
/// See [`ImportError`]; in every case the books are as they were.
pub async fn import(
    store: &Store,
    source: PackSource,
    options: ImportOptions,
    progress: impl FnMut(Progress) + Send + 'static,
) -> Result<Imported, ImportError> {
    let turn = store.import_turn().await?;
    match checked(store, source, &options, progress).await {
        Ok((pack, progress)) => {
            let import = turn.begin(&options.by, options.now, &pack.digests).await?;
            bring_in(import, pack, options, progress).await
        }
        Err(error) => {
            turn.release().await?;
            Err(error)
        }
    }
}

/// A pack that was read once and can be taken.
struct Checked {
    source: PackSource,
    known: Known,
    preview: Preview,
    digests: Vec<(String, String)>,
}

/// Reads a pack against the books as they are, and refuses one that can't be taken.
async fn checked<P: FnMut(Progress) + Send + 'static>(
    store: &Store,
    source: PackSource,
    options: &ImportOptions,
    mut progress: P,
) -> Result<(Checked, P), ImportError> {
    let known = store.known().await?;
    let check_options = CheckOptions { today: options.now.date_naive(), keep: options.keep };
    let compared = |table, rows| progress(Progress::Compared(table, rows));
    let clashes = find_clashes(store, &source, &known, check_options.today, compared).await?;
    let (source, known, preview, progress) = spawn_blocking(move || {
        let checked = |table, rows| progress(Progress::Checked(table, rows));
        let preview = check_against(&source, &known, clashes, check_options, checked);
        (source, known, preview, progress)
    })
    .await?;
    let preview = preview?;
    if preview.refused_files > 0 || (!preview.is_clean() && options.refused_to.is_none()) {
        return Err(ImportError::Refused(Box::new(preview)));
    }
    if options.strict {
        let lines = unbalanced(store, &source, &known, &preview, check_options.today).await?;
        if !lines.is_empty() {
            return Err(out_of_balance(preview, lines, options.keep));
        }
    }
    let digests = {
        let source = source.clone();
        spawn_blocking(move || digests(&source)).await??
    };
    Ok((Checked { source, known, preview, digests }, progress))
}

/// Stages the good rows of a pack and publishes them.
async fn bring_in(
    mut import: store::Import,
    pack: Checked,
    options: ImportOptions,
    mut progress: impl FnMut(Progress) + Send,
) -> Result<Imported, ImportError> {
    let Checked { source, known, preview, digests: _ } = pack;
    let refused_to = options.refused_to.filter(|_| !preview.is_clean());
    let (rows, staged) = channel(WAITING);
    let reading = spawn_blocking({
        let preview = preview.clone();
        let today = options.now.date_naive();
        move || read_again(&source, known, today, &preview, rows, refused_to)
    });
    let total = preview.rows();
    let staged = stage_all(&mut import, staged, |rows| progress(Progress::Staged(rows, total))).await;
    let outcome = match (staged, reading.await) {
        (Ok(new), Ok(Ok(refused_file))) => Ok((new, refused_file)),
        (Err(error), _) => Err(ImportError::from(error)),
        (_, Ok(Err(error))) => Err(error),
        (_, Err(error)) => Err(error.into()),
    };
    let (new, refused_file) = match outcome {
        Ok(outcome) => outcome,
        Err(error) => {
            import.abandon().await?;
            return Err(error);
        }
    };
    let tables = taken(&preview, &new);
    let counts: Vec<(String, u64)> = tables.iter().map(|t| (t.table.word().to_owned(), t.new)).collect();
    import.publish(options.now, &counts).await?;
    Ok(Imported { tables, refused_file: refused_file.map(ClosedFile::finish) })
}

/// Stages rows as they come, and says how many of each table were new.
async fn stage_all(
    import: &mut store::Import,
    mut rows: Receiver<Batch>,
    mut progress: impl FnMut(u64),
) -> Result<Vec<(Table, u64)>, StoreError> {
    let mut new: Vec<(Table, u64)> = Vec::new();
    let mut staged = 0;
    while let Some(batch) = rows.recv().await {
        let count = stage(import, &batch).await?;
        match new.last_mut() {
            Some((table, sum)) if *table == batch.table() => *sum += count,
            _ => new.push((batch.table(), count)),
        }
        staged += batch.len() as u64;
        progress(staged);
    }
    Ok(new)
}

/// The second reading, whose rows are staged. What it refuses must be what the first one refused.
fn read_again(
    source: &PackSource,
    mut known: Known,
    today: chrono::NaiveDate,
    preview: &Preview,
    rows: tokio::sync::mpsc::Sender<Batch>,
    refused_to: Option<PathBuf>,
) -> Result<Option<ClosedFile>, ImportError> {
    let refused_file = match refused_to {
        None => None,
        Some(path) => {
            let file = RefusedFile::create(path.clone(), &preview.refused_headers);
            Some(file.map_err(|error| ImportError::RefusedFile(path, error))?)
        }
    };
    let mut sending = Sending::new(rows, refused_file);
    match read_pack(source, &mut known, today, &preview.barred, &mut sending) {
        Err(ReadError::Io(table, error)) => return Err(CheckError::new(table, error).into()),
        Ok(_) if sending.refused != preview.refused_rows || sending.refused_whole => {
            return Err(ImportError::Changed);
        }
        // Where reading was stopped, staging failed and says why.
        Ok(_) | Err(ReadError::Stopped) => {}
    }
    let close = |file: RefusedFile| {
        let path = file.path().to_owned();
        file.close().map_err(|error| ImportError::RefusedFile(path, error))
    };
    sending.into_refused_file().map(close).transpose()
}

/// What is told when books don't balance and that is asked for.
fn out_of_balance(mut preview: Preview, lines: Vec<Refusal>, keep: usize) -> ImportError {
    preview.unbalanced = lines.len() as u64;
    preview.refusals.extend(lines.into_iter().take(keep.saturating_sub(preview.refusals.len())));
    ImportError::Refused(Box::new(preview))
}

fn taken(preview: &Preview, new: &[(Table, u64)]) -> Vec<Taken> {
    let files = preview.files.iter().map(|file| {
        let new = new.iter().find(|(table, _)| *table == file.table).map_or(0, |(_, new)| *new);
        let here = file.rows - file.refused - new;
        Taken { table: file.table, new, here, refused: file.refused, left: file.left.clone() }
    });
    files.collect()
}
