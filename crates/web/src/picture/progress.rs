//! How far the reading of the books is, for those who wait and for the log.

use std::sync::atomic::{AtomicU64, Ordering};

use crate::format;

/// Reports between two lines of the log.
const LOGGED_EVERY: u64 = 100_000;

/// Reports read so far, and of how many.
#[derive(Debug, Default)]
pub(super) struct Progress {
    read: AtomicU64,
    of: AtomicU64,
}

impl Progress {
    /// Tells that so many reports are read.
    pub(super) fn tell(&self, read: u64, of: u64) {
        self.read.store(read, Ordering::Relaxed);
        self.of.store(of, Ordering::Relaxed);
        if read > 0 && read.is_multiple_of(LOGGED_EVERY) {
            tracing::info!(read, of, "reading reports");
        }
    }

    /// Where it stands.
    pub(super) fn sentence(&self) -> String {
        let (read, of) = (self.read.load(Ordering::Relaxed), self.of.load(Ordering::Relaxed));
        let so_far = match (read, of) {
            (_, 0) => "Reading has just begun".to_owned(),
            (read, of) if read < of => {
                format!("{} of {} reports are read", format::count(read), format::count(of))
            }
            (_, of) => format!("All {} reports are read and are being analysed", format::count(of)),
        };
        format!(
            "The program has just started and is reading the books. {so_far}. Reports can be sent meanwhile."
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn progress_is_said_in_reports() {
        let progress = Progress::default();
        assert!(progress.sentence().contains("just begun"));
        progress.tell(40_000, 1_000_000);
        assert!(progress.sentence().contains("40,000 of 1,000,000 reports are read"));
        progress.tell(1_000_000, 1_000_000);
        assert!(progress.sentence().contains("being analysed"));
    }
}
