//! Binds, says where, serves until told to stop, and lets running requests finish.

use std::net::SocketAddr;
use std::time::Duration;

use domain::permission::Actor;
use tokio::net::TcpListener;
use tokio::signal::unix::{SignalKind, signal};
use tracing_subscriber::EnvFilter;

use crate::cli::Outcome;
use crate::mail::{self, Mailer};
use crate::router::router;
use crate::signals;
use crate::state::AppState;

/// Log lines go to stderr; `RUST_LOG` chooses how many.
pub fn start_log() {
    let filter =
        EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new("info,sea_orm_migration=warn"));
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).init();
}

/// Serves until SIGINT or SIGTERM. `started` is called with the readers' address once the port is open.
pub async fn serve(state: AppState, started: impl FnOnce(&str)) -> Outcome {
    let listen = state.config().server.listen;
    let listener =
        TcpListener::bind(listen).await.map_err(|error| format!("can't listen on {listen}: {error}"))?;
    let address = listener.local_addr()?;
    state.settle_base_url(format!("http://{address}"));
    let app = router(&state)?.into_make_service_with_connect_info::<SocketAddr>();
    let mailer = Mailer::new(state.config())?;
    tokio::spawn(sweep(state.clone()));
    tokio::spawn(mail::run(state.clone(), mailer));
    tokio::spawn(signals::run(state.clone()));
    state.prepare();
    println!("listening on http://{address}");
    started(state.base_url());
    axum::serve(listener, app).with_graceful_shutdown(told_to_stop()?).await?;
    state.store().clone().close().await?;
    tracing::info!("stopped");
    Ok(())
}

/// Takes away uploaded packs that nobody decided on within a day, what a killed program left of packs, and contact details
/// whose time is over: at the start and every hour. Only a server does, for other commands run beside one.
async fn sweep(state: AppState) {
    let mut hour = tokio::time::interval(Duration::from_hours(1));
    loop {
        hour.tick().await;
        if let Err(error) = state.waiting().sweep(state.now(), true) {
            tracing::warn!(%error, "packs that waited too long can't be taken away");
        }
        let days = state.config().mail.contact_days;
        match state.store().delete_old_contacts(&Actor::Program, state.now(), days).await {
            Ok(0) => {}
            Ok(deleted) => tracing::info!(deleted, "contact details were deleted, their time was over"),
            Err(error) => tracing::warn!(%error, "contact details can't be deleted"),
        }
    }
}

fn told_to_stop() -> std::io::Result<impl Future<Output = ()>> {
    let mut terminate = signal(SignalKind::terminate())?;
    let mut interrupt = signal(SignalKind::interrupt())?;
    Ok(async move {
        tokio::select! {
            _ = terminate.recv() => {}
            _ = interrupt.recv() => {}
        }
        tracing::info!("stopping: running requests finish first");
    })
}
