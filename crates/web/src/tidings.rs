//! What units are told by mail of their reports: one digest a day for each address, and a question at once.

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chrono::Timelike as _;
use serde::Serialize;
use store::{NewMail, ReportFile, ToTell, Told};

use crate::error::AppError;
use crate::pages::follow::News;
use crate::secrets::Token;
use crate::state::AppState;
use crate::tongue::Tongue;

/// The hour, UTC, from which the day's mails are written: people read them in the morning.
const HOUR: u32 = 6;

/// What a mail says.
#[derive(Serialize)]
struct Words {
    tongue: Tongue,
    subject: String,
    reports: Vec<OfReport>,
    stop: String,
}

/// What is new of one report.
#[derive(Serialize)]
struct OfReport {
    code: String,
    address: String,
    says: Vec<String>,
}

/// A mail in the making.
struct Letter<'a> {
    state: &'a AppState,
    tongue: Tongue,
    stop: Token,
    reports: Vec<OfReport>,
    told: Vec<Told>,
}

impl<'a> Letter<'a> {
    fn new(state: &'a AppState, tongue: Tongue) -> Self {
        Self { state, tongue, stop: state.secrets().token(), reports: Vec::new(), told: Vec::new() }
    }

    /// Adds a report with its news. The secret in its link is drawn for this mail, and only its digest is kept.
    fn add(&mut self, to: &ToTell, file: &ReportFile, news: Vec<News>) {
        let follow = self.state.secrets().token();
        let receipt = file.receipt.as_ref();
        let code = receipt.map_or_else(|| to.report_ref.clone(), |receipt| receipt.receipt_code.clone());
        let (keys, says) = news.into_iter().map(|news| (news.key, news.says)).unzip();
        let address = format!("{}/follow/{}", self.state.base_url(), follow.as_str());
        self.reports.push(OfReport { code, address, says });
        let (follow_hash, stop_hash) = (follow.digest(), self.stop.digest());
        self.told.push(Told { contact: to.id, news: keys, follow_hash, stop_hash });
    }

    /// Puts it into the outbox, once under its key.
    async fn send(self, key: String, to: String) -> Result<bool, AppError> {
        let stop = format!("{}/stop/{}", self.state.base_url(), self.stop.as_str());
        let codes: Vec<&str> = self.reports.iter().map(|report| report.code.as_str()).collect();
        let subject = self.tongue.with("mail-subject", &[("codes", self.tongue.listed(&codes).into())]);
        let words = Words {
            tongue: self.tongue,
            subject: subject.clone(),
            reports: self.reports,
            stop: stop.clone(),
        };
        let (text, html) = self.state.templates().mail("tidings", &words)?;
        let mail = NewMail { key, to, subject, text, html, is_personal: true, stop_url: Some(stop) };
        Ok(self.state.store().tell(self.state.now(), &mail, &self.told).await?)
    }
}

/// Writes the day's mail to every address that something is new for, and says how many mails that makes.
///
/// # Errors
/// A failure of the store, or that there are no figures yet.
pub(crate) async fn queue(state: &AppState) -> Result<usize, AppError> {
    if state.now().hour() < HOUR {
        return Ok(0);
    }
    let mut by_address: BTreeMap<String, Vec<ToTell>> = BTreeMap::new();
    for one in state.store().contacts_to_tell().await? {
        by_address.entry(one.address.clone()).or_default().push(one);
    }
    if by_address.is_empty() {
        return Ok(0);
    }
    let picture = state.picture().await?;
    let changes = state.store().list_change_records().await?;
    let mut written = 0;
    for (to, contacts) in by_address {
        let Some(first) = contacts.first() else { continue };
        let tongue = Tongue::of(first.language);
        let mut letter = Letter::new(state, tongue);
        for one in &contacts {
            let Some(file) = state.store().find_report_file(&one.report_ref).await? else { continue };
            let mut news = News::of_report(tongue, &picture, &changes, &file);
            news.retain(|news| !one.told.contains(&news.key));
            if !news.is_empty() {
                letter.add(one, &file, news);
            }
        }
        if !letter.reports.is_empty() {
            // The key names nobody: the journal keeps it.
            let key = format!("tidings {} {}", state.today(), first.id);
            written += usize::from(letter.send(key, to).await?);
        }
    }
    Ok(written)
}

/// Mails the questions about a report that wait for an answer and were not mailed yet, without waiting for the day's mail.
///
/// # Errors
/// A failure of the store.
pub(crate) async fn ask_at_once(state: &AppState, report_ref: &str) -> Result<bool, AppError> {
    let contacts = state.store().contacts_to_tell().await?;
    let Some(to) = contacts.into_iter().find(|one| one.report_ref == report_ref) else { return Ok(false) };
    let Some(file) = state.store().find_report_file(report_ref).await? else { return Ok(false) };
    let tongue = Tongue::of(to.language);
    let open = file.questions.iter().filter(|question| question.answer.is_none());
    let mut news: Vec<News> = open.map(|question| News::question(tongue, question)).collect();
    news.retain(|news| !to.told.contains(&news.key));
    let Some(last) = news.last() else { return Ok(false) };
    let key = last.key.clone();
    let mut letter = Letter::new(state, tongue);
    letter.add(&to, &file, news);
    letter.send(key, to.address).await
}
