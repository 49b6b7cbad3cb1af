//! What the invented people did since their books came in, so that each page of the demo has something to show.

use chrono::{DateTime, Duration, Utc};
use domain::analysis::Recurrence;
use domain::field::Field;
use domain::permission::Actor;
use domain::risk::Severity;
use store::RecurrenceEdit;

use super::{Failure, after, arrivals, drafts, letters};
use crate::pages::recurrences::{harm_words, lots_that_stand_out};
use crate::picture::Picture;
use crate::secrets::Token;
use crate::state::AppState;

/// The setting that says that the story was told: a demo that is started again doesn't repeat it.
pub(super) const TOLD: &str = "demo story";

/// Days between the coming in of the books and now.
pub(super) const DAYS: i64 = 21;

/// Who acts, and when.
pub(super) struct Teller<'a> {
    pub(super) state: &'a AppState,
    pub(super) picture: &'a Picture,
    pub(super) engineer: Actor,
}

impl Teller<'_> {
    /// Noon or so of a day before now.
    pub(super) fn days_ago(&self, days: i64) -> DateTime<Utc> {
        self.state.now() - Duration::days(days)
    }
}

/// Tells the story once; gives what opens the receipt of the answered report when it does.
pub(super) async fn tell(state: &AppState) -> Result<Option<Token>, Failure> {
    let store = state.store();
    if store.find_setting(TOLD).await?.is_some() {
        return Ok(None);
    }
    // Set first: a demo that was ended half way goes on as it is and never tells a part twice.
    store.set_setting(&Actor::Program, state.now(), TOLD, "told").await?;
    let Some(engineer) = store.find_user_named("fell").await? else { return Ok(None) };
    let picture = state.picture_however_long().await?;
    let teller = Teller { state, picture: &picture, engineer: engineer.actor() };
    let picked = picked(&picture);
    let receipt = letters::send_all(&teller, picked.first().copied()).await?;
    let mut change_no = None;
    if let Some(r) = picked.first() {
        take_up(&teller, r).await?;
        change_no = drafts::whole(&teller, r).await?;
    }
    if let Some(r) = picked.get(1) {
        drafts::half(&teller, r).await?;
    }
    after::tell(&teller, &picked, change_no.as_deref()).await?;
    arrivals::tell(&teller, picked.first().copied()).await?;
    Ok(receipt)
}

/// The worst recurrences on parts that no change is about.
fn picked(picture: &Picture) -> Vec<&Recurrence> {
    let changed: Vec<_> = picture.field.changes.rows().iter().map(|change| change.part).collect();
    let mut picked: Vec<&Recurrence> = Vec::new();
    for r in &picture.analysis.recurrences {
        if !changed.contains(&r.part) && picked.iter().all(|other| other.part != r.part) {
            picked.push(r);
        }
    }
    // Where a lot stands out there is most to show.
    picked.sort_by_key(|r| !r.lots.iter().any(|line| line.flagged));
    picked.truncate(3);
    picked
}

/// A recurrence's key as the store has it.
pub(super) fn key<'a>(field: &'a Field, r: &Recurrence) -> (&'a str, &'a str) {
    (&field.part_names[r.part], &field.modes[r.mode].code)
}

async fn take_up(teller: &Teller<'_>, r: &Recurrence) -> Result<(), Failure> {
    let field = &teller.picture.field;
    let usual = Severity::from_number(field.modes[r.mode].severity).unwrap_or(Severity::Marginal);
    let harm = harm_words(r);
    let severity = if harm.is_some() { usual.min(Severity::Critical) } else { usual };
    let lots: Vec<String> = lots_that_stand_out(r).iter().map(|lot| lot.level.value(field)).collect();
    let (cause, next_step) = if lots.is_empty() {
        (
            "Demo text: not found yet. No lot stands out, so the design is looked at first.".to_owned(),
            "Demo text: draft a change.".to_owned(),
        )
    } else {
        (
            format!(
                "Demo text: suspected in what was made alike in {}; the specimens are with the laboratory.",
                lots.join(", ")
            ),
            "Demo text: draft a change, and ask the units to set the lots that stand out aside.".to_owned(),
        )
    };
    let reason = format!(
        "Demo text: reported so far: {}. The worst that can credibly follow is a fall or a lost load at height.",
        harm.as_deref().unwrap_or("nobody hurt")
    );
    let steps = [
        (17, RecurrenceEdit::TakeUp),
        (16, RecurrenceEdit::Judge { severity, probability: None, reason }),
        (15, RecurrenceEdit::Note { cause, next_step }),
    ];
    for (days, step) in steps {
        let when = teller.days_ago(days);
        teller.state.store().decide_recurrence(&teller.engineer, when, (key(field, r), None), &step).await?;
    }
    Ok(())
}
