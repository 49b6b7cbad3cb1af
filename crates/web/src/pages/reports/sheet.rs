//! The record page of a report.

use chrono::{DateTime, NaiveDate, Utc};
use domain::analysis::Recurrence;
use domain::exhibit::Exhibit;
use domain::field::Field;
use domain::permission::{Act, Actor, may};
use domain::report::Report;
use serde::Serialize;
use store::{Kept, ReportFile};

use super::private::Private;
use crate::address;
use crate::format;
use crate::pages::exhibits::page_of;
use crate::pages::recurrences::{of_report, part_name};
use crate::pages::sorting::facts;
use crate::picture::Picture;
use crate::templates::Page;
use crate::view::{Caution, Clock, Place, Shell, Thread, TitleBlock};

/// The page.
#[derive(Serialize)]
pub struct ReportPage {
    shell: Shell,
    thread: Thread,
    title: String,
    lead: String,
    harm: Option<&'static str>,
    /// Until when somebody has to look at it, while nobody has.
    clock: Option<Clock>,
    /// Where a stop of use begins, prefilled, for who may order one.
    stop_use: Option<String>,
    cautions: Vec<Caution>,
    story: Option<String>,
    facts: Vec<(String, String)>,
    photos: Vec<String>,
    sorted: Vec<(&'static str, String)>,
    recurrence: Option<(String, String)>,
    sort: Option<(String, &'static str)>,
    questions: Vec<Asked>,
    answers: Vec<(String, String)>,
    /// Address, tag number and where it stands of each exhibit.
    exhibits: Vec<(String, String, String)>,
    /// Where its item is taken in.
    take_in: Option<String>,
    /// The list it came with.
    list: Option<String>,
    private: Option<Private>,
    title_block: TitleBlock,
}

#[derive(Serialize)]
struct Asked {
    question: String,
    by: String,
    answer: Option<String>,
    answered: Option<String>,
}

/// What a page is made from.
pub(super) struct Shown<'a> {
    pub(super) actor: &'a Actor,
    pub(super) picture: &'a Picture,
    pub(super) file: &'a ReportFile,
    pub(super) exhibits: &'a [Kept<Exhibit>],
    pub(super) sorted_by: Option<String>,
    pub(super) private: Option<Private>,
    pub(super) now: DateTime<Utc>,
}

impl ReportPage {
    pub(super) fn new(shown: Shown<'_>) -> Self {
        let Shown { actor, picture, file, exhibits, sorted_by, private, now } = shown;
        let (field, report) = (&picture.field, &file.report);
        let r = recurrence_of(picture, report);
        let answered = file.answers.first().map(|answer| answer.at.date_naive());
        let at = (report.report_ref.as_str(), report.received_on);
        let own = address::report(&report.report_ref);
        let part = report.part_no.as_deref().and_then(|part_no| field.part_names.find(part_no));
        Self {
            shell: Shell::inside(format!("Report {}", report.report_ref), actor, Place::Recurrences),
            thread: of_report(field, r, at, answered, now.date_naive()),
            title: format!("Report {}", report.report_ref),
            lead: lead(field, report),
            harm: file.danger.map(|danger| danger.why.word()),
            clock: clock(file, now),
            stop_use: file
                .danger
                .filter(|_| may(actor, &Act::Instruct).is_ok())
                .map(|_| format!("/instructions/new?report={}", address::segment(&report.report_ref))),
            cautions: Caution::list(domain::caution::for_report(
                report,
                part.map(|part| field.kind_of(part)),
            )),
            story: report.narrative.clone(),
            facts: facts(file),
            photos: file.photos.iter().map(|photo| format!("{own}/photo/{}", photo.id)).collect(),
            sorted: sorted(picture, file, sorted_by),
            recurrence: r.map(|r| {
                let name = format!("{}: {}", part_name(field, r.part), field.modes[r.mode].name);
                let reports = format::counted(u64::from(r.reports), "relevant report", "relevant reports");
                (address::recurrence(field, r.part, r.mode), format!("{name}, {reports}"))
            }),
            sort: may(actor, &Act::Sort).is_ok().then(|| {
                let word =
                    if file.handling.sorted_at.is_some() { "Sort it anew, ask or answer" } else { "Sort it" };
                (format!("/sorting/{}", address::segment(&report.report_ref)), word)
            }),
            questions: file.questions.iter().map(asked).collect(),
            answers: file
                .answers
                .iter()
                .map(|answer| (answer.text.clone(), format!("{}, {}", answer.by, format::moment(answer.at))))
                .collect(),
            exhibits: exhibits.iter().map(|kept| exhibit(kept, now.date_naive())).collect(),
            take_in: may(actor, &Act::KeepExhibits)
                .is_ok()
                .then(|| format!("/exhibits/new?report={}", address::segment(&report.report_ref))),
            list: file
                .upload
                .as_ref()
                .filter(|_| may(actor, &Act::Sort).is_ok())
                .map(|list| format!("/reports/upload/{}", list.id)),
            private,
            title_block: title_block(file),
        }
    }
}

/// It runs until the report is sorted or set aside.
fn clock(file: &ReportFile, now: DateTime<Utc>) -> Option<Clock> {
    file.danger.filter(|_| file.is_waiting()).map(|danger| Clock::new(danger, now))
}

fn recurrence_of<'a>(picture: &'a Picture, report: &Report) -> Option<&'a Recurrence> {
    let part = picture.field.part_names.find(report.part_no.as_deref()?)?;
    let mode = picture.field.find_mode(report.mode.as_deref()?)?;
    let found = picture.analysis.recurrences.iter().find(|r| r.part == part && r.mode == mode);
    found.filter(|_| report.relevant != Some(false))
}

