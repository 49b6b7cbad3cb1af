//! What mail servers send back (RFC 3464): an address that fails for good gets no more mail.

#[cfg(test)]
mod tests;

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use domain::mail_address::MailAddress;
use domain::permission::Actor;
use mail_parser::{MessageParser, MimeHeaders as _};

use crate::error::AppError;
use crate::mail_folder::{mails, put_away};
use crate::state::AppState;

/// Files read at once; the rest waits for the next minute.
const AT_ONCE: usize = 200;
/// Largest file that is read: what servers send back is short, or holds the mail that was sent.
const LARGEST: u64 = 4 << 20;
/// Where files go that are no delivery reports.
const OTHER: &str = "other";

/// A recipient that no mail can reach.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Failure {
    address: MailAddress,
    /// The enhanced status: `5.1.1`.
    status: String,
}

/// Reads the delivery reports in a folder and stops mail to what failed for good; says how many contacts were stopped.
///
/// # Errors
/// The folder can't be read, or a failure of the store.
pub(crate) async fn read(state: &AppState, folder: &Path) -> Result<usize, AppError> {
    let place = folder.to_owned();
    let inside = |error: &dyn std::fmt::Display| AppError::inside(format!("{}: {error}", folder.display()));
    let found = tokio::task::spawn_blocking(move || gather(&place)).await.map_err(|error| inside(&error))?;
    let mut stopped = 0;
    for (file, failures) in found.map_err(|error| inside(&error))? {
        for failure in failures {
            let why = format!("a mail server says for good that it can't be delivered ({})", failure.status);
            stopped +=
                state.store().stop_address(&Actor::Program, state.now(), &failure.address, &why).await?;
        }
        // It names whom it failed for, so that it is not kept.
        tokio::fs::remove_file(&file).await.map_err(|error| inside(&error))?;
    }
    Ok(stopped)
}

/// The delivery reports of a folder with their failures; what is none is put aside.
fn gather(folder: &Path) -> io::Result<Vec<(PathBuf, Vec<Failure>)>> {
    let mut found = Vec::new();
    for path in mails(folder, AT_ONCE)? {
        let is_short = fs::metadata(&path)?.len() <= LARGEST;
        match if is_short { failures(&fs::read(&path)?) } else { None } {
            Some(failures) => found.push((path, failures)),
            None => put_away(&path, OTHER)?,
        }
    }
    Ok(found)
}

/// The recipients of a delivery report that failed for good; `None` where the mail is no such report.
fn failures(mail: &[u8]) -> Option<Vec<Failure>> {
    let mail = MessageParser::default().parse(mail)?;
    let kind = mail.content_type()?;
    let is_report = kind.ctype().eq_ignore_ascii_case("multipart")
        && kind.subtype().is_some_and(|sub| sub.eq_ignore_ascii_case("report"))
        && kind.attribute("report-type").is_some_and(|of| of.eq_ignore_ascii_case("delivery-status"));
    let status = mail.parts.iter().filter(|_| is_report).find(|part| {
        part.content_type().is_some_and(|kind| {
            kind.ctype().eq_ignore_ascii_case("message")
                && kind.subtype().is_some_and(|sub| sub.to_ascii_lowercase().ends_with("delivery-status"))
        })
    })?;
    Some(of_recipients(&String::from_utf8_lossy(status.contents())))
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
