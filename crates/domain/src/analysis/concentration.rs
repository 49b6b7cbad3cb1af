//! Where a recurrence sits: every level of every factor against what the rest would lead one to expect.
//!
//! Peers are the other items of the same revision at the same age; revisions are compared within their item. A lot that
//! an item lot used only in part takes its share of the exposure by quantity and of the reports by a fitted mixture.
//! Only reports with a read label are compared, and the worst case of the unread ones counts, as for lots; a unit is
//! known without a label, so that units are compared on all reports.

use rustc_hash::FxHashMap;
use stats::excess::Usual;
use stats::shrinkage::{Cell as Counted, Fit, probability_above};

use super::factor::FactorLevel;
use super::fit_prior::fit_prior;
use super::levels::{Level, Levels, Stratum};
use super::lot_lines::{LotLine, RATIO_WORTH_A_FLAG, REPORTS_WORTH_A_FLAG, least_known, limits};
use super::mixture;
use super::part_exposure::{Bands, PartExposure};
use super::scanned::{Prior, Scanned};
use super::standard::{Against, Standard};
use super::tally::Tally;
use super::usual::Member;
use crate::field::Field;

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
    /// Ratio of the two; `None` where its peers have no report: then it has a lower limit alone.
    pub ratio: Option<f64>,
    /// Its lower limit.
    pub ratio_low: f64,
    /// Its upper limit; infinite where there is none.
    pub ratio_high: f64,
    /// Probability that the true ratio is above 1.5 (gamma-Poisson, shrunk over all levels of the factor).
    pub probability_worse: f64,
    /// Chance of at least so many reports if it were like its peers, allowing for scatter between units and guessed lots; 1 where the count or the ratio is too small for a flag anyway.
    pub p_value: f64,
    /// How many times likelier its count is if it is two, three or five times worse than its peers; 0 with the p-value at 1.
    pub evidence: f64,
    /// Whether it stands out.
    pub flagged: bool,
    /// What explains it: given that, it no longer stands out.
    pub explained_by: Option<FactorLevel>,
}

/// The levels of one recurrence.
pub(super) struct Looked {
    /// Levels with reports, item lots left out: they have lines of their own.
    pub(super) found: Vec<Concentration>,
    /// The levels looked at, with and without reports.
    pub(super) scanned: Scanned,
}

/// What one level shows before it is held against the rest of its factor.
pub(super) struct Shown {
    pub(super) level: FactorLevel,
    pub(super) count: f64,
    pub(super) against: Against,
    pub(super) worst: Worst,
    /// The count tested, and what is usual; `None` where nothing can be.
    pub(super) tested: Option<(f64, Usual)>,
}

/// What speaks against a level at the worst: its guessed reports, and all unread labels, were its peers'.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Worst {
    /// Its reports that are sure.
    pub(super) sure: f64,
    /// Those of its peers, with the guessed ones.
    pub(super) peers: f64,
    /// Labels that were not read.
    pub(super) unread: f64,
}

impl Worst {
    /// The least ratio, at these odds of the level's exposure to its peers'.
    pub(super) fn ratio(self, odds: f64) -> f64 {
        self.sure / (odds * (self.peers + self.unread).max(f64::MIN_POSITIVE))
    }
}

/// Every level of a recurrence but its item lots.
pub(super) fn look(field: &Field, exposure: &PartExposure<'_>, levels: &Levels, tally: &Tally) -> Looked {
    let mut fitted: FxHashMap<usize, Vec<f64>> = FxHashMap::default();
    for places in &levels.mixtures {
        let mixed: Vec<&Level> = places.iter().map(|&at| &levels.all[at]).collect();
        let shares = mixture::shares(&levels.lots, &tally.counts, levels.strata.len(), &mixed);
        fitted.extend(places.iter().copied().zip(shares));
    }
    let mut shown: Vec<Shown> = Vec::new();
    let mut scanned = Scanned::default();
    for (at, level) in levels.all.iter().enumerate() {
        let (usual, of_lots) = of_lots(field, levels, tally, level, fitted.get(&at));
        if let Some(usual) = usual {
            scanned.add(Prior::of(level.of), usual);
        }
        shown.extend(of_lots);
    }
    let units = super::units::units(field, levels, tally);
    let activities = super::activities::activities(&exposure.spent, tally);
    for factor in [units, activities] {
        scanned.add_all(&factor.scanned);
        shown.extend(factor.shown);
    }
    let mut found = Vec::new();
    for factor in shown.chunk_by(|a, b| a.level.factor() == b.level.factor()) {
        let table: Vec<Counted> = factor.iter().map(counted).collect();
        let prior = fit_prior(&table);
        found.extend(factor.iter().filter_map(|s| concentration(tally, s, &prior)));
    }
    Looked { found, scanned }
}

