//! The report form as a page: questions in plain words, answers kept.

use domain::caution::Caution as C;
use domain::permission::Actor;
use domain::report::{Altered, FoundWhen, Harm, ItemFate, LotKnown};
use domain::unit::{Unit, UnitKind};
use serde::Serialize;

use super::answers::{Answers, LONGEST_STORY};
use super::door::Door;
use super::install;
use super::plain;
use crate::templates::Page;
use crate::tongue::Tongue;
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
    /// Whether photographs came with the answers; a browser chooses none again by itself.
    photos_came: bool,
    longest_story: usize,
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
    contact: Ask,
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
    /// Days that a mail address is kept after the final answer.
    pub contact_days: u32,
    /// Whether photographs came with them.
    pub photos_came: bool,
    /// What was wrong with them.
    pub problems: Vec<Problem>,
}

impl ReportForm {
    /// A form with the answers and problems of an earlier try.
    pub fn new(filled: Filled<'_>) -> Self {
        let Filled { door, units, offer, answers: a, contact_days, photos_came, mut problems } = filled;
        problems.sort_by_key(place);
        let tongue = door.tongue;
        let wrong = |id: &str| problems.iter().find(|p| p.is_of(id)).map(|p| p.says().to_owned());
        let label = |id: &str| tongue.say(&format!("ask-{id}"));
        let hint = |id: &str| tongue.say(&format!("ask-{id}-hint"));
        let text = |id: &'static str, typed: &str| Ask::text(id, label(id), typed).problem(wrong(id));
        let one = |id: &'static str, options| Choices::one(id, label(id), options).problem(wrong(id));
        let select = |id: &'static str, nothing: &str, groups| {
            Select::new(id, label(id), nothing, groups).problem(wrong(id))
        };
        let items =
            offer.items.iter().map(|i| Choice::new(&i.part_no, &i.name, i.part_no == a.item)).collect();
        let sizes = offer.sizes.iter().map(|s| Choice::new(s, s, *s == a.size)).collect();
        let spans = plain::choices(tongue, "worn_unit", &["weeks", "months", "years"], &a.worn_unit);
        Self {
            shell: shell(door),
            worker: door.unit_link_id.map(|_| install::WORKER),
            mark: a.mark.clone(),
            reader: install::reader(),
            unit: door.unit.clone(),
            units: door
                .unit
                .is_none()
                .then(|| select("unit", &tongue.say("ask-unit-choose"), units_of(units, &a.unit))),
            own_page: door.own_page.clone(),
            action: door.form.clone(),
            if_hurt: Caution::told(tongue, [C::ReportHarm]),
            cautions: Caution::told(tongue, [C::OutOfUse, C::NoFieldRepair]),
            more_open: a.has_more() || problems.iter().any(|problem| place(problem) == STANDS_OPEN.len()),
            client_key: a.client_key.clone(),
            photos_came,
            longest_story: LONGEST_STORY,
            story: Ask::lines("story", label("story"), &a.story)
                .required()
                .hint(hint("story"))
                .problem(wrong("story")),
            harm: one("harm", plain::choices(tongue, "harm", Harm::ALL, &a.harm)),
            item: one("item", items),
            part: select("part", &tongue.say("ask-part-unknown"), parts(offer, &a.part)),
            size: select("size", &tongue.say("ask-size-unknown"), vec![(String::new(), sizes)]),
            lot_known: one("lot_known", plain::choices(tongue, "lot_known", LotKnown::ALL, &a.lot_known)),
            lot_text: text("lot_text", &a.lot_text).code().hint(hint("lot_text")),
            maker: text("maker", &a.maker),
            serial: text("serial", &a.serial).code(),
            found_when: one(
                "found_when",
                plain::choices(tongue, "found_when", FoundWhen::ALL, &a.found_when),
            ),
            found_on: Ask::of_kind("date", "found_on", label("found_on"), &a.found_on)
                .hint(hint("found_on"))
                .problem(wrong("found_on")),
            worn: text("worn", &a.worn).hint(hint("worn")),
            worn_unit: select("worn_unit", "", vec![(String::new(), spans)]),
            altered: one("altered", plain::choices(tongue, "altered", Altered::ALL, &a.altered)),
            altered_by: text("altered_by", &a.altered_by).hint(hint("altered_by")),
            fate: one("fate", plain::choices(tongue, "fate", ItemFate::ALL, &a.fate)),
            quantity: Ask::of_kind("number", "quantity", label("quantity"), &a.quantity)
                .hint(hint("quantity"))
                .problem(wrong("quantity")),
            activity: text("activity", &a.activity).hint(hint("activity")),
            contact: Ask::of_kind("email", "contact", label("contact"), &a.contact)
                .hint(tongue.with("ask-contact-hint", &[("days", contact_days.into())]))
                .problem(wrong("contact")),
            photo: problems.iter().find(|p| p.is_of("photo")).cloned(),
            problems,
        }
    }
}

/// A unit's link can be installed on a phone; a signed-in person's form can't, it would be the next person's too.
fn shell(door: &Door) -> Shell {
    let shell = Shell::to_unit(door.tongue.say("report-title"), door.tongue);
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
        let fill = |unit: Option<&str>, answers: &Answers, problems: Vec<Problem>| {
            let (unit, own_page) = (unit.map(str::to_owned), unit.map(|_| "/unit/x".to_owned()));
            let (actor, form) = (Actor::Anybody, "/report/x".to_owned());
            let unit_link_id = unit.as_ref().map(|_| 1);
            let door = Door { tongue: Tongue::ENGLISH, actor, unit, unit_link_id, form, own_page };
            Self::new(Filled {
                door: &door,
                units: &units,
                offer: &offer,
                answers,
                contact_days: 180,
                photos_came: !problems.is_empty(),
                problems,
            })
        };
        let wrong =
            ["story", "part", "photo", "worn"].map(|f| Problem::new(f, "Write what happened.")).to_vec();
        let half = Answers { item: "RC-100".into(), part: "ZIP-9".into(), ..Answers::default() };
        vec![fill(Some("COVE-2"), &Answers::default(), Vec::new()), fill(None, &half, wrong)]
    }
}