fn lead(field: &Field, report: &Report) -> String {
    let unit = field.unit_names.find(&report.unit).and_then(|unit| field.units[unit].name.as_deref());
    let unit = unit.map_or_else(|| report.unit.clone(), |name| format!("{} ({name})", report.unit));
    let item = field.part_names.find(&report.item_part_no).map_or("an item", |part| part_name(field, part));
    format!(
        "From {unit}, of {} {item}; found on {}, received on {}.",
        report.item_part_no,
        format::date(report.found_on),
        format::date(report.received_on)
    )
}

fn sorted(picture: &Picture, file: &ReportFile, by: Option<String>) -> Vec<(&'static str, String)> {
    let (report, handling) = (&file.report, &file.handling);
    let (field, yes_no) = (&picture.field, |is: Option<bool>| is.map(|is| if is { "yes" } else { "no" }));
    let with_reason = |is: Option<bool>, reason: &Option<String>| {
        yes_no(is)
            .map(|word| reason.as_ref().map_or_else(|| word.to_owned(), |reason| format!("{word}: {reason}")))
    };
    let part = report.part_no.as_ref().map(|part_no| {
        let name = field.part_names.find(part_no).map_or("", |part| part_name(field, part));
        format!("{part_no} {name}")
    });
    let mode = report.mode.as_ref().map(|code| {
        let name = picture.catalogue.mode(code).map_or("", |mode| mode.name.as_str());
        format!("{code} {name}")
    });
    let lines = [
        ("Part", part),
        ("Mode", mode),
        ("Counts as a failure of the equipment", with_reason(report.relevant, &handling.relevant_reason)),
        ("Counts against the design", with_reason(report.chargeable, &handling.chargeable_reason)),
        ("Cause", handling.cause.clone()),
        ("Set aside", handling.set_aside_reason.clone()),
        ("By", by),
        ("When", handling.sorted_at.map(format::moment)),
    ];
    lines.into_iter().filter_map(|(name, value)| Some((name, value?))).collect()
}

