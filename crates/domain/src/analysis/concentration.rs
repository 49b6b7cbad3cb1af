//! Where a recurrence sits: every level of every factor against what the rest would lead one to expect.
//!
//! Peers are the other items of the same revision at the same age; revisions are compared within their item. A lot that
//! an item lot used only in part takes its share of the exposure by quantity and of the reports by a fitted mixture.
//! Only reports with a read label are compared, and the worst case of the unread ones counts, as for lots; a unit is
//! known without a label, so that units are compared on all reports.

use std::collections::HashMap;

use stats::shrinkage::{Cell as Counted, Fit, probability_above};

use super::factor::FactorLevel;
use super::fit_prior::fit_prior;
use super::levels::{Level, Levels, Stratum, add_bands};
use super::lot_lines::{LotLine, RATIO_WORTH_A_FLAG, REPORTS_WORTH_A_FLAG, chance_of_so_many, limits};
use super::mixture;
use super::part_exposure::{Bands, PartExposure};
use super::standard::{Against, Standard};
use super::tally::Tally;
use crate::field::{Field, PartId, UnitId};

/// A factor's level on which reports sit.
#[derive(Clone, Debug, PartialEq)]
pub struct Concentration {
    /// What they sit on.
    pub level: FactorLevel,
    /// Reports there; of a lot that item lots used in part, what the mixture gives it, rounded.
    pub reports: u32,
    /// Reports compared in all.
    pub of: u32,
    /// Expected there at the rates of its peers.
    pub expected: f64,
    /// Ratio of the two.
    pub ratio: f64,
    /// Its lower limit.
    pub ratio_low: f64,
    /// Its upper limit; infinite where there is none.
    pub ratio_high: f64,
    /// Probability that the true ratio is above 1.5 (gamma-Poisson, shrunk over all levels of the factor).
    pub probability_worse: f64,
    /// Chance of at least so many reports if it were like its peers, allowing for scatter between units and guessed lots; 1 where the count or the ratio is too small for a flag anyway.
    pub p_value: f64,
    /// Whether it stands out.
    pub flagged: bool,
    /// What explains it: given that, it no longer stands out.
    pub explained_by: Option<FactorLevel>,
}

/// The weight of a comparison among everything looked at: its expected count within bounds. Where a fraction of a report
/// is expected hardly anything can be shown, and the many such levels are not to drown the few that can show something.
///
/// Source: C. R. Genovese, K. Roeder & L. Wasserman, Biometrika 93 (2006) 509, for weights in false-discovery control.
pub(super) fn weight(expected: f64) -> f64 {
    expected.clamp(0.02, 2.0)
}

/// The levels of one recurrence.
pub(super) struct Looked {
    /// Levels with reports, item lots left out: they have lines of their own.
    pub(super) found: Vec<Concentration>,
    /// Weights of the levels looked at, with and without reports.
    pub(super) looked_at: f64,
}

/// What one level shows before it is held against the rest of its factor.
pub(super) struct Shown {
    pub(super) level: FactorLevel,
    pub(super) count: f64,
    pub(super) against: Against,
    /// The count that is sure, the peers' count if guesses were theirs, and the labels that were not read.
    pub(super) worst: (f64, f64, f64),
    /// Variance of the count over that of a Poisson count: below 1 where only a share of each lot belongs.
    pub(super) thinned: f64,
    /// The score's own count, with the shares by quantity alone.
    pub(super) by_quantity: f64,
}

