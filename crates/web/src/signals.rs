//! Keeps signals of the watch as they are raised, and says when they end, for as long as the program runs.

use domain::signal::{RaisedSignal, Turned};

use crate::error::AppError;
use crate::mail::every_minute;
use crate::state::AppState;

/// Looks once a minute; the watch itself looks once a week, at whatever the books have come to.
pub(crate) async fn run(state: AppState) {
    let mut minute = every_minute();
    loop {
        minute.tick().await;
        match keep(&state).await {
            Ok(turned) if turned.is_nothing() => {}
            Ok(Turned { raised, ended }) => {
                tracing::info!(raised = raised.len(), ended = ended.len(), "signals of the watch");
            }
            // Just after the start there are no figures yet; the next round has them.
            Err(AppError::NotYet(_)) => {}
            Err(error) => tracing::warn!(%error, "signals of the watch can't be kept"),
        }
    }
}

/// Puts on record what has come and gone. Figures that don't know all of the books say nothing: of two servers the one
/// behind would end what the other has raised.
///
/// # Errors
/// A failure of the store, or that there are no figures yet.
pub(crate) async fn keep(state: &AppState) -> Result<Turned, AppError> {
    let number = state.store().journal_number().await?;
    let picture = state.picture().await?;
    if !picture.knows_all_until(number) {
        return Ok(Turned::default());
    }
    let on = RaisedSignal::on_now(&picture.field, &picture.analysis);
    Ok(state.store().keep_signals(state.now(), &on).await?)
}
