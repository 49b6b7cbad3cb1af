//! Mail to the units that hold what an order to stop using is about, where the books have an address of theirs.

use domain::field::Field;
use domain::instruction::{Holds, Instruction, InstructionKind};
use domain::mail_address::MailAddress;
use domain::permission::Actor;
use domain::reply::{Asked, asked};
use domain::unit::Unit;
use serde::Serialize;
use store::{Kept, NewMail};

use crate::error::AppError;
use crate::pages::interim::orders::{of_lots, of_no_lot};
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
    /// What the unit holds of it, as labels say it; nothing where no lot of it is known.
    items: Option<String>,
    /// How many items it holds whose lot isn't known; nothing where there is none.
    unknown: Option<String>,
    days: String,
}

impl Part {
    fn of(tongue: Tongue, field: &Field, what: &Instruction, asked: &Asked) -> Self {
        Self {
            tongue,
            order: tongue.word("order", what.kind),
            concerns: plainly(tongue, Some(field), &what.concerned),
            items: of_lots(tongue, field, asked),
            unknown: of_no_lot(tongue, asked),
            days: days(tongue, what.from, what.to),
        }
    }
}

/// Mails every order to stop using that holds today to the units that hold what it is about, once a unit, and says how many
/// mails that makes. It is asked again and again, so that a unit that gets such a lot later is told as well.
///
/// # Errors
/// A failure of the store, or that there are no figures yet.
pub(crate) async fn queue_all(state: &AppState) -> Result<usize, AppError> {
    let today = state.today();
    let mut orders = state.store().list_instructions().await?;
    orders.retain(|kept| kept.what.kind == InstructionKind::StopUse && kept.what.holds(today) == Holds::Now);
    if orders.is_empty() {
        return Ok(0);
    }
    let units = state.store().list_units().await?;
    let mut written = 0;
    for order in &orders {
        written += queue(state, order, &units).await?;
    }
    Ok(written)
}

/// The mails of one order that were not written yet.
///
/// # Errors
/// As [`queue_all`].
async fn queue(state: &AppState, kept: &Kept<Instruction>, units: &[Unit]) -> Result<usize, AppError> {
    let picture = state.picture().await?;
    let (field, ledger, what) = (&picture.field, &picture.analysis.ledger, &kept.what);
    let key = format!("instruction {} ", kept.number);
    let written = state.store().mail_keys(&key).await?;
    let mut mails = Vec::new();
    for (unit, asked) in asked(field, ledger, &ledger.held, &what.concerned) {
        let code = &field.unit_names[unit];
        let key = format!("{key}{code}");
        let address =
            units.iter().find(|unit| unit.unit == code).and_then(|unit| unit.contact_email.as_deref());
        let Some(to) = address.and_then(|address| MailAddress::parse(address).ok()) else { continue };
        if written.contains(&key) {
            continue;
        }
        let part = |tongue| Part::of(tongue, field, what, &asked);
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
            key,
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
    use crate::testing::{get, post, service, small_books, state, text};

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

    /// No label of forty carriers is on record: any may be of the lot, though the unit's other items surely are not.
    #[tokio::test]
    async fn items_of_no_known_lot_are_told_of_an_order_by_mail_on_the_units_page_and_to_the_engineer() {
        let state = state().await;
        small_books::bring_in(&state).await;
        small_books::bring_in_of_no_lot(&state).await;
        let service = service(&state);
        let fell = signed_in(&state, &service, "fell", Role::Engineer, None).await;
        let ridge = signed_in(&state, &service, "ridge", Role::UnitReporter, Some("RIDGE-1")).await;
        let order =
            "kind=stop+use&part_no=RC-100&lots=TB-0418&from=2026-03-01&words=Hand+it+in.&authority=Fell";
        let given = post(&service, "/instructions/new", &fell, order).await;
        assert_eq!(given.status(), StatusCode::SEE_OTHER);
        let mails = state.store().take_mail(state.now(), 9).await.expect("taken");
        assert_eq!(
            mails.iter().map(|one| one.mail.to.as_str()).collect::<Vec<_>>(),
            ["ridge@rescue.example"]
        );
        let said = &mails[0].mail.text;
        assert!(said.contains("you hold 40 items of this kind whose lot we don't know"), "{said}");
        let own = text(get(&service, "/unit", &ridge).await).await;
        assert!(own.contains("If your label says TB-0418: stop using it"), "{own}");
        let form = text(get(&service, "/unit/instructions/I-2026-001", &ridge).await).await;
        assert!(form.contains("40 items of this kind") && form.contains("All that you hold of it"), "{form}");
        let list = text(get(&service, "/instructions/I-2026-001/replies", &fell).await).await;
        assert!(list.contains("RIDGE-1") && list.contains("0 of 2 units have complied."), "{list}");
    }
}
