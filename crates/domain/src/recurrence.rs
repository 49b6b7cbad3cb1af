//! A recurrence: two or more relevant reports of one mode on one part, or one with harm.

use crate::words::words;

words! {
    /// Where a recurrence stands.
    pub enum RecurrenceState {
        /// Seen, nobody has it.
        Standing = "standing",
        /// Somebody works on it.
        TakenUp = "taken up",
        /// Cause, action, effectivity and a verified result are recorded, and the remaining risk is accepted.
        Settled = "settled",
        /// It came back after it was settled.
        Back = "back",
    }
}
