//! A weighing: the mass of one specimen of a part revision.

use crate::words::Problem;

/// One specimen on the balance.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// The part.
    pub part_no: String,
    /// Its revision.
    pub revision: String,
    /// Its size; `None` for an unsized part.
    pub size: Option<String>,
    /// Which specimen.
    pub specimen: String,
    /// Mass in grams, above 0.
    pub mass_g: f64,
}

impl Weighing {
    /// Refuses masses that are not above zero.
    pub fn check(&self) -> Result<(), Problem> {
        if self.mass_g.is_finite() && self.mass_g > 0.0 {
            Ok(())
        } else {
            Err(Problem::new("mass_g", "expected grams above 0"))
        }
    }
}
