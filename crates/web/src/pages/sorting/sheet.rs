//! One report to be sorted: what was sent, what it may be, and the decision.

use domain::handling::{NotChargeable, NotRelevant};
use domain::permission::Actor;
use domain::suggestion::{marked, suggest};
use domain::words::Problem as Wrong;
use serde::Serialize;
use store::{ReportFile, ReportLine};

use super::typed::Typed;
use crate::format;
use crate::pages::report::form::Offer;
use crate::picture::Picture;
use crate::templates::Page;
use crate::view::{Ask, Choice, Choices, Place, Select, Shell};

/// The sheet.
#[derive(Serialize)]
pub struct SortPage {
    shell: Shell,
    action: String,
    report_ref: String,
    unit: String,
    facts: Vec<(String, String)>,
    story: Vec<(String, bool)>,
    suggestions: Vec<String>,
    photos: Vec<String>,
    doubles: Vec<(String, String, String)>,
    questions: Vec<(String, String)>,
    answers: Vec<String>,
    can_undo: bool,
    part: Select,
    mode: Select,
    lot: Ask,
    relevant: Choices,
    relevant_reason: Ask,
    chargeable: Choices,
    chargeable_reason: Ask,
    cause: Ask,
}

/// What a sheet is made from.
pub struct Shown<'a> {
    /// Who reads it.
    pub actor: &'a Actor,
    /// The field, for parts and modes.
    pub picture: &'a Picture,
    /// Items and their parts.
    pub offer: &'a Offer,
    /// The report.
    pub file: &'a ReportFile,
    /// Reports that may be of the same failure.
    pub doubles: &'a [ReportLine],
    /// The form's content.
    pub typed: Typed,
    /// What was wrong with it.
    pub wrong: Option<Wrong>,
}

/// Most suggestions shown.
const SUGGESTIONS: usize = 5;

impl SortPage {
    /// The sheet of a report.
    pub fn new(shown: Shown<'_>) -> Self {
        let Shown { actor, picture, offer, file, doubles, typed, wrong } = shown;
        let report = &file.report;
        let narrative = report.narrative.clone().unwrap_or_default();
        let found = suggest(&narrative, picture.catalogue.modes());
        let ranges: Vec<_> = found.iter().take(SUGGESTIONS).flat_map(|s| s.words.clone()).collect();
        let problem = |id: &str| wrong.as_ref().filter(|p| p.field == id).map(|p| p.why.clone());
        let action = super::of(&report.report_ref);
        let form = Form { typed: &typed, problem: &problem };
        Self {
            shell: Shell::inside(format!("Sort {}", report.report_ref), actor, Place::Sorting),
            facts: facts(file),
            story: marked(&narrative, &ranges).into_iter().map(|(t, m)| (t.to_owned(), m)).collect(),
            suggestions: found
                .iter()
                .take(SUGGESTIONS)
                .map(|s| format!("{} {}", s.mode.code, s.mode.name))
                .collect(),
            photos: file.photos.iter().map(|photo| format!("{action}/photo/{}", photo.id)).collect(),
            doubles: doubles
                .iter()
                .map(|line| {
                    let story = line.report.narrative.clone().unwrap_or_default();
                    (super::of(&line.report.report_ref), line.report.report_ref.clone(), story)
                })
                .collect(),
            questions: file
                .questions
                .iter()
                .map(|q| (q.question.clone(), q.answer.clone().unwrap_or_else(|| "no answer yet".into())))
                .collect(),
            answers: file.answers.iter().map(|a| a.text.clone()).collect(),
            can_undo: file.handling.sorted_at.is_some(),
            part: form.part(offer, &report.item_part_no),
            mode: form.mode(picture),
            lot: form
                .text("lot", "Lot", &typed.lot)
                .code()
                .hint("As on the label; correct it where you know better."),
            relevant: form.yes_no(
                "relevant",
                "Does it count as a failure of the equipment?",
                &typed.relevant,
            ),
            relevant_reason: form
                .text("relevant_reason", "If not, why", &typed.relevant_reason)
                .hint(NotRelevant::ALL.iter().map(|r| r.word()).collect::<Vec<_>>().join("; ")),
            chargeable: form.yes_no("chargeable", "Does it count against the design?", &typed.chargeable),
            chargeable_reason: form
                .text("chargeable_reason", "If not, why", &typed.chargeable_reason)
                .hint(NotChargeable::ALL.iter().map(|r| r.word()).collect::<Vec<_>>().join("; ")),
            cause: form.text("cause", "What induced it, where known", &typed.cause),
            action,
            report_ref: report.report_ref.clone(),
            unit: report.unit.clone(),
        }
    }
}

/// Fields with what was typed and what is wrong.
struct Form<'a> {
    typed: &'a Typed,
    problem: &'a dyn Fn(&str) -> Option<String>,
}