/// Every level of a recurrence but its item lots.
pub(super) fn look(field: &Field, exposure: &PartExposure<'_>, levels: &Levels, tally: &Tally) -> Looked {
    let mut fitted: HashMap<usize, Vec<f64>> = HashMap::new();
    for places in &levels.mixtures {
        let mixed: Vec<&Level> = places.iter().map(|&at| &levels.all[at]).collect();
        let shares = mixture::shares(&levels.lots, &tally.counts, levels.strata.len(), &mixed);
        fitted.extend(places.iter().copied().zip(shares));
    }
    let by_item = ByItem::new(field, levels, &tally.standards);
    let mut shown: Vec<Shown> = Vec::new();
    for (at, level) in levels.all.iter().enumerate() {
        shown.extend(of_lots(field, levels, tally, &by_item, level, fitted.get(&at)));
    }
    let units = super::units::units(field, exposure, levels, tally);
    let activities = super::activities::activities(field, tally);
    let rates: Vec<Bands> = tally.standards.iter().map(Standard::rates).collect();
    let expected = |level: &Level| -> f64 {
        let at_rates = |(stratum, years): &(Stratum, Bands)| -> f64 {
            years.iter().zip(&rates[*stratum]).map(|(years, rate)| years * rate).sum()
        };
        level.years.iter().map(at_rates).sum()
    };
    let looked_at = levels.all.iter().map(|level| weight(expected(level))).sum::<f64>()
        + units.looked_at
        + activities.looked_at;
    shown.extend(units.shown);
    shown.extend(activities.shown);
    let mut found = Vec::new();
    for factor in shown.chunk_by(|a, b| a.level.factor() == b.level.factor()) {
        let table: Vec<Counted> = factor.iter().map(counted).filter(|c| c.expected > 0.0).collect();
        let prior = fit_prior(&table);
        found.extend(factor.iter().filter_map(|s| concentration(exposure, levels, tally, s, &prior)));
    }
    Looked { found, looked_at }
}

fn counted(shown: &Shown) -> Counted {
    Counted { count: shown.count.round() as u64, expected: shown.against.expected() }
}

/// A level made of lots; `None` without reports or without peers.
fn of_lots(
    field: &Field,
    levels: &Levels,
    tally: &Tally,
    by_item: &ByItem,
    level: &Level,
    fitted: Option<&Vec<f64>>,
) -> Option<Shown> {
    let mut counts: Vec<(Stratum, Bands)> = Vec::new();
    let (mut guessed, mut by_quantity, mut given_in_all) = (0.0, 0.0, 0.0);
    let (mut plain, mut squares) = (0.0, 0.0);
    for (n, &(at, share)) in level.members.iter().enumerate() {
        let total: f64 = tally.counts[at].iter().sum();
        let years: f64 = levels.lots[at].years.iter().sum();
        (plain, squares) = (plain + share * years, squares + share * share * years);
        if total > 0.0 {
            let given = fitted.map_or(share, |fitted| fitted[n]);
            add_bands(&mut counts, levels.lots[at].stratum, &tally.counts[at], given);
            guessed += given * f64::from(tally.guessed[at]);
            by_quantity += share * total;
            given_in_all += given * total;
        }
    }
    if counts.is_empty() {
        return None;
    }
    let (count, against) = if matches!(level.of, FactorLevel::Revision(_)) {
        compare(&by_item.standards, &by_item.pooled(&counts), &by_item.pooled(&level.years))
    } else {
        compare(&tally.standards, &counts, &level.years)
    }?;
    // What was dropped at ages without peers is dropped from all counts alike.
    let kept = count / given_in_all;
    let (guessed, by_quantity) = (guessed * kept, by_quantity * kept);
    let unread = f64::from(tally.unread_on(field, levels, level.years.iter().map(|y| y.0)));
    Some(Shown {
        level: level.of,
        count,
        against,
        worst: (count - guessed, against.peer_count as f64 + guessed, unread),
        thinned: if plain > 0.0 { squares / plain } else { 1.0 },
        by_quantity,
    })
}

/// Sums one level's comparison over the strata in which it has peers; `None` where it has none.
pub(super) fn compare(
    standards: &[Standard],
    counts: &[(Stratum, Bands)],
    years: &[(Stratum, Bands)],
) -> Option<(f64, Against)> {
    let (mut count, mut peers, mut expected, mut odds) = (0.0, 0, 0.0, 0.0_f64);
    for (stratum, years) in years {
        let mut own = counts.iter().find(|c| c.0 == *stratum).map_or_else(Bands::default, |c| c.1);
        let mut years = *years;
        let shared = standards[*stratum].shared(&years);
        for band in (0..shared.len()).filter(|&band| !shared[band]) {
            (own[band], years[band]) = (0.0, 0.0);
        }
        if let Some(against) = standards[*stratum].against(&own, &years) {
            count += own.iter().sum::<f64>();
            peers += against.peer_count;
            expected += against.expected();
            odds = odds.max(against.odds);
        }
    }
    let odds = if peers > 0 { expected / peers as f64 } else { odds };
    (count > 0.0 && odds > 0.0).then_some((count, Against { peer_count: peers, odds }))
}

