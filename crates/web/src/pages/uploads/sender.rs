//! Who sends a list: a unit by its reporter, or a person for any unit.

use domain::permission::{Act, Actor, Role};

use crate::error::AppError;
use crate::security::SignedIn;

/// Whoever sends lists.
pub(super) struct Sender {
    /// How the books name them: lists and their layout belong to the unit where there is one, not to the person.
    pub(super) key: String,
    /// The unit that every row is of; nothing where a row or the sender says so.
    pub(super) unit: Option<String>,
}

impl Sender {
    /// Whoever is signed in, if they may send reports.
    ///
    /// # Errors
    /// The reason of the refusal.
    pub(super) fn of(signed_in: &SignedIn) -> Result<Self, AppError> {
        let unit = match &signed_in.0 {
            Actor::Person { role: Role::UnitReporter, unit, .. } => unit.clone(),
            _ => None,
        };
        signed_in.may(&Act::SendReport { unit: unit.as_deref().unwrap_or_default() })?;
        let key = match (&unit, &signed_in.0) {
            (Some(unit), _) => key_of_unit(unit),
            (None, Actor::Person { id, .. }) => format!("user {id}"),
            _ => return Err(domain::permission::Refusal::SignInFirst.into()),
        };
        Ok(Self { key, unit })
    }
}

/// How the books name a unit that sends.
fn key_of_unit(unit: &str) -> String {
    format!("unit {unit}")
}

/// The unit behind a sender's name in the books.
pub(super) fn unit_of(key: &str) -> Option<&str> {
    key.strip_prefix("unit ")
}
