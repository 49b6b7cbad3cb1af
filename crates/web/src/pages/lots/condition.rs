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

/// How much of the lot, each with its label; the field that one asks for has its name.
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
    let lot = &field.lots[id];
    let (condition, on, quantity) =
        (reading.word("condition"), reading.needed_day("on"), reading.count("quantity"));
    check_beside(&mut reading, sent);
    if let (Some(quantity), Some(made)) = (quantity, lot.quantity)
        && quantity > made
    {
        let items = format::counted(made.into(), "item", "items");
        reading.wrong("quantity", &format!("the lot has {items} on record: write how many of them"));
    }
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
    let reason = reading.words("reason");
    let read = condition.zip(scope).map(|(condition, scope)| LotCondition {
        lot_no: lot.lot_no.to_string(),
        maker: lot.maker.map(|maker| field.makers[maker].to_owned()),
        condition,
        on,
        authority: reading.text("authority"),
        scope,
        reason,
    });
    reading.end(read)
}

/// What is filled for another scope than the chosen one would be dropped, and more of the lot held or released than was meant.
fn check_beside(reading: &mut Reading<'_>, sent: &Sent) {
    let chosen = sent.get("scope");
    if SCOPES.iter().all(|(word, _)| *word != chosen) {
        return;
    }
    for (word, says) in SCOPES {
        if word != chosen && !sent.get(word).is_empty() {
            let says = format::titled(says);
            reading.wrong(word, &format!("choose \u{201c}{says}\u{201d} above, or leave this empty"));
        }
    }
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

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::permission::Role;

    use crate::testing::books::{bring_in, signed_in};
    use crate::testing::{post, service, state, text};

    #[tokio::test]
    async fn what_is_filled_for_another_part_of_the_lot_sets_nothing() {
        let state = state().await;
        bring_in(&state).await;
        let service = service(&state);
        let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
        let send = async |more: &str| {
            let form = format!("condition=on+hold&on=2026-03-03&authority=Chief&{more}");
            let answer = post(&service, "/lots/TB-0418/condition", &fell, &form).await;
            (answer.status(), text(answer).await)
        };
        let (unit, quantity) = (
            "Choose \u{201c}What one unit holds\u{201d} above, or leave this empty.",
            "Choose \u{201c}So many items\u{201d} above, or leave this empty.",
        );
        let long = format!("scope=whole&reason={}", "x".repeat(4001));
        for (sent, told) in [
            ("scope=whole&unit=COVE-2&quantity=5&reason=Tubes", vec![unit, quantity]),
            ("scope=unit&unit=COVE-2&quantity=5&reason=Tubes", vec![quantity]),
            ("scope=quantity&unit=COVE-2&quantity=5&reason=Tubes", vec![unit]),
            (
                "scope=quantity&quantity=401&reason=Tubes",
                vec!["The lot has 400 items on record: write how many of them."],
            ),
            (long.as_str(), vec!["This is too long: use up to 4,000 letters."]),
        ] {
            let (status, page) = send(sent).await;
            assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{sent}");
            for says in told {
                assert!(page.contains(says), "{sent}: {says} in {page}");
            }
        }
        let kept = async || state.store().list_lot_conditions().await.unwrap().len();
        assert_eq!(kept().await, 0);
        let (status, _) = send("scope=quantity&quantity=400&reason=Tubes").await;
        assert_eq!((status, kept().await), (StatusCode::SEE_OTHER, 1));
    }
}
