//! `/variances`: leave to depart from a requirement for so many items or so long.

use axum::Router;
use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::get;
use chrono::NaiveDate;
use domain::instruction::Holds;
use domain::permission::{Act, Actor, may};
use domain::variance::{Departure, Variance, VarianceClass};
use serde::Deserialize;
use store::Kept;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::instructions::order;
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
        .route("/variances", get(list))
        .route("/variances/new", get(new).post(give))
        .route("/variances/{number}", get(show))
        .route("/variances/{number}/withdraw", get(to_withdraw).post(withdraw))
}

fn page_of(number: &str) -> String {
    format!("/variances/{}", address::segment(number))
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let today = state.today();
    let mut all = state.store().list_variances().await?;
    all.sort_by_key(|kept| order(kept.what.holds(today)));
    let rows = all.iter().map(|kept| row(kept, today)).collect();
    let gives = may(&signed_in.0, &Act::Instruct).is_ok();
    let page = ListPage::new(
        Shell::inside("Variances", &signed_in.0, Place::Instructions),
        "Variances",
        "Leave to depart from a requirement for so many items or so long: those in force first, the latest on top.",
        (&["Number", "Class", "Departure", "Concerns", "Holds", "State"], rows),
        Empty::rest(
            "No variance is on record. One gives leave to depart from a requirement without a change.",
        ),
    );
    state.page(&page.add(gives.then(|| ("Write a variance down", "/variances/new".to_owned()))))
}

/// For how many and how long, in words.
fn extent(what: &Variance) -> String {
    let items = what.quantity.map(|items| format::counted(u64::from(items), "item", "items"));
    match (items, what.expires) {
        (Some(items), None) => format!("{items} from {}", format::date(what.from)),
        (Some(items), expires) => format!("{items}, {}", days(what.from, expires)),
        (None, expires) => days(what.from, expires),
    }
}

fn row(kept: &Kept<Variance>, today: NaiveDate) -> Listed {
    let (what, holds) = (&kept.what, kept.what.holds(today));
    let class = what.class();
    Listed {
        address: page_of(&kept.number),
        number: kept.number.clone(),
        cells: vec![
            Cell::new("Class", class.word()).harm(class == VarianceClass::Critical && holds == Holds::Now),
            Cell::new("Departure", &what.departure).small(what.recurring.then_some("recurring")),
            Cell::new("Concerns", concerns(&what.concerned)),
            Cell::new("Holds", extent(what)),
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
}

fn form(actor: &Actor, sent: &Sent, faults: Faults) -> FormPage {
    let touches = Departure::ALL
        .iter()
        .map(|one| Choice::new(one.word(), format::titled(one.word()), sent.has("touches", one.word())));
    let recurring = ["no", "yes"].map(|word| {
        let chosen = word == if sent.get("recurring") == "yes" { "yes" } else { "no" };
        Choice::new(word, format::titled(word), chosen)
    });
    let shell = Shell::inside("Write a variance down", actor, Place::Instructions);
    let form = FormPage::new(shell, "Write a variance down", ("/variances/new".into(), "Keep it"), faults)
        .about("All variances", "/variances");
    ask_concerned(form, sent)
        .ask(
            Ask::lines("departure", "The departure", sent.get("departure"))
                .required()
                .hint("Which requirement, and how the items depart from it"),
        )
        .choices(
            Choices::any("touches", "What it touches", touches.collect()).hint(
                "Safety makes it critical, anything else of these major, none minor (after MIL-STD-973)",
            ),
        )
        .ask(Ask::of_kind("number", "quantity", "For how many items", sent.get("quantity")))
        .ask(Ask::of_kind("date", "from", "From", sent.get("from")).required())
        .ask(
            Ask::of_kind("date", "expires", "Last day", sent.get("expires"))
                .hint("A quantity, a last day, or both"),
        )
        .choices(Choices::one("recurring", "Recurring", recurring.into()))
        .ask(Ask::lines("reason", "Why it is given", sent.get("reason")).required())
        .ask(Ask::text("approved_by", "Given by", sent.get("approved_by")).required())
        .ask(Ask::text("change_no", "Change that makes it needless", sent.get("change_no")).code())
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
        ("from", state.today().to_string()),
    ]);
    state.page(&form(&signed_in.0, &sent, Faults::default()))
}

