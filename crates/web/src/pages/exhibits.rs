//! `/exhibits`: the failed things themselves: where each is, until when it is held, who released it and to where.

mod form;
mod tag;
#[cfg(test)]
mod tests;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;
use chrono::NaiveDate;
use domain::exhibit::{Exhibit, Matter, Standing};
use domain::handover::HandoverKind;
use domain::permission::{Act, Actor, may};
use store::Kept;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::hand_over::answers_for;
use crate::pages::records::{Cell, ListPage, Listed, Pair, RecordSheet, Section};
use crate::pages::recurrences::come_back;
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Empty, Place, Shell, TitleBlock};

pub use tag::TagPage;

/// This noun's addresses.
pub fn routes() -> Router<AppState> {
    Router::new()
        .route("/exhibits", get(list))
        .route("/exhibits/new", get(form::new).post(form::take_in))
        .route("/exhibits/{number}", get(show))
        .route("/exhibits/{number}/tag", get(tag::show))
        .route("/exhibits/{number}/move", get(form::to_move).post(form::move_it))
        .route("/exhibits/{number}/hold", get(form::to_hold).post(form::hold))
        .route("/exhibits/{number}/release", get(form::to_release).post(form::release))
}

/// An exhibit's page.
pub(crate) fn page_of(number: &str) -> String {
    format!("/exhibits/{}", address::segment(number))
}

/// What has to be decided comes first, what ends soonest next, what is gone last.
fn order(exhibit: &Exhibit, today: NaiveDate) -> (Standing, NaiveDate) {
    (exhibit.standing(today), exhibit.hold_until)
}

async fn list(State(state): State<AppState>, signed_in: SignedIn) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let today = state.today();
    let mut all = state.store().list_exhibits().await?;
    all.sort_by_key(|kept| order(&kept.what, today));
    let rows = all.iter().map(|kept| row(kept, today)).collect();
    let page = ListPage::new(
        Shell::inside("Exhibits", &signed_in.0, Place::Instructions),
        "Exhibits",
        "The failed items that were taken in: holds that have ended first, then those that end soonest.",
        (&["Tag", "What", "Report", "Where", "Held until", "State"], rows),
        Empty::rest("No failed item has been taken in. Each report's page has a way to take its item in."),
    );
    state.page(&page)
}

fn row(kept: &Kept<Exhibit>, today: NaiveDate) -> Listed {
    let (what, standing) = (&kept.what, kept.what.standing(today));
    let place = what.place();
    let held = if standing == Standing::Released { String::new() } else { format::date(what.hold_until) };
    let late = (standing == Standing::Overdue)
        .then(|| format!("ended {} ago", format::span(what.hold_until, today)));
    Listed {
        address: page_of(&kept.number),
        number: kept.number.clone(),
        cells: vec![
            Cell::new("What", &what.what),
            Cell::new("Report", &what.report_ref).of("code"),
            match &what.released {
                Some(release) => {
                    Cell::new("Where", &release.to).small(Some(format!("since {}", format::date(release.on))))
                }
                None => Cell::new("Where", place.map(|stay| stay.place.clone()).unwrap_or_default())
                    .small(place.map(|stay| format!("since {}", format::date(stay.since)))),
            },
            Cell::new("Held until", held).of("date").small(late),
            Cell::new("State", standing.word()),
        ],
    }
}

/// Exhibits whose hold has ended, for the desk: the longest ended first.
pub(crate) fn overdue(all: Vec<Kept<Exhibit>>, today: NaiveDate) -> Vec<Kept<Exhibit>> {
    let mut late: Vec<_> =
        all.into_iter().filter(|kept| kept.what.standing(today) == Standing::Overdue).collect();
    late.sort_by_key(|kept| kept.what.hold_until);
    late
}

async fn find(state: &AppState, number: &str) -> Result<(Kept<Exhibit>, Option<String>), AppError> {
    let found = state.store().find_exhibit(number).await?;
    found.ok_or_else(|| AppError::NotFound("There is no exhibit of this tag number.".into()))
}

/// What of its report speaks for keeping an exhibit, by the figures of now.
async fn matter_of(state: &AppState, report_ref: &str) -> Result<Matter, AppError> {
    Ok(state.store().matter_of(report_ref, &come_back(state).await?).await?)
}

async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(number): Path<String>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::ReadField)?;
    let (mut kept, released_by) = find(&state, &number).await?;
    kept.by = answers_for(&state, (HandoverKind::Exhibit, &number), kept.by).await?;
    let matter = matter_of(&state, &kept.what.report_ref).await?;
    state.page(&sheet(&signed_in.0, &kept, (released_by, matter), state.today()))
}

fn sheet(
    actor: &Actor,
    kept: &Kept<Exhibit>,
    (released_by, matter): (Option<String>, Matter),
    today: NaiveDate,
) -> RecordSheet {
    let (what, standing) = (&kept.what, kept.what.standing(today));
    let own = page_of(&kept.number);
    let lead = match (standing, &what.released) {
        (_, Some(release)) => format!("Released to {} on {}.", release.to, format::date(release.on)),
        (Standing::Overdue, None) => format!(
            "Its hold ended on {}, {} ago. Release it, or hold it longer.",
            format::date(what.hold_until),
            format::span(what.hold_until, today)
        ),
        _ => format!("Held until {}.", format::date(what.hold_until)),
    };
    // Who reads no unit's words, as administrators, would be turned away there.
    let reads = may(actor, &Act::ReadUnitReports { unit: "" }).is_ok();
    let mut pairs = vec![
        Pair::new("Report", &what.report_ref).to(reads.then(|| address::report(&what.report_ref))),
        Pair::new("Received", format::date(what.received_on)),
        Pair::new("Held until", format::date(what.hold_until)),
    ];
    pairs.extend(
        matter
            .keeps()
            .filter(|_| what.released.is_none())
            .map(|why| Pair::new("Still needed", format::sentence(why))),
    );
    pairs.extend(what.released.as_ref().map(|release| {
        let by = released_by.as_deref().unwrap_or("somebody");
        Pair::new("Released", format!("{} to {}, by {by}", format::date(release.on), release.to))
    }));
    pairs.extend(
        what.released
            .as_ref()
            .and_then(|release| release.why.as_ref())
            .map(|why| Pair::new("Although needed", why)),
    );
    let places = what.places.iter().rev();
    let places: Vec<String> =
        places.map(|stay| format!("Since {}: {}", format::date(stay.since), stay.place)).collect();
    let block = TitleBlock {
        number: kept.number.clone(),
        title: what.what.clone(),
        revision: "none".into(),
        state: standing.word().to_owned(),
        owner: kept.by.clone(),
        dates: vec![("Taken in".into(), format::date(kept.at.date_naive()))],
        sheet: "1 of 1".into(),
    };
    let shell = Shell::inside(format!("Exhibit {}", kept.number), actor, Place::Instructions);
    let mut steps = vec![("Print its tag", format!("{own}/tag"))];
    if what.released.is_none() && may(actor, &Act::KeepExhibits).is_ok() {
        steps.push(("Say where it is now", format!("{own}/move")));
        steps.push(("Hold it longer", format!("{own}/hold")));
        steps.push(("Release it", format!("{own}/release")));
    }
    RecordSheet::new(shell, format!("Exhibit {}", kept.number), lead, block)
        .section(Section::words("What it is", &what.what))
        .section(Section::pairs("Where from and until when", pairs))
        .section(Section::words("Where it was and is", &places.join("\n")))
        .steps(steps)
}
