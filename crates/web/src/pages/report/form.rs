//! The report form as a page: questions in plain words, answers kept.

use domain::caution::Caution as C;
use domain::permission::Actor;
use domain::report::{Altered, FoundWhen, Harm, ItemFate, LotKnown};
use domain::unit::{Unit, UnitKind};
use serde::Serialize;

use super::answers::Answers;
use super::door::Door;
use super::install;
use super::plain;
use crate::templates::Page;
use crate::view::{Ask, Caution, Choice, Choices, Problem, Select, Shell};

/// The form.
#[derive(Serialize)]
pub struct ReportForm {
    shell: Shell,
    unit: Option<String>,
    units: Option<Select>,
    own_page: Option<String>,
    action: String,
    if_hurt: Vec<Caution>,
    cautions: Vec<Caution>,
    more_open: bool,
    client_key: String,
    mark: String,
    /// The folder of the label reader.
    reader: String,
    /// Where the worker stands that opens the form without signal; nothing where somebody is signed in.
    worker: Option<&'static str>,
    problems: Vec<Problem>,
    story: Ask,
    harm: Choices,
    item: Choices,
    part: Select,
    size: Select,
    lot_known: Choices,
    lot_text: Ask,
    maker: Ask,
    serial: Ask,
    found_when: Choices,
    found_on: Ask,
    worn: Ask,
    worn_unit: Select,
    altered: Choices,
    altered_by: Ask,
    fate: Choices,
    quantity: Ask,
    activity: Ask,
    photo: Option<Problem>,
}

/// Questions that always stand open, in the order of the form; the others unfold below them.
const STANDS_OPEN: [&str; 8] = ["unit", "story", "harm", "item", "part", "lot_known", "lot_text", "photo"];

/// Where a problem's question stands among those.
fn place(problem: &Problem) -> usize {
    STANDS_OPEN.iter().position(|id| problem.is_of(id)).unwrap_or(STANDS_OPEN.len())
}

/// What the form offers: the items that are issued and their parts.
#[derive(Clone, Debug, Default)]
pub struct Offer {
    /// Items with their parts, by number and plain name.
    pub items: Vec<OfferedItem>,
    /// Sizes of all of them.
    pub sizes: Vec<String>,
}

/// One item on offer.
#[derive(Clone, Debug)]
pub struct OfferedItem {
    /// Its part number.
    pub part_no: String,
    /// Its name in plain words.
    pub name: String,
    /// Its parts, by number and plain name.
    pub parts: Vec<(String, String)>,
}

/// Everything a form is filled from.
pub struct Filled<'a> {
    /// By which door it is opened.
    pub door: &'a Door,
    /// The units to choose from, where the sender chooses.
    pub units: &'a [Unit],
    /// What it offers.
    pub offer: &'a Offer,
    /// Answers of an earlier try.
    pub answers: &'a Answers,
    /// What was wrong with them.
    pub problems: Vec<Problem>,
}

