//! One mail, opened with narrow limits: who sent it, what it tells, what is attached; what no person wrote is refused.

use mail_parser::{HeaderValue, Message, MessageParser, PartType};

use super::words::{at_most, own};
use crate::pages::report::answers::LONGEST_STORY;
use crate::secrets::digest_hex;

/// Parts that a mail may have; a report has a text or two and six photographs.
const MOST_PARTS: usize = 60;
/// Longest address and subject that are kept, in letters.
const LONGEST_LINE: usize = 200;

/// What a mail tells.
#[derive(Debug)]
pub(super) struct Letter {
    /// What keeps it from being read twice.
    pub(super) key: String,
    /// The sender's address, in small letters.
    pub(super) from: String,
    /// Its subject.
    pub(super) subject: String,
    /// Subject and text, without signature and quotes.
    pub(super) story: String,
    /// Attached files, which may be photographs.
    pub(super) attached: Vec<Vec<u8>>,
}

/// Opens a mail.
///
/// # Errors
/// Why it can't be a report, in words for the journal.
pub(super) fn open(bytes: &[u8]) -> Result<Letter, String> {
    // Counted before anything is taken apart: a bomb of parts is told by how often it says that one begins.
    let parts = count(bytes, b"content-type:").max(count(bytes, b"boundary="));
    if parts > MOST_PARTS || count(bytes, b"\n--") > MOST_PARTS * 20 {
        return Err(format!("it has more than {MOST_PARTS} parts"));
    }
    let mail = MessageParser::default().parse(bytes).ok_or("it can't be read as a mail")?;
    if mail.parts.len() > MOST_PARTS {
        return Err(format!("it has more than {MOST_PARTS} parts"));
    }
    if let Some(why) = sent_by_a_program(&mail) {
        return Err(why.to_owned());
    }
    let from = sender(&mail)?;
    let subject = line(mail.subject().unwrap_or_default());
    let text = mail.body_text(0).unwrap_or_default();
    let told: String = own(&text).chars().filter(|letter| *letter == '\n' || !letter.is_control()).collect();
    let story = [subject.as_str(), told.as_str()].into_iter().filter(|words| !words.is_empty());
    let story = story.collect::<Vec<_>>().join("\n");
    if story.trim().is_empty() {
        return Err("it says nothing".to_owned());
    }
    // A mail without an identifier of its own is known by what it holds.
    let key = match mail.message_id() {
        Some(id) if !id.trim().is_empty() => digest_hex(format!("mail {from} {id}").as_bytes()),
        _ => digest_hex(bytes),
    };
    let attached = attached(&mail);
    Ok(Letter { key, from, subject, story: at_most(&story, LONGEST_STORY), attached })
}

/// How often a word of small letters stands in some bytes, in any case.
fn count(bytes: &[u8], word: &[u8]) -> usize {
    bytes.windows(word.len()).filter(|window| window.eq_ignore_ascii_case(word)).count()
}

fn line(text: &str) -> String {
    text.chars()
        .filter(|letter| !letter.is_control())
        .take(LONGEST_LINE)
        .collect::<String>()
        .trim()
        .to_owned()
}

fn sender(mail: &Message<'_>) -> Result<String, String> {
    let mut senders = mail.from().into_iter().flat_map(mail_parser::Address::iter);
    let address = senders.next().and_then(|one| one.address()).map(|address| line(address).to_lowercase());
    let address = address.filter(|address| {
        // One address as lettre takes it, without room for a second header or receiver.
        !address.contains([' ', ',', ';', '<', '>', '"']) && address.parse::<lettre::Address>().is_ok()
    });
    match (address, senders.next()) {
        (Some(address), None) => Ok(address),
        (Some(_), Some(_)) => Err("it has several senders".to_owned()),
        (None, _) => Err("it has no sender that could be answered".to_owned()),
    }
}

/// Why a mail was written by no person (RFC 3834, RFC 3464, RFC 2919): neither a report nor to be answered.
fn sent_by_a_program(mail: &Message<'_>) -> Option<&'static str> {
    let header = |name: &'static str| {
        let values = mail.headers().iter().filter(move |header| header.name().eq_ignore_ascii_case(name));
        values.filter_map(|header| match header.value() {
            HeaderValue::Empty => None,
            value => Some(value.as_text().unwrap_or_default().trim().to_ascii_lowercase()),
        })
    };
    let first_word = |value: &str| value.split([';', ' ']).next().unwrap_or_default().to_owned();
    if header("Auto-Submitted").any(|value| first_word(&value) != "no") {
        return Some("a program sent it, as it says itself (Auto-Submitted)");
    }
    if header("Precedence")
        .any(|value| matches!(first_word(&value).as_str(), "bulk" | "junk" | "list" | "auto_reply"))
        || mail.headers().iter().any(|header| {
            ["list-id", "x-autoreply", "x-autorespond"]
                .iter()
                .any(|name| header.name().eq_ignore_ascii_case(name))
        })
    {
        return Some("a program or a list sent it");
    }
    let is_report = mail.content_type_is("multipart", "report");
    let empty_path = mail.headers().iter().any(|header| {
        let value = header.value();
        let is_empty = matches!(value, HeaderValue::Empty)
            || value.as_text().is_some_and(|text| matches!(text.trim(), "" | "<>"));
        is_empty && header.name().eq_ignore_ascii_case("Return-Path")
    });
    (is_report || empty_path).then_some("it is a bounce")
}

/// A question that the parser answers in two steps.
trait ContentTypeIs {
    fn content_type_is(&self, kind: &str, subtype: &str) -> bool;
}

impl ContentTypeIs for Message<'_> {
    fn content_type_is(&self, kind: &str, subtype: &str) -> bool {
        let found = mail_parser::MimeHeaders::content_type(self);
        found.is_some_and(|found| {
            found.ctype().eq_ignore_ascii_case(kind)
                && found.subtype().is_some_and(|sub| sub.eq_ignore_ascii_case(subtype))
        })
    }
}

fn attached(mail: &Message<'_>) -> Vec<Vec<u8>> {
    let bytes = mail.parts.iter().filter_map(|part| match &part.body {
        PartType::Binary(bytes) | PartType::InlineBinary(bytes) => Some(bytes.to_vec()),
        _ => None,
    });
    bytes.collect()
}
