//! From a mail to a report: by the sender's address and the item it names, or by what an engineer says; and the answer.

use chrono::{DateTime, NaiveDate, SubsecRound as _, Utc};
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use domain::receipt::ReceiptCode;
use domain::report::Report;
use serde::Serialize;
use store::{IntakeFacts, Mailed, NewContact, NewMail, NewMailed, StoreError};

use super::letter::Letter;
use crate::alarm;
use crate::error::AppError;
use crate::pages::report::answers::Answers;
use crate::pages::report::upload::{MOST_PHOTOS, refusal};
use crate::photo::{Album, Photo};
use crate::secrets::digest_hex;
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::Problem;

/// Codes drawn before giving up.
const DRAWS: usize = 5;
/// Answers that one address gets in a day: a person doesn't send more, and two programs that talk to each other end here.
const MOST_ANSWERS_A_DAY: u64 = 20;

/// What became of a mail.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Sorted {
    /// It is a report.
    Taken,
    /// An engineer has to say which unit or item it is about.
    Waiting,
    /// It was read before.
    Known,
    /// It can't be a report, for this reason.
    Refused(String),
}

/// Keeps a mail, and makes a report of it where sender and item are known.
pub(super) async fn take(state: &AppState, letter: Letter) -> Result<Sorted, AppError> {
    if letter.from == own_address(state) {
        return Ok(Sorted::Refused("the program itself sent it".to_owned()));
    }
    let unit = unit_of(state, &letter.from).await?;
    let (photos, left_out) = developed(state.album(), letter.attached).await?;
    let new = NewMailed {
        key: letter.key,
        sender: letter.from,
        subject: letter.subject,
        story: letter.story,
        unit,
        photos: state.album().keep(&photos).await?,
    };
    let now = state.now();
    let mailed = state.store().add_mailed(&Actor::Program, now, &new).await?;
    if !mailed.waits() {
        return Ok(Sorted::Known);
    }
    let (Some(unit), Some(item)) = (mailed.unit.clone(), item_in(state, &mailed.story).await?) else {
        return Ok(if mailed.arrived_at < store_moment(now) { Sorted::Known } else { Sorted::Waiting });
    };
    let answers = Answers { item, story: mailed.story.clone(), ..Answers::default() };
    match report_of(&answers, &unit, mailed.arrived_at.date_naive()) {
        Ok(report) => {
            send(state, &Actor::Program, &mailed, report, &left_out).await?;
            Ok(Sorted::Taken)
        }
        Err(_) => Ok(Sorted::Waiting),
    }
}

/// The photographs among what is attached, fit to be kept, and why some aren't among them.
async fn developed(album: &Album, attached: Vec<Vec<u8>>) -> Result<(Vec<Photo>, Vec<String>), AppError> {
    let (mut photos, mut left_out) = (Vec::new(), Vec::new());
    for bytes in attached {
        if photos.len() == MOST_PHOTOS {
            left_out.push("Six photographs were kept; the rest were left out.".to_owned());
            break;
        }
        match album.develop(bytes).await? {
            Ok(photo) => photos.push(photo),
            Err(why) => left_out.push(Tongue::ENGLISH.say(refusal(why))),
        }
    }
    left_out.dedup();
    Ok((photos, left_out))
}

/// The moment as the store keeps it.
fn store_moment(now: DateTime<Utc>) -> DateTime<Utc> {
    now.trunc_subsecs(6)
}

fn own_address(state: &AppState) -> String {
    let from = &state.config().mail.from;
    let address = from.rsplit('<').next().unwrap_or_default().trim_end_matches('>');
    address.trim().to_lowercase()
}

/// The unit whose address this is; nothing where none or several have it.
async fn unit_of(state: &AppState, address: &str) -> Result<Option<String>, AppError> {
    let units = state.store().list_units().await?.into_iter();
    let mut of = units.filter(|unit| {
        unit.contact_email.as_deref().is_some_and(|own| own.trim().eq_ignore_ascii_case(address))
    });
    let first = of.next().map(|unit| unit.unit);
    Ok(first.filter(|_| of.next().is_none()))
}

