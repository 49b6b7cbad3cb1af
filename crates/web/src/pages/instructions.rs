//! `/instructions`: what units do with issued items until a change reaches them.

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use chrono::NaiveDate;
use domain::field::Field;
use domain::instruction::{Holds, Instruction, InstructionKind};
use domain::permission::{Act, Actor, may};
use domain::words::Problem;
use serde::Deserialize;
use store::Kept;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::interim::{ask_concerned, change_pair, concerns, days, read_concerned, withdraw_form};
use crate::pages::records::{
    Cell, Faults, FormPage, ListPage, Listed, Pair, Reading, RecordSheet, Section, Sent, kept,
};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Choice, Choices, Empty, Place, Shell, TitleBlock};

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/instructions", get(list))
        .route("/instructions/new", get(new).post(give))
        .route("/instructions/{number}", get(show))
        .route("/instructions/{number}/withdraw", get(to_withdraw).post(withdraw))
}

fn page_of(number: &str) -> String {
    format!("/instructions/{}", address::segment(number))
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let today = state.today();
    let mut all = state.store().list_instructions().await?;
    all.sort_by_key(|kept| order(kept.what.holds(today)));
    let rows = all.iter().map(|kept| row(kept, today)).collect();
    let gives = may(&signed_in.0, &Act::Instruct).is_ok();
    let page = ListPage::new(
        Shell::inside("Instructions", &signed_in.0, Place::Instructions),
        "Instructions",
        "What units do with issued items until a change reaches them: those in force first, the latest on top.",
        (&["Number", "Order", "Concerns", "Holds", "State"], rows),
        Empty::rest(
            "No instruction is on record. One bridges the time until a change reaches what is issued.",
        ),
    );
    state.page(&page.add(gives.then(|| ("Give an instruction", "/instructions/new".to_owned()))))
}

/// What holds comes first, what will hold next.
pub(super) const fn order(holds: Holds) -> u8 {
    match holds {
        Holds::Now => 0,
        Holds::NotYet => 1,
        Holds::Ended | Holds::Withdrawn => 2,
    }
}

fn row(kept: &Kept<Instruction>, today: NaiveDate) -> Listed {
    let (what, holds) = (&kept.what, kept.what.holds(today));
    let stops = what.kind == InstructionKind::StopUse && holds == Holds::Now;
    Listed {
        address: page_of(&kept.number),
        number: kept.number.clone(),
        cells: vec![
            Cell::new("Order", what.kind.word()).harm(stops),
            Cell::new("Concerns", concerns(&what.concerned)),
            Cell::new("Holds", days(what.from, what.to)),
            Cell::new("State", holds.word()),
        ],
    }
}

/// What a form may begin with.
#[derive(Default, Deserialize)]
#[serde(default)]
struct Begin {
    part: String,
    lot: String,
    maker: String,
    change: String,
    recurrence: String,
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

async fn new(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Query(begin): Query<Begin>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
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

fn read(sent: &Sent) -> Result<Instruction, Faults> {
    let mut reading = Reading::of(sent);
    let typed = reading.optional("recurrence");
    let recurrence = typed.as_deref().and_then(|typed| typed.rsplit_once(' '));
    if typed.is_some() && recurrence.is_none() {
        reading.wrong("recurrence", "write the part number and the mode, such as RC-131 ZIP-1");
    }
    let (kind, from, to) = (reading.word("kind"), reading.needed_day("from"), reading.day("to"));
    let read = kind.map(|kind| Instruction {
        kind,
        concerned: read_concerned(&reading),
        from,
        to,
        words: reading.text("words"),
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

async fn give(
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
        Ok(number) => Ok(Redirect::to(&page_of(&number)).into_response()),
        Err(faults) => form(&signed_in.0, &sent, faults).refuse(&state),
    }
}

async fn find(state: &AppState, number: &str) -> Result<Kept<Instruction>, AppError> {
    let found = state.store().find_instruction(number).await?;
    found.ok_or_else(|| AppError::NotFound("There is no instruction of this number.".into()))
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let kept = find(&state, &number).await?;
    state.page(&sheet(&signed_in.0, &kept, state.today()))
}

fn sheet(actor: &Actor, kept: &Kept<Instruction>, today: NaiveDate) -> RecordSheet {
    let (what, holds) = (&kept.what, kept.what.holds(today));
    let mut pairs =
        vec![Pair::new("Holds", days(what.from, what.to)), Pair::new("By order of", &what.authority)];
    pairs.extend(change_pair(what.change_no.as_ref()));
    pairs.extend(what.recurrence.as_ref().map(|(part, mode)| {
        let page = format!("/recurrences/{}/{}", address::segment(part), address::segment(mode));
        Pair::new("Recurrence", format!("{part} {mode}")).to(Some(page))
    }));
    pairs.extend(
        what.withdrawn
            .as_ref()
            .map(|(on, why)| Pair::new("Withdrawn", format!("{}: {why}", format::date(*on)))),
    );
    let stops = what.kind == InstructionKind::StopUse && holds == Holds::Now;
    let withdraws = holds != Holds::Withdrawn && may(actor, &Act::Instruct).is_ok();
    let block = TitleBlock {
        number: kept.number.clone(),
        title: format!("{}: {}", what.kind.order(), what.concerned.part_no),
        revision: "A".into(),
        state: holds.word().to_owned(),
        owner: kept.by.clone(),
        dates: vec![("Given".into(), format::date(kept.at.date_naive()))],
        sheet: "1 of 1".into(),
        marking: "Internal".into(),
    };
    let shell = Shell::inside(format!("Instruction {}", kept.number), actor, Place::Instructions);
    RecordSheet::new(
        shell,
        what.kind.order(),
        format!("{}. {}.", concerns(&what.concerned), format::titled(holds.word())),
        block,
    )
    .harm(
        stops.then(|| {
            "Items that this is about are taken out of use and tagged until somebody decides.".into()
        }),
    )
    .section(Section::words("What to do", &what.words))
    .section(Section::pairs("When and why", pairs))
    .steps({
        let mut steps = vec![("Who has replied", format!("{}/replies", page_of(&kept.number)))];
        steps.extend(withdraws.then(|| ("Withdraw it", format!("{}/withdraw", page_of(&kept.number)))));
        steps
    })
}

async fn to_withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    find(&state, &number).await?;
    let of = ("instruction", number.as_str());
    state.page(&withdraw_form(&signed_in.0, of, &page_of(&number), &Sent::default(), Faults::default()))
}

async fn withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    let done = state.store().withdraw_instruction(&signed_in.0, state.now(), &number, sent.get("why")).await;
    let of = ("instruction", number.as_str());
    match kept(done)? {
        Ok(()) => Ok(Redirect::to(&page_of(&number)).into_response()),
        Err(faults) => withdraw_form(&signed_in.0, of, &page_of(&number), &sent, faults).refuse(&state),
    }
}