impl ReportForm {
    /// A form with the answers and problems of an earlier try.
    pub fn new(filled: Filled<'_>) -> Self {
        let Filled { door, units, offer, answers: a, mut problems } = filled;
        problems.sort_by_key(place);
        let wrong = |id: &str| problems.iter().find(|p| p.is_of(id)).map(|p| p.says().to_owned());
        let text = |id, label: &str, typed: &str| Ask::text(id, label, typed).problem(wrong(id));
        let one = |id, label: &str, options| Choices::one(id, label, options).problem(wrong(id));
        let select = |id: &'static str, label, nothing, groups| {
            Select::new(id, label, nothing, groups).problem(wrong(id))
        };
        let items =
            offer.items.iter().map(|i| Choice::new(&i.part_no, &i.name, i.part_no == a.item)).collect();
        let sizes = offer.sizes.iter().map(|s| Choice::new(s, s, *s == a.size)).collect();
        let spans = ["weeks", "months", "years"].map(|u| Choice::new(u, u, u == a.worn_unit)).into();
        Self {
            shell: shell(door),
            worker: door.unit_link_id.map(|_| install::WORKER),
            mark: a.mark.clone(),
            reader: install::reader(),
            unit: door.unit.clone(),
            units: door
                .unit
                .is_none()
                .then(|| select("unit", "For which unit?", "Choose the unit", units_of(units, &a.unit))),
            own_page: door.own_page.clone(),
            action: door.form.clone(),
            if_hurt: Caution::list([C::ReportHarm]),
            cautions: Caution::list([C::OutOfUse, C::NoFieldRepair]),
            more_open: a.has_more() || problems.iter().any(|problem| place(problem) == STANDS_OPEN.len()),
            client_key: a.client_key.clone(),
            story: Ask::lines("story", "What happened?", &a.story)
                .required()
                .hint("In your own words: what let go, what you were doing.")
                .problem(wrong("story")),
            harm: one("harm", "Was anyone hurt?", plain::choices(Harm::ALL, &a.harm, plain::harm)),
            item: one("item", "Which item?", items),
            part: select("part", "Which part of it?", "I can't say", parts(offer, &a.part)),
            size: select("size", "Size", "Not known", vec![(String::new(), sizes)]),
            lot_known: one(
                "lot_known",
                "The lot label, sewn in near the size",
                plain::choices(LotKnown::ALL, &a.lot_known, plain::lot_known),
            ),
            lot_text: text("lot_text", "What the lot label says", &a.lot_text)
                .code()
                .hint("Letters and digits as they stand; guess nothing."),
            maker: text("maker", "Maker, if it is on the label", &a.maker),
            serial: text("serial", "Serial number, if it has one", &a.serial).code(),
            found_when: one(
                "found_when",
                "When did you find it?",
                plain::choices(FoundWhen::ALL, &a.found_when, plain::found_when),
            ),
            found_on: Ask::of_kind("date", "found_on", "On which day?", &a.found_on)
                .hint("Leave it for today.")
                .problem(wrong("found_on")),
            worn: text("worn", "Worn for how long, about?", &a.worn)
                .hint("A number; leave it if nobody knows."),
            worn_unit: select("worn_unit", "Weeks, months or years", "", vec![(String::new(), spans)]),
            altered: one(
                "altered",
                "Had it been altered or repaired?",
                plain::choices(Altered::ALL, &a.altered, plain::altered),
            ),
            altered_by: text("altered_by", "If so, by whom and how?", &a.altered_by)
                .hint("A workshop or a unit, no names."),
            fate: one(
                "fate",
                "What became of the item?",
                plain::choices(ItemFate::ALL, &a.fate, plain::fate),
            ),
            quantity: Ask::of_kind("number", "quantity", "How many alike?", &a.quantity)
                .hint("Leave it for one.")
                .problem(wrong("quantity")),
            activity: text("activity", "What were you doing?", &a.activity)
                .hint("Climbing, boat work, training ..."),
            photo: problems.iter().find(|p| p.is_of("photo")).cloned(),
            problems,
        }
    }
}

/// A unit's link can be installed on a phone; a signed-in person's form can't, it would be the next person's too.
fn shell(door: &Door) -> Shell {
    let shell = Shell::outside("Report a failure");
    if door.unit_link_id.is_some() { shell.installed_by(install::manifest_of(&door.form)) } else { shell }
}

fn units_of(units: &[Unit], chosen: &str) -> Vec<(String, Vec<Choice>)> {
    let label = |unit: &Unit| match &unit.name {
        Some(name) => format!("{} {name}", unit.unit),
        None => unit.unit.clone(),
    };
    let choices = units.iter().map(|unit| Choice::new(&unit.unit, label(unit), unit.unit == chosen));
    vec![(String::new(), choices.collect())]
}

fn parts(offer: &Offer, chosen: &str) -> Vec<(String, Vec<Choice>)> {
    let of = |item: &OfferedItem| {
        item.parts.iter().map(|(no, name)| Choice::new(no, name, no == chosen)).collect()
    };
    offer.items.iter().map(|item| (item.name.clone(), of(item))).collect()
}

impl Page for ReportForm {
    const TEMPLATE: &'static str = "pages/report/form";

    fn samples() -> Vec<Self> {
        let zip = ("ZIP-9".to_owned(), "Front slide fastener".to_owned());
        let carrier =
            OfferedItem { part_no: "RC-100".into(), name: "Rescue carrier".into(), parts: vec![zip] };
        let offer = Offer { items: vec![carrier], sizes: vec!["S".into(), "M".into()] };
        let unit = |code: &str, name: Option<&str>| Unit {
            unit: code.into(),
            name: name.map(Into::into),
            kind: UnitKind::Wearing,
            parent_unit: None,
            contact_email: None,
        };
        let units = [unit("COVE-2", Some("Cove crew 2")), unit("RIDGE-1", None)];
        let fill = |unit: Option<&str>, answers: &Answers, problems| {
            let (unit, own_page) = (unit.map(str::to_owned), unit.map(|_| "/unit/x".to_owned()));
            let (actor, form) = (Actor::Anybody, "/report/x".to_owned());
            let unit_link_id = unit.as_ref().map(|_| 1);
            let door = Door { actor, unit, unit_link_id, form, own_page };
            Self::new(Filled { door: &door, units: &units, offer: &offer, answers, problems })
        };
        let wrong =
            ["story", "part", "photo", "worn"].map(|f| Problem::new(f, "Write what happened.")).to_vec();
        let half = Answers { item: "RC-100".into(), part: "ZIP-9".into(), ..Answers::default() };
        vec![fill(Some("COVE-2"), &Answers::default(), Vec::new()), fill(None, &half, wrong)]
    }
}
