//! Recurrences: reports of one part and mode, with rate, risk and lots.

mod counted;
mod risk;

use std::sync::{Arc, Mutex, OnceLock};

use chrono::NaiveDate;

use super::compared::compared;
use super::concentration::{Concentration, Looked, look};
use super::drawn::Drawn;
use super::factor::FactorLevel;
use super::forecast::{Forecast, NoForecast};
use super::ground::Ground;
use super::holders::Holders;
use super::levels::Levels;
use super::life::{Life, NoLife};
use super::looked::{Looked as LookedAt, looked};
use super::lot_lines::{LotLine, LotTable, lot_table};
use super::outlook::PartOutlook;
use super::part_exposure::PartExposure;
use super::rate::{OnReceipt, Rate};
use super::reporting::{CorrectedRate, ReportingFraction, share_reported};
use super::scanned::Scanned;
use super::seen::{Key, Seen};
use super::spread::{Issued, Spread};
use super::tally::Tally;
use super::to_come::ToCome;
use super::unit_ratios::UnitRatios;
use super::watch::{Raw, Segments, Watch, raw};
use super::wear::{PartWear, Wear};
use crate::field::{Day, Field, LotId, ModeId, PartId, ReportId};
use crate::ledger::{Ledger, Span};

pub(super) use counted::Counted;
pub use risk::Risk;
use risk::risk;

/// Two or more relevant reports of one mode on one part, or one with harm.
#[derive(Clone, Debug, PartialEq)]
pub struct Recurrence {
    /// The part.
    pub part: PartId,
    /// The mode.
    pub mode: ModeId,
    /// Relevant reports, in the order of the books, which need not be that of their days.
    pub report_ids: Vec<ReportId>,
    /// Relevant reports.
    pub reports: u32,
    /// The same by day and unit.
    pub spread: Spread,
    /// Items issued that contain the part, by week.
    pub issued: Arc<Issued>,
    /// Items they tell of.
    pub items: u64,
    /// Reports of an injury.
    pub injuries: u32,
    /// Reports of a near miss.
    pub near_misses: u32,
    /// Reports of either in service, not on unpacking.
    pub harmed_in_service: u32,
    /// Reports called for by a notice; not compared between lots.
    pub prompted: u32,
    /// Chargeable occasions in service that came of their units' own accord.
    pub unasked: u32,
    /// Reports that came or were sorted since its lots, life, forecast and watch were worked out; they are in its counts,
    /// rate and risk. 0 where all figures are of one moment.
    pub newer: u32,
    /// Failures found on unpacking, a rate of their own; `None` without any.
    pub on_receipt: Option<OnReceipt>,
    /// Item-years of every item that contains the part.
    pub item_years: Span,
    /// The best of them while reports were kept: fewer where reporting began late.
    pub recorded_years: f64,
    /// Chargeable occasions in service per 1,000 item-years; `None` without exposure.
    pub rate: Option<Rate>,
    /// Risk of a mishap in service, of every relevant report; `None` without exposure.
    pub risk: Option<Risk>,
    /// Lots with reports: flagged ones first, then by how probable it is that they are worse.
    pub lots: Vec<LotLine>,
    /// Levels of factors with reports: flagged ones first, those that nothing else explains before the others, then by how
    /// probable it is that they are worse. `None` without exposure.
    pub concentrations: Option<Vec<Concentration>>,
    /// Life in service until failure, as reported; or why there is none.
    pub life: Result<Life, NoLife>,
    /// Reports to come; or why that is not said.
    pub forecast: Result<Forecast, NoForecast>,
    /// Share of failures reported; `None` without an inspection for the mode.
    pub reporting_fraction: Option<ReportingFraction>,
    /// The rate corrected for what is not reported, to stand beside the reported one.
    pub corrected_rate: Option<CorrectedRate>,
    /// Failures per hour worn; `None` where no use is on record.
    pub wear: Option<Wear>,
    /// What inspections found, lot by lot.
    pub looked: Vec<LookedAt>,
    /// Spare parts drawn beside reports; `None` without demand on record for the part.
    pub drawn: Option<Drawn>,
    /// Reports still to come on failures of recent weeks; `None` where no report is late.
    pub to_come: Option<ToCome>,
    /// When the watch first raised a signal, of the recurrence or of a lot in it.
    pub first_signal_on: Option<NaiveDate>,
    /// The watch.
    pub watch: Watch,
}

