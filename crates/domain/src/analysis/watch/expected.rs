//! Expected failures by week of a recurrence and of each upstream lot, from spells, age bands and rates.

use super::{Raw, Series, Watched, Weeks};
use crate::analysis::compared::Compared;
use crate::analysis::concentration::spread;
use crate::analysis::factor::FactorLevel;
use crate::analysis::levels::{Level, Levels, Stratum, add_bands};
use crate::analysis::lot_lines::REPORTS_WORTH_A_FLAG;
use crate::analysis::part_exposure::{Bands, PartExposure};
use crate::analysis::seen::Key;
use crate::analysis::standard::Standard;
use crate::analysis::tally::Tally;
use crate::field::{ChangeFacts, DAYS_PER_YEAR, Day, Field, LotId};
use crate::ledger::{Books, Ledger, begins, split_by_age};

/// Items of one lot in one age band over a span of days.
#[derive(Clone, Copy)]
struct Segment {
    lot: u32,
    band: u32,
    from: i32,
    to: i32,
    items: f64,
}

/// The exposure of one part as spans, by lot.
pub(in crate::analysis) struct Segments {
    segments: Vec<Segment>,
    /// Where those of each lot begin.
    begins: Vec<u32>,
}

impl Segments {
    pub(in crate::analysis) fn new(ledger: &Ledger, exposure: &PartExposure<'_>, levels: &Levels) -> Self {
        let mut segments = Vec::new();
        for spell in ledger.spells.iter().filter(|s| s.books.has(Books::BEST)) {
            let Some(lot) = spell.lot().and_then(|lot| levels.find_lot(lot)) else { continue };
            let mut from = spell.from.0;
            split_by_age(ledger.part_age_days(spell, exposure.part), spell.from, spell.to, |band, days| {
                segments.push(Segment {
                    lot: lot as u32,
                    band: band as u32,
                    from,
                    to: from + days,
                    items: f64::from(spell.quantity),
                });
                from += days;
            });
        }
        let begins = begins(&segments, levels.lots.len(), |segment| Some(segment.lot as usize));
        Self { segments, begins }
    }

    fn of_lot(&self, lot: usize) -> &[Segment] {
        &self.segments[self.begins[lot] as usize..self.begins[lot + 1] as usize]
    }
}

/// Sums segments at their rates by week.
struct Sum {
    begin: i32,
    /// By day: what the daily expectation grows by.
    steps: Vec<f64>,
}

impl Sum {
    fn new(weeks: &Weeks) -> Self {
        Self { begin: weeks.monday(0).0, steps: vec![0.0; weeks.len() * 7 + 1] }
    }

    fn add(&mut self, segments: &[Segment], rates: &Bands) {
        let last = self.steps.len() - 1;
        for segment in segments {
            let a_day = segment.items * rates[segment.band as usize] / DAYS_PER_YEAR;
            let place = |day: i32| ((day - self.begin).max(0) as usize).min(last);
            let (from, to) = (place(segment.from), place(segment.to));
            self.steps[from] += a_day;
            self.steps[to] -= a_day;
        }
    }

    fn by_week(&self) -> Vec<f64> {
        let mut a_day = 0.0;
        let mut of_day = |step: &f64| {
            a_day += step;
            // Rounding leaves dust where all have gone.
            if a_day > 1e-12 { a_day } else { 0.0 }
        };
        self.steps.chunks_exact(7).map(|week| week.iter().map(&mut of_day).sum()).collect()
    }
}

/// Exposure of a part in its forms, and the reports of one recurrence.
type Known<'a> = (&'a PartExposure<'a>, &'a Levels, &'a Segments, &'a Tally);

