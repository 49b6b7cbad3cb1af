//! What instructions and variances have in common: what they are about, which of them bear on a lot, their end.

#[cfg(test)]
mod tests;

use axum::response::{IntoResponse as _, Redirect, Response};
use chrono::NaiveDate;
use domain::analysis::Holders;
use domain::concerned::{Concerned, lot_numbers};
use domain::field::{Field, LotId, Stock};
use domain::instruction::{Holds, Instruction, InstructionKind};
use domain::permission::Actor;
use domain::variance::Variance;
use serde::Serialize;
use store::Kept;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::records::{Faults, FormPage, Pair, Reading, Sent, kept};
use crate::pages::recurrences::part_name;
use crate::pages::replies::form_of;
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::{Ask, Place, Shell};

/// What it is about, in words: the part, the maker, the lots.
pub(crate) fn concerns(tongue: Tongue, concerned: &Concerned) -> String {
    let of_maker = concerned
        .maker
        .as_deref()
        .map(|maker| format!(" {}", tongue.with("instruction-by", &[("maker", maker.into())])));
    let key = match concerned.lots.len() {
        0 => "instruction-every-lot",
        1 => "instruction-one-lot",
        _ => "instruction-some-lots",
    };
    let lots = tongue.with(key, &[("lots", concerned.lots.join(", ").into())]);
    format!("{}{}, {lots}", concerned.part_no, of_maker.unwrap_or_default())
}

/// ... for a unit, which knows parts by their names.
fn plainly(tongue: Tongue, field: Option<&Field>, concerned: &Concerned) -> String {
    let known = field.and_then(|field| Some((field, field.part_names.find(&concerned.part_no)?)));
    let name = known.map(|(field, part)| format!("{}, ", part_name(field, part)));
    format::titled(&format!("{}{}", name.unwrap_or_default(), concerns(tongue, concerned)))
}

/// The fields that say what it is about.
pub(crate) fn ask_concerned(form: FormPage, sent: &Sent) -> FormPage {
    form.ask(Ask::text("part_no", "Part number", sent.get("part_no")).code().required())
        .ask(
            Ask::text("maker", "Maker", sent.get("maker"))
                .hint("Only where it is about the lots of one maker"),
        )
        .ask(
            Ask::lines("lots", "Lot numbers", sent.get("lots"))
                .hint("With blanks or line ends between; left empty, the whole part is meant"),
        )
}

/// ... and what was written there.
pub(crate) fn read_concerned(reading: &Reading<'_>) -> Concerned {
    Concerned {
        part_no: reading.text("part_no"),
        maker: reading.optional("maker"),
        lots: lot_numbers(&reading.text("lots")),
    }
}

/// Days it holds, in words.
pub(crate) fn days(tongue: Tongue, from: NaiveDate, to: Option<NaiveDate>) -> String {
    let from = ("from", tongue.date(from).into());
    match to {
        Some(to) => tongue.with("instruction-until", &[from, ("to", tongue.date(to).into())]),
        None => tongue.with("instruction-until-withdrawn", &[from]),
    }
}

/// The change that it is tied to.
pub(crate) fn change_pair(change_no: Option<&String>) -> Option<Pair> {
    change_no.map(|no| Pair::new("Change", no).to(Some(address::change(no))))
}

/// The form to withdraw one.
pub(crate) fn withdraw_form(
    actor: &Actor,
    (noun, number): (&str, &str),
    base: &str,
    sent: &Sent,
    faults: Faults,
) -> FormPage {
    let shell = Shell::inside(format!("Withdraw {number}"), actor, Place::Instructions);
    let heading = format!("Withdraw {noun} {number}");
    FormPage::new(shell, heading, (format!("{base}/withdraw"), "Withdraw it"), faults)
        .about(format!("{} {number}", format::titled(noun)), base)
        .says("From today on it no longer holds. It stays to be read.")
        .ask(Ask::lines("why", "Why", sent.get("why")).required())
}

/// Where a withdrawal leads: to what was withdrawn, or to the form again with what is wrong.
pub(crate) fn withdrawn(
    state: &AppState,
    actor: &Actor,
    of: (&str, &str),
    base: &str,
    sent: &Sent,
    done: store::Result<()>,
) -> Result<Response, AppError> {
    match kept(done)? {
        Ok(()) => Ok(Redirect::to(base).into_response()),
        Err(faults) => withdraw_form(actor, of, base, sent, faults).refuse(state),
    }
}

/// One instruction or variance that holds today, as the page of a lot says it.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Bearing {
    address: String,
    number: String,
    what: String,
    words: String,
    days: String,
    harm: bool,
}

/// Everything that holds today.
pub(crate) struct Interim {
    instructions: Vec<Kept<Instruction>>,
    variances: Vec<Kept<Variance>>,
}

impl Interim {
    /// What holds on a day.
    pub(crate) async fn on(state: &AppState, today: NaiveDate) -> Result<Self, AppError> {
        let (mut instructions, mut variances) =
            (state.store().list_instructions().await?, state.store().list_variances().await?);
        instructions.retain(|kept| kept.what.holds(today) == Holds::Now);
        variances.retain(|kept| kept.what.holds(today) == Holds::Now);
        Ok(Self { instructions, variances })
    }