fn counted(shown: &Shown) -> Counted {
    Counted { count: shown.count.round() as u64, expected: shown.against.expected_or_one() }
}

/// A level made of lots, with reports or without; `None` without peers.
fn of_lots(
    field: &Field,
    levels: &Levels,
    tally: &Tally,
    level: &Level,
    fitted: Option<&Vec<f64>>,
) -> (Option<Usual>, Option<Shown>) {
    let by_item = matches!(level.of, FactorLevel::Revision(_));
    let members = level.members.iter().enumerate();
    let member = |(n, &(lot, share)): (usize, &(usize, f64))| Member {
        lot,
        of_exposure: share,
        of_reports: fitted.map_or(share, |fitted| fitted[n]),
    };
    let members: Vec<Member> = members.map(member).collect();
    let held = tally.rates.hold(&members, by_item);
    // Where every lot belongs whole, what is shown is what is tested.
    let tested = if fitted.is_none() && level.members.iter().all(|member| member.1 >= 1.0) {
        held
    } else {
        let of = |&(lot, share): &(usize, f64)| Member {
            lot,
            of_exposure: weight(share),
            of_reports: weight(share),
        };
        tally.rates.hold(&level.members.iter().map(of).collect::<Vec<Member>>(), by_item)
    };
    let tested = tested.and_then(|held| held.tested());
    let usual = tested.map(|(_, usual)| usual);
    let guessed: f64 = members.iter().map(|m| m.of_reports * f64::from(tally.guessed[m.lot])).sum();
    let shown = held.map(|compared| {
        let against = compared.against();
        let unread = f64::from(tally.unread_on(field, levels, level.years.iter().map(|y| y.0)));
        Shown {
            level: level.of,
            count: compared.seen,
            against,
            worst: Worst {
                sure: compared.seen - guessed,
                peers: against.peer_count as f64 + guessed,
                unread,
            },
            tested,
        }
    });
    (usual, shown)
}

/// The weight of the reports of a lot of whose items a share belongs: what one of them says for a level three times as bad
/// as its peers, beside one of a lot that belongs whole.
fn weight(share: f64) -> f64 {
    (2.0 * share.min(1.0)).ln_1p() / f64::ln(3.0)
}

/// Sums one level's comparison over the strata in which it has peers, reports or not; `None` where it has none.
pub(super) fn against(
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
    (odds > 0.0).then_some((count, Against { peer_count: peers, odds }))
}

fn concentration(tally: &Tally, shown: &Shown, prior: &Fit) -> Option<Concentration> {
    let cell = counted(shown);
    if cell.count == 0 {
        return None;
    }
    let expected = shown.against.expected();
    let ratio = (expected > 0.0).then(|| shown.count / expected);
    let (ratio_low, ratio_high) = limits(cell.count, shown.against)?;
    let Worst { sure, .. } = shown.worst;
    let least = shown.worst.ratio(shown.against.odds);
    let may_be_flagged = sure + 0.5 >= f64::from(REPORTS_WORTH_A_FLAG)
        && least_known(ratio, Some(ratio_low)) > Some(RATIO_WORTH_A_FLAG)
        && least > RATIO_WORTH_A_FLAG;
    let tested = shown.tested.filter(|_| may_be_flagged);
    // Guessed lots don't decide a flag.
    let tested = tested.map(|(seen, usual)| (seen * sure / shown.count, usual));
    let p_value = tested.map_or(1.0, |(seen, usual)| usual.chance(seen));
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
        evidence: tested.map_or(0.0, |(seen, usual)| usual.evidence(seen)),
        flagged: false,
        explained_by: None,
    })
}

impl Concentration {
    /// An item lot as its line shows it; `None` without peers.
    pub(super) fn of_line(line: &LotLine, of: u32) -> Option<Self> {
        Some(Self {
            level: FactorLevel::ItemLot(line.lot),
            reports: line.reports,
            of,
            expected: line.expected?,
            ratio: line.ratio,
            ratio_low: line.ratio_low?,
            ratio_high: line.ratio_high.unwrap_or(f64::INFINITY),
            probability_worse: line.probability_worse?,
            p_value: line.p_value,
            evidence: line.evidence,
            flagged: line.flagged,
            explained_by: None,
        })
    }
}
