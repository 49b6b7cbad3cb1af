//! A level held against its peers: reports and expectations summed over strata, and what is tested.

use stats::excess::Usual;

use super::ageing::Weighted;
use super::standard::Against;

/// A level that is about a like share of every lot can't be told from its peers.
const LEAST_THINNED: f64 = 0.1;
/// Variance of a count of reports over its mean where about three in a hundred are sent twice: nobody merges them unasked.
pub(super) const SENT_TWICE: f64 = 1.06;

/// Reports, and exposure by age and unit.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sum {
    pub(super) seen: f64,
    pub(super) weighted: Weighted,
}

/// A level against its peers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Held {
    /// Its reports.
    pub(super) seen: f64,
    /// Those of its peers.
    pub(super) peers: f64,
    /// Expected at the peers' rate; with a peer's first report yet to come, of that.
    pub(super) expected: f64,
    /// The reports of peers that would leave their rate as uncertain as it is.
    pub(super) others: f64,
    /// Relative variance of what is open about ageing and about units.
    pub(super) open: f64,
    /// Variance of the count over that of a binomial count: below 1 where only shares of lots belong.
    pub(super) thinned: f64,
}

impl Held {
    /// Against its peers alone, for limits of the ratio.
    pub(super) fn against(&self) -> Against {
        let odds = if self.peers > 0.0 { self.expected / self.peers } else { self.expected };
        Against { peer_count: self.peers.round() as u64, odds }
    }

    /// The count to be tested and what is usual for it, on the scale on which variance and mean agree; with one more report
    /// of the peers it is the conditional test.
    pub(super) fn tested(&self) -> Option<(f64, Usual)> {
        if self.thinned < LEAST_THINNED {
            return None;
        }
        let scale = self.thinned * SENT_TWICE;
        let others = self.others / scale + 1.0;
        let more = if self.others > 0.0 { others / (others - 1.0) } else { 1.0 };
        let usual = Usual { expected: self.expected / scale * more, shape: 1.0 / (self.open + 1.0 / others) };
        Some((self.seen / scale, usual))
    }
}

/// A level and its peers, summed over strata.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sums {
    pub(super) seen: f64,
    pub(super) peers: f64,
    pub(super) odds: f64,
    pub(super) expected: f64,
    pub(super) variance: f64,
    pub(super) by_age: f64,
    /// Expected of the level, and of its peers, at the rates of all together.
    pub(super) at_common: f64,
    pub(super) peers_at_common: f64,
    pub(super) plain: f64,
    pub(super) thinned: f64,
}

impl Sums {
    /// Adds a level and all of its stratum.
    pub(super) fn add(&mut self, own: Sum, all: Sum, squares: f64) {
        let mut peers = all;
        peers.add(own, -1.0, -1.0);
        // Subtraction leaves dust where the level was alone.
        if own.weighted.years <= 0.0 || peers.weighted.years <= 1e-9 * own.weighted.years {
            return;
        }
        let (times, count) = (own.weighted.years / peers.weighted.years, peers.seen.max(0.0));
        self.seen += own.seen;
        self.peers += count;
        self.odds = self.odds.max(times);
        self.expected += times * count;
        self.variance += times * times * count;
        self.by_age += times * count * (own.weighted.mean_log() - peers.weighted.mean_log());
        self.at_common += own.weighted.years * all.rate();
        self.peers_at_common += peers.weighted.years * all.rate();
        let share = own.weighted.years / all.weighted.years;
        self.plain += own.weighted.years * (1.0 - share);
        self.thinned += squares - own.weighted.years * share;
    }
}

impl Sum {
    /// Adds shares of another's exposure and reports.
    pub(super) fn add(&mut self, other: Self, share: f64, given: f64) {
        self.seen += given * other.seen;
        self.weighted.add(other.weighted, share);
    }

    /// Reports by exposure.
    pub(super) fn rate(self) -> f64 {
        if self.weighted.years > 0.0 { self.seen / self.weighted.years } else { 0.0 }
    }
}
