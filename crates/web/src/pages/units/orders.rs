//! What a unit is told to do with what it holds, for its own page and for the desk of its people.

use domain::ledger::Held;
use domain::reply::{Reply, is_whole};

use crate::error::AppError;
use crate::pages::interim::{Interim, Order};
use crate::state::AppState;
use crate::tongue::Tongue;

/// Every order to a unit, replied to on its own page. Before there is a picture, and where no record says what it holds,
/// the unit is told everything rather than nothing.
pub(crate) async fn orders_of(
    state: &AppState,
    tongue: Tongue,
    (unit, own_page): (&str, &str),
) -> Result<Vec<Order>, AppError> {
    let orders = told(state, tongue, unit).await?;
    Ok(orders.into_iter().map(|order| order.replied_from(own_page)).collect())
}

async fn told(state: &AppState, tongue: Tongue, unit: &str) -> Result<Vec<Order>, AppError> {
    let interim = Interim::on(state, state.today()).await?;
    let picture = match state.picture().await {
        Ok(picture) => picture,
        Err(AppError::NotYet(_)) => return Ok(interim.for_everybody(tongue, None)),
        Err(error) => return Err(error),
    };
    let of_unit = picture.field.unit_names.find(unit);
    let own = |held: &&Held| of_unit.is_some() && held.unit == of_unit && held.quantity > 0;
    let ledger = &picture.analysis.ledger;
    let held: Vec<&Held> = ledger.held.iter().filter(own).collect();
    Ok(if held.is_empty() {
        interim.for_everybody(tongue, Some(&picture.field))
    } else {
        interim.for_held(tongue, &picture.field, ledger, &held)
    })
}

/// Of these, the orders that the unit has not answered for every lot it holds.
pub(crate) async fn unreplied(
    state: &AppState,
    unit: &str,
    orders: Vec<Order>,
) -> Result<Vec<Order>, AppError> {
    let mut open = Vec::new();
    for order in orders {
        let said = state.store().replies_to_instruction(&order.number).await?;
        let own: Vec<&Reply> = said.replies.iter().filter(|reply| reply.unit == unit).collect();
        let lots: Vec<&str> = order.lots.iter().map(String::as_str).collect();
        if !is_whole(&lots, order.of_no_lot, &own) {
            open.push(order);
        }
    }
    Ok(open)
}