fn read(sent: &Sent) -> Result<Variance, Faults> {
    let mut reading = Reading::of(sent);
    let (quantity, from, expires) =
        (reading.count("quantity"), reading.needed_day("from"), reading.day("expires"));
    let read = Variance {
        concerned: read_concerned(&reading),
        departure: reading.text("departure"),
        touches: Departure::ALL.iter().copied().filter(|one| sent.has("touches", one.word())).collect(),
        quantity,
        from,
        expires,
        recurring: sent.get("recurring") == "yes",
        reason: reading.text("reason"),
        approved_by: reading.text("approved_by"),
        change_no: reading.optional("change_no"),
        withdrawn: None,
    };
    reading.end(Some(read))
}

async fn give(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    let picture = state.picture().await?;
    let known = |new: &Variance| new.concerned.check(&picture.field).map_err(Faults::from);
    let given = match read(&sent).and_then(|new| known(&new).map(|()| new)) {
        Ok(new) => kept(state.store().add_variance(&signed_in.0, state.now(), &new).await)?,
        Err(faults) => Err(faults),
    };
    match given {
        Ok(number) => Ok(Redirect::to(&page_of(&number)).into_response()),
        Err(faults) => form(&signed_in.0, &sent, faults).refuse(&state),
    }
}

async fn find(state: &AppState, number: &str) -> Result<Kept<Variance>, AppError> {
    let found = state.store().find_variance(number).await?;
    found.ok_or_else(|| AppError::NotFound("There is no variance of this number.".into()))
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

fn sheet(actor: &Actor, kept: &Kept<Variance>, today: NaiveDate) -> RecordSheet {
    let (what, holds, class) = (&kept.what, kept.what.holds(today), kept.what.class());
    let touched: Vec<&str> = what.touches.iter().map(|one| one.word()).collect();
    let mut pairs = vec![
        Pair::new("Class", format!("{}, after MIL-STD-973", class.word())),
        Pair::new(
            "Touches",
            if touched.is_empty() { "none of the list".to_owned() } else { touched.join(", ") },
        ),
        Pair::new("Holds", extent(what)),
        Pair::new("Recurring", if what.recurring { "yes" } else { "no" }),
        Pair::new("Given by", &what.approved_by),
    ];
    pairs.extend(change_pair(what.change_no.as_ref()));
    pairs.extend(
        what.withdrawn
            .as_ref()
            .map(|(on, why)| Pair::new("Withdrawn", format!("{}: {why}", format::date(*on)))),
    );
    let is_critical = class == VarianceClass::Critical && holds == Holds::Now;
    let withdraws = holds != Holds::Withdrawn && may(actor, &Act::Instruct).is_ok();
    let block = TitleBlock {
        number: kept.number.clone(),
        title: format!("{} variance: {}", format::titled(class.word()), what.concerned.part_no),
        revision: "A".into(),
        state: holds.word().to_owned(),
        owner: kept.by.clone(),
        dates: vec![("Written".into(), format::date(kept.at.date_naive()))],
        sheet: "1 of 1".into(),
        marking: "Internal".into(),
    };
    let shell = Shell::inside(format!("Variance {}", kept.number), actor, Place::Instructions);
    let heading = format!("{} variance", format::titled(class.word()));
    let lead = format!("{}. {}.", concerns(&what.concerned), format::titled(holds.word()));
    RecordSheet::new(shell, heading, lead, block)
        .harm(is_critical.then(|| "This departure touches safety.".into()))
        .section(Section::words("The departure", &what.departure))
        .section(Section::words("Why it is given", &what.reason))
        .section(Section::pairs("For what and how long", pairs))
        .steps(if withdraws {
            vec![("Withdraw it", format!("{}/withdraw", page_of(&kept.number)))]
        } else {
            Vec::new()
        })
}

async fn to_withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    find(&state, &number).await?;
    let of = ("variance", number.as_str());
    state.page(&withdraw_form(&signed_in.0, of, &page_of(&number), &Sent::default(), Faults::default()))
}

async fn withdraw(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::Instruct)?;
    let done = state.store().withdraw_variance(&signed_in.0, state.now(), &number, sent.get("why")).await;
    let of = ("variance", number.as_str());
    match kept(done)? {
        Ok(()) => Ok(Redirect::to(&page_of(&number)).into_response()),
        Err(faults) => withdraw_form(&signed_in.0, of, &page_of(&number), &sent, faults).refuse(&state),
    }
}
