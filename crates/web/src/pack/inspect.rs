//! Checks a pack against the books as they are, their balance included: what a page shows before anything is taken.

use chrono::NaiveDate;
use domain::pack::{Known, Table};
use store::Store;
use tokio::task::spawn_blocking;

use super::balance::Balance;
use super::check::{CheckError, CheckOptions, Preview, check_against};
use super::clash::find_clashes;
use super::import::ImportError;
use super::read::{ReadError, read_pack};
use super::refusal::Refusal;
use super::source::PackSource;

/// What a pack would bring.
#[derive(Clone, Debug)]
pub struct Inspected {
    /// What it holds and what is refused of it.
    pub preview: Preview,
    /// Lines of the books that would not balance with it and do without.
    pub unbalanced: Vec<Refusal>,
}

/// Checks a pack and writes nothing.
///
/// # Errors
/// A pack that can't be read; a failure of the store.
pub async fn inspect(
    store: &Store,
    source: PackSource,
    options: CheckOptions,
) -> Result<Inspected, ImportError> {
    let known = store.known().await?;
    let clashes = find_clashes(store, &source, &known, options.today, |_, _| {}).await?;
    let (source, known, preview) = spawn_blocking(move || {
        let preview = check_against(&source, &known, clashes, options, |_, _| {});
        (source, known, preview)
    })
    .await?;
    let preview = preview?;
    let moves = source.tables().any(|table| matches!(table, Table::Movements | Table::Events));
    let unbalanced = if moves && preview.refused_files == 0 {
        unbalanced(store, &source, &known, &preview, options.today).await?
    } else {
        Vec::new()
    };
    Ok(Inspected { preview, unbalanced })
}

/// Lines of the books that don't balance with the pack's good rows added and do without.
pub(crate) async fn unbalanced(
    store: &Store,
    source: &PackSource,
    known: &Known,
    preview: &Preview,
    today: NaiveDate,
) -> Result<Vec<Refusal>, ImportError> {
    let mut balance = Balance::of(&store.books().await?, known.clone()).await?;
    let (source, mut known, barred) = (source.clone(), known.clone(), preview.barred.clone());
    let lines = spawn_blocking(move || match read_pack(&source, &mut known, today, &barred, &mut balance) {
        Err(ReadError::Io(table, error)) => Err(CheckError::new(table, error)),
        Ok(_) | Err(ReadError::Stopped) => Ok(balance.refusals(today)),
    });
    Ok(lines.await??)
}