/// The series of one recurrence: its own, and those of upstream lots with reports enough to signal.
pub(in crate::analysis) fn raw(
    field: &Field,
    (exposure, levels, segments, tally): Known<'_>,
    weeks: &Weeks,
    key: Key,
    compared: &[Compared<'_>],
) -> Raw {
    if weeks.len() == 0 || compared.is_empty() || levels.lots.is_empty() {
        return Raw::default();
    }
    // All reports are held against their own past, read label or not; those on upstream lots against read ones.
    let smoothed: Vec<Bands> = tally.standards.iter().map(Standard::smoothed_rates).collect();
    let mut sum = Sum::new(weeks);
    for (lot, row) in levels.lots.iter().enumerate() {
        sum.add(segments.of_lot(lot), &smoothed[row.stratum]);
    }
    let rates: Vec<Bands> = tally.standards.iter().map(Standard::rates).collect();
    let reports = || compared.iter().map(|compared| compared.report);
    let own = Series {
        of: Watched::Recurrence,
        expected: sum.by_week(),
        received: weeks.count(reports().map(|report| report.received_on)),
        doubt: 1.0,
    };
    let found = weeks.count(reports().map(|report| report.found_on));
    let mut raw = Raw { series: vec![own], found, on_lots: 0.0, cut_ins: cut_ins(field, key) };
    let mut by_lot: Vec<(usize, Day)> = compared
        .iter()
        .filter_map(|one| Some((levels.find_lot(one.lot?)?, one.report.received_on)))
        .collect();
    by_lot.sort_unstable();
    for level in &levels.all {
        let FactorLevel::UsedLot(lot) = level.of else { continue };
        let at_rates = |(stratum, years): &(Stratum, Bands)| -> f64 {
            years.iter().zip(&rates[*stratum]).map(|(y, r)| y * r).sum()
        };
        raw.on_lots += level.years.iter().map(at_rates).sum::<f64>();
        raw.series.extend(of_lot(weeks, (exposure, levels, segments, tally), (lot, level), &by_lot));
    }
    raw
}

/// The items of an upstream lot against the rates of all others; `None` with few reports or few peers.
fn of_lot(
    weeks: &Weeks,
    (exposure, levels, segments, tally): Known<'_>,
    (lot, level): (LotId, &Level),
    by_lot: &[(usize, Day)],
) -> Option<Series> {
    let members: Vec<usize> = level.members.iter().filter(|m| m.1 >= 0.5).map(|m| m.0).collect();
    let received = members.iter().flat_map(|&at| {
        let from = by_lot.partition_point(|r| r.0 < at);
        by_lot[from..].iter().take_while(move |r| r.0 == at).map(|r| r.1)
    });
    let received: Vec<Day> = received.collect();
    if received.len() < REPORTS_WORTH_A_FLAG as usize {
        return None;
    }
    let (mut counts, mut years) = (Vec::new(), Vec::new());
    for &at in &members {
        add_bands(&mut counts, levels.lots[at].stratum, &tally.counts[at], 1.0);
        add_bands(&mut years, levels.lots[at].stratum, &levels.lots[at].years, 1.0);
    }
    let mut peers = 0;
    let mut sum = Sum::new(weeks);
    for ((stratum, counts), (_, years)) in counts.iter().zip(&years) {
        let (peer_count, rates) = tally.standards[*stratum].peer_rates(counts, years)?;
        peers += peer_count;
        for &at in members.iter().filter(|&&at| levels.lots[at].stratum == *stratum) {
            sum.add(segments.of_lot(at), &rates);
        }
    }
    if peers < u64::from(REPORTS_WORTH_A_FLAG) {
        return None;
    }
    // One standard deviation of what is not known of its true rate were it like its peers.
    let scatter = tally.scatter * spread(exposure, levels, tally, level);
    Some(Series {
        of: Watched::UsedLot(lot),
        expected: sum.by_week(),
        received: weeks.count(received.into_iter()),
        doubt: 1.0 + (1.0 / peers as f64 + scatter).sqrt(),
    })
}

/// When changes meant to cure a recurrence cut in.
fn cut_ins(field: &Field, (part, mode): Key) -> Vec<Day> {
    let cures = |change: &&ChangeFacts| {
        change.part == part && (change.modes.is_empty() || change.modes.contains(&mode))
    };
    field.changes.rows().iter().filter(cures).filter_map(|change| change.cut_in_on).collect()
}
