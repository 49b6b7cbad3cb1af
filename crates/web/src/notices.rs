//! Mail to the units that hold what an order to stop using is about, where the books have an address of theirs.

use domain::field::{Field, LotId};
use domain::instruction::{Holds, Instruction, InstructionKind};
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use domain::reply::asked;
use serde::Serialize;
use store::{Kept, NewMail};

use crate::error::AppError;
use crate::pages::interim::orders::by_item;
use crate::pages::interim::{days, plainly};
use crate::state::AppState;
use crate::tongue::Tongue;

/// What the mail says.
#[derive(Serialize)]
struct Words {
    subject: String,
    number: String,
    unit: String,
    /// What is said in each language, for nobody knows which the unit reads.
    parts: Vec<Part>,
    says: String,
    authority: String,
}

/// What differs between languages.
#[derive(Serialize)]
struct Part {
    tongue: Tongue,
    order: String,
    concerns: String,
    /// What the unit holds of it, as labels say it.
    items: String,
    days: String,
}

impl Part {
    fn of(tongue: Tongue, field: &Field, what: &Instruction, held: &[LotId]) -> Self {
        Self {
            tongue,
            order: tongue.word("order", what.kind),
            concerns: plainly(tongue, Some(field), &what.concerned),
            items: by_item(tongue, field, held),
            days: days(tongue, what.from, what.to),
        }
    }
}

/// Mails every order to stop using that holds today to the units that hold its lots, once a unit, and says how many mails
/// that makes. It is asked again and again, so that a unit that gets such a lot later is told as well.
///
/// # Errors
/// A failure of the store, or that there are no figures yet.
pub(crate) async fn queue_all(state: &AppState) -> Result<usize, AppError> {
    let today = state.today();
    let mut orders = state.store().list_instructions().await?;
    orders.retain(|kept| kept.what.kind == InstructionKind::StopUse && kept.what.holds(today) == Holds::Now);
    let mut written = 0;
    for order in &orders {
        written += queue(state, order).await?;
    }
    Ok(written)
}

/// The same of one order.
///
/// # Errors
/// As [`queue_all`].
async fn queue(state: &AppState, kept: &Kept<Instruction>) -> Result<usize, AppError> {
    let picture = state.picture().await?;
    let (field, what) = (&picture.field, &kept.what);
    let units = state.store().list_units().await?;
    let mut mails = Vec::new();
    for (unit, lots) in asked(field, &picture.analysis.ledger, &what.concerned) {
        let code = &field.unit_names[unit];
        let address =
            units.iter().find(|unit| unit.unit == code).and_then(|unit| unit.contact_email.as_deref());
        let Some(to) = address.and_then(|address| MailAddress::parse(address).ok()) else { continue };
        let held: Vec<LotId> = lots.keys().copied().collect();
        let part = |tongue| Part::of(tongue, field, what, &held);
        let parts: Vec<Part> = Tongue::all().into_iter().map(part).collect();
        let orders: Vec<&str> = parts.iter().map(|part| part.order.as_str()).collect();
        let words = Words {
            subject: format!("{}: {} {}", orders.join(" / "), what.concerned.part_no, kept.number),
            number: kept.number.clone(),
            unit: code.to_owned(),
            parts,
            says: what.words.clone(),
            authority: what.authority.clone(),
        };
        let (text, html) = state.templates().mail("notice", &words)?;
        mails.push(NewMail {
            key: format!("instruction {} {code}", kept.number),
            to: to.as_str().to_owned(),
            subject: words.subject,
            text,
            html,
            is_personal: true,
            stop_url: None,
        });
    }
    Ok(state.store().queue_mail(&Actor::Program, state.now(), &mails).await?)
}

#[cfg(test)]
mod tests {
    use axum::http::StatusCode;
    use domain::permission::Role;

    use crate::testing::books::{bring_in, signed_in};
    use crate::testing::{post, service, state};

    #[tokio::test]
    async fn an_order_to_stop_using_is_mailed_once_to_the_units_that_hold_its_lots() {
        let state = state().await;
        bring_in(&state).await;
        let service = service(&state);
        let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
        let order = |kind: &str, lot: &str| {
            format!(
                "kind={kind}&part_no=RC-100&lots={lot}&from=2026-03-03&words=Hand+it+in.&authority=Oda+Fell"
            )
        };
        for (kind, lot) in [("stop+use", "TB-0418"), ("stop+use", "TB-0481"), ("inspect", "TB-0418")] {
            let given = post(&service, "/instructions/new", &fell, &order(kind, lot)).await;
            assert_eq!(given.status(), StatusCode::SEE_OTHER);
        }
        assert_eq!(super::queue_all(&state).await.expect("asked again"), 0);
        // The ridge team, which holds the other lot, gave no address; an inspection is read on the unit's page.
        let mails = state.store().take_mail(state.now(), 9).await.expect("taken");
        assert_eq!(mails.iter().map(|one| one.mail.to.as_str()).collect::<Vec<_>>(), ["cove@rescue.example"]);
        let fate = &state.store().latest_mail(1).await.expect("read")[0];
        assert!(fate.is_order, "the outbox knows it as one that goes before the rest");
        let said = &mails[0].mail.text;
        assert!(
            said.contains("to COVE-2: Rescue carrier, RC-100, lot TB-0418,") && said.contains("Hand it in."),
            "{said}"
        );
        assert!(
            said.contains("you hold of it: Rescue carrier, RC-100, lot TB-0418.")
                && said.contains("Oda Fell"),
            "{said}"
        );
        assert!(said.contains("Nicht mehr benutzen") && said.contains("jusqu’à nouvel ordre"), "{said}");
        assert!(mails[0].mail.html.contains(r#"<section lang="fr">"#), "{}", mails[0].mail.html);
    }
}
