//! Lots of one recurrence: reports against what the other lots of the same revision would lead one to expect.
//!
//! Only reports with a read label are compared. Since unread labels are not missing at random, every lot carries its
//! ratio if all unread labels were of other lots and if all were its own, and only what stands in both is flagged.

use std::ops::Range;

use rustc_hash::FxHashMap;
use stats::rate_ratio::{Group, ratio};
use stats::shrinkage::{Cell as Counted, Fit, probability_above};
use stats::{Exposure, poisson_rate};

use super::CONFIDENCE;
use super::compared::Compared;
use super::concentration::Worst;
use super::fit_prior::fit_prior;
use super::held::Held;
use super::levels::Levels;
use super::part_exposure::PartExposure;
use super::scanned::{Prior, Scanned};
use super::standard::Against;
use super::tally::Tally;
use super::usual::Member;
use crate::field::{Field, LotId};

/// A ratio above this is worth a flag.
pub const RATIO_WORTH_A_FLAG: f64 = 1.5;
/// A lot with fewer reports is never flagged.
pub const REPORTS_WORTH_A_FLAG: u32 = 3;
/// Share of flags that may be false.
pub const FALSE_FLAGS: f64 = 0.10;
/// With this many peer reports for each of a lot's own, the peers' rate is taken as known in its interval.
const PEERS_KNOWN: u64 = 400;

/// What labels that were not read, or whose lot was guessed, could make of a lot's ratio.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnreadLabels {
    /// Unread labels on the item for this recurrence.
    pub reports: u32,
    /// Labels of the lot itself whose lot was guessed.
    pub guessed: u32,
    /// The ratio if all of them were of other lots.
    pub ratio_least: f64,
    /// The ratio if all unread ones were of this lot; `None` where the others then have no report.
    pub ratio_most: Option<f64>,
}

/// One lot in a recurrence.
#[derive(Clone, Debug, PartialEq)]
pub struct LotLine {
    /// The lot.
    pub lot: LotId,
    /// Relevant reports with this lot, without those on unpacking and those a notice called for.
    pub reports: u32,
    /// Of these, lots guessed from a misread label.
    pub guessed: u32,
    /// Expected, while reports were kept, at the rates by age of the other lots of the same revision; `None` without peers.
    pub expected: Option<f64>,
    /// Item-years of the lot, also before reports were kept.
    pub item_years: f64,
    /// Reports over expected; `None` without peers, and where they have no report: then it has a lower limit alone.
    pub ratio: Option<f64>,
    /// Its lower limit (conditional on the total, exact within one age band).
    pub ratio_low: Option<f64>,
    /// Its upper limit; `None` where there is none.
    pub ratio_high: Option<f64>,
    /// Probability that the true ratio is above 1.5 (gamma-Poisson, shrunk over all lots of the recurrence).
    pub probability_worse: Option<f64>,
    /// Chance of at least so many reports if the lot were like its peers, allowing for scatter between units, guessed
    /// lots and unread labels.
    pub p_value: f64,
    /// How many times likelier its count is if it is two, three or five times worse than its peers.
    pub evidence: f64,
    /// Whether the lot stands out.
    pub flagged: bool,
    /// For a flagged lot: whether it also stands out when movements take the newest items first.
    pub holds_newest_first: Option<bool>,
    /// What unread and guessed labels could make of it; `None` where every label was read as it stands.
    pub unread: Option<UnreadLabels>,
}

/// What of a ratio has to pass the bar: the ratio itself, or its lower limit where peers have no report and there is none.
pub(super) fn least_known(ratio: Option<f64>, low: Option<f64>) -> Option<f64> {
    ratio.or(low)
}

impl LotLine {
    /// Whether the ratio passes in what was read, and in the worst case of what was not.
    pub(super) fn may_be_flagged(&self) -> bool {
        let sure = self.reports - self.guessed;
        let known = least_known(self.ratio, self.ratio_low);
        let least = self.unread.map_or(known, |u| Some(u.ratio_least));
        let passes = |ratio: Option<f64>| ratio.is_some_and(|r| r > RATIO_WORTH_A_FLAG);
        sure >= REPORTS_WORTH_A_FLAG && passes(known) && passes(least)
    }
}

impl LotLine {
    /// Whether it would stand out on what was read, and only unread or guessed labels keep it from being shown.
    pub(super) fn rests_on_labels(&self) -> bool {
        let enough = self.reports - self.guessed >= REPORTS_WORTH_A_FLAG;
        let stands_out = self.ratio_low.is_some_and(|low| low > 1.0)
            && least_known(self.ratio, self.ratio_low) > Some(RATIO_WORTH_A_FLAG);
        !self.flagged
            && enough
            && stands_out
            && self.unread.is_some_and(|u| u.ratio_least <= RATIO_WORTH_A_FLAG)
    }
}

/// The lots of one recurrence.
pub(super) struct LotTable {
    /// Lots with reports.
    pub(super) lines: Vec<LotLine>,
    /// The lots looked at, with and without reports.
    pub(super) scanned: Scanned,
}

