//! `/lots/{lot_no}/condition`: sets the condition of a lot in stock, or of a part of it.

use axum::extract::{Form, Path, Query, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use domain::field::{Field, LotId};
use domain::lot_condition::{LotCondition, Scope, StockCondition};
use domain::permission::{Act, Actor};

use super::{Of, find};
use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::records::{FormPage, Reading, Sent, kept};
use crate::security::SignedIn;
use crate::state::AppState;
use crate::view::{Ask, Choice, Choices, Faults, Place, Shell};

const SCOPES: [(&str, &str); 3] =
    [("whole", "the whole lot"), ("unit", "what one unit holds"), ("quantity", "so many items")];

fn form(actor: &Actor, field: &Field, id: LotId, sent: &Sent, faults: Faults) -> FormPage {
    let lot_no = &field.lots[id].lot_no;
    let conditions = StockCondition::ALL.iter().map(|condition| {
        let word = condition.word();
        Choice::new(word, format::titled(word), sent.get("condition") == word)
    });
    let scopes =
        SCOPES.map(|(word, says)| Choice::new(word, format::titled(says), sent.get("scope") == word));
    let shell = Shell::inside(format!("Condition of lot {lot_no}"), actor, Place::Lots);
    let action = (address::of_lot(field, id, "condition"), "Set it");
    FormPage::new(shell, "Set the condition in stock", action, faults)
        .about(format!("Lot {lot_no}"), address::lot(field, id))
        .says("The conditions before stay in its history. On papers that leave the house a lot is suspected nonconforming, never bad.")
        .choices(Choices::one("condition", "Condition", conditions.collect()))
        .choices(Choices::one("scope", "Of", scopes.into()))
        .ask(Ask::text("unit", "Unit", sent.get("unit")).code().hint("Only where it is about what one unit holds"))
        .ask(Ask::of_kind("number", "quantity", "Items", sent.get("quantity")).hint("Only where it is about so many items"))
        .ask(Ask::of_kind("date", "on", "Since", sent.get("on")).required())
        .ask(Ask::text("authority", "By whose authority", sent.get("authority")).required())
        .ask(Ask::lines("reason", "Why", sent.get("reason")).required())
}

pub(super) async fn show(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(of): Query<Of>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::JudgeLot)?;
    let picture = state.picture().await?;
    let id = find(&picture.field, &lot_no, of.maker.as_deref())?;
    let begin = Sent::with([("scope", "whole".into()), ("on", state.today().to_string())]);
    state.page(&form(&signed_in.0, &picture.field, id, &begin, Faults::default()))
}

fn read(field: &Field, id: LotId, sent: &Sent) -> Result<LotCondition, Faults> {
    let mut reading = Reading::of(sent);
    let (condition, on, quantity) =
        (reading.word("condition"), reading.needed_day("on"), reading.count("quantity"));
    let scope = match sent.get("scope") {
        "whole" => Some(Scope::Whole),
        "unit" if field.unit_names.find(sent.get("unit")).is_none() => {
            reading.wrong("unit", "no unit in the books has this code");
            None
        }
        "unit" => Some(Scope::Unit(reading.text("unit"))),
        "quantity" => Some(Scope::Quantity(quantity.unwrap_or_default())),
        _ => {
            reading.wrong("scope", "choose one of these");
            None
        }
    };
    let lot = &field.lots[id];
    let read = condition.zip(scope).map(|(condition, scope)| LotCondition {
        lot_no: lot.lot_no.to_string(),
        maker: lot.maker.map(|maker| field.makers[maker].to_owned()),
        condition,
        on,
        authority: reading.text("authority"),
        scope,
        reason: reading.text("reason"),
    });
    reading.end(read)
}

pub(super) async fn set(
    State(state): State<AppState>,
    signed_in: SignedIn,
    Path(lot_no): Path<String>,
    Query(of): Query<Of>,
    Form(sent): Form<Sent>,
) -> Result<Response, AppError> {
    signed_in.may(&Act::JudgeLot)?;
    let picture = state.picture().await?;
    let id = find(&picture.field, &lot_no, of.maker.as_deref())?;
    let set = match read(&picture.field, id, &sent) {
        Ok(entry) => kept(state.store().set_lot_condition(&signed_in.0, state.now(), &entry).await)?,
        Err(faults) => Err(faults),
    };
    match set {
        Ok(()) => Ok(Redirect::to(&address::lot(&picture.field, id)).into_response()),
        Err(faults) => form(&signed_in.0, &picture.field, id, &sent, faults).refuse(&state),
    }
}
