//! Recurrences: reports of one part and mode, with rate, risk and lots.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use rayon::prelude::*;
use stats::binomial::clopper_pearson_upper;

use super::compared::compared;
use super::concentration::{Concentration, Looked, look};
use super::drawn::{Drawn, drawn};
use super::flags::flag;
use super::forecast::{Forecast, NoForecast};
use super::levels::Levels;
use super::life::{Life, NoLife};
use super::looked::{Looked as LookedAt, looked};
use super::lot_lines::{LotLine, LotTable, lot_table};
use super::outlook::{Outlooks, PartOutlook};
use super::part_exposure::PartExposure;
use super::rate::{OnReceipt, Rate};
use super::reporting::{CorrectedRate, Reporting, ReportingFraction};
use super::seen::{Seen, in_service};
use super::tally::Tally;
use super::watch::{Delays, Raw, Segments, Watch, Weeks, raw, watch};
use super::wear::{PartWear, Timetables, Wear};
use super::{CONFIDENCE, holders::Holders};
use crate::field::{Field, ModeId, PartId, ReportFacts, ReportId};
use crate::ledger::{Ledger, Span};
use crate::movement::{Condition, MovementKind};
use crate::part::DEFAULT_LIFE_YEARS;
use crate::report::Harm;
use crate::risk::{Level, MishapInputs, RiskLevel, Severity, mishap_probability, risk_level};

/// Risk by the tables of MIL-STD-882E, as the figures have it.
#[derive(Clone, Debug, PartialEq)]
pub struct Risk {
    /// The catalogue's severity, until a person decides.
    pub severity: Severity,
    /// From the probability of harm in the life of one item.
    pub probability: Level,
    /// What the two make.
    pub level: RiskLevel,
    /// The probability itself.
    pub per_life: f64,
    /// How it was found.
    pub basis: String,
}

/// Two or more relevant reports of one mode on one part, or one with harm.
#[derive(Clone, Debug, PartialEq)]
pub struct Recurrence {
    /// The part.
    pub part: PartId,
    /// The mode.
    pub mode: ModeId,
    /// Relevant reports, in the order they came.
    pub report_ids: Vec<ReportId>,
    /// Relevant reports.
    pub reports: u32,
    /// Items they tell of.
    pub items: u32,
    /// Reports of an injury.
    pub injuries: u32,
    /// Reports of a near miss.
    pub near_misses: u32,
    /// Reports called for by a notice; not compared between lots.
    pub prompted: u32,
    /// Failures found on unpacking, a rate of their own; `None` without any.
    pub on_receipt: Option<OnReceipt>,
    /// Item-years of every item that contains the part.
    pub item_years: Span,
    /// Chargeable occasions in service per 1,000 item-years; `None` without exposure.
    pub rate: Option<Rate>,
    /// Risk; `None` without exposure.
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
    /// When the watch first raised a signal, of the recurrence or of a lot in it.
    pub first_signal_on: Option<NaiveDate>,
    /// The watch.
    pub watch: Watch,
}

/// All recurrences, sorted.
pub(super) fn recurrences(
    field: &Field,
    ledger: &Ledger,
    seen: &Seen,
    reporting: &Reporting,
    outlooks: &Outlooks<'_>,
    false_signals_per_year: f64,
) -> Vec<Recurrence> {
    let weeks = Weeks::new(ledger);
    let timetables = Timetables::new(field);
    let found: Vec<(Recurrence, f64, Raw)> = seen
        .by_part()
        .into_par_iter()
        .filter(|rows| rows.chunk_by(|a, b| a.1 == b.1).any(|group| is_recurrence(field, group)))
        .flat_map_iter(|rows| {
            let exposure = PartExposure::new(field, ledger, rows[0].0);
            let levels = Levels::new(field, &exposure);
            let segments = Segments::new(ledger, &exposure, &levels);
            let outlook = outlooks.of_part(rows[0].0);
            let wear = PartWear::new(field, ledger, &timetables, rows[0].0);
            let books = Books {
                exposure: &exposure,
                levels: &levels,
                segments: &segments,
                weeks: &weeks,
                outlook: &outlook,
                wear: &wear,
            };
            let unpacked = rows.iter().any(|row| !in_service(&field.reports[row.2]));
            let issued = if unpacked { issued_new(field, rows[0].0, seen) } else { 0 };
            let groups: Vec<_> =
                rows.chunk_by(|a, b| a.1 == b.1).filter(|g| is_recurrence(field, g)).collect();
            groups
                .into_iter()
                .map(|group| recurrence(field, seen, reporting, &books, group, issued))
                .collect::<Vec<_>>()
        })
        .collect();
    let looked_at: f64 = found.iter().map(|(_, looked_at, _)| looked_at).sum();
    let (mut recurrences, raws): (Vec<Recurrence>, Vec<Raw>) =
        found.into_iter().map(|(recurrence, _, raw)| (recurrence, raw)).unzip();
    let delays = Delays::new(field, seen, &weeks);
    let watches = watch(&weeks, &delays, &raws, false_signals_per_year);
    for (recurrence, watch) in recurrences.iter_mut().zip(watches) {
        recurrence.first_signal_on = watch.signals.first().map(|signal| signal.first_on);
        recurrence.watch = watch;
    }
    flag(field, ledger, seen, &mut recurrences, looked_at);
    recurrences.sort_by(|a, b| {
        let low = |r: &Recurrence| r.rate.map_or(0.0, |rate| rate.low);
        let harm = |r: &Recurrence| (r.injuries, r.near_misses);
        harm(b)
            .cmp(&harm(a))
            .then(low(b).total_cmp(&low(a)))
            .then(b.reports.cmp(&a.reports))
            .then((a.part, a.mode).cmp(&(b.part, b.mode)))
    });
    recurrences
}

