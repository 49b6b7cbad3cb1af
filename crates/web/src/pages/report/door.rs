//! By which door a report comes in: a unit's secret link, or somebody who is signed in.

use domain::permission::{Act, Actor, may};
use store::UnitLink;

use crate::error::AppError;
use crate::secrets::Token;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::tongue::Tongue;

/// Who sends, for which unit, and by which addresses.
pub struct Door {
    /// How the sender is spoken to.
    pub tongue: Tongue,
    /// Who acts.
    pub actor: Actor,
    /// The unit; nothing where the sender chooses one.
    pub unit: Option<String>,
    /// The number of the unit's link.
    pub unit_link_id: Option<i64>,
    /// Where the form is sent.
    pub form: String,
    /// The unit's own page; nothing where the sender chooses the unit.
    pub own_page: Option<String>,
}

impl Door {
    /// By a unit's secret link; a revoked one opens nothing.
    ///
    /// # Errors
    /// A sentence for the holder of a link that opens nothing.
    pub async fn by_link(state: &AppState, secret: &str, tongue: Tongue) -> Result<Self, AppError> {
        let (link, actor) = holder(state, secret, tongue).await?;
        Ok(Self {
            tongue,
            actor,
            unit: Some(link.unit),
            unit_link_id: Some(link.id),
            form: format!("/report/{secret}"),
            own_page: Some(format!("/unit/{secret}")),
        })
    }

    /// By signing in: a unit reporter sends for their own unit, an engineer for any.
    ///
    /// # Errors
    /// A refusal where they send for none.
    pub fn signed_in(signed_in: &SignedIn, tongue: Tongue) -> Result<Self, AppError> {
        let own = if let Actor::Person { unit, .. } = &signed_in.0 { unit.clone() } else { None };
        signed_in.may(&Act::SendReport { unit: own.as_deref().unwrap_or_default() })?;
        Ok(Self {
            tongue,
            actor: signed_in.0.clone(),
            own_page: own.is_some().then(|| "/unit".to_owned()),
            unit: own,
            unit_link_id: None,
            form: "/report".to_owned(),
        })
    }

    /// Counts a report of the unit's link.
    ///
    /// # Errors
    /// That the link has brought as many as it may for now, and when it may bring the next.
    pub fn count(&self, state: &AppState) -> Result<(), AppError> {
        let Some(link) = self.unit_link_id else { return Ok(()) };
        state.floods().count(link, state.now()).map_err(|wait| {
            let seconds = u32::try_from(wait.num_seconds() + 1).unwrap_or(u32::MAX);
            let minutes = u64::from(seconds.div_ceil(60)).into();
            let says = self.tongue.with("wrong-flood", &[("minutes", minutes)]);
            AppError::Wait(says, seconds)
        })
    }

    /// Whether the sender may send for a unit.
    ///
    /// # Errors
    /// The reason of the refusal.
    pub fn may_send_for(&self, unit: &str) -> Result<(), AppError> {
        Ok(may(&self.actor, &Act::SendReport { unit })?)
    }
}

/// Who holds a unit's link.
///
/// # Errors
/// A sentence for the holder of a link that opens nothing.
pub async fn holder(state: &AppState, secret: &str, tongue: Tongue) -> Result<(UnitLink, Actor), AppError> {
    let nothing = || AppError::NotFound(tongue.say("wrong-link"));
    let token = Token::parse(secret).ok_or_else(nothing)?;
    let link = state.store().find_unit_link(&token.digest()).await?.ok_or_else(nothing)?;
    let actor = Actor::UnitLink { unit: link.unit.clone() };
    Ok((link, actor))
}
