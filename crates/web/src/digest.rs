//! The weekly digest: where the changes stand, as a mail in plain text and as a page.

#[cfg(test)]
mod tests;

use chrono::{DateTime, Datelike as _, NaiveDate, Timelike as _, Utc, Weekday};
use domain::change::Wait;
use domain::permission::Actor;
use serde::Serialize;
use store::NewMail;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::status::line::Line;
use crate::pages::status::owed::Duties;
use crate::pages::status::{Office, answered, words};
use crate::state::AppState;

/// The hour of Monday, UTC, from which the week's digest is due.
const HOUR: u32 = 6;
/// Days that count as this week.
const DAYS: i64 = 7;

/// What the mail says.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Digest {
    subject: String,
    /// Where readers reach the program.
    base: String,
    day: String,
    lead: String,
    late: Vec<Entry>,
    moved: Vec<Entry>,
    groups: Vec<Group>,
    /// How long units wait for their answers.
    answers: Vec<String>,
}

/// Changes that wait for the same.
#[derive(Clone, Debug, Serialize)]
struct Group {
    head: String,
    entries: Vec<Entry>,
}

/// One change.
#[derive(Clone, Debug, Serialize)]
struct Entry {
    change_no: String,
    title: String,
    address: String,
    says: Vec<String>,
}

/// The week whose digest is due, such as `2026-W48`; nothing from Monday's midnight to its hour.
pub(crate) fn week_due(now: DateTime<Utc>) -> Option<String> {
    let week = now.iso_week();
    let is_early = now.weekday() == Weekday::Mon && now.hour() < HOUR;
    (!is_early).then(|| format!("{}-W{:02}", week.year(), week.week()))
}

impl Digest {
    /// The digest of today.
    ///
    /// # Errors
    /// A failure of the store, or that there are no figures yet.
    pub(crate) async fn of(state: &AppState) -> Result<Self, AppError> {
        let office = Office::find(state).await?;
        let digest = Self::new(state.base_url(), &office.lines(), &office.duties, state.today());
        Ok(Self { answers: answered(state).await?, ..digest })
    }

    fn new(base: &str, lines: &[Line<'_>], duties: &Duties, today: NaiveDate) -> Self {
        let waiting = lines.iter().filter(|line| line.wait().is_some()).count() as u64;
        let late: Vec<&Line<'_>> = lines
            .iter()
            .filter(|line| duties.of(line).target_words(today).is_some_and(|(_, is_late)| is_late))
            .collect();
        let moved = lines.iter().filter(|line| line.days(today).is_some_and(|days| days < DAYS));
        let entry = |line: &Line<'_>| entry(base, line, duties, today);
        let groups = Wait::ALL.into_iter().map(|wait| Group {
            head: format!("Waiting for {}: {}", wait.whom(), wait.what()),
            entries: lines.iter().filter(|line| line.wait() == Some(wait)).map(entry).collect(),
        });
        Self {
            subject: format!("Where the changes stand, {}", format::date(today)),
            base: base.to_owned(),
            day: format::date(today),
            lead: format!(
                "{} something; {} past a target.",
                format::counted(waiting, "change waits for", "changes wait for"),
                format::counted(late.len() as u64, "is", "are")
            ),
            late: late.into_iter().map(entry).collect(),
            moved: moved.map(entry).collect(),
            groups: groups.filter(|group| !group.entries.is_empty()).collect(),
            answers: Vec::new(),
        }
    }

    /// As a mail to one reader; the key keeps a reader from getting a week's digest twice.
    ///
    /// # Errors
    /// A template that asks for what isn't there.
    pub(crate) fn mail(&self, state: &AppState, key: String, to: String) -> Result<NewMail, AppError> {
        let (text, html) = state.templates().mail("digest", self)?;
        Ok(NewMail { key, to, subject: self.subject.clone(), text, html, is_personal: false, stop_url: None })
    }

    /// Its subject.
    pub(crate) fn subject(&self) -> &str {
        &self.subject
    }
}

fn entry(base: &str, line: &Line<'_>, duties: &Duties, today: NaiveDate) -> Entry {
    let (change, owed) = (&line.record.change, duties.of(line));
    let mut says = vec![match line.days(today) {
        Some(days) => format!("{} for {}", line.state, format::counted(days.unsigned_abs(), "day", "days")),
        None => line.state.to_string(),
    }];
    if line.wait().is_some() {
        says.push(format!("next: {} ({})", owed.next, owed.who));
        says.extend(owed.target_words(today).map(|(words, _)| words));
        says.extend(words::in_wait(line, today).map(|words| format!("failures expected: {words}")));
    }
    says.extend(line.sureness().map(|sure| format!("proof {}", sure.word())));
    Entry {
        change_no: change.change_no.clone(),
        title: change.title.clone(),
        address: format!("{base}{}", address::change(&change.change_no)),
        says,
    }
}

/// Writes the week's digest for everybody who asked for it and hasn't got it, and says how many mails that makes.
///
/// # Errors
/// A failure of the store, or that there are no figures yet.
pub(crate) async fn queue(state: &AppState) -> Result<usize, AppError> {
    let Some(week) = week_due(state.now()) else { return Ok(0) };
    let readers = state.store().digest_readers().await?;
    if readers.is_empty() {
        return Ok(0);
    }
    let digest = Digest::of(state).await?;
    let mails = readers.into_iter().map(|(id, to)| digest.mail(state, format!("digest {week} {id}"), to));
    let mails: Vec<NewMail> = mails.collect::<Result<_, _>>()?;
    Ok(state.store().queue_mail(&Actor::Program, state.now(), &mails).await?)
}
