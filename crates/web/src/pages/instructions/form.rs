//! The forms of an instruction: giving it and withdrawing it.

use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::field::{Field, Found};
use domain::instruction::{Instruction, InstructionKind};
use domain::permission::{Act, Actor};
use domain::words::Problem;
use serde::Deserialize;

use super::{find, page_of};
use crate::error::AppError;
use crate::format;
use crate::notices;
use crate::pages::interim::{ask_concerned, read_concerned, withdraw_form, withdrawn};
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Choice, Choices, Faults, Place, Shell};

/// What a form may begin with.
#[derive(Default, Deserialize)]
#[serde(default)]
pub(super) struct Begin {
    part: String,
    lot: String,
    maker: String,
    change: String,
    recurrence: String,
    /// A report of danger, whose item or lot is to be taken out of use.
    report: String,
}

fn form(actor: &Actor, sent: &Sent, faults: Faults) -> FormPage {
    let kinds = InstructionKind::ALL.iter().map(|kind| {
        Choice::new(kind.word(), format::titled(kind.word()), sent.get("kind") == kind.word())
            .hint(kind.order())
    });
    let shell = Shell::inside("Give an instruction", actor, Place::Instructions);
    let form = FormPage::new(shell, "Give an instruction", ("/instructions/new".into(), "Give it"), faults)
        .about("All instructions", "/instructions")
        .says("Units read it on their page, on the receipt of a report, and with the lots that it is about. Stop-use \
               and recall come only from who has the authority: write down whose order it is.")
        .choices(Choices::one("kind", "What units are to do", kinds.collect()));
    ask_concerned(form, sent)
        .ask(Ask::of_kind("date", "from", "From", sent.get("from")).required())
        .ask(
            Ask::of_kind("date", "to", "Last day", sent.get("to"))
                .hint("Left empty, it holds until it is withdrawn"),
        )
        .ask(Ask::lines("words", "What to do, in words for a unit", sent.get("words")).required())
        .ask(Ask::text("authority", "By whose order", sent.get("authority")).required())
        .ask(Ask::text("change_no", "Change it bridges the time to", sent.get("change_no")).code())
        .ask(
            Ask::text("recurrence", "Recurrence it answers", sent.get("recurrence"))
                .code()
                .hint("Part number and mode, such as RC-131 ZIP-1"),
        )
}

pub(super) async fn new(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(begin): Query<Begin>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    if !begin.report.is_empty() {
        let sent = stop_use(&state, &signed_in, &begin.report).await?;
        return state.page(&form(&signed_in.0, &sent, Faults::default()));
    }
    let sent = Sent::with([
        ("part_no", begin.part),
        ("lots", begin.lot),
        ("maker", begin.maker),
        ("change_no", begin.change),
        ("recurrence", begin.recurrence),
        ("from", state.today().to_string()),
    ]);
    state.page(&form(&signed_in.0, &sent, Faults::default()))
}

/// An order to stop using what a report of danger is of, to be looked at, altered and given by a person: the lot, where it
/// is known, else the whole item.
async fn stop_use(state: &AppState, signed_in: &SignedIn, report_ref: &str) -> Result<Sent, AppError> {
    let report = state.store().find_report(report_ref).await?;
    signed_in.may(&Act::ReadUnitReports { unit: report.as_ref().map_or("", |report| &report.unit) })?;
    let report = report.ok_or_else(|| AppError::NotFound("There is no report of this reference.".into()))?;
    let picture = state.picture().await?;
    let maker = report.maker.as_deref().and_then(|maker| picture.field.makers.find(maker));
    let text = report.lot_text.as_deref().map(str::trim);
    let lot = text.and_then(|text| match picture.field.lot_keys.find(text, maker) {
        Found::One(lot) => Some(&picture.field.lots[lot]),
        _ => None,
    });
    // Without its maker the number may be that of several lots.
    let maker = lot.and_then(|lot| lot.maker).map(|maker| picture.field.makers[maker].to_owned());
    let recurrence = report.part_no.zip(report.mode).map(|(part_no, mode)| format!("{part_no} {mode}"));
    Ok(Sent::with([
        ("kind", InstructionKind::StopUse.word().to_owned()),
        ("part_no", report.item_part_no),
        ("maker", maker.unwrap_or_default()),
        ("lots", lot.map(|lot| lot.lot_no.to_string()).unwrap_or_default()),
        ("from", state.today().to_string()),
        ("words", STOP_WORDS.to_owned()),
        ("recurrence", recurrence.unwrap_or_default()),
    ]))
}

const STOP_WORDS: &str =
    "Take every item of this out of use, tag it, and hand it to your store keeper. Do not wash or mend it.";

fn read(sent: &Sent) -> Result<Instruction, Faults> {
    let mut reading = Reading::of(sent);
    let typed = reading.optional("recurrence");
    let recurrence = typed.as_deref().and_then(|typed| typed.rsplit_once(' '));
    if typed.is_some() && recurrence.is_none() {
        reading.wrong("recurrence", "write the part number and the mode, such as RC-131 ZIP-1");
    }
    let (kind, from, to) = (reading.word("kind"), reading.needed_day("from"), reading.day("to"));
    let words = reading.words("words");
    let read = kind.map(|kind| Instruction {
        kind,
        concerned: read_concerned(&reading),
        from,
        to,
        words,
        authority: reading.text("authority"),
        change_no: reading.optional("change_no"),
        recurrence: recurrence.map(|(part, mode)| (part.trim().to_owned(), mode.to_owned())),
        withdrawn: None,
    });
    reading.end(read)
}

/// The books must have what it is about, and the recurrence it answers: units' replies become inspections for that.
fn check(new: &Instruction, field: &Field) -> Result<(), Problem> {
    new.concerned.check(field)?;
    let known = |(part, mode): &(String, String)| {
        field.part_names.find(part).is_some() && field.find_mode(mode).is_some()
    };
    if new.recurrence.as_ref().is_some_and(|recurrence| !known(recurrence)) {
        return Err(Problem::new("recurrence", "the books have no such part, or the catalogue no such mode"));
    }
    Ok(())
}

pub(super) async fn give(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    let picture = state.picture().await?;
    let known = |new: &Instruction| check(new, &picture.field).map_err(Faults::from);
    let given = match read(&sent).and_then(|new| known(&new).map(|()| new)) {
        Ok(new) => kept(state.store().add_instruction(&signed_in.0, state.now(), &new).await)?,
        Err(faults) => Err(faults),
    };
    match given {
        Ok(number) => {
            // The order stands whether or not its mail can be written now; it is tried again.
            if sent.get("kind") == InstructionKind::StopUse.word()
                && let Err(error) = notices::queue_all(&state).await
            {
                tracing::warn!(%error, "the mail to units can't be written");
            }
            Ok(Redirect::to(&page_of(&number)).into_response())
        }
        Err(faults) => form(&signed_in.0, &sent, faults).refuse(&state),
    }
}

pub(super) async fn to_withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    find(&state, &number).await?;
    let of = ("instruction", number.as_str());
    state.page(&withdraw_form(&signed_in.0, of, &page_of(&number), &Sent::default(), Faults::default()))
}

pub(super) async fn withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    let done = state.store().withdraw_instruction(&signed_in.0, state.now(), &number, sent.get("why")).await;
    withdrawn(&state, &signed_in.0, ("instruction", &number), &page_of(&number), &sent, done)
}
