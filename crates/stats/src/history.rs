//! Repair histories: when each unit came under watch, when it left, and at what ages it was repaired.

use crate::error::StatsError;

/// One unit's repairs while it was watched.
#[derive(Clone, Debug, PartialEq)]
pub struct History {
    start: f64,
    end: f64,
    repairs: Vec<f64>,
}

impl History {
    /// A unit watched after age `start` (0 or more) up to and with `end`, repaired at these ages in any order.
    ///
    /// ```
    /// use stats::history::History;
    /// assert_eq!(History::new(0.0, 10.0, [9.0, 2.0]).unwrap().repairs(), [2.0, 9.0]);
    /// assert!(History::new(5.0, 10.0, [2.0]).is_err());
    /// ```
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for a start below 0, an end not above it, or either not finite;
    /// [`StatsError::ItemOutOfRange`] for a repair not above `start` or beyond `end`.
    pub fn new(start: f64, end: f64, repairs: impl IntoIterator<Item = f64>) -> Result<Self, StatsError> {
        let start = crate::error::not_negative("age at start of watch", start)?;
        if !(end > start && end.is_finite()) {
            let accepted = "finite and above the age at its start";
            return Err(StatsError::OutOfRange { what: "age at end of watch", value: end, accepted });
        }
        let mut repairs: Vec<f64> = repairs.into_iter().collect();
        for (index, &value) in repairs.iter().enumerate() {
            if !(value > start && value <= end) {
                let accepted = "above the age at the start of watch and not beyond its end";
                return Err(StatsError::ItemOutOfRange { what: "age at repair", index, value, accepted });
            }
        }
        repairs.sort_unstable_by(f64::total_cmp);
        Ok(Self { start, end, repairs })
    }

    /// Age after which the unit was watched.
    pub fn start(&self) -> f64 {
        self.start
    }

    /// Age up to which it was watched.
    pub fn end(&self) -> f64 {
        self.end
    }

    /// Ages at repair, rising.
    pub fn repairs(&self) -> &[f64] {
        &self.repairs
    }
}
