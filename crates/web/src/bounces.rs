//! What mail servers send back (RFC 3464): an address that fails for good gets no more mail.
//!
//! Anybody can write such a report, so it is believed only where it names the Message-ID of a mail that went to that very
//! address: nobody else can know it.

#[cfg(test)]
mod tests;

use std::borrow::Cow;
use std::fs;
use std::io;
use std::path::Path;

use domain::mail_address::MailAddress;
use domain::permission::Actor;
use mail_parser::{Message, MessageParser, MessagePart, MimeHeaders as _, PartType};

use crate::error::AppError;
use crate::mail_folder::{mails, put_away};
use crate::secrets::digest_hex;
use crate::state::AppState;

/// Files read at once; the rest waits for the next minute.
const AT_ONCE: usize = 200;
/// Largest file that is read: what servers send back is short, or holds the mail that was sent.
const LARGEST: u64 = 4 << 20;
/// Where files go that are no delivery reports.
const OTHER: &str = "other";
/// Message-IDs that one report is asked for; a server names the mail that it returns, once or twice.
const MOST_IDS: usize = 20;

/// A recipient that no mail can reach.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Failure {
    address: MailAddress,
    /// The enhanced status: `5.1.1`.
    status: String,
}

/// What a delivery report says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Returned {
    /// Whom no mail can reach.
    failures: Vec<Failure>,
    /// Message-IDs of the mail it is about, without angle brackets.
    ids: Vec<String>,
}

/// What is kept of a Message-ID together with whom its mail went to: enough to know both again, too little to read either.
pub(crate) fn sent_as(message_id: &str, to: &MailAddress) -> String {
    digest_hex(format!("{message_id} {}", to.as_str()).as_bytes())
}

/// Reads the delivery reports in a folder and stops mail to what failed for good; says how many contacts were stopped.
///
/// # Errors
/// The folder can't be read. What fails with one file is logged, and doesn't keep the others.
pub(crate) async fn read(state: &AppState, folder: &Path) -> Result<usize, AppError> {
    let mut stopped = 0;
    for file in mails(folder, AT_ONCE).map_err(AppError::inside)? {
        match one(state, &file).await {
            Ok(contacts) => stopped += contacts,
            Err(error) => {
                let file = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
                tracing::warn!(file, %error, "what a mail server sent back can't be read; it is tried again");
            }
        }
    }
    Ok(stopped)
}

/// Reads one file and takes it away; what is no delivery report is put aside.
async fn one(state: &AppState, file: &Path) -> Result<usize, AppError> {
    let place = file.to_owned();
    // What makes the parser give up altogether is no delivery report.
    let read = tokio::task::spawn_blocking(move || open(&place)).await.unwrap_or(Ok(None));
    let Some(returned) = read.map_err(AppError::inside)? else {
        put_away(file, OTHER).map_err(AppError::inside)?;
        return Ok(0);
    };
    let mut stopped = 0;
    for Failure { address, status } in &returned.failures {
        let as_sent: Vec<String> = returned.ids.iter().map(|id| sent_as(id, address)).collect();
        if !state.store().was_sent_as(&as_sent).await? {
            tracing::info!(
                "a delivery report names no mail that was sent to its recipient; it stops nothing"
            );
            continue;
        }
        let why = format!("a mail server says for good that it can't be delivered ({status})");
        stopped += state.store().stop_address(&Actor::Program, state.now(), address, &why).await?;
    }
    // It names whom it failed for, so that it is not kept.
    tokio::fs::remove_file(file).await.map_err(AppError::inside)?;
    Ok(stopped)
}

fn open(file: &Path) -> io::Result<Option<Returned>> {
    let is_short = fs::metadata(file)?.len() <= LARGEST;
    Ok(if is_short { returned(&fs::read(file)?) } else { None })
}

/// What a delivery report says; `None` where the mail is no such report.
fn returned(mail: &[u8]) -> Option<Returned> {
    let mail = MessageParser::default().parse(mail)?;
    let kind = mail.content_type()?;
    let is_report = kind.ctype().eq_ignore_ascii_case("multipart")
        && kind.subtype().is_some_and(|sub| sub.eq_ignore_ascii_case("report"))
        && kind.attribute("report-type").is_some_and(|of| of.eq_ignore_ascii_case("delivery-status"));
    let is_status = |part: &&MessagePart<'_>| is_of(part, "message", "delivery-status");
    let status = mail.parts.iter().filter(|_| is_report).find(is_status)?;
    Some(Returned { failures: of_recipients(&String::from_utf8_lossy(status.contents())), ids: ids(&mail) })
}

fn is_of(part: &MessagePart<'_>, kind: &str, end: &str) -> bool {
    part.content_type().is_some_and(|found| {
        found.ctype().eq_ignore_ascii_case(kind)
            && found.subtype().is_some_and(|sub| sub.to_ascii_lowercase().ends_with(end))
    })
}

/// Message-IDs of the mail that a report is about: what it answers, and what the mail or the head that it returns says
/// (RFC 3462, section 2).
fn ids(report: &Message<'_>) -> Vec<String> {
    let answered = [report.in_reply_to(), report.references()];
    let answered = answered.into_iter().flat_map(|header| header.as_text_list().unwrap_or_default().to_vec());
    let mut ids: Vec<String> = answered.map(Cow::into_owned).collect();
    for part in &report.parts {
        let id = match &part.body {
            PartType::Message(returned) => id_of(returned),
            _ if is_of(part, "text", "headers") || is_of(part, "message", "headers") => {
                MessageParser::default().parse_headers(part.contents()).as_ref().and_then(id_of)
            }
            _ => None,
        };
        ids.extend(id);
    }
    ids.truncate(MOST_IDS);
    ids
}

/// The Message-ID of a mail; one that was cut off may have no part to look for it in.
fn id_of(mail: &Message<'_>) -> Option<String> {
    mail.parts.first()?;
    mail.message_id().map(str::to_owned)
}

/// Fields of the whole stand first, then those of each recipient, with an empty line between (RFC 3464, section 2.1).
fn of_recipients(status: &str) -> Vec<Failure> {
    let plain = status.replace("\r\n", "\n");
    plain.split("\n\n").filter_map(of_recipient).collect()
}

fn of_recipient(fields: &str) -> Option<Failure> {
    // A line that begins with a blank goes on with the one before.
    let unfolded = fields.replace("\n ", " ").replace("\n\t", " ");
    let field = |name: &str| {
        unfolded.lines().find_map(|line| {
            let (found, value) = line.split_once(':')?;
            found.trim().eq_ignore_ascii_case(name).then(|| value.trim())
        })
    };
    let (kind, address) = field("Final-Recipient")?.split_once(';')?;
    let is_mail = ["rfc822", "utf-8"].iter().any(|mail| kind.trim().eq_ignore_ascii_case(mail));
    let failed = field("Action")?.eq_ignore_ascii_case("failed");
    let status = field("Status")?.split_whitespace().next()?;
    let for_good =
        status.starts_with("5.") && status.bytes().all(|sign| sign.is_ascii_digit() || sign == b'.');
    let address = MailAddress::parse(address.trim().trim_matches(['<', '>'])).ok()?;
    (is_mail && failed && for_good).then(|| Failure { address, status: status.to_owned() })
}
