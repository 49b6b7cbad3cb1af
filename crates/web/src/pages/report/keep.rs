//! Keeps a report that was read without fault, under a receipt code that nobody has yet.

use domain::permission::Actor;
use domain::receipt::ReceiptCode;
use domain::report::Report;
use store::{IntakeFacts, NewContact, NewPhoto, Receipt, StoreError};

use crate::alarm;
use crate::error::AppError;
use crate::photo::Photo;
use crate::secrets::{Token, digest_hex};
use crate::state::AppState;
use crate::tongue::Tongue;

/// Codes drawn before giving up. With a hundred million reports kept, one draw in 200 is taken, and five in a row
/// hardly ever are.
const DRAWS: usize = 5;

/// What is to be kept besides the report.
pub struct Sending<'a> {
    /// Who sends.
    pub by: &'a Actor,
    /// The form's own key, by which a second sending is known.
    pub key: &'a Token,
    /// The unit link it came by.
    pub unit_link_id: Option<i64>,
    /// Who altered or mended the item, in words.
    pub altered_by: &'a str,
    /// Where the reporter wants the answer mailed.
    pub contact: Option<NewContact>,
    /// Photographs.
    pub photos: &'a [Photo],
}

/// What became of a sending.
#[derive(Debug)]
pub enum Kept {
    /// It is in the books, from now or from before; the secret opens its receipt.
    Here(Token),
    /// Another report came under the form's key before, with a receipt of this code. Nothing was kept anew.
    KeyUsed(String),
}

/// Keeps a report and gives the secret that opens its receipt. A code that is taken is drawn again.
///
/// The receipt's secret follows from the form's key: whoever sends the same form again is led to the same receipt.
///
/// # Errors
/// What the store refuses.
pub async fn keep(
    state: &AppState,
    report: Report,
    sending: Sending<'_>,
    draw: impl FnMut() -> ReceiptCode,
) -> Result<Kept, AppError> {
    let opens = Token::parse(&digest_hex(format!("receipt {}", sending.key.as_str()).as_bytes()));
    let opens = opens.ok_or_else(|| AppError::inside("a digest has the shape of a token"))?;
    let facts = IntakeFacts {
        receipt_code: String::new(),
        client_key: sending.key.digest(),
        secret_hash: opens.digest(),
        unit_link_id: sending.unit_link_id,
        altered_by: Some(sending.altered_by.trim().to_owned()).filter(|text| !text.is_empty()),
        contact: sending.contact,
        alarm: None,
    };
    // Before the report, so that no report is acknowledged whose picture could still be lost.
    let photos = state.album().keep(sending.photos).await?;
    let receipt = keep_drawn(state, sending.by, report, facts, &photos, draw).await?;
    Ok(if receipt.is_other { Kept::KeyUsed(receipt.receipt_code) } else { Kept::Here(opens) })
}

/// Keeps a report and gives its receipt; the code in both is drawn here, and drawn again while it is taken. Engineers on
/// call hear of a report of danger in the same breath.
///
/// # Errors
/// What the store refuses.
pub(crate) async fn keep_drawn(
    state: &AppState,
    by: &Actor,
    mut report: Report,
    mut facts: IntakeFacts,
    photos: &[NewPhoto],
    mut draw: impl FnMut() -> ReceiptCode,
) -> Result<Receipt, AppError> {
    for _ in 0..DRAWS {
        facts.receipt_code = draw().to_string();
        report.report_ref.clone_from(&facts.receipt_code);
        facts.alarm = alarm::of(state, &report).await?;
        match state.store().send_report(by, state.now(), &report, &facts, photos).await {
            Ok(receipt) => return Ok(receipt),
            Err(StoreError::Taken { noun: "report" | "receipt", .. }) => {}
            Err(StoreError::Missing { noun: "part", key }) => {
                let says = Tongue::ENGLISH.with("wrong-part", &[("part", key.into())]);
                return Err(AppError::Unusable(says));
            }
            Err(error) => return Err(error.into()),
        }
    }
    Err(AppError::inside("every receipt code that was drawn is taken"))
}
