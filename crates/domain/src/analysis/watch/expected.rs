//! Expected failures by week of a recurrence and of each upstream lot, from spells, age bands and rates.

use super::segments::{Segments, Sum};
use super::unit_shares::UnitShares;
use super::{Raw, Series, Watched};
use crate::analysis::compared::Compared;
use crate::analysis::factor::FactorLevel;
use crate::analysis::levels::{Level, Levels, Stratum, add_bands};
use crate::analysis::lot_lines::REPORTS_WORTH_A_FLAG;
use crate::analysis::part_exposure::{Bands, PartExposure};
use crate::analysis::seen::Key;
use crate::analysis::standard::Standard;
use crate::analysis::tally::Tally;
use crate::field::{ChangeFacts, Day, Field, LotId};

/// Exposure of a part in its forms, and the reports of one recurrence.
type Known<'a> = (&'a PartExposure<'a>, &'a Levels, &'a Segments, &'a Tally);

/// The series of one recurrence: its own, and those of upstream lots with reports enough to signal.
pub(in crate::analysis) fn raw(
    field: &Field,
    (exposure, levels, segments, tally): Known<'_>,
    key: Key,
    compared: &[Compared<'_>],
) -> Raw {
    let weeks = &segments.weeks;
    if weeks.len() == 0 || compared.is_empty() || levels.lots.is_empty() {
        return Raw::default();
    }
    // All reports are held against their own past, read label or not; those on upstream lots against read ones.
    let smoothed: Vec<Bands> = tally.standards.iter().map(Standard::smoothed_rates).collect();
    let rates: Vec<Bands> = tally.standards.iter().map(Standard::rates).collect();
    let reports = || compared.iter().map(|compared| compared.report);
    let own = Series {
        of: Watched::Recurrence,
        expected: segments.expected(&smoothed),
        received: weeks.count(reports().map(|report| report.received_on)),
        doubt: 1.0,
    };
    let found = weeks.count(reports().map(|report| report.found_on));
    let mut raw = Raw { series: vec![own], found, on_lots: 0.0, cut_ins: cut_ins(field, key) };
    let mut by_lot: Vec<(usize, Day)> = compared
        .iter()
        .filter_map(|one| Some((levels.find(one.lot?, one.part)?, one.report.received_on)))
        .collect();
    by_lot.sort_unstable();
    let shares = UnitShares::new(field, exposure, levels, &rates);
    for level in &levels.all {
        let FactorLevel::UsedLot(lot) = level.of else { continue };
        let at_rates = |(stratum, years): &(Stratum, Bands)| -> f64 {
            years.iter().zip(&rates[*stratum]).map(|(y, r)| y * r).sum()
        };
        raw.on_lots += level.years.iter().map(at_rates).sum::<f64>();
        raw.series.extend(of_lot((levels, segments, tally, &shares), (lot, level), &by_lot));
    }
    raw
}

/// The items of an upstream lot against the rates of all others; `None` with few reports or few peers.
fn of_lot(
    (levels, segments, tally, shares): (&Levels, &Segments, &Tally, &UnitShares),
    (lot, level): (LotId, &Level),
    by_lot: &[(usize, Day)],
) -> Option<Series> {
    let members: Vec<usize> = level.members.iter().filter(|m| m.1 >= 0.5).map(|m| m.0).collect();
    let reports_of = |at: usize| {
        let from = by_lot.partition_point(|r| r.0 < at);
        by_lot[from..].iter().take_while(move |r| r.0 == at).map(|r| r.1)
    };
    if members.iter().flat_map(|&at| reports_of(at)).count() < REPORTS_WORTH_A_FLAG as usize {
        return None;
    }
    let (mut counts, mut years) = (Vec::new(), Vec::new());
    for &at in &members {
        add_bands(&mut counts, levels.lots[at].stratum, &tally.counts[at], 1.0);
        add_bands(&mut years, levels.lots[at].stratum, &levels.lots[at].years, 1.0);
    }
    let (weeks, mut peers, mut received) = (&segments.weeks, 0, Vec::new());
    let mut sum = Sum::new(weeks.monday(0), weeks.len());
    for ((stratum, counts), (_, years)) in counts.iter().zip(&years) {
        // Items without peers tell nothing, and don't silence those that have some.
        let Some((peer_count, rates)) = tally.standards[*stratum].peer_rates(counts, years) else { continue };
        peers += peer_count;
        for &at in members.iter().filter(|&&at| levels.lots[at].stratum == *stratum) {
            let segments = segments.of_lot(at).iter();
            segments.for_each(|segment| sum.add(segment, rates[segment.band as usize]));
            received.extend(reports_of(at));
        }
    }
    if peers.min(received.len() as u64) < u64::from(REPORTS_WORTH_A_FLAG) {
        return None;
    }
    // One standard deviation of what is not known of its true rate were it like its peers.
    let scatter = tally.scatter * shares.reaching(level);
    Some(Series {
        of: Watched::UsedLot(lot),
        expected: sum.by_week(),
        received: weeks.count(received.into_iter()),
        doubt: 1.0 + (1.0 / peers as f64 + scatter).sqrt(),
    })
}

/// When changes meant to cure a recurrence cut in.
fn cut_ins(field: &Field, (part, mode): Key) -> Vec<Day> {
    let cures = |change: &&ChangeFacts| change.cures(part, mode);
    field.changes.rows().iter().filter(cures).filter_map(|change| change.cut_in_on).collect()
}