/// Reports of one lot.
#[derive(Clone, Copy, Debug, Default)]
struct OfLot {
    reports: u32,
    guessed: u32,
}

impl OfLot {
    /// Those whose label was read as it stands.
    const fn sure(self) -> u32 {
        self.reports - self.guessed
    }
}

/// Lots of the reports of one part and mode.
pub(super) fn lot_table(
    field: &Field,
    exposure: &PartExposure<'_>,
    (levels, tally): (&Levels, &Tally),
    compared: &[Compared<'_>],
) -> LotTable {
    let mut of_lots: FxHashMap<LotId, OfLot> = FxHashMap::default();
    for report in compared {
        if let Some(lot) = report.lot {
            let of_lot = of_lots.entry(lot).or_default();
            of_lot.reports += 1;
            of_lot.guessed += u32::from(report.guessed);
        }
    }
    let held = |(lot, places): (LotId, Range<usize>)| {
        let members: Vec<Member> = places.map(Member::whole).collect();
        Some((lot, tally.rates.hold(&members, false)?))
    };
    let held_lots: Vec<(LotId, Held)> = levels.by_lot().filter_map(held).collect();
    let counted = |(lot, held): &(LotId, Held)| Counted {
        count: u64::from(of_lots.get(lot).map_or(0, |of_lot| of_lot.reports)),
        expected: held.against().expected_or_one(),
    };
    let table: Vec<Counted> = held_lots.iter().map(counted).collect();
    let prior = fit_prior(&table);
    let mut lines = Vec::with_capacity(of_lots.len());
    for &(lot, held) in &held_lots {
        if let Some(of_lot) = of_lots.remove(&lot) {
            let unread = tally.unread.get(&field.part_of_lot(lot)).copied().unwrap_or(0);
            let bare = without_peers(lot, of_lot, exposure);
            lines.push(against_peers(bare, of_lot, held, unread, &prior));
        }
    }
    lines.extend(of_lots.into_iter().map(|(lot, of_lot)| without_peers(lot, of_lot, exposure)));
    lines.sort_unstable_by_key(|line| line.lot);
    let mut scanned = Scanned::default();
    let usual = held_lots.iter().filter_map(|(_, held)| held.tested());
    usual.for_each(|(_, usual)| scanned.add(Prior::Other, usual));
    LotTable { lines, scanned }
}

/// A line with what its peers say of it.
fn against_peers(bare: LotLine, of_lot: OfLot, held: Held, unread: u32, prior: &Fit) -> LotLine {
    let against = held.against();
    let count = u64::from(of_lot.reports);
    let expected = against.expected();
    let limits = limits(count, against);
    // At the worst guessed lots are other lots, and so are all unread labels.
    let worst = Worst {
        sure: f64::from(of_lot.sure()),
        peers: against.peer_count as f64 + f64::from(of_lot.guessed),
        unread: f64::from(unread),
    };
    // Guessed lots don't decide a flag.
    let tested = held.tested().map(|(seen, usual)| (seen * worst.sure / count as f64, usual));
    LotLine {
        expected: Some(expected),
        ratio: (expected > 0.0).then(|| count as f64 / expected),
        ratio_low: limits.map(|l| l.0),
        ratio_high: limits.map(|l| l.1).filter(|high| high.is_finite()),
        probability_worse: Some(probability_above(
            Counted { count, expected: against.expected_or_one() },
            prior,
            RATIO_WORTH_A_FLAG,
        )),
        p_value: tested.map_or(1.0, |(seen, usual)| usual.chance(seen)),
        evidence: tested.map_or(0.0, |(seen, usual)| usual.evidence(seen)),
        unread: (unread + of_lot.guessed > 0).then(|| UnreadLabels {
            reports: unread,
            guessed: of_lot.guessed,
            ratio_least: worst.ratio(against.odds),
            ratio_most: (expected > 0.0).then(|| (count + u64::from(unread)) as f64 / expected),
        }),
        ..bare
    }
}

fn without_peers(lot: LotId, of_lot: OfLot, exposure: &PartExposure<'_>) -> LotLine {
    LotLine {
        lot,
        reports: of_lot.reports,
        guessed: of_lot.guessed,
        expected: None,
        item_years: exposure.years_of(lot),
        ratio: None,
        ratio_low: None,
        ratio_high: None,
        probability_worse: None,
        p_value: 1.0,
        evidence: 0.0,
        flagged: false,
        holds_newest_first: None,
        unread: None,
    }
}

/// Limits of the ratio: conditional on the total, or those of the count alone where the peers' rate is known well.
pub(super) fn limits(count: u64, against: Against) -> Option<(f64, f64)> {
    if against.peer_count > PEERS_KNOWN * (count + 1) {
        let limits = poisson_rate::exact(count, Exposure::new(against.expected()).ok()?, CONFIDENCE);
        return Some((limits.low, limits.high));
    }
    let own = Group { count, exposure: Exposure::new(against.odds).ok()? };
    let peers = Group { count: against.peer_count, exposure: Exposure::new(1.0).ok()? };
    let limits = ratio(own, peers, CONFIDENCE);
    Some((limits.low, limits.high))
}
