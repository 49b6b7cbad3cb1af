//! What instructions and variances have in common: what they are about, which of them bear on a lot, their end.

pub(crate) mod orders;
#[cfg(test)]
mod tests;

use axum::response::{IntoResponse as _, Redirect, Response};
use chrono::NaiveDate;
use domain::concerned::{Concerned, lot_numbers};
use domain::field::{Field, LotId, PartId};
use domain::instruction::{Holds, Instruction, InstructionKind};
use domain::permission::Actor;
use domain::variance::Variance;
use serde::Serialize;
use store::Kept;

use crate::address;
use crate::error::AppError;
use crate::format;
use crate::pages::records::{FormPage, Pair, Reading, Sent, kept};
use crate::pages::recurrences::part_name;
use crate::state::AppState;
use crate::tongue::Tongue;
use crate::view::{Ask, Faults, Place, Shell};

pub(crate) use orders::Order;

/// What it is about, in words: the part, the maker, the lots.
pub(crate) fn concerns(tongue: Tongue, concerned: &Concerned) -> String {
    let of_maker = concerned
        .maker
        .as_deref()
        .map(|maker| format!(" {}", tongue.with("instruction-by", &[("maker", maker.into())])));
    let numbers: Vec<&str> = concerned.lots.iter().map(String::as_str).collect();
    format!("{}{}, {}", concerned.part_no, of_maker.unwrap_or_default(), lot_words(tongue, &numbers))
}

/// ... for a unit, which knows parts by their names.
pub(crate) fn plainly(tongue: Tongue, field: Option<&Field>, concerned: &Concerned) -> String {
    let known = field.and_then(|field| Some((field, field.part_names.find(&concerned.part_no)?)));
    let name = known.map(|(field, part)| format!("{}, ", part_name(field, part)));
    format::titled(&format!("{}{}", name.unwrap_or_default(), concerns(tongue, concerned)))
}

/// `lots TB-0418, TB-0419`; every lot where none is named.
fn lot_words(tongue: Tongue, numbers: &[&str]) -> String {
    let key = match numbers.len() {
        0 => "instruction-every-lot",
        1 => "instruction-one-lot",
        _ => "instruction-some-lots",
    };
    tongue.with(key, &[("lots", numbers.join(", ").into())])
}

/// `Rescue carrier, RC-100`: a unit knows items by their names, and finds the number on the label.
fn item_words(field: &Field, item: PartId) -> String {
    format::titled(&format!("{}, {}", part_name(field, item), &field.part_names[item]))
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
    /// What it is about: on a recurrence it may be one lot of the item, on a lot a part that it holds.
    about: String,
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
}

fn of_instruction(kept: &Kept<Instruction>) -> Bearing {
    let what = &kept.what;
    Bearing {
        address: format!("/instructions/{}", address::segment(&kept.number)),
        number: kept.number.clone(),
        what: what.kind.order().to_owned(),
        about: concerns(Tongue::ENGLISH, &what.concerned),
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
        about: concerns(Tongue::ENGLISH, &what.concerned),
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
            about: "RC-100 by Harbour Loft, lot TB-0418".into(),
            words: "Hand it in.".into(),
            days: "3 Mar 2026 until withdrawn".into(),
            harm,
        };
        vec![one(true), one(false)]
    }
}
