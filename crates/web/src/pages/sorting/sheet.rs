//! One report to be sorted: what was sent, what it may be, and the decision.

use chrono::{DateTime, Utc};
use domain::handling::{NotChargeable, NotRelevant};
use domain::permission::Actor;
use domain::suggestion::{Basis, Learned, marked};
use domain::words::Problem as Wrong;
use serde::Serialize;
use store::{Question, ReportFile, ReportLine};

use super::guess::{self, Earlier, Guess};
use super::step::{Step, Words};
use super::twice;
use super::typed::Typed;
use crate::format;
use crate::pages::report::form::Offer;
use crate::picture::Picture;
use crate::view::{Ask, Choice, Choices, Clock, Overtaken, Place, Select, Shell};

/// The words of so many suggestions are marked, the most probable ones; of more, half the narrative would be.
const MARKED: usize = 2;

/// The sheet.
#[derive(Serialize)]
pub struct SortPage {
    pub(super) shell: Shell,
    pub(super) action: String,
    pub(super) report_ref: String,
    pub(super) unit: String,
    /// The report decided before this one: its address, its reference, the number of the decision.
    pub(super) done: Option<(String, String, i64)>,
    /// The latest decision that this sheet shows, as the journal numbers it: what is decided here is decided on that.
    pub(super) shown: i64,
    pub(super) overtaken: Option<Overtaken>,
    /// The clock of a report of danger.
    pub(super) clock: Option<Clock>,
    pub(super) facts: Vec<(String, String)>,
    pub(super) story: Vec<(String, bool)>,
    pub(super) modes: Vec<Guess>,
    /// What is to be said of the words of the report beside the modes they lead to.
    pub(super) words_say: Option<String>,
    pub(super) learned_from: String,
    pub(super) lots: Vec<Guess>,
    pub(super) photos: Vec<String>,
    pub(super) alike: Vec<Earlier>,
    pub(super) doubles: Vec<Earlier>,
    /// What the unit answered: question, answer and when.
    pub(super) heard: Vec<(String, String, String)>,
    /// Questions without an answer.
    pub(super) questions: Vec<String>,
    pub(super) answers: Vec<String>,
    pub(super) can_undo: bool,
    pub(super) part: Select,
    pub(super) mode: Select,
    /// Where part, mode and lot don't fit: whether they are meant.
    pub(super) sure: Option<Choices>,
    pub(super) lot: Ask,
    pub(super) relevant: Choices,
    pub(super) relevant_reason: Ask,
    pub(super) chargeable: Choices,
    pub(super) chargeable_reason: Ask,
    pub(super) cause: Ask,
    pub(super) aside: Ask,
    pub(super) ask: Ask,
    pub(super) answer: Ask,
}

/// What a sheet is made from.
pub(super) struct Shown<'a> {
    /// Who reads it.
    pub actor: &'a Actor,
    /// When.
    pub now: DateTime<Utc>,
    /// The field, for parts and modes.
    pub picture: &'a Picture,
    /// Where suggestions come from.
    pub learned: &'a Learned,
    /// Items and their parts.
    pub offer: &'a Offer,
    /// The report.
    pub file: &'a ReportFile,
    /// Reports that may be of the same failure.
    pub doubles: &'a [ReportLine],
    /// Reports sorted before on the same item.
    pub earlier: &'a [ReportLine],
    /// The form's content.
    pub typed: Typed,
    /// What was wrong with it.
    pub wrong: Option<Wrong>,
    /// What was typed in the forms below it.
    pub(super) words: Words,
    /// What was decided since it was shown before.
    pub overtaken: Option<Overtaken>,
}

impl SortPage {
    /// The sheet of a report.
    pub(super) fn new(shown: Shown<'_>) -> Self {
        let Shown {
            actor,
            now,
            picture,
            learned,
            offer,
            file,
            doubles,
            earlier,
            typed,
            wrong,
            words,
            overtaken,
        } = shown;
        let report = &file.report;
        let narrative = report.narrative.clone().unwrap_or_default();
        let found = guess::suggestions(report, picture, learned);
        let ranges: Vec<_> = found.modes.iter().take(MARKED).flat_map(|s| s.words.clone()).collect();
        let like = guess::told_alike(report, earlier);
        let modes = guess::modes(report, &found.modes, picture, offer, earlier, &like);
        let label = file.handling.lot_text_as_sent.as_ref().or(report.lot_text.as_ref());
        let lots = guess::lots(report, label.map_or("", String::as_str), picture, modes.len());
        let problem = |id: &str| wrong.as_ref().filter(|p| p.field == id).map(|p| p.why.clone());
        let action = super::of(&report.report_ref);
        let form = Form { typed: &typed, problem: &problem };
        Self {
            shell: Shell::inside(format!("Sort {}", report.report_ref), actor, Place::Sorting),
            done: None,
            shown: file.shown,
            overtaken,
            clock: file.danger.filter(|_| file.is_waiting()).map(|danger| Clock::new(danger, now)),
            facts: facts(file),
            story: marked(&narrative, &ranges).into_iter().map(|(t, m)| (t.to_owned(), m)).collect(),
            modes,
            words_say: found.says,
            learned_from: learned_from(learned.basis()),
            lots,
            photos: file.photos.iter().map(|photo| format!("{action}/photo/{}", photo.id)).collect(),
            alike: like.into_iter().map(guess::line).collect(),
            doubles: twice::weighed(&picture.field, learned, report, doubles),
            heard: file.questions.iter().filter_map(heard).collect(),
            questions: file
                .questions
                .iter()
                .filter(|asked| asked.answer.is_none())
                .map(|asked| asked.question.clone())
                .collect(),
            answers: file.answers.iter().map(|a| a.text.clone()).collect(),
            can_undo: file.handling.sorted_at.is_some()
                && file.upload.as_ref().is_none_or(|list| list.taken_back.is_none()),
            part: form.part(offer, &report.item_part_no),
            mode: form.mode(picture),
            sure: problem(super::UNFIT).map(|why| {
                let meant = Choice::new("yes", "It is meant so", false);
                Choices::any("sure", "This doesn\u{2019}t fit together", vec![meant]).problem(Some(why))
            }),
            lot: form.text("lot", "Lot", &typed.lot).code().hint("As on the label, or as you know better."),
            relevant: form.yes_no(
                "relevant",
                "Does it count as a failure of the equipment?",
                &typed.relevant,
            ),
            relevant_reason: form.reason("relevant_reason", &typed.relevant_reason, NotRelevant::ALL),
            chargeable: form.yes_no("chargeable", "Does it count against the design?", &typed.chargeable),
            chargeable_reason: form.reason("chargeable_reason", &typed.chargeable_reason, NotChargeable::ALL),
            cause: form.text("cause", "What induced it, where known", &typed.cause),
            aside: form
                .text("aside", "Why", words.typed(Step::Aside))
                .hint("It is no failure report, or the same failure was reported before.")
                .required(),
            ask: form.lines("ask", "Question", words.typed(Step::Ask)),
            answer: form.lines(
                "answer",
                "What was found, what changes, whether their stock is affected",
                words.typed(Step::Answer),
            ),
            action,
            report_ref: report.report_ref.clone(),
            unit: report.unit.clone(),
        }
    }