/// All recurrences, sorted. A copy shares those that a few reports leave as they are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Recurrences(Vec<Arc<Recurrence>>);

impl Recurrences {
    pub(super) fn new(recurrences: Vec<Recurrence>) -> Self {
        let mut all = Self(recurrences.into_iter().map(Arc::new).collect());
        all.sort();
        all
    }

    /// The first; `None` without any.
    pub fn first(&self) -> Option<&Recurrence> {
        self.0.first().map(|one| &**one)
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Every recurrence, in order.
    pub fn iter(&self) -> Iter<'_> {
        self.0.iter().map(|one| &**one)
    }

    /// The one to be altered, in a copy of its own.
    pub(super) fn find_mut(&mut self, (part, mode): Key) -> Option<&mut Recurrence> {
        self.0.iter_mut().find(|one| (one.part, one.mode) == (part, mode)).map(Arc::make_mut)
    }

    /// Sorts as [`ORDER`](super::ORDER) says.
    pub(super) fn sort(&mut self) {
        self.0.sort_by(|a, b| {
            let low = |r: &Recurrence| r.rate.map_or(0.0, |rate| rate.low);
            let harm = |r: &Recurrence| (r.injuries, r.near_misses);
            harm(b)
                .cmp(&harm(a))
                .then(low(b).total_cmp(&low(a)))
                .then(b.reports.cmp(&a.reports))
                .then((a.part, a.mode).cmp(&(b.part, b.mode)))
        });
    }
}

type Iter<'a> = std::iter::Map<std::slice::Iter<'a, Arc<Recurrence>>, fn(&Arc<Recurrence>) -> &Recurrence>;

impl<'a> IntoIterator for &'a Recurrences {
    type Item = &'a Recurrence;
    type IntoIter = Iter<'a>;
    fn into_iter(self) -> Iter<'a> {
        self.iter()
    }
}

impl std::ops::Index<usize> for Recurrences {
    type Output = Recurrence;
    fn index(&self, at: usize) -> &Recurrence {
        &self.0[at]
    }
}

/// The forms of one part's exposure that its recurrences are held against.
pub(super) struct Books<'a> {
    pub(super) exposure: &'a PartExposure<'a>,
    pub(super) levels: &'a Levels,
    pub(super) segments: &'a Segments,
    pub(super) outlook: &'a PartOutlook<'a>,
    pub(super) wear: &'a PartWear<'a>,
    pub(super) issued: &'a Arc<Issued>,
    pub(super) unit_ratios: &'a UnitRatios,
}

/// Whether the reports of a mode on a part make a recurrence.
pub(super) fn is_recurrence(field: &Field, group: &[ReportId]) -> bool {
    group.len() >= 2 || group.iter().any(|&id| field.reports[id].is_harm())
}

/// The levels that were flagged, and what explains each of them.
pub(super) type Explained = (Vec<FactorLevel>, Vec<Option<FactorLevel>>);

/// What is worked out of one recurrence by itself, before it is held against all others.
pub(super) struct Found {
    /// The recurrence without flags and watch; its concentrations without the item lots, which are in its lines.
    pub(super) recurrence: Recurrence,
    /// Everything that was held against its peers.
    pub(super) scanned: Scanned,
    /// What its watch is made from.
    pub(super) raw: Raw,
    /// Reports with a lot in service.
    pub(super) read: u32,
    /// What was found to explain the levels that were flagged: it holds while the same ones are.
    pub(super) explained: Mutex<Option<Explained>>,
    /// Its lots when movements take the newest items first, where that was asked for: whether one may be flagged, and its
    /// evidence.
    pub(super) newest_first: OnceLock<Vec<(LotId, bool, f64)>>,
}