fn concentration(
    exposure: &PartExposure<'_>,
    levels: &Levels,
    tally: &Tally,
    shown: &Shown,
    prior: &Fit,
) -> Option<Concentration> {
    let cell = counted(shown);
    let expected = cell.expected;
    if cell.count == 0 || expected <= 0.0 {
        return None;
    }
    let ratio = shown.count / expected;
    let (ratio_low, ratio_high) = limits(cell.count, shown.against)?;
    let (sure, others, unread) = shown.worst;
    let least = sure / (shown.against.odds * (others + unread).max(f64::MIN_POSITIVE));
    let may_be_flagged = sure + 0.5 >= f64::from(REPORTS_WORTH_A_FLAG)
        && ratio > RATIO_WORTH_A_FLAG
        && least > RATIO_WORTH_A_FLAG;
    let p_value = if may_be_flagged {
        let level = levels.all.iter().find(|level| level.of == shown.level);
        let over = tally.scatter * level.map_or(1.0, |level| spread(exposure, levels, tally, level));
        let sure = shown.by_quantity * sure / shown.count;
        chance_of_so_many(sure / shown.thinned, others, shown.against.odds / shown.thinned, over)
    } else {
        1.0
    };
    Some(Concentration {
        level: shown.level,
        reports: cell.count as u32,
        of: tally.read,
        expected,
        ratio,
        ratio_low,
        ratio_high,
        probability_worse: probability_above(cell, prior, RATIO_WORTH_A_FLAG),
        p_value,
        flagged: false,
        explained_by: None,
    })
}

/// How much of the variance between units reaches a level: 1 for one at one unit, `1/m` for one spread evenly over `m`.
pub(super) fn spread(exposure: &PartExposure<'_>, levels: &Levels, tally: &Tally, level: &Level) -> f64 {
    let rates: Vec<Bands> = tally.standards.iter().map(Standard::rates).collect();
    let mut at_units: HashMap<UnitId, f64> = HashMap::new();
    for &(at, share) in &level.members {
        let row = &levels.lots[at];
        for cell in exposure.of_lot(row.lot) {
            let expected: f64 = cell.bands.iter().zip(&rates[row.stratum]).map(|(y, r)| y * r).sum();
            *at_units.entry(cell.unit).or_default() += share * expected;
        }
    }
    let mut all: Vec<f64> = at_units.into_values().collect();
    // Summed in a fixed order: a hash map's own would change the last digits from run to run.
    all.sort_unstable_by(f64::total_cmp);
    let sum: f64 = all.iter().sum();
    if sum > 0.0 { all.iter().map(|e| e * e).sum::<f64>() / (sum * sum) } else { 1.0 }
}

/// Strata pooled by item, for the comparison of its revisions.
struct ByItem {
    item_of: Vec<usize>,
    standards: Vec<Standard>,
}

impl ByItem {
    fn new(field: &Field, levels: &Levels, standards: &[Standard]) -> Self {
        let mut items: Vec<PartId> = Vec::new();
        let mut pooled: Vec<Standard> = Vec::new();
        let mut item_of = Vec::with_capacity(standards.len());
        for (stratum, standard) in standards.iter().enumerate() {
            let item = levels.item(field, stratum);
            let at = items.iter().position(|&i| i == item).unwrap_or_else(|| {
                items.push(item);
                pooled.push(Standard::default());
                items.len() - 1
            });
            item_of.push(at);
            pooled[at].add(&standard.counts, &standard.years);
        }
        Self { item_of, standards: pooled }
    }

    fn pooled(&self, by_stratum: &[(Stratum, Bands)]) -> Vec<(Stratum, Bands)> {
        let mut sums = Vec::new();
        for (stratum, bands) in by_stratum {
            add_bands(&mut sums, self.item_of[*stratum], bands, 1.0);
        }
        sums
    }
}

impl Concentration {
    /// An item lot as its line shows it; `None` without peers.
    pub(super) fn of_line(line: &LotLine, of: u32) -> Option<Self> {
        Some(Self {
            level: FactorLevel::ItemLot(line.lot),
            reports: line.reports,
            of,
            expected: line.expected?,
            ratio: line.ratio?,
            ratio_low: line.ratio_low?,
            ratio_high: line.ratio_high.unwrap_or(f64::INFINITY),
            probability_worse: line.probability_worse?,
            p_value: line.p_value,
            flagged: line.flagged,
            explained_by: None,
        })
    }
}
