//! What reporters wrote and photographed of a recurrence: the newest on its page, all of them on a page of their own.

use domain::analysis::Recurrence;
use domain::field::Field;
use domain::permission::Actor;
use serde::{Deserialize, Serialize};
use store::{PhotoFacts, ReportLine};

use super::figures::part_name;
use crate::address;
use crate::format;
use crate::templates::Page;
use crate::view::{Place, Shell};

/// Words on the recurrence's own page.
pub(super) const NEWEST: u64 = 12;

/// Words on one page of all.
pub(super) const AT_ONCE: u64 = 50;

/// What one reporter wrote.
#[derive(Clone, Serialize)]
pub(super) struct Word {
    address: String,
    report_ref: String,
    unit: String,
    received: String,
    story: Option<String>,
    harm: Option<&'static str>,
    not_counted: bool,
    photos: Vec<String>,
}

/// The newest words, and where all of them are.
#[derive(Serialize)]
pub(super) struct Words {
    rows: Vec<Word>,
    /// Where all of them are, where there may be more.
    all: Option<String>,
}

/// What reporters wrote, as the store has it.
pub(super) struct Heard {
    pub(super) lines: Vec<ReportLine>,
    pub(super) photos: Vec<(String, PhotoFacts)>,
}

/// Every word, page by page.
#[derive(Serialize)]
pub struct WordsPage {
    shell: Shell,
    title: String,
    recurrence: String,
    shown: String,
    rows: Vec<Word>,
    newer: Option<String>,
    older: Option<String>,
}

/// Which page of all words, from 0.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Which {
    #[serde(default)]
    pub(super) page: u64,
}

/// Where all words of a recurrence are.
pub(super) fn address(field: &Field, r: &Recurrence) -> String {
    format!("{}/reports", address::recurrence(field, r.part, r.mode))
}

impl Words {
    pub(super) fn new(field: &Field, r: &Recurrence, heard: &Heard) -> Self {
        let rows = rows(heard);
        let all = (rows.len() as u64 >= NEWEST).then(|| address(field, r));
        Self { rows, all }
    }
}

impl WordsPage {
    /// One page of them, of so many in all.
    pub(super) fn new(
        actor: &Actor,
        (field, r): (&Field, &Recurrence),
        (heard, all): (&Heard, u64),
        which: &Which,
    ) -> Self {
        let title = format!("{}: {}", format::titled(part_name(field, r.part)), field.modes[r.mode].name);
        let (base, rows) = (address(field, r), rows(heard));
        let first = which.page * AT_ONCE;
        let at = |page: u64| format!("{base}?page={page}");
        Self {
            shell: Shell::inside(format!("Reports of {title}"), actor, Place::Recurrences),
            recurrence: address::recurrence(field, r.part, r.mode),
            shown: format!(
                "Newest first. {} to {} of {}.",
                format::count((first + 1).min(all)),
                format::count(first + rows.len() as u64),
                format::counted(all, "report", "reports")
            ),
            newer: which.page.checked_sub(1).map(at),
            older: (first + AT_ONCE < all).then(|| at(which.page + 1)),
            rows,
            title,
        }
    }
}

fn rows(heard: &Heard) -> Vec<Word> {
    heard.lines.iter().map(|line| word(line, &heard.photos)).collect()
}

fn word(line: &ReportLine, photos: &[(String, PhotoFacts)]) -> Word {
    let report = &line.report;
    let address = address::report(&report.report_ref);
    let own = photos.iter().filter(|(report_ref, _)| *report_ref == report.report_ref);
    Word {
        photos: own.map(|(_, photo)| format!("{address}/photo/{}", photo.id)).collect(),
        report_ref: report.report_ref.clone(),
        unit: report.unit.clone(),
        received: format::date(report.received_on),
        story: report.narrative.clone(),
        harm: report.harm.and_then(harm_word),
        not_counted: report.relevant == Some(false),
        address,
    }
}

/// Harm in words; nothing where nobody was or could be hurt.
pub(crate) const fn harm_word(harm: domain::report::Harm) -> Option<&'static str> {
    match harm {
        domain::report::Harm::None => None,
        domain::report::Harm::NearMiss => Some("near miss"),
        domain::report::Harm::Injury => Some("injury"),
    }
}

/// What reporters wrote, for samples.
pub(super) fn sample(lines: usize) -> Heard {
    let report = super::sample::report(0, 2, "TB-0418");
    let photo = PhotoFacts { id: 3, media_type: "image/jpeg".into(), width: 800, height: 600 };
    let silent = domain::report::Report {
        narrative: None,
        harm: None,
        relevant: Some(false),
        report_ref: "2025-999".into(),
        ..report.clone()
    };
    let state = domain::handling::ReportState::Sorted;
    Heard {
        photos: vec![(report.report_ref.clone(), photo)],
        lines: [report, silent]
            .into_iter()
            .cycle()
            .take(lines)
            .map(|report| ReportLine { report, state, danger: None, answer_came: None })
            .collect(),
    }
}

impl Page for WordsPage {
    const TEMPLATE: &'static str = "pages/recurrences/reports";

    fn samples() -> Vec<Self> {
        let (field, analysis) = super::sample::field();
        let Some(r) = analysis.recurrences.first() else { return Vec::new() };
        let (heard, engineer) = (sample(2), super::sample::engineer());
        let page = |page| Self::new(&engineer, (&field, r), (&heard, 70), &Which { page });
        vec![page(0), page(1)]
    }
}