pub(super) fn found(
    field: &Field,
    ground: &Ground,
    seen: &Seen,
    &Books { exposure, levels, segments, outlook, wear, issued, unit_ratios }: &Books<'_>,
    (part, mode): Key,
    reporting_fraction: Option<ReportingFraction>,
) -> Found {
    let group = seen.of_mode(part, mode);
    let rows = seen.rows(field, group);
    let reports = || rows.iter().map(|row| &row.report);
    let compared = compared(exposure, &rows);
    let tally = Tally::new(field, exposure, levels, unit_ratios, &compared);
    let LotTable { lines, mut scanned } = lot_table(field, exposure, (levels, &tally), &compared);
    let Looked { found, scanned: levels_scanned } = look(field, exposure, levels, &tally);
    scanned.add_all(&levels_scanned);
    let (life, forecast) = outlook.of_mode(field, mode, &rows, share_reported(reporting_fraction));
    let mut recurrence = Recurrence {
        part,
        mode,
        report_ids: group.to_vec(),
        reports: 0,
        spread: Spread::of(reports()),
        issued: Arc::clone(issued),
        items: 0,
        injuries: 0,
        near_misses: 0,
        harmed_in_service: 0,
        prompted: 0,
        unasked: 0,
        newer: 0,
        on_receipt: None,
        item_years: exposure.years,
        recorded_years: exposure.recorded,
        rate: None,
        risk: None,
        lots: lines,
        concentrations: (!levels.lots.is_empty()).then_some(found),
        life,
        forecast,
        reporting_fraction,
        corrected_rate: None,
        wear: wear.of_mode(exposure.years.best, reports()),
        looked: looked(field, part, mode, seen.as_of),
        drawn: None,
        to_come: None,
        first_signal_on: None,
        watch: Watch::default(),
    };
    let mut counted = Counted::default();
    let looks = ground.inspections_of(part, mode);
    reports().for_each(|report| counted.add(looks, report));
    recurrence.set_counts(field, &ground.ledger, counted);
    let raw = raw(field, (exposure, levels, segments, &tally), (part, mode), &compared);
    Found {
        recurrence,
        scanned,
        raw,
        read: tally.read,
        explained: Mutex::default(),
        newest_first: OnceLock::new(),
    }
}

impl Recurrence {
    /// The day on which it became one: on which its second report came, or the first with harm, whichever was
    /// earlier. `None` where so many were taken off it since that it is none any more.
    pub fn began_on(&self) -> Option<Day> {
        self.spread.received(1).into_iter().chain(self.spread.harmed()).min()
    }

    /// Sets the counts, and the rate and risk that follow from them.
    pub(super) fn set_counts(&mut self, field: &Field, ledger: &Ledger, counted: Counted) {
        self.reports = counted.reports;
        self.items = counted.items;
        self.injuries = counted.injuries;
        self.near_misses = counted.near_misses;
        self.harmed_in_service = counted.harmed;
        self.prompted = counted.prompted;
        self.on_receipt = (counted.unpacked > 0).then(|| {
            let issued = self.on_receipt.map(|found| found.issued);
            let issued = issued.unwrap_or_else(|| issued_new(field, ledger, self.part, ledger.as_of));
            OnReceipt::new(u64::from(counted.unpacked), issued)
        });
        self.rate = Rate::new(u64::from(counted.occasions), self.item_years.best);
        self.risk = risk(field, self, self.item_years.best);
        self.unasked = counted.unasked;
        let unasked = Rate::new(u64::from(counted.unasked), self.item_years.best);
        self.corrected_rate = self.reporting_fraction.zip(unasked).and_then(|(f, rate)| f.corrected(rate));
    }
}

/// Items that contain the part issued for the first time, up to a day.
pub(super) fn issued_new(field: &Field, ledger: &Ledger, part: PartId, until: Day) -> u64 {
    let holders = Holders::of_part(field, part);
    let of_part = ledger.first_issues.iter().filter(|issue| holders.has_stock(field, issue.0));
    of_part.filter(|issue| issue.1 <= until).map(|issue| issue.2).sum()
}
