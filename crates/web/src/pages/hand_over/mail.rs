//! What is mailed of a hand-over to whoever has an address: how many of each kind, and where the list is.

use domain::handover::by_kind;
use serde::Serialize;
use store::{Handover, MailWords};

use super::list::counted;
use crate::format;
use crate::state::AppState;

#[derive(Serialize)]
struct Words<'a> {
    subject: String,
    from: String,
    to: String,
    when: String,
    by: &'a str,
    kinds: Vec<String>,
    note: Option<&'a str>,
    address: String,
}

/// The words of the mail.
///
/// # Errors
/// A template that asks for what isn't there.
pub(super) fn words(
    state: &AppState,
    handover: &Handover,
    (from, to): (String, String),
) -> Result<MailWords, Box<dyn std::error::Error + Send + Sync>> {
    let things = format::counted(handover.items.len() as u64, "thing", "things");
    let kinds = by_kind(&handover.items, |item| item.kind);
    let words = Words {
        subject: format!("{from} handed {things} over to {to}"),
        from,
        to,
        when: format::moment(handover.at),
        by: &handover.by,
        kinds: kinds.into_iter().map(|(kind, own)| counted(kind, own.len())).collect(),
        note: handover.note.as_deref(),
        address: format!("{}/hand-overs/{}", state.base_url(), handover.id),
    };
    let (text, html) = state.templates().mail("handover", &words)?;
    Ok(MailWords { subject: words.subject, text, html })
}
