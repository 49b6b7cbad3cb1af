//! A change record with the picture of the field that its figures come from.

use std::sync::Arc;

use chrono::NaiveDate;
use domain::analysis::{Analysis, ChangeResult, ProofVerdict, RATIO_WORTH_HAVING};
use domain::change::{ChangeState, Wait};
use domain::field::Field;
use store::{ChangeRecord, NewReports, Shown};

use super::view::{RecordView, WholeView};
use super::{after, since};
use crate::error::AppError;
use crate::pages::recurrences::standings;
use crate::pages::status::line::{Unsettled, unsettled_by};
use crate::picture::Picture;
use crate::security::SignedIn;
use crate::state::AppState;

/// Everything a page of one change is made from.
pub(super) struct Loaded {
    /// What is kept of it.
    pub record: ChangeRecord,
    /// The field.
    pub picture: Arc<Picture>,
    /// The day.
    pub today: NaiveDate,
    /// What follows an approval.
    pub after: after::Facts,
    /// What its words don't know yet.
    pub since: Option<NewReports>,
    /// What it cures and nobody has settled, though it is proved.
    pub unsettled: Option<Unsettled>,
}

impl Loaded {
    /// The change of a number, to be looked at.
    pub(super) async fn find(state: &AppState, no: &str) -> Result<Self, AppError> {
        Self::with(state, no, state.picture().await?).await
    }

    /// The same for an act that puts its figures on record.
    pub(super) async fn find_in_step(state: &AppState, no: &str) -> Result<Self, AppError> {
        Self::with(state, no, state.picture_in_step().await?).await
    }

    async fn with(state: &AppState, no: &str, picture: Arc<Picture>) -> Result<Self, AppError> {
        let record = state.store().find_change_record(no).await?;
        let record = record.ok_or_else(|| AppError::NotFound("There is no change of this number.".into()))?;
        let after = after::Facts::find(state, &record).await?;
        let since = since::find(state, &record).await?;
        let seen = (&picture.field, &*picture.analysis);
        let unsettled = if record.change.state == Some(ChangeState::Proved) {
            let kept = standings(seen.0, seen.1, state.store().list_recurrences().await?);
            unsettled_by(seen, &record, &kept)
        } else {
            None
        };
        Ok(Self { record, picture, today: state.today(), after, since, unsettled })
    }

    /// All of it as one view.
    pub(super) fn view(&self) -> RecordView {
        RecordView::new(&self.record, &self.picture)
    }

    /// The same, with what its figures mean and how the options of retrofit compare: what takes long to work out.
    pub(super) fn whole(&self) -> WholeView {
        WholeView::new(&self.record, &self.picture)
    }

    /// What whoever decides on it is shown.
    pub(super) fn shown(&self) -> Shown {
        Shown {
            version: self.record.body.as_ref().map_or(0, |body| body.version),
            evidence: self.after.seals.last().map(|seal| seal.digest.clone()),
        }
    }

    /// Where it stands; a pack that doesn't say leaves it a draft.
    pub(super) fn state(&self) -> ChangeState {
        self.record.change.state.unwrap_or(ChangeState::Draft)
    }

    /// What it waits for; nothing once it is proved and what it cures is settled.
    pub(super) fn wait(&self) -> Option<Wait> {
        self.state().waits_for().or_else(|| self.unsettled.as_ref().map(|_| Wait::Settlement))
    }

    /// The field, and what is worked out of it.
    pub(super) fn seen(&self) -> (&Field, &Analysis) {
        (&self.picture.field, &self.picture.analysis)
    }

    /// What the figures say of it.
    pub(super) fn result(&self) -> Option<&ChangeResult> {
        let id = self.picture.field.find_change(&self.record.change.change_no)?;
        self.picture.analysis.changes.iter().find(|result| result.change == id)
    }

    /// What the comparison before and after says, at the ratio it was planned to be worth having at.
    pub(super) fn verdict(&self) -> Option<ProofVerdict> {
        let ratio = self.record.plan.map_or(RATIO_WORTH_HAVING, |plan| plan.plan.ratio_worth_having);
        Some(self.result()?.proof?.verdict_at(ratio))
    }

    /// Keeps in the journal that somebody tried what is refused, and gives the refusal.
    pub(super) async fn refuse(
        &self,
        state: &AppState,
        signed_in: &SignedIn,
        act: &str,
        why: AppError,
    ) -> AppError {
        let key = (act, "change", self.record.change.change_no.as_str());
        let told = state.store().enter_refusal(&signed_in.0, state.now(), key, &why.to_string()).await;
        told.map_or_else(AppError::from, |()| why)
    }

    /// Who drafted it.
    pub(super) fn drafted_by(&self) -> Option<i64> {
        self.record.body.as_ref().and_then(|body| body.drafted_by)
    }

    /// Whether its sections may still be edited.
    pub(super) fn is_open(&self) -> bool {
        self.record.body.is_some() && self.state().is_open()
    }
}