/// The exposure of one part in the forms that its recurrences are held against.
struct Books<'a> {
    exposure: &'a PartExposure<'a>,
    levels: &'a Levels,
    segments: &'a Segments,
    weeks: &'a Weeks,
    outlook: &'a PartOutlook<'a>,
    wear: &'a PartWear<'a>,
}

type Group<'a> = &'a [(PartId, ModeId, ReportId)];

fn is_recurrence(field: &Field, group: Group<'_>) -> bool {
    group.len() >= 2 || group.iter().any(|row| field.reports[row.2].is_harm())
}

fn recurrence(
    field: &Field,
    seen: &Seen,
    reporting: &Reporting,
    &Books { exposure, levels, segments, weeks, outlook, wear }: &Books<'_>,
    group: Group<'_>,
    issued: u64,
) -> (Recurrence, f64, Raw) {
    let (part, mode, _) = group[0];
    let facts = || group.iter().map(|row| &field.reports[row.2]);
    let count = |wanted: &dyn Fn(&ReportFacts) -> bool| facts().filter(|r| wanted(r)).count() as u32;
    let occasions = u64::from(count(&|r| r.is_chargeable() && in_service(r)));
    let unpacked = count(&|r| !in_service(r));
    let rate = Rate::new(occasions, exposure.years.best);
    let report_ids: Vec<ReportId> = group.iter().map(|row| row.2).collect();
    let compared = compared(field, exposure, seen, &report_ids);
    let LotTable { lines, looked_at } = lot_table(field, exposure, &compared);
    let tally = Tally::new(field, exposure, levels, &compared);
    let Looked { mut found, looked_at: levels_looked_at } = look(field, exposure, levels, &tally);
    found.extend(lines.iter().filter_map(|line| Concentration::of_line(line, tally.read)));
    let (life, forecast) = outlook.of_mode(group.iter().map(|row| row.2));
    let mut recurrence = Recurrence {
        part,
        mode,
        report_ids,
        reports: group.len() as u32,
        items: facts().map(|r| r.quantity).sum(),
        injuries: count(&|r| r.harm == Some(Harm::Injury)),
        near_misses: count(&|r| r.harm == Some(Harm::NearMiss)),
        prompted: count(&|r| r.prompted_by.is_some()),
        on_receipt: (unpacked > 0).then(|| OnReceipt::new(u64::from(unpacked), issued)),
        item_years: exposure.years,
        rate,
        risk: None,
        lots: lines,
        concentrations: (!levels.lots.is_empty()).then_some(found),
        life,
        forecast,
        reporting_fraction: None,
        corrected_rate: None,
        wear: wear.of_mode(exposure.years.best, facts()),
        looked: looked(field, part, mode, seen.as_of),
        drawn: drawn(field, seen, part),
        first_signal_on: None,
        watch: Watch::default(),
    };
    recurrence.risk = rate.and_then(|rate| risk(field, &recurrence, rate));
    recurrence.reporting_fraction = reporting.of_mode(part, mode);
    recurrence.corrected_rate =
        recurrence.reporting_fraction.zip(rate).and_then(|(f, rate)| f.corrected(rate));
    let raw = raw(field, seen, (exposure, levels, segments, &tally), weeks, &recurrence.report_ids);
    (recurrence, looked_at + levels_looked_at, raw)
}

/// New items issued that contain the part.
fn issued_new(field: &Field, part: PartId, seen: &Seen) -> u64 {
    let holders = Holders::of_part(field, part);
    let new = |m: &&crate::field::MovementFacts| {
        m.kind == MovementKind::Issue && m.condition != Some(Condition::Used) && m.day <= seen.as_of
    };
    let issues = field.movements.iter().filter(new).filter(|m| holders.has_stock(field, m.stock));
    issues.map(|m| u64::from(m.quantity)).sum()
}

fn risk(field: &Field, recurrence: &Recurrence, rate: Rate) -> Option<Risk> {
    let severity = Severity::from_number(field.modes[recurrence.mode].severity)?;
    let reports = u64::from(recurrence.reports);
    let with_harm = u64::from(recurrence.injuries + recurrence.near_misses);
    let (life_years, known) = life_years(field, recurrence.part);
    let found = mishap_probability(MishapInputs {
        rate_per_item_year: rate.estimate / 1000.0,
        rate_high: rate.high / 1000.0,
        life_years,
        reports,
        with_harm,
        harm_share_high: clopper_pearson_upper(with_harm, reports, CONFIDENCE).ok()?,
    });
    let probability = Level::of_probability(found.per_life);
    let basis =
        if known { found.basis } else { format!("{} (life assumed: nobody has stated it)", found.basis) };
    let level = risk_level(severity, probability);
    Some(Risk { severity, probability, level, per_life: found.per_life, basis })
}

/// The longest stated life of an item that contains the part; the usual figure where nobody has stated one.
fn life_years(field: &Field, part: PartId) -> (f64, bool) {
    let items: BTreeSet<PartId> = Holders::of_part(field, part).items(field);
    let stated = items
        .iter()
        .flat_map(|&item| &field.parts[item].revisions)
        .filter_map(|&revision| field.revisions[revision].life_years)
        .filter(|years| *years > 0.0)
        .max_by(f64::total_cmp);
    (stated.unwrap_or(DEFAULT_LIFE_YEARS), stated.is_some())
}
