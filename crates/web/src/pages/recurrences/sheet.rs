//! A recurrence's page: sentence, pictures, decisions and how the figures are made.

use chrono::NaiveDate;
use domain::analysis::{Analysis, Recurrence};
use domain::caution;
use domain::field::Field;
use domain::permission::{Act, Actor, may};
use domain::recurrence::RecurrenceState;
use domain::risk::Severity;
use domain::signal::KeptSignal;
use serde::Serialize;
use store::{JournalEntry, KeptSettlement, RecurrenceRecord};

use super::beside::Beside;
use super::figures::{part_name, rate_opened};
use super::forms::{Forms, Sent};
use super::lot_rows::LotRows;
use super::outlook::Outlook;
use super::risk::{MatrixRow, matrix, risk_of};
use super::sits::Sits;
use super::weekly::named_changes;
use super::words::{Heard, Words};
use super::{meanwhile, seam, sentence, weekly};
use crate::address::segment;
use crate::format;
use crate::pages::interim::Bearing;
use crate::templates::Page;
use crate::view::{
    Caution, ChartView, Faults, Figure, Overtaken, Place, Revision, Shell, Thread, TitleBlock,
};

/// The page.
#[derive(Serialize)]
pub struct RecurrencePage {
    pub(super) shell: Shell,
    thread: Thread,
    title: String,
    overtaken: Option<Overtaken>,
    /// The latest line of the journal that this page shows: what is decided here is decided on that.
    shown: i64,
    sentence: String,
    cautions: Vec<Caution>,
    figure: Figure,
    /// What the pictures don't know yet.
    newer: Option<String>,
    sits: Option<Sits>,
    lots: Option<LotRows>,
    weeks: Option<ChartView>,
    to_come: Option<String>,
    watched: Vec<String>,
    /// Signals as they were raised, the latest first.
    raised: Vec<String>,
    allowance: String,
    otherwise: Option<String>,
    outlook: Outlook,
    beside: Beside,
    /// What units are told to do meanwhile.
    interim: Vec<Bearing>,
    instruct: Option<String>,
    risk: String,
    risk_basis: Option<String>,
    judged: Option<(String, String)>,
    matrix: Vec<MatrixRow>,
    cause: Option<String>,
    next_step: Option<String>,
    owner: Option<String>,
    settled: Option<[String; 4]>,
    settle: Option<String>,
    address: String,
    forms: Option<Forms>,
    draft: Option<String>,
    words: Option<Words>,
    changes: Vec<(String, String, &'static str)>,
    revisions: Vec<Revision>,
    title_block: TitleBlock,
}

/// What the page is made from besides the picture.
#[derive(Default)]
pub(super) struct Kept {
    /// What people decided.
    pub record: Option<RecurrenceRecord>,
    /// The journal's lines, latest first.
    pub journal: Vec<JournalEntry>,
    /// What reporters wrote, where the reader may read it.
    pub heard: Option<Heard>,
    /// Instructions that answer it.
    pub interim: Vec<Bearing>,
    /// Signals of the watch as they were raised, the latest first.
    pub signals: Vec<KeptSignal>,
    /// What was decided since the page was shown before.
    pub overtaken: Option<Overtaken>,
}

fn newer(reports: u32) -> String {
    let reports = format::counted(reports.into(), "report", "reports");
    format!(
        "The last {reports} are in this rate and its risk; lots, weeks, age and forecast below follow within moments."
    )
}

impl RecurrencePage {
    /// The page with what was typed, and what is wrong with it.
    pub(super) fn new(
        actor: &Actor,
        (field, analysis): (&Field, &Analysis),
        r: &Recurrence,
        kept: &Kept,
        (sent, faults): (&Sent, &Faults),
        today: NaiveDate,
    ) -> Self {
        let record = kept.record.as_ref();
        let risk = risk_of(field, r, record);
        let (part_no, mode) = (&field.part_names[r.part], &field.modes[r.mode]);
        let title = format!("{}: {}", format::titled(part_name(field, r.part)), mode.name);
        let judgement = record.and_then(|record| record.judgement.as_ref());
        let key = (segment(part_no), segment(&mode.code));
        Self {
            shell: Shell::inside(title.clone(), actor, Place::Recurrences),
            thread: seam::thread(actor, field, r, today),
            overtaken: kept.overtaken.clone(),
            shown: meanwhile::shown(&kept.journal),
            sentence: sentence::sentence(field, r, risk.severity),
            cautions: cautions(field, r, risk.severity),
            figure: rate_opened(r),
            newer: (r.newer > 0).then(|| newer(r.newer)),
            sits: Sits::new(field, r),
            lots: (!r.lots.is_empty()).then(|| LotRows::new(field, &r.lots)),
            weeks: weekly::chart(field, analysis, r),
            to_come: weekly::to_come(r),
            watched: weekly::watched(field, r),
            raised: kept.signals.iter().map(weekly::raised).collect(),
            allowance: weekly::allowance(analysis.false_signals_per_year),
            otherwise: weekly::otherwise(r),
            outlook: Outlook::new(field, analysis, r),
            beside: Beside::new(field, r),
            interim: kept.interim.clone(),
            instruct: may(actor, &Act::Instruct)
                .is_ok()
                .then(|| format!("/instructions/new?part={0}&recurrence={0}%20{1}", key.0, key.1)),
            risk: risk.words(),
            risk_basis: r.risk.as_ref().map(|risk| risk.basis.clone()),
            judged: judgement.map(|j| (j.reason.clone(), format!("{}, {}", j.by, format::moment(j.at)))),
            matrix: matrix(risk),
            cause: record.and_then(|record| record.cause.clone()),
            next_step: record.and_then(|record| record.next_step.clone()),
            owner: record.and_then(|record| record.owner.clone()),
            settled: record.and_then(|record| record.settled.as_ref()).map(settled),
            settle: record
                .filter(|record| record.state != RecurrenceState::Settled)
                .filter(|_| may(actor, &Act::DecideSeverity).is_ok())
                .map(|_| format!("/recurrences/{}/{}/settle", key.0, key.1)),
            address: format!("/recurrences/{}/{}", key.0, key.1),
            forms: may(actor, &Act::DecideSeverity).is_ok().then(|| Forms::new(sent, faults)),
            draft: may(actor, &Act::DraftChange)
                .is_ok()
                .then(|| format!("/changes/new?part={}&mode={}", key.0, key.1)),
            words: kept.heard.as_ref().map(|heard| Words::new(field, r, heard)),
            changes: named_changes(field, r),
            revisions: kept.journal.iter().rev().enumerate().map(|(at, entry)| revision(at, entry)).collect(),
            title_block: title_block(&title, record, kept, analysis.as_of),
            title,
        }
    }
}

/// What to be careful of, by its severity, its harm and its kind of part.
fn cautions(field: &Field, r: &Recurrence, severity: Severity) -> Vec<Caution> {
    let harm = r.injuries > 0 || r.near_misses > 0;
    Caution::list(caution::for_recurrence(severity.number(), harm, field.kind_of(r.part)))
}

/// What was stated when it was settled: on which change, the stock, what remains, who accepts it.
fn settled(kept: &KeptSettlement) -> [String; 4] {
    let stated = &kept.settlement;
    let (with, all) = (format::count(stated.with_change), format::count(stated.in_service));
    [
        format!("on change {}, with {with} of {all} items in service reached", stated.change_no),
        stated.stock.clone(),
        stated.remains.clone(),
        format!("{}, recorded by {}, {}", stated.accepted_by, kept.by, format::moment(kept.at)),
    ]
}

fn revision(at: usize, entry: &JournalEntry) -> Revision {
    Revision {
        mark: (at + 1).to_string(),
        what: entry.act.clone(),
        by: entry.actor.clone(),
        date: format::moment(entry.at),
    }
}

fn title_block(title: &str, record: Option<&RecurrenceRecord>, kept: &Kept, as_of: NaiveDate) -> TitleBlock {
    let none = || "none yet".to_owned();
    let mut dates = vec![("Figures as of".to_owned(), format::date(as_of))];
    if let Some(latest) = kept.journal.first() {
        dates.push(("Changed".to_owned(), format::date(latest.at.date_naive())));
    }
    TitleBlock {
        number: record.map_or_else(none, |record| record.sheet_no.clone()),
        title: title.to_owned(),
        revision: format::count(kept.journal.len() as u64),
        state: record.map_or("standing", |record| record.state.word()).to_owned(),
        owner: record.and_then(|record| record.owner.clone()).unwrap_or_else(none),
        dates,
        sheet: "1 of 1".into(),
    }
}

impl Page for RecurrencePage {
    const TEMPLATE: &'static str = "pages/recurrences/sheet";

