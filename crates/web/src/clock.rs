//! The one place that reads the clock; everything else is handed a time.

use std::sync::Arc;

use chrono::{DateTime, NaiveDate, Utc};

/// Tells the time, or in a test whatever time the test wants.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> DateTime<Utc> + Send + Sync>);

impl Clock {
    /// The machine's clock.
    #[expect(clippy::disallowed_methods, reason = "the only reading of the clock in the program")]
    pub fn of_machine() -> Self {
        Self(Arc::new(Utc::now))
    }

    /// A clock that stands still.
    pub fn standing_at(time: DateTime<Utc>) -> Self {
        Self(Arc::new(move || time))
    }

    /// A clock that goes as a test wants it to.
    #[cfg(test)]
    pub(crate) fn of(reading: impl Fn() -> DateTime<Utc> + Send + Sync + 'static) -> Self {
        Self(Arc::new(reading))
    }

    /// The time in UTC.
    pub fn now(&self) -> DateTime<Utc> {
        (self.0)()
    }

    /// The day in UTC.
    pub fn today(&self) -> NaiveDate {
        self.now().date_naive()
    }
}

impl std::fmt::Debug for Clock {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Clock({})", self.now())
    }
}