fn exhibit(kept: &Kept<Exhibit>, today: NaiveDate) -> (String, String, String) {
    let what = &kept.what;
    let stands = match (&what.released, what.place()) {
        (Some(release), _) => format!("released to {} on {}", release.to, format::date(release.on)),
        (None, place) => format!(
            "{}, {} until {}",
            place.map_or("place not known", |stay| stay.place.as_str()),
            what.standing(today),
            format::date(what.hold_until)
        ),
    };
    (page_of(&kept.number), kept.number.clone(), format!("{}: {stands}", what.what))
}

fn asked(question: &store::Question) -> Asked {
    Asked {
        question: question.question.clone(),
        by: format!("{}, {}", question.asked_by, format::moment(question.asked_at)),
        answer: question.answer.clone(),
        answered: question.answered_at.map(format::moment),
    }
}

fn title_block(file: &ReportFile) -> TitleBlock {
    let report = &file.report;
    let mut dates = vec![
        ("Found".to_owned(), format::date(report.found_on)),
        ("Received".to_owned(), format::date(report.received_on)),
    ];
    dates.extend(file.handling.sorted_at.map(|at| ("Sorted".to_owned(), format::date(at.date_naive()))));
    TitleBlock {
        number: report.report_ref.clone(),
        title: format!("Failure report of {}", report.item_part_no),
        revision: "none".into(),
        state: file.handling.state.to_string(),
        owner: report.unit.clone(),
        dates,
        sheet: "1 of 1".into(),
    }
}

impl Page for ReportPage {
    const TEMPLATE: &'static str = "pages/reports/sheet";

    fn samples() -> Vec<Self> {
        let [kept, held, none] = Private::samples();
        let page = |full: bool, clock, private| {
            let some = |text: &str| full.then(|| text.to_owned());
            Self {
                shell: Shell::sample("Report K7M4-RT9X", Place::Recurrences),
                thread: Thread::sample(),
                title: "Report K7M4-RT9X".into(),
                lead: "From COVE-2, of RC-100 rescue carrier; found on 3 Mar 2026.".into(),
                harm: full.then_some("near miss"),
                clock,
                stop_use: some("/instructions/new?report=K7M4-RT9X"),
                cautions: Caution::list([domain::caution::Caution::OutOfUse]),
                story: some("zip split <again> on the ladder"),
                facts: vec![("lot label".into(), "TB-0418".into())],
                photos: some("/reports/K7M4-RT9X/photo/1").into_iter().collect(),
                sorted: some("RC-131 front slide fastener").into_iter().map(|part| ("Part", part)).collect(),
                recurrence: some("Front slide fastener: chain split")
                    .map(|name| ("/recurrences/x/y".into(), name)),
                sort: full.then(|| ("/sorting/K7M4-RT9X".into(), "Sort it")),
                questions: [None, some("It says 0135.")]
                    .into_iter()
                    .map(|answer| Asked {
                        question: "Can you read the lot label?".into(),
                        by: "Oda Fell, 4 Mar 2026".into(),
                        answered: answer.as_ref().map(|_| "5 Mar 2026".into()),
                        answer,
                    })
                    .filter(|_| full)
                    .collect(),
                answers: some("Your stock is of another lot.")
                    .into_iter()
                    .map(|a| (a, "Oda Fell".into()))
                    .collect(),
                exhibits: some("front zip: shelf 4, held until 1 May 2026")
                    .map(|words| ("/exhibits/E-2026-001".into(), "E-2026-001".into(), words))
                    .into_iter()
                    .collect(),
                take_in: some("/exhibits/new?report=K7M4-RT9X"),
                list: some("/reports/upload/3"),
                private,
                title_block: TitleBlock::sample(),
            }
        };
        vec![
            page(true, Some(Clock::sample(false)), Some(kept)),
            page(true, Some(Clock::sample(true)), Some(held)),
            page(false, None, Some(none)),
            page(false, None, None),
        ]
    }
}