/// The item a story names by its part number, or the only one there is; nothing where it names none or several.
async fn item_in(state: &AppState, story: &str) -> Result<Option<String>, AppError> {
    let mut items: Vec<String> =
        state.store().list_items().await?.into_iter().map(|item| item.part_no).collect();
    items.sort();
    items.dedup();
    if let [only] = items.as_slice() {
        return Ok(Some(only.clone()));
    }
    let words: Vec<&str> =
        story.split(|sign: char| !sign.is_alphanumeric() && !"-_./".contains(sign)).collect();
    let is_named =
        |item: &String| words.iter().any(|word| word.trim_matches(['.', '/']).eq_ignore_ascii_case(item));
    items.retain(is_named);
    Ok(if items.len() == 1 { items.pop() } else { None })
}

/// The report a mail makes, read and checked as the form's answers of the day it arrived, in UTC, however much later that is
/// done; only whether anybody was hurt may stay unsaid, since nobody could be asked.
///
/// # Errors
/// Everything that is wrong, each beside its field.
pub(crate) fn report_of(answers: &Answers, unit: &str, arrived: NaiveDate) -> Result<Report, Vec<Problem>> {
    let unsaid = answers.harm.is_empty();
    let answers =
        Answers { harm: if unsaid { "none".to_owned() } else { answers.harm.clone() }, ..answers.clone() };
    let report = answers.report(Tongue::ENGLISH, "", unit, arrived)?;
    Ok(Report { harm: report.harm.filter(|_| !unsaid), ..report })
}

/// What the answer says.
#[derive(Serialize)]
pub(super) struct Answer<'a> {
    pub(super) subject: String,
    pub(super) code: String,
    pub(super) unit: &'a str,
    pub(super) address: String,
    pub(super) left_out: &'a [String],
    /// It is said in every language, for nobody knows which the sender reads.
    pub(super) tongues: Vec<Tongue>,
}

/// How the keys of answers to one address on one day begin: enough of a digest to count them by, too little to tell whose
/// it is, for the address itself is kept no longer than it serves.
fn answers_to(address: &str, day: NaiveDate) -> String {
    format!("receipt {day} {:.6} ", digest_hex(format!("{address} on {day}").as_bytes()))
}

/// Who mails a report in wants to hear what becomes of it, as who leaves an address in the form; each mail has its stop.
fn contact(sender: &str) -> Option<NewContact> {
    let address = MailAddress::parse(sender).ok()?;
    Some(NewContact { address, language: Tongue::ENGLISH.language() })
}

/// Makes a report of a mail that waits, and answers its sender with the receipt.
///
/// # Errors
/// What the store refuses.
pub(crate) async fn send(
    state: &AppState,
    by: &Actor,
    mailed: &Mailed,
    mut report: Report,
    left_out: &[String],
) -> Result<(), AppError> {
    let prefix = answers_to(&mailed.sender, state.today());
    let answered = state.store().count_mail_keyed(&prefix).await?;
    let opens = state.secrets().token();
    let mut facts = IntakeFacts {
        receipt_code: String::new(),
        client_key: digest_hex(format!("mailed {}", mailed.key).as_bytes()),
        secret_hash: opens.digest(),
        unit_link_id: None,
        altered_by: None,
        contact: contact(&mailed.sender),
        alarm: None,
    };
    for _ in 0..DRAWS {
        let code = ReceiptCode::draw(&mut || state.secrets().bits()).to_string();
        facts.receipt_code.clone_from(&code);
        report.report_ref.clone_from(&code);
        facts.alarm = alarm::of_arrived(state, &report, mailed.arrived_at).await?;
        let answer = Answer {
            subject: format!("Receipt {code}"),
            unit: &report.unit,
            address: format!("{}/follow/{}", state.base_url(), opens.as_str()),
            left_out,
            tongues: Tongue::all(),
            code,
        };
        let (text, html) = state.templates().mail("receipt", &answer)?;
        let key = format!("{prefix}{}", facts.client_key);
        let (to, subject) = (mailed.sender.clone(), answer.subject.clone());
        let mail = NewMail { key, to, subject, text, html, is_personal: true, stop_url: None };
        let mail = Some(&mail).filter(|_| answered < MOST_ANSWERS_A_DAY);
        match state.store().send_mailed(by, state.now(), mailed.id, (&report, &facts), mail).await {
            Err(StoreError::Taken { noun: "report" | "receipt", .. }) => {}
            done => return Ok(done?),
        }
    }
    Err(AppError::inside("every receipt code that was drawn is taken"))
}
