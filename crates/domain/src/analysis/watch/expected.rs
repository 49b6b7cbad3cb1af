//! Expected failures by week of a recurrence and of each upstream lot, from spells, age bands and rates.

use super::at_units::AtUnits;
use super::{Raw, Series, Watched, Weeks};
use crate::analysis::compared::Compared;
use crate::analysis::factor::FactorLevel;
use crate::analysis::levels::{Level, Levels, Stratum, add_bands};
use crate::analysis::lot_lines::REPORTS_WORTH_A_FLAG;
use crate::analysis::part_exposure::{Bands, PartExposure};
use crate::analysis::seen::Key;
use crate::analysis::standard::Standard;
use crate::analysis::tally::Tally;
use crate::field::{ChangeFacts, DAYS_PER_YEAR, Day, Field, LotId};
use crate::ledger::{AGE_BANDS, Books, Ledger, begins, split_by_age};

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
    all: Vec<Segment>,
    /// Where those of each lot begin.
    begins: Vec<u32>,
    /// Item-years of all lots of each stratum by age band and week: the same for every recurrence of the part.
    by_week: Vec<[Vec<f64>; AGE_BANDS.len()]>,
}

impl Segments {
    pub(in crate::analysis) fn new(
        ledger: &Ledger,
        exposure: &PartExposure<'_>,
        levels: &Levels,
        weeks: &Weeks,
    ) -> Self {
        let mut all: Vec<Segment> = Vec::new();
        let of_lots = levels.lots.iter().enumerate();
        let spells =
            of_lots.flat_map(|(at, row)| ledger.of_lot(row.lot).iter().map(move |spell| (at, spell)));
        for (lot, spell) in spells.filter(|(_, spell)| spell.books.has(Books::BEST)) {
            let mut from = spell.from.0;
            split_by_age(ledger.part_age_days(spell, exposure.part), spell.from, spell.to, |band, days| {
                all.push(Segment {
                    lot: lot as u32,
                    band: band as u32,
                    from,
                    to: from + days,
                    items: f64::from(spell.quantity),
                });
                from += days;
            });
        }
        let begins = begins(&all, levels.lots.len(), |segment| Some(segment.lot as usize));
        let mut sums: Vec<[Sum; AGE_BANDS.len()]> =
            levels.strata.iter().map(|_| std::array::from_fn(|_| Sum::new(weeks))).collect();
        for segment in &all {
            let stratum = levels.lots[segment.lot as usize].stratum;
            sums[stratum][segment.band as usize].add(segment, 1.0);
        }
        let by_week = sums.into_iter().map(|bands| bands.map(|sum| sum.by_week())).collect();
        Self { all, begins, by_week }
    }

    /// Expected failures of all lots by week, at the rates of each stratum.
    fn expected(&self, weeks: &Weeks, rates: &[Bands]) -> Vec<f64> {
        let mut expected = vec![0.0; weeks.len()];
        for (years, rate) in self.by_week.iter().zip(rates).flat_map(|(bands, rates)| bands.iter().zip(rates))
        {
            expected.iter_mut().zip(years).for_each(|(sum, years)| *sum += rate * years);
        }
        expected
    }

    fn of_lot(&self, lot: usize) -> &[Segment] {
        &self.all[self.begins[lot] as usize..self.begins[lot + 1] as usize]
    }
}

/// Sums segments by week, kept as what begins in each less what ends: a segment costs the same however long.
struct Sum {
    begin: i32,
    /// By week: what that adds to the week itself, and to every later one.
    steps: Vec<(f64, f64)>,
}

impl Sum {
    fn new(weeks: &Weeks) -> Self {
        Self { begin: weeks.monday(0).0, steps: vec![(0.0, 0.0); weeks.len()] }
    }

    /// Adds a segment's item-years times something.
    fn add(&mut self, segment: &Segment, times: f64) {
        let a_day = segment.items * times / DAYS_PER_YEAR;
        self.step(segment.from, a_day);
        self.step(segment.to, -a_day);
    }

    /// From a day on each day has so much more. What begins behind the last week is in none.
    fn step(&mut self, from: i32, a_day: f64) {
        let day = (from - self.begin).max(0);
        if let Some((here, later)) = self.steps.get_mut((day / 7) as usize) {
            *here += a_day * f64::from(7 - day % 7);
            *later += a_day * 7.0;
        }
    }

    fn by_week(&self) -> Vec<f64> {
        let mut before = 0.0;
        let of_week = |(here, later): &(f64, f64)| {
            let sum = before + here;
            before += later;
            // Rounding leaves dust where all have gone.
            if sum > 1e-12 { sum } else { 0.0 }
        };
        self.steps.iter().map(of_week).collect()
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
    let rates: Vec<Bands> = tally.standards.iter().map(Standard::rates).collect();
    let reports = || compared.iter().map(|compared| compared.report);
    let own = Series {
        of: Watched::Recurrence,
        expected: segments.expected(weeks, &smoothed),
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
    let at_units = AtUnits::new(field, exposure, levels, &rates);
    for level in &levels.all {
        let FactorLevel::UsedLot(lot) = level.of else { continue };
        let at_rates = |(stratum, years): &(Stratum, Bands)| -> f64 {
            years.iter().zip(&rates[*stratum]).map(|(y, r)| y * r).sum()
        };
        raw.on_lots += level.years.iter().map(at_rates).sum::<f64>();
        raw.series.extend(of_lot(weeks, (levels, segments, tally, &at_units), (lot, level), &by_lot));
    }
    raw
}

/// The items of an upstream lot against the rates of all others; `None` with few reports or few peers.
fn of_lot(
    weeks: &Weeks,
    (levels, segments, tally, at_units): (&Levels, &Segments, &Tally, &AtUnits),
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
            let segments = segments.of_lot(at).iter();
            segments.for_each(|segment| sum.add(segment, rates[segment.band as usize]));
        }
    }
    if peers < u64::from(REPORTS_WORTH_A_FLAG) {
        return None;
    }
    // One standard deviation of what is not known of its true rate were it like its peers.
    let scatter = tally.scatter * at_units.reaching(level);
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