    /// The same, saying which report was decided before it.
    pub(super) fn after(mut self, done: String, shown: i64) -> Self {
        self.done = (!done.is_empty()).then(|| (super::of(&done), done, shown));
        self
    }
}

fn heard(asked: &Question) -> Option<(String, String, String)> {
    let day = asked.answered_at.map(|at| format::date(at.date_naive())).unwrap_or_default();
    Some((asked.question.clone(), asked.answer.clone()?, day))
}

/// What suggestions rest on.
pub(super) fn learned_from(basis: Basis) -> String {
    let starters = format::counted(basis.starters as u64, "starter example", "starter examples");
    if basis.confirmed == 0 {
        return format!(
            "Learned from the catalogue and {starters}, invented. What is sorted is learned behind this page."
        );
    }
    let reports = format::counted(basis.confirmed as u64, "confirmed report", "confirmed reports");
    format!(
        "Learned from {reports}, the catalogue and {starters}, invented, which count less with each report."
    )
}

/// Fields with what was typed and what is wrong.
pub(super) struct Form<'a> {
    pub(super) typed: &'a Typed,
    pub(super) problem: &'a dyn Fn(&str) -> Option<String>,
}

impl Form<'_> {
    pub(super) fn text(&self, id: &'static str, label: &str, typed: &str) -> Ask {
        Ask::text(id, label, typed).problem((self.problem)(id))
    }

    pub(super) fn lines(&self, id: &'static str, label: &str, typed: &str) -> Ask {
        Ask::lines(id, label, typed).required().problem((self.problem)(id))
    }

    /// Why not, with the words of the trade to choose from or to write otherwise.
    pub(super) fn reason<T: std::fmt::Display>(&self, id: &'static str, typed: &str, words: &[T]) -> Ask {
        let words: Vec<String> = words.iter().map(ToString::to_string).collect();
        self.text(id, "If not, why", typed).hint(words.join("; "))
    }

    pub(super) fn yes_no(&self, id: &'static str, label: &str, typed: &str) -> Choices {
        let no = typed == "no";
        let options = vec![Choice::new("yes", "Yes", !no), Choice::new("no", "No", no)];
        Choices::one(id, label, options).problem((self.problem)(id))
    }

    fn part(&self, offer: &Offer, item: &str) -> Select {
        let groups = offer.items.iter().filter(|of| of.part_no == item).map(|of| {
            let label = |no: &str, name: &str| format!("{name} ({no})");
            let choice = |no: &str, name: &str| Choice::new(no, label(no, name), no == self.typed.part);
            let parts = of.parts.iter().map(|(no, name)| choice(no, name));
            let whole = choice(&of.part_no, "the item itself");
            (of.name.clone(), parts.chain([whole]).collect())
        });
        let select = Select::new("part", "Part", "Choose the part", groups.collect());
        select.problem((self.problem)("part"))
    }

    /// Every mode, those of the part's own kind first.
    fn mode(&self, picture: &Picture) -> Select {
        let catalogue = &picture.catalogue;
        let field = &picture.field;
        let own = field.part_names.find(&self.typed.part).map(|part| field.kind_of(part));
        let mut kinds: Vec<_> = catalogue.kinds().iter().collect();
        kinds.sort_by_key(|kind| Some(kind.code.as_str()) != own);
        let groups = kinds.into_iter().map(|kind| {
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
    // Once sorted, the part is the engineer's.
    add("part, as told", report.part_no.clone().filter(|_| file.is_waiting()));
    add("size", report.size.clone());
    add("lot label", report.lot_text.clone());
    // Kept empty where a lot was chosen for a label that nobody sent.
    add("as sent", file.handling.lot_text_as_sent.clone().filter(|sent| !sent.trim().is_empty()));
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