    fn samples() -> Vec<Self> {
        let (field, analysis) = super::sample::field();
        let engineer = super::sample::engineer();
        let (seen, today) = ((&field, &analysis), analysis.as_of);
        let Some(r) = analysis.recurrences.first() else { return Vec::new() };
        let entry = JournalEntry {
            id: 7,
            at: chrono::DateTime::UNIX_EPOCH,
            actor: "Oda Fell".into(),
            user_id: None,
            act: "take up".into(),
            noun: "recurrence".into(),
            key: String::new(),
            before: None,
            after: None,
        };
        let heard = |lines| Some(super::words::sample(lines));
        let decided = Kept {
            record: Some(super::sample::record()),
            journal: vec![entry],
            heard: heard(12),
            interim: Bearing::samples(),
            signals: vec![super::sample::signal(analysis.as_of)],
            overtaken: Some(Overtaken::sample()),
        };
        let nothing = |heard| Kept { heard, ..Kept::default() };
        let (fresh, quiet) = (nothing(None), nothing(heard(2)));
        let typed = Sent::of(decided.record.as_ref());
        let faults = Sent::default().judgement().err().unwrap_or_default();
        let alone = Recurrence {
            newer: 2,
            lots: Vec::new(),
            concentrations: None,
            rate: None,
            risk: None,
            life: Err(domain::analysis::NoLife::NoAges),
            forecast: Err(domain::analysis::NoForecast::NobodyHasIt),
            ..r.clone()
        };
        let board = Actor::Person {
            id: 2,
            name: "Jon Skerry".into(),
            role: domain::permission::Role::Board,
            unit: None,
        };
        let changed = vec![("/changes/2026-014".to_owned(), "2026-014 Coated slider".to_owned(), "draft")];
        let whole = Self::new(&engineer, seen, r, &decided, (&typed, &Faults::default()), today);
        vec![
            Self { changes: changed, ..whole },
            Self::new(&engineer, seen, r, &fresh, (&Sent::default(), &faults), today),
            Self::new(&board, seen, &alone, &quiet, (&Sent::default(), &Faults::default()), today),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn harm_brings_its_cautions_to_the_page_even_at_the_least_severity() {
        let (field, analysis) = super::super::sample::field();
        let found = &analysis.recurrences[0];
        let shown = |injuries, near_misses| {
            let r = Recurrence { injuries, near_misses, ..found.clone() };
            let told = cautions(&field, &r, Severity::Negligible);
            told.iter().filter(|caution| caution.harm).count()
        };
        assert_eq!((shown(0, 0), shown(1, 0), shown(0, 1)), (0, 2, 2));
    }
}
