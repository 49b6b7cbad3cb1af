//! One thread beside the others that gives way to them.

use std::sync::OnceLock;

use rayon::{ThreadPool, ThreadPoolBuilder};

/// How much a reader comes before it, on the scale of `nice`: with all processors busy it gets about a tenth of one, so that
/// figures still follow.
#[cfg(target_os = "linux")]
const GIVES_WAY: i32 = 10;

/// Does work on that thread, so that it leaves the machine to those who wait.
pub(super) fn in_background<R: Send>(work: impl FnOnce() -> R + Send) -> R {
    // Always the same thread, so that the memory of one round is there for the next.
    static ONE: OnceLock<Option<ThreadPool>> = OnceLock::new();
    let one = ONE
        .get_or_init(|| ThreadPoolBuilder::new().num_threads(1).start_handler(|_| give_way()).build().ok());
    match one {
        Some(one) => one.install(work),
        // Without a thread to be had it is done here.
        None => work(),
    }
}

/// Puts this thread behind the others. Only Linux does so by thread; elsewhere it would be the whole program.
fn give_way() {
    #[cfg(target_os = "linux")]
    if let Err(error) = rustix::process::setpriority_process(None, GIVES_WAY) {
        tracing::debug!(%error, "work in the background doesn't give way");
    }
}