impl Form<'_> {
    fn text(&self, id: &'static str, label: &str, typed: &str) -> Ask {
        Ask::text(id, label, typed).problem((self.problem)(id))
    }

    fn yes_no(&self, id: &'static str, label: &str, typed: &str) -> Choices {
        let no = typed == "no";
        let options = vec![Choice::new("yes", "Yes", !no), Choice::new("no", "No", no)];
        Choices::one(id, label, options).problem((self.problem)(id))
    }

    fn part(&self, offer: &Offer, item: &str) -> Select {
        let groups = offer.items.iter().filter(|of| of.part_no == item).map(|of| {
            let label = |no: &str, name: &str| format!("{name} ({no})");
            let parts = of.parts.iter();
            let parts = parts.map(|(no, name)| Choice::new(no, label(no, name), *no == self.typed.part));
            (of.name.clone(), parts.collect())
        });
        let select = Select::new("part", "Part", "Choose the part", groups.collect());
        select.problem((self.problem)("part"))
    }

    fn mode(&self, picture: &Picture) -> Select {
        let catalogue = &picture.catalogue;
        let groups = catalogue.kinds().iter().map(|kind| {
            let modes = catalogue.modes_of(&kind.code);
            let choice =
                |code: &str, name: &str| Choice::new(code, format!("{code} {name}"), code == self.typed.mode);
            (kind.name.clone(), modes.map(|mode| choice(&mode.code, &mode.name)).collect())
        });
        let select = Select::new("mode", "Mode", "Choose how it failed", groups.collect());
        select.problem((self.problem)("mode"))
    }
}

/// What is known of a report besides its story, each with its name.
pub(crate) fn facts(file: &ReportFile) -> Vec<(String, String)> {
    let report = &file.report;
    let mut facts = vec![
        ("found".to_owned(), format::date(report.found_on)),
        ("received".to_owned(), format::date(report.received_on)),
        ("item".to_owned(), report.item_part_no.clone()),
        ("items alike".to_owned(), report.quantity.to_string()),
        ("stands".to_owned(), file.handling.state.to_string()),
    ];
    let mut add = |name: &str, value: Option<String>| {
        facts.extend(value.map(|value| (name.to_owned(), value)));
    };
    add("size", report.size.clone());
    add("lot label", report.lot_text.clone());
    add("as sent", file.handling.lot_text_as_sent.clone());
    add("label", report.lot_known.map(|known| known.to_string().replace('_', " ")));
    add("maker", report.maker.clone());
    add("serial", report.serial.clone());
    add("found when", report.found_when.map(|when| when.to_string().replace('_', " ")));
    add("worn", report.worn_weeks.map(|weeks| format!("{weeks:.0} weeks")));
    add("altered", report.altered.map(|altered| altered.to_string().replace('_', " ")));
    add("altered by", file.receipt.as_ref().and_then(|receipt| receipt.altered_by.clone()));
    add("harm", report.harm.map(|harm| harm.to_string().replace('_', " ")));
    add("item is", report.item_fate.map(|fate| fate.to_string()));
    add("doing", report.activity.clone());
    add("after notice", report.prompted_by.clone());
    facts
}

impl Page for SortPage {
    const TEMPLATE: &'static str = "pages/sorting/sheet";

    fn samples() -> Vec<Self> {
        let page = |full: bool| {
            let typed = Typed::default();
            let wrong = |id: &str| (full && id == "mode").then(|| "Choose how it failed.".to_owned());
            let form = Form { typed: &typed, problem: &wrong };
            let some = |text: &str| if full { vec![text.to_owned()] } else { Vec::new() };
            let zip =
                vec![("Slide fastener".to_owned(), vec![Choice::new("ZIP-1", "ZIP-1 Chain split", false)])];
            Self {
                shell: Shell::sample("Sort K7M4-RT9X", Place::Sorting),
                action: "/sorting/K7M4-RT9X".into(),
                report_ref: "K7M4-RT9X".into(),
                unit: "COVE-2".into(),
                facts: vec![("found".into(), "3 Mar 2026".into())],
                story: vec![("my ".into(), false), ("zip split".into(), true)],
                suggestions: some("ZIP-1 Chain split"),
                photos: some("/sorting/K7M4-RT9X/photo/1"),
                doubles: some("R2").into_iter().map(|r| ("/sorting/R2".into(), r, "split".into())).collect(),
                questions: some("Which lot?").into_iter().map(|q| (q, "no answer yet".into())).collect(),
                answers: some("Your stock is of another lot."),
                can_undo: full,
                part: Select::new("part", "Part", "Choose the part", zip.clone()),
                mode: Select::new("mode", "Mode", "Choose", zip).problem(wrong("mode")),
                lot: form.text("lot", "Lot", ""),
                relevant: form.yes_no("relevant", "Does it count?", "yes"),
                relevant_reason: form.text("relevant_reason", "If not, why", ""),
                chargeable: form.yes_no("chargeable", "Against the design?", "no"),
                chargeable_reason: form.text("chargeable_reason", "If not, why", ""),
                cause: form.text("cause", "Cause", ""),
            }
        };
        vec![page(false), page(true)]
    }
}