    /// What bears on a lot, what could hurt somebody first.
    pub(crate) fn on_lot(&self, field: &Field, lot: LotId) -> Vec<Bearing> {
        let instructions = self.instructions.iter().filter(|kept| kept.what.concerned.bears_on(field, lot));
        let variances = self.variances.iter().filter(|kept| kept.what.concerned.bears_on(field, lot));
        let mut bearing: Vec<Bearing> =
            instructions.map(of_instruction).chain(variances.map(of_variance)).collect();
        bearing.sort_by_key(|one| !one.harm);
        bearing
    }

    /// Instructions tied to a recurrence, and those about its part that are tied to none.
    pub(crate) fn on_recurrence(&self, part_no: &str, mode: &str) -> Vec<Bearing> {
        let tied = |kept: &&Kept<Instruction>| {
            let what = &kept.what;
            what.recurrence
                .as_ref()
                .map_or(what.concerned.part_no == part_no, |(part, with)| part == part_no && with == mode)
        };
        self.instructions.iter().filter(tied).map(of_instruction).collect()
    }

    /// What a unit must know of the lots it holds: every instruction that bears on one of them, stop-use first.
    pub(crate) fn for_lots(&self, tongue: Tongue, field: &Field, lots: &[LotId]) -> Vec<Order> {
        let mut orders: Vec<Order> = Vec::new();
        for kept in &self.instructions {
            let on = lots.iter().copied().filter(|&lot| kept.what.concerned.bears_on(field, lot));
            let numbers: Vec<&str> = on.map(|lot| &*field.lots[lot].lot_no).collect();
            if !numbers.is_empty() {
                let key = if numbers.len() == 1 { "instruction-lot" } else { "instruction-lots" };
                let on = tongue.with(key, &[("lots", numbers.join(", ").into())]);
                orders.push(Order::new(tongue, kept, on));
            }
        }
        orders.sort_by_key(|order| !order.harm);
        orders
    }

    /// What a unit must know of an item whose lot isn't known: no instruction about the item or about a part it holds can
    /// be ruled out.
    pub(crate) fn for_item(&self, tongue: Tongue, field: &Field, item_part_no: &str) -> Vec<Order> {
        let item = field.part_names.find(item_part_no);
        let holds = |concerned: &Concerned| {
            item.zip(field.part_names.find(&concerned.part_no)).is_some_and(|(item, part)| {
                item == part || Holders::of_part(field, part).has_stock(field, Stock::Unknown(item, None))
            })
        };
        self.orders(tongue, Some(field), holds)
    }

    /// Everything that units are told today, for when nobody can say what a unit holds.
    pub(crate) fn for_everybody(&self, tongue: Tongue, field: Option<&Field>) -> Vec<Order> {
        self.orders(tongue, field, |_| true)
    }

    fn orders(
        &self,
        tongue: Tongue,
        field: Option<&Field>,
        wanted: impl Fn(&Concerned) -> bool,
    ) -> Vec<Order> {
        let found = self.instructions.iter().filter(|kept| wanted(&kept.what.concerned));
        let mut orders: Vec<Order> = found
            .map(|kept| Order::new(tongue, kept, plainly(tongue, field, &kept.what.concerned)))
            .collect();
        orders.sort_by_key(|order| !order.harm);
        orders
    }
}

/// What a unit is told to do with what it holds.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Order {
    number: String,
    /// Where the unit replies; nothing where nobody can tell which unit reads.
    reply: Option<String>,
    says: String,
    on: String,
    words: String,
    harm: bool,
}

impl Order {
    fn new(tongue: Tongue, kept: &Kept<Instruction>, on: String) -> Self {
        let what = &kept.what;
        Self {
            number: kept.number.clone(),
            reply: None,
            says: tongue.word("order", what.kind),
            on,
            words: what.words.clone(),
            harm: what.kind == InstructionKind::StopUse,
        }
    }

    /// The same for a unit that replies, on its own page.
    pub(crate) fn replied_from(self, own_page: &str) -> Self {
        Self { reply: Some(form_of(own_page, &self.number)), ..self }
    }

    /// One of each kind, for samples.
    pub(crate) fn samples() -> Vec<Self> {
        let one = |harm: bool| Self {
            number: "I-2026-001".into(),
            reply: harm.then(|| "/unit/x/instructions/I-2026-001".into()),
            says: "Stop using it".into(),
            on: "Lot TB-0418".into(),
            words: "Hand it in.".into(),
            harm,
        };
        vec![one(true), one(false)]
    }
}

fn of_instruction(kept: &Kept<Instruction>) -> Bearing {
    let what = &kept.what;
    Bearing {
        address: format!("/instructions/{}", address::segment(&kept.number)),
        number: kept.number.clone(),
        what: what.kind.order().to_owned(),
        words: what.words.clone(),
        days: days(Tongue::ENGLISH, what.from, what.to),
        harm: what.kind == InstructionKind::StopUse,
    }
}

fn of_variance(kept: &Kept<Variance>) -> Bearing {
    let what = &kept.what;
    Bearing {
        address: format!("/variances/{}", address::segment(&kept.number)),
        number: kept.number.clone(),
        what: format!("{} variance", format::titled(what.class().word())),
        words: what.departure.clone(),
        days: days(Tongue::ENGLISH, what.from, what.expires),
        harm: false,
    }
}

impl Bearing {
    /// One of each kind, for samples.
    pub(crate) fn samples() -> Vec<Self> {
        let one = |harm| Self {
            address: "/instructions/I-2026-001".into(),
            number: "I-2026-001".into(),
            what: "Stop using it".into(),
            words: "Hand it in.".into(),
            days: "3 Mar 2026 until withdrawn".into(),
            harm,
        };
        vec![one(true), one(false)]
    }
}
